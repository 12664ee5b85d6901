"""Strength of the rope aboard, with the least and the most it can be where the sheet does not say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from sizing.audit.context import AuditContext
from sizing.audit.days import before_it_was_made
from sizing.drogue import rope
from sizing.fields import CHOICES
from sizing.model import BoolArray, CodeArray, FloatArray


@dataclass(frozen=True)
class Bounds:
    """Least and most a figure can be; equal where everything needed is known. Arrays (n,), SI."""

    least: FloatArray
    most: FloatArray


Part = Literal["line", "bridle"]


def codes_of(context: AuditContext, part: Part, what: Literal["material", "state"]) -> CodeArray:
    """Fibre or state of the part, as codes; the bridle's own where it is said, else that of the line."""
    line, own = context.fleet.choice[f"line_{what}"], context.fleet.choice[f"{part}_{what}"]
    return np.where(own >= 0, own, line).astype(np.int8)


def year_of(context: AuditContext, part: Part) -> FloatArray:
    """Year the part was made; the bridle's own where it is said, else that of the device."""
    made = context.fleet.number["made_year"]
    if part == "line":
        return made
    own = context.fleet.number["bridle_year"]
    return np.where(np.isnan(own), made, own)


def new_strength_n(context: AuditContext, diameter_m: FloatArray, part: Part = "line") -> FloatArray:
    """Minimum breaking strength of the rope aboard when new and dry, by diameter and fibre, N.

    NaN where diameter or fibre is not known, or the diameter lies outside the catalogue.
    """
    nylon = rope.strength_at_diameter_n(context.catalogue.ropes, diameter_m)
    return np.asarray(nylon * rope.material_factor(codes_of(context, part, "material")))


def age_years(context: AuditContext, part: Part = "line") -> FloatArray:
    """Age at the reference day in years, from the year the part was made; NaN where not given."""
    return np.asarray(context.reference_day.year - year_of(context, part))


def age_unsaid(context: AuditContext, part: Part = "line") -> BoolArray:
    """Boats whose sheet gives no year for the part, nor says that it is new."""
    new = codes_of(context, part, "state") == CHOICES["line_state"].index("new")
    return np.asarray(np.isnan(age_years(context, part)) & ~new)


def too_old(context: AuditContext, part: Part = "line") -> BoolArray:
    """Boats whose rope, by its year, is past the policy's age limit."""
    with np.errstate(invalid="ignore"):
        return np.asarray(age_years(context, part) > context.policy.condition.age_limit_years)


def tested_strength_n(context: AuditContext) -> FloatArray:
    """Load at which a length of the very line parted in a test that counts, N; NaN without one.

    It counts if its day is not older than the policy takes and not before the line was made, whoever made it
    is named, and the line is spliced, as the length tested was, and not damaged since. A length that held
    more than a new rope of its size and fibre proves no more than that. [assumed]
    """
    number = context.fleet.number
    days = context.reference_day.toordinal() - number["break_test_date_day"]
    by = context.fleet.text["break_test_by"].to_numpy() != ""
    sound = context.chosen("line_ends", "spliced") & context.chosen("line_state", "new", "good", "worn")
    sound &= ~before_it_was_made(context, "break_test_date_day")
    with np.errstate(invalid="ignore"):
        counts = sound & by & (days >= 0) & (days <= context.policy.condition.break_test_days)
    new = new_strength_n(context, number["lead_line_diameter_m"])
    return np.where(counts, np.fmin(number["break_test_load_n"], new), np.nan)


def line_strength_n(context: AuditContext, diameter_m: FloatArray) -> Bounds:
    """Residual strength of a length of line, N; a break test of the lead line speaks for one as thick."""
    same = np.isclose(diameter_m, context.fleet.number["lead_line_diameter_m"])
    tested = np.where(same, tested_strength_n(context), np.nan)
    strength = residual_strength_n(context, diameter_m)
    return Bounds(
        np.where(np.isnan(tested), strength.least, tested), np.where(np.isnan(tested), strength.most, tested)
    )


def _left(context: AuditContext, part: Part) -> tuple[tuple[FloatArray, ...], tuple[FloatArray, ...]]:
    """Shares that wet, ends, state and age leave of a new line: the least they can be, and the most."""
    sizing, condition, choice = context.policy.sizing, context.policy.condition, context.fleet.choice
    wet = rope.wet_factor(codes_of(context, part, "material"), sizing)
    ends = rope.termination_factor(choice["line_ends"], sizing)
    state = rope.state_factor(codes_of(context, part, "state"), condition)
    years = np.nan_to_num(age_years(context, part), nan=0.0)  # a line said to be new, where no year is given
    age = np.where(age_unsaid(context, part), np.nan, rope.age_factor(years, condition))
    worst, best = sorted((sizing.splice_factor, sizing.knot_factor))

    def said(end: float, least: float) -> tuple[FloatArray, ...]:
        return (
            wet, np.where(np.isnan(ends), end, ends), np.where(np.isnan(state), least, state),
            np.where(np.isnan(age), least, age),
        )  # fmt: skip

    return said(worst, 0.0), said(best, 1.0)


def residual_strength_n(context: AuditContext, diameter_m: FloatArray, part: Part = "line") -> Bounds:
    """Strength of the rope aboard as she lies: new strength x wet x ends x state x age, N. [UFC; practice]

    Where ends, state or age are not said, the least takes the worst they can be and the most the best. Past
    the policy's age limit nothing is proven, so an age that is not given proves nothing either, unless the
    line is said to be new.
    """
    new = new_strength_n(context, diameter_m, part)
    least, most = (np.asarray(rope.residual_strength_n(new, *shares)) for shares in _left(context, part))
    return Bounds(least, most)


def diameter_when_new_m(context: AuditContext, strength_n: FloatArray, part: Part = "line") -> FloatArray:
    """Least diameter with which a line of her fibre is so strong when new, m; (n,) or (n, k) as `strength_n`.

    Where her fibre is not known, that of the strongest: less is enough of none. [UFC; derived]
    """
    fibre = rope.material_factor(codes_of(context, part, "material"))
    fibre = np.where(np.isnan(fibre), 1.0, fibre)
    return np.asarray(rope.diameter_at_strength_m(context.catalogue.ropes, (strength_n.T / fibre).T))


def diameter_as_it_lies_m(context: AuditContext, load_n: FloatArray, part: Part = "line") -> FloatArray:
    """Least diameter with which her line, wet and as its ends, state and age are, holds a load, m.

    What is not said of it is taken at its best: less is never enough. NaN where no rope holds. [UFC; derived]
    """
    wet, *rest = _left(context, part)[1]
    whole = np.ones(context.boats)
    share = np.asarray(rope.residual_strength_n(whole, np.where(np.isnan(wet), 1.0, wet), *rest))
    with np.errstate(divide="ignore", invalid="ignore"):
        return diameter_when_new_m(context, (load_n.T / share).T, part)
