"""Strength of the rope aboard, with the least and the most it can be where the sheet does not say."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sizing.audit.context import AuditContext
from sizing.drogue import rope
from sizing.model import BoolArray, FloatArray


@dataclass(frozen=True)
class Bounds:
    """Least and most a figure can be; equal where everything needed is known. Arrays (n,), SI."""

    least: FloatArray
    most: FloatArray


def new_strength_n(context: AuditContext, diameter_m: FloatArray) -> FloatArray:
    """Minimum breaking strength of the line aboard when new and dry, by diameter and fibre, N.

    NaN where diameter or fibre is not known, or the diameter lies outside the catalogue.
    """
    nylon = rope.strength_at_diameter_n(context.catalogue.ropes, diameter_m)
    return np.asarray(nylon * rope.material_factor(context.fleet.choice["line_material"]))


def age_years(context: AuditContext) -> FloatArray:
    """Age of the device at the reference day in years, from the year it was made; NaN where not given."""
    return np.asarray(context.reference_day.year - context.fleet.number["made_year"])


def age_unsaid(context: AuditContext) -> BoolArray:
    """Boats whose sheet gives no year, nor says that the line is new."""
    return np.asarray(np.isnan(age_years(context)) & ~context.chosen("line_state", "new"))


def residual_strength_n(context: AuditContext, diameter_m: FloatArray) -> Bounds:
    """Strength of the line aboard as she lies: new strength x wet x ends x state x age, N. [UFC; practice]

    Where ends, state or age are not said, the least takes the worst they can be and the most the best. Past
    the policy's age limit nothing is proven, so an age that is not given proves nothing either, unless the
    line is said to be new.
    """
    sizing, condition, choice = context.policy.sizing, context.policy.condition, context.fleet.choice
    new = new_strength_n(context, diameter_m)
    wet = rope.wet_factor(choice["line_material"], sizing)
    ends = rope.termination_factor(choice["line_ends"], sizing)
    state = rope.state_factor(choice["line_state"], condition)
    years = np.nan_to_num(age_years(context), nan=0.0)  # a line said to be new, where no year is given
    age = np.where(age_unsaid(context), np.nan, rope.age_factor(years, condition))
    least = rope.residual_strength_n(
        new,
        wet,
        np.where(np.isnan(ends), min(sizing.splice_factor, sizing.knot_factor), ends),
        np.where(np.isnan(state), 0.0, state),
        np.where(np.isnan(age), 0.0, age),
    )
    most = rope.residual_strength_n(
        new,
        wet,
        np.where(np.isnan(ends), max(sizing.splice_factor, sizing.knot_factor), ends),
        np.where(np.isnan(state), 1.0, state),
        np.where(np.isnan(age), 1.0, age),
    )
    return Bounds(np.asarray(least), np.asarray(most))
