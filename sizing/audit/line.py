"""Checks of what the drogue line holds: lead line and cone sections."""

from __future__ import annotations

import dataclasses
from types import MappingProxyType
from typing import Final

import numpy as np

from sizing.audit import asks
from sizing.audit.cases import NO_DEVICE, OLD, TESTED, THIN, WARPS
from sizing.audit.context import AuditContext
from sizing.audit.judge import Outcome, beside, by_figure
from sizing.audit.spec import CheckSpec, declare
from sizing.audit.strength import (
    Bounds,
    Part,
    age_unsaid,
    codes_of,
    diameter_as_it_lies_m,
    diameter_when_new_m,
    line_strength_n,
    new_strength_n,
    tested_strength_n,
    too_old,
)
from sizing.audit.strike import strike_load_n
from sizing.fields import CHOICES
from sizing.model import AdvisedColumns, Ask, BoolArray, FloatArray, PartGroup, Says, Standing

LINE: tuple[PartGroup, ...] = ("lead line", "cone line")
FIBRE_UNKNOWN = "The fibre of the line is not known, so its diameter proves no strength."
DAMAGED = "The line is said to be damaged: it is counted as holding nothing, whatever its size and ends."
MATERIALS: Final = MappingProxyType(
    {
        "nylon double braid": Standing.MEETS,
        "nylon three strand": Standing.SHORT,
        "polyester": Standing.SHORT,
        "polypropylene": Standing.SHORT,
        "low stretch": Standing.SHORT,
        "unknown": Standing.UNPROVEN,
    }
)
STATES: Final = MappingProxyType(
    {"new": Standing.MEETS, "good": Standing.MEETS, "worn": Standing.MEETS, "damaged": Standing.SHORT}
)
TEST_COUNTS = "Its strength is that of the break test: state, ends and age are in it."
TEST_COUNTS_NOT = (
    "The break test given does not count. It does if it is recent, of this line as it was made, signed, and "
    "the line is spliced and not damaged since."
)
RENEW = "Renew the rope."
OFF_THE_LADDER = "No rope of this diameter is in the catalogue, so it has no strength here."


def rope_notes(
    context: AuditContext, diameter_m: FloatArray, part: Part = "line"
) -> tuple[tuple[BoolArray, str], ...]:
    """Why a diameter that is given has no strength: fibre not known, or size not in the catalogue."""
    ladder = context.catalogue.ropes.diameter_m
    given = ~np.isnan(diameter_m)
    material = codes_of(context, part, "material")
    fibre = (material < 0) | (material == CHOICES["line_material"].index("unknown"))
    with np.errstate(invalid="ignore"):
        off = given & ((diameter_m < ladder[0]) | (diameter_m > ladder[-1]))
    return ((np.asarray(given & fibre), FIBRE_UNKNOWN), (np.asarray(off), OFF_THE_LADDER))


def with_unsaid(
    context: AuditContext, outcome: Outcome, diameter_m: FloatArray, part: Part = "line", old: str = RENEW
) -> Outcome:
    """The outcome with what a line that is not proven leaves unsaid, and why a damaged one holds nothing.

    A line past the age limit is short of proof whatever its size; `old` says what to do about that.
    """
    limit = context.policy.condition.age_limit_years
    past = np.asarray(too_old(context, part) & (outcome.standing == Standing.UNPROVEN))
    standing = np.where(past, Standing.SHORT, outcome.standing).astype(np.int8)
    found = np.where(past, np.nan, outcome.found)
    outcome = dataclasses.replace(
        outcome, standing=standing, found=found,
        notes=(*outcome.notes, (past, f"It is past the rally's age limit of {limit:g} years: no strength "
                                "is proven, whatever its size [assumed].")),
        advice=(*outcome.advice, (past, old)),
    )  # fmt: skip
    open_yet = (outcome.standing == Standing.UNPROVEN) & (outcome.found < outcome.required)
    open_yet &= ~np.isnan(diameter_m)
    unsaid = (
        (context.blank("line_ends"), "The sheet does not say how the line ends are made: knots hold least."),
        (codes_of(context, part, "state") < 0, "Its state is not given: a damaged rope holds nothing."),
        (age_unsaid(context, part), "The year is not given: past the age limit nothing is proven."),
    )
    notes = tuple((np.asarray(open_yet & blank), words) for blank, words in unsaid)
    state_damaged = CHOICES["line_state"].index("damaged")
    nothing = (outcome.standing == Standing.SHORT) & (outcome.found == 0.0)
    damaged = (np.asarray(nothing & (codes_of(context, part, "state") == state_damaged)), DAMAGED)
    return dataclasses.replace(outcome, notes=(*outcome.notes, *notes, damaged))


def _new(context: AuditContext) -> Outcome:
    diameter = context.fleet.number["lead_line_diameter_m"]
    return by_figure(
        context, context.requirements.line_strength_required_n, new_strength_n(context, diameter),
        applies=context.has_line, notes=rope_notes(context, diameter),
        needed=diameter_when_new_m(context, context.requirements.line_strength_required_n),
    )  # fmt: skip


def _residual(context: AuditContext) -> Outcome:
    diameter = context.fleet.number["lead_line_diameter_m"]
    strength = line_strength_n(context, diameter)
    outcome = by_figure(
        context, context.requirements.design_load_n, strength.least, best=strength.most,
        applies=context.has_line, notes=rope_notes(context, diameter),
        needed=diameter_as_it_lies_m(context, context.requirements.design_load_n),
        advised=strike_load_n(context, "lead line"),
    )  # fmt: skip
    tested = ~np.isnan(tested_strength_n(context))
    given = ~np.isnan(context.fleet.number["break_test_load_n"]) & context.has_line
    told = ((np.asarray(tested), TEST_COUNTS), (np.asarray(given & ~tested), TEST_COUNTS_NOT))
    return with_unsaid(context, dataclasses.replace(outcome, notes=(*outcome.notes, *told)), diameter,
                       old=f"{RENEW[:-1]}, or have a length of it tested to breaking.")  # fmt: skip


def _riding(context: AuditContext) -> Outcome:
    """New strength against the load while she lies to it, at the share of it that a line works at."""
    ride = context.ride
    if ride is None:
        raise ValueError("this check needs the loads of lying to the drogue")
    diameter = context.fleet.number["lead_line_diameter_m"]
    required = ride.greatest_n / context.policy.sea.working_share
    return by_figure(
        context, required, new_strength_n(context, diameter),
        applies=context.has_line, notes=rope_notes(context, diameter),
        needed=diameter_when_new_m(context, required),
    )  # fmt: skip


def section_tension_n(context: AuditContext, behind: int = 0, unsaid: float = np.nan) -> FloatArray:
    """Steady tension at each section's head: design load x share of the cones outboard of it; (n, 3), N.

    NaN for a section she has not. Where the sheet does not say how her cones are shared, each section but the
    first is taken to have the share `unsaid` of them outboard. With `behind` standard cones hung on further
    out, every section has those outboard of it too. [derived from CG87]
    """
    number = context.fleet.number
    mouth = number["cone_mouth_m"] / context.requirements.cone_mouth_m
    aboard = number["cone_count"] * np.where(np.isnan(mouth), 1.0, mouth) ** 2
    added = behind / (aboard + behind) if behind else np.zeros(context.boats)
    cones = context.section_cones
    places = np.arange(cones.shape[1])
    with np.errstate(invalid="ignore", divide="ignore"):
        told = np.cumsum(cones[:, ::-1], axis=1)[:, ::-1] / cones.sum(axis=1)[:, None]
    outboard = np.where(np.isnan(told), np.where(places == 0, 1.0, unsaid), told)
    outboard = outboard * (1.0 - added)[:, None] + added[:, None]
    tension = context.requirements.design_load_n[:, None] * outboard
    return np.where(places < np.maximum(context.sections, 1)[:, None], tension, np.nan)


def section_strength_share(context: AuditContext, behind: int = 0) -> Bounds:
    """Weakest section: residual strength over the steady tension at its head; (n,) least and most.

    Where the sheet does not say how the cones are shared, a section carries between none and all of them.
    """
    return _weakest(context, section_tension_n(context, behind, 1.0), section_tension_n(context, behind, 0.0))


def _weakest(context: AuditContext, most_n: FloatArray, least_n: FloatArray) -> Bounds:
    """Weakest section: residual strength over the tension at its head, which lies between two; (n,)."""
    diameters = context.fleet.section_diameters_m
    used = ~np.isnan(diameters)
    strengths = [line_strength_n(context, diameters[:, place]) for place in range(diameters.shape[1])]

    def weakest(columns: list[FloatArray], tension: FloatArray) -> FloatArray:
        with np.errstate(invalid="ignore", divide="ignore"):
            share = np.where(used, np.column_stack(columns) / tension, np.inf).min(axis=1)
        return np.where(used.any(axis=1), share, np.nan)

    return Bounds(
        weakest([one.least for one in strengths], most_n), weakest([one.most for one in strengths], least_n)
    )


def _sections(context: AuditContext) -> Outcome:
    share = section_strength_share(context)
    required = np.where(context.computed, 1.0, np.nan)
    unsaid = np.asarray(
        context.series_or_unanswered & (context.sections > 1) & np.isnan(context.section_cones[:, 0])
    )
    note = "How many cones hang on each section is not said, or does not go with the cones counted."
    diameter = context.fleet.section_diameters_m[:, 0]
    holding = diameter_as_it_lies_m(context, section_tension_n(context))
    outcome = by_figure(
        context, required, share.least, best=share.most,
        applies=context.series_or_unanswered, notes=((unsaid, note), *rope_notes(context, diameter)),
        needed=np.maximum(holding, context.policy.sizing.least_diameter),
    )  # fmt: skip
    outcome = dataclasses.replace(outcome, advised=_sections_advised(context, share))
    return with_unsaid(context, outcome, diameter)


def _sections_advised(context: AuditContext, share: Bounds) -> AdvisedColumns:
    """The share that the weakest section needs for the load that nine in ten strikes stay below.

    Each section's own strength over that load decides. The limit is shown in terms of the published load, as
    what is found is: as many times the share found as that falls behind 1.
    """
    load = strike_load_n(context, "sections")
    struck = _weakest(context, load, load)
    whole = np.where(np.isnan(load[:, 0]), np.nan, 1.0)
    judged = beside(whole, struck.least, struck.most, context.series_or_unanswered)
    with np.errstate(invalid="ignore", divide="ignore"):
        limit = judged.limit * share.least / struck.least
    return AdvisedColumns(limit, judged.standing)


def _thinnest(context: AuditContext) -> Outcome:
    sections = context.fleet.section_diameters_m
    padded = np.where(np.isnan(sections), np.inf, sections).min(axis=1)
    found = np.where(np.isinf(padded), np.nan, padded)
    required = np.full(context.boats, context.policy.sizing.least_diameter)
    return by_figure(context, required, found, applies=context.series_or_unanswered)


CHECKS: tuple[CheckSpec, ...] = (
    declare(
        _new, "line.strength-new", "The lead line is strong enough when new.",
        rule="minimum breaking strength >= design load / policy share", source="[CG87 6.3; UFC]",
        dimension="force", parts=LINE,
        consequence="A line loaded above three quarters of its strength may part in one strike.",
        remedy="Replace the line by a stronger one.",
        ask="Measure the line's diameter and say what fibre and construction it is.",
        says=Says(
            meets="When new, the lead line held {found}; {required} is {needed}.",
            short="Even when new, the lead line held only {found}; {required} is {needed}.",
            unproven={
                "lead_line_diameter": asks.LINE_SIZE, "line_material": asks.LINE_FIBRE,
                "": "No strength is known for a lead line of this size.",
            },
            need="New, it has to hold {required}.",
        ),
        columns=("lead_line_diameter", "line_material"),
        short=({"lead_line_diameter": "20 mm"}, {"line_material": "polypropylene"}),
        unproven=({"lead_line_diameter": ""}, {"line_material": "unknown"}), not_applicable=(NO_DEVICE,),
    ),
    declare(
        _residual, "line.strength-residual", "The lead line as it lies still holds the design load.",
        rule="strength x wet x ends x state x age >= design load", source="[CG87 6.3; UFC; practice]",
        dimension="force", parts=LINE,
        consequence="Wet nylon, knots, wear and age each take strength; what is left is what holds.",
        remedy="Replace the line by a stronger or newer one. Where it is sound and only knotted, splicing "
        "the ends may be enough.",
        ask="Give diameter, fibre, ends, state and year of the line.",
        says=Says(
            meets="As it is now, the lead line is reckoned to hold {found}; {required} is {needed}.",
            short={"line_state=damaged": "The lead line is damaged, and damaged rope counts for nothing.",
                   "no found": "The lead line {will_be} {age} old on {day}: too old to count for anything.",
                   "":

                           "As it is now, the lead line is reckoned to hold only {found}; {required} is "
                           "{needed}."},
            unproven={
                "lead_line_diameter": asks.LINE_SIZE, "line_material": asks.LINE_FIBRE,
                "line_ends": asks.LINE_ENDS, "line_state": asks.LINE_STATE,
                "made_year & line_state!=new": asks.LINE_YEAR,
                "": "It is not shown what the lead line still holds.",
            },
            need="It has to hold {required}.",
        ),
        columns=("lead_line_diameter", "line_material", "line_state", "line_ends", "made_year",
                 "break_test_load", "break_test_date"),
        meets=({}, {"line_state": "new", "made_year": ""}, {**OLD, **TESTED}),
        short=({"line_state": "damaged"}, {"line_ends": "knotted", "lead_line_diameter": "24 mm"}, OLD,
               {**OLD, **TESTED, "break_test_load": "60 kN"}, {**OLD, **TESTED, "break_test_by": ""}),
        unproven=({"line_state": ""}, {"line_state": "good", "made_year": ""}), not_applicable=(NO_DEVICE,),
    ),
    declare(
        _riding, "line.riding-load", "Lying to the drogue between strikes works the lead line gently.",
        rule="new strength x policy share >= greatest load in the policy's regular sea",
        source="[CG87 6.3; derived]", level="should",
        dimension="force", parts=LINE,
        consequence="A line that works at much more than a tenth of its strength wears out within the storm.",
        remedy="Replace the line by a stronger one.",
        ask="Measure the line's diameter and say what fibre and construction it is.",
        says=Says(
            meets="Between strikes the lead line works gently: new, it held {found}, and {required} is "
                  "{needed}.",
            short="Between strikes the lead line works too hard: even new it held only {found}, and "
                  "{required} is "
                  "{needed}.",
            unproven={
                "lead_line_diameter": asks.LINE_SIZE, "line_material": asks.LINE_FIBRE,
                "": "It is not shown how hard the lead line works between strikes.",
            },
            need="New, {required} is {needed}.",
        ),
        columns=("lead_line_diameter", "line_material"), short=({"lead_line_diameter": "12 mm"},),
        not_applicable=(NO_DEVICE,), of_the="ride",
    ),
    declare(
        _sections, "line.sections", "Every cone section holds the load of the cones outboard of it.",
        rule="residual strength >= design load x cones outboard / cones, at each section's head",
        source="[derived from CG87]", parts=("cone line",),
        consequence="A section that parts takes every cone outboard of it.",
        remedy="Replace each section that does not hold by thicker, newer or sound rope.",
        ask="Give the diameter of each section and the cones on it, from the boat outward.",
        says=Says(
            meets="Every length of the cone line is reckoned to hold its share of the pull.",
            short={"line_state=damaged": "The cone line is damaged, and damaged rope counts for nothing.",
                   "no found": "The cone line {will_be} {age} old on {day}: too old to count for anything.",
                   "": "The weakest length of the cone line is reckoned to hold only {found} of its share."},
            unproven={
                "section_diameters": asks.SECTIONS, "line_material": asks.LINE_FIBRE,
                "line_ends": asks.LINE_ENDS, "line_state": asks.LINE_STATE,
                "made_year & line_state!=new": asks.LINE_YEAR,
                "several sections & section_cones": Ask("how many cones hang on each length of the line",
                                                        "count the cones on each length, from the boat "
                                                        "outward"),
                "": "It is not shown that every length of the cone line holds its share.",
            },
            moot=asks.NO_CONES,
        ),
        columns=("section_diameters", "section_cones", "line_material", "line_state", "line_ends",
                 "made_year"),
        meets=({}, THIN, {"section_diameters": "28 mm", "section_cones": ""}),
        short=({"section_diameters": "28 mm; 12 mm"}, {**THIN, "section_cones": "20; 106"},
               {"section_diameters": "12 mm; 12 mm", "section_cones": ""}, OLD),
        unproven=({"section_diameters": ""}, {"line_state": "good", "made_year": ""},
                  {**THIN, "section_cones": ""}, {**THIN, "section_cones": "60; 60"},
                  {**THIN, "section_cones": "126"}),
        not_applicable=(WARPS,),
    ),
    declare(
        _thinnest, "line.least-diameter", "The thinnest section still holds the cones' tapes.",
        rule="diameter >= policy least", source="[assumed]", dimension="small_length",
        parts=("cone line",),
        consequence="Tapes slip or cut through the cover of a thin line.",
        remedy="Replace the thinnest section.",
        ask="Give the diameter of each section.",
        says=Says(
            meets="The thinnest length of the cone line is {found} thick; {required} is {needed} for the "
                  "tapes.",
            short="The thinnest length of the cone line is only {found} thick; {required} is {needed} for "
                  "the tapes.",
            unproven={"section_diameters": asks.SECTIONS},
            need="{required} is {needed} for the tapes.",
            moot=asks.NO_CONES,
        ),
        columns=("section_diameters",), short=({"section_diameters": "28 mm; 8 mm"},),
        not_applicable=(WARPS,),
    ),
)  # fmt: skip
