"""Strength of a line: new, from the catalogue, and what is left of it in service."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import numpy as np

from sizing.catalogue import Ropes
from sizing.drogue.figures import Figure
from sizing.fields import CHOICES
from sizing.model import CodeArray, FloatArray
from sizing.policy import ConditionRules, SizingRules

MATERIAL_STRENGTH: Final[Mapping[str, float]] = MappingProxyType(
    {
        "nylon double braid": 1.0,
        "nylon three strand": 0.72,
        "polyester": 0.90,
        "polypropylene": 0.42,
        "low stretch": 1.0,
        "unknown": np.nan,
    }
)
"""Dry minimum strength against nylon double braid of equal diameter [assumed]; three strand and polypropylene
are the lowest ratios of commonly published minimum strengths to this catalogue between 12 and 42 mm."""

LOSES_STRENGTH_WET: Final = ("nylon double braid", "nylon three strand")


def strength_at_diameter_n(ropes: Ropes, diameter_m: Figure) -> Figure:
    """New minimum breaking strength of nylon double braid of any diameter, between catalogue sizes.

    Linear between two sizes; NaN outside the catalogue, and for NaN. m -> N, any shape. [UFC, derived]
    """
    strength: Figure = np.interp(
        diameter_m, ropes.diameter_m, ropes.minimum_strength_n, left=np.nan, right=np.nan
    )
    return strength


def diameter_at_strength_m(ropes: Ropes, strength_n: Figure) -> Figure:
    """Least diameter of nylon double braid that is so strong when new: `strength_at_diameter_n` turned about.

    The thinnest of the catalogue where less would do; NaN where its thickest is too weak, and for NaN.
    N -> m, any shape. [UFC, derived]
    """
    diameter: Figure = np.interp(
        strength_n, ropes.minimum_strength_n, ropes.diameter_m, left=ropes.diameter_m[0], right=np.nan
    )
    return diameter


def ea_at_diameter_n(ropes: Ropes, diameter_m: Figure) -> Figure:
    """Axial stiffness of nylon double braid between catalogue sizes; NaN outside. m -> N. [UFC, derived]"""
    stiffness: Figure = np.interp(diameter_m, ropes.diameter_m, ropes.ea_n, left=np.nan, right=np.nan)
    return stiffness


def mass_at_diameter_kg_per_m(ropes: Ropes, diameter_m: Figure) -> Figure:
    """Dry mass per length between catalogue sizes; NaN outside. m -> kg/m. [assumed]"""
    mass: Figure = np.interp(diameter_m, ropes.diameter_m, ropes.mass_kg_per_m, left=np.nan, right=np.nan)
    return mass


def new_residual_share(rules: SizingRules, condition: ConditionRules) -> float:
    """Share of minimum strength left in a new, wet, spliced nylon line: wet x splice x state new.

    0.85 [UFC] x 0.90 [practice] x 1.0 as the policy stands.
    """
    return rules.wet_factor * rules.splice_factor * condition.state_new


def _of_choice(column: str, factors: Mapping[str, float], codes: CodeArray) -> FloatArray:
    """The factor of each boat's choice; NaN where nothing was chosen."""
    table = np.array([factors[word] for word in CHOICES[column]] + [np.nan])
    return np.asarray(table[codes])


def material_factor(line_material: CodeArray) -> FloatArray:
    """Dry strength against nylon double braid of equal diameter; NaN if unknown or blank. [assumed]"""
    return _of_choice("line_material", MATERIAL_STRENGTH, line_material)


def wet_factor(line_material: CodeArray, rules: SizingRules) -> FloatArray:
    """Strength wet against dry: the policy's for nylon [UFC], 1 for the rest [memory]; NaN if unknown."""
    factors = {
        word: rules.wet_factor if word in LOSES_STRENGTH_WET else 1.0 for word in CHOICES["line_material"]
    }
    return _of_choice("line_material", factors | {"unknown": np.nan}, line_material)


def termination_factor(line_ends: CodeArray, rules: SizingRules) -> FloatArray:
    """Strength of the ends: eye splice or knot; NaN if blank. [practice]"""
    factors = {"spliced": rules.splice_factor, "knotted": rules.knot_factor}
    return _of_choice("line_ends", factors, line_ends)


def state_factor(line_state: CodeArray, condition: ConditionRules) -> FloatArray:
    """Strength by the state of the line as found; NaN if blank. [assumed]"""
    factors = {
        "new": condition.state_new,
        "good": condition.state_good,
        "worn": condition.state_worn,
        "damaged": condition.state_damaged,
    }
    return _of_choice("line_state", factors, line_state)


def age_factor(age_years: FloatArray, condition: ConditionRules) -> FloatArray:
    """Strength by age: 1 - loss x (age - grace), not below 0.

    NaN for a line past the age limit or of unknown age, or one made in the future: it is unproven. Years, any
    shape. [assumed]
    """
    loss = condition.age_loss_per_year * np.maximum(age_years - condition.age_grace_years, 0.0)
    factor = np.maximum(1.0 - loss, 0.0)
    known = (age_years >= 0.0) & (age_years <= condition.age_limit_years)
    return np.where(known, factor, np.nan)


def residual_strength_n(
    new_strength_n: Figure, wet: Figure, termination: Figure, state: Figure, age: Figure
) -> Figure:
    """Breaking strength left in service: S x wet x termination x state x age.

    Factors are shares from 0 to 1; NaN in any of them gives NaN, which is unproven. N, any shape.
    [UFC; practice; assumed]

    >>> round(residual_strength_n(100_000.0, 0.85, 0.90, 1.0, 1.0))
    76500
    """
    return new_strength_n * wet * termination * state * age
