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


def _left(context: AuditContext) -> tuple[tuple[FloatArray, ...], tuple[FloatArray, ...]]:
    """Shares that wet, ends, state and age leave of a new line: the least they can be, and the most."""
    sizing, condition, choice = context.policy.sizing, context.policy.condition, context.fleet.choice
    wet = rope.wet_factor(choice["line_material"], sizing)
    ends = rope.termination_factor(choice["line_ends"], sizing)
    state = rope.state_factor(choice["line_state"], condition)
    years = np.nan_to_num(age_years(context), nan=0.0)  # a line said to be new, where no year is given
    age = np.where(age_unsaid(context), np.nan, rope.age_factor(years, condition))
    worst, best = sorted((sizing.splice_factor, sizing.knot_factor))

    def said(end: float, least: float) -> tuple[FloatArray, ...]:
        return (
            wet, np.where(np.isnan(ends), end, ends), np.where(np.isnan(state), least, state),
            np.where(np.isnan(age), least, age),
        )  # fmt: skip

    return said(worst, 0.0), said(best, 1.0)


def residual_strength_n(context: AuditContext, diameter_m: FloatArray) -> Bounds:
    """Strength of the line aboard as she lies: new strength x wet x ends x state x age, N. [UFC; practice]

    Where ends, state or age are not said, the least takes the worst they can be and the most the best. Past
    the policy's age limit nothing is proven, so an age that is not given proves nothing either, unless the
    line is said to be new.
    """
    new = new_strength_n(context, diameter_m)
    least, most = (np.asarray(rope.residual_strength_n(new, *shares)) for shares in _left(context))
    return Bounds(least, most)


def diameter_when_new_m(context: AuditContext, strength_n: FloatArray) -> FloatArray:
    """Least diameter with which a line of her fibre is so strong when new, m; (n,) or (n, k) as `strength_n`.

    Where her fibre is not known, that of the strongest: less is enough of none. [UFC; derived]
    """
    fibre = rope.material_factor(context.fleet.choice["line_material"])
    fibre = np.where(np.isnan(fibre), 1.0, fibre)
    return np.asarray(rope.diameter_at_strength_m(context.catalogue.ropes, (strength_n.T / fibre).T))


def diameter_as_it_lies_m(context: AuditContext, load_n: FloatArray) -> FloatArray:
    """Least diameter with which her line, wet and as its ends, state and age are, holds a load, m.

    What is not said of it is taken at its best: less is never enough. NaN where no rope holds. [UFC; derived]
    """
    wet, *rest = _left(context)[1]
    whole = np.ones(context.boats)
    share = np.asarray(rope.residual_strength_n(whole, np.where(np.isnan(wet), 1.0, wet), *rest))
    with np.errstate(divide="ignore"):
        return diameter_when_new_m(context, (load_n.T / share).T)
