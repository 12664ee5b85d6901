"""A boat judged with another rope than the one she needs in parts that are made new for her.

What came instead of what was ordered, or what is thicker and at hand, serves where the boat judged with it
opens no finding: the rope holds, the strike on the stiffer rig breaks nothing that held before, and thimbles,
cones, tapes and connectors still go together (rules 4, 6, 12, 17 and 20). Parts that she keeps are judged as
they lie aboard. Many boats, and many ropes for each, are judged at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from sizing.audit.aboard import GearAboard, gear_aboard
from sizing.audit.context import AuditContext
from sizing.audit.judge import EQUAL_WITHIN
from sizing.audit.strength import codes_of
from sizing.catalogue import Catalogue, Ropes
from sizing.drogue.cone import MOST_SMALL_END_SHARE, small_end_over_rope_m
from sizing.drogue.hardware import smallest_enough
from sizing.drogue.holding import compare_hold
from sizing.drogue.joints import RigEnds, joint_columns
from sizing.drogue.lengths import cone_line_m
from sizing.drogue.loads import attachment_load_n, required_strength_n
from sizing.drogue.made import made_of
from sizing.drogue.passing import passes
from sizing.drogue.rig import at
from sizing.drogue.rope import mass_at_diameter_kg_per_m, new_residual_share
from sizing.drogue.strike import Plan, Status, StrikeResult, StrikeRigs, parts, run_ensembles, strike
from sizing.drogue.strike_fleet import hold_of, required_rigs
from sizing.fields import CHOICES
from sizing.model import BoolArray, FloatArray, HoldColumns, IntArray, MendPlan, RequirementColumns
from sizing.policy import Policy

PARTS: Final = ("bridle leg", "lead line", "section 1", "section 2", "section 3")
"""Parts of a rig that are rope, from the boat outward: the columns of what is put into it."""

BRIDLE, LEAD, FIRST = range(3)
EA_OVER_MINIMUM: Final = 3.54 / 0.85
"""Axial stiffness over minimum breaking strength of nylon double braid [UFC, derived; 0.85 assumed]."""


@dataclass(frozen=True)
class RopesPut:
    """Ropes put into parts of boats: k cases, each about the boat in `row` (k,); SI, (k, 5), see `PARTS`.

    `diameter_m` and `strength_n` (minimum breaking strength, new and dry) are NaN in parts that get the rope
    she needs. All are nylon double braid: of another fibre no part may be made. `mass_kg_per_m` is NaN where
    it is not said, and then that of the catalogue's ropes.
    """

    row: IntArray
    diameter_m: FloatArray
    strength_n: FloatArray
    mass_kg_per_m: FloatArray

    @classmethod
    def of_catalogue(cls, ropes: Ropes, row: IntArray, rope: IntArray) -> RopesPut:
        """Ropes of the catalogue by their position, (k, 5); -1 where the rope she needs stays."""
        columns = (ropes.diameter_m, ropes.minimum_strength_n, ropes.mass_kg_per_m)
        return cls(row, *(at(column, rope) for column in columns))

    @property
    def into(self) -> BoolArray:
        """Parts that something is put into, (k, 5)."""
        return ~np.isnan(self.diameter_m)


OPENED: Final = {
    "another part": "she keeps that part, or has none",
    "unknown": "what she keeps is not known well enough to simulate a strike",
    "strength": "the rope is not strong enough",
    "strike": "a strike on the stiffer rig is more than a part holds that held before",
    "attachments": "a strike on the stiffer rig is more than her attachments hold",
    "held": "she is held less well than by the drogue that is needed",
    "thimbles": "no thimble of the catalogue takes the rope",
    "tapes": "the rope is too thin for the tapes",
    "small ends": "the cones do not pass over the rope",
    "connectors": "nothing of the catalogue joins the parts so that every part passes",
}
"""What can stand against a rope, and its words."""


@dataclass(frozen=True)
class FittedColumns:
    """k cases judged; `opened` has for each of `OPENED` the cases in which it stands against the rope, (k,).

    `asked_n` (k, 5) is what each part must hold in a strike on that rig, `held_n` what it holds, NaN where
    not known or not there; `attachment_n` (k,) what each attachment must. `thimble` (k, 5) are positions in
    the catalogue, `small_end_m` (k, 3) those of new cones. `shackles` (k, m) join the parts.
    """

    put: RopesPut
    opened: dict[str, BoolArray]
    asked_n: FloatArray
    held_n: FloatArray
    attachment_n: FloatArray
    thimble: IntArray
    small_end_m: FloatArray
    shackles: IntArray

    @property
    def fits(self) -> BoolArray:
        """Cases in which nothing stands against it, (k,)."""
        return np.asarray(~np.any(list(self.opened.values()), axis=0))

    def against(self, case: int) -> tuple[str, ...]:
        """What stands against one case, in words."""
        return tuple(OPENED[name] for name, mask in self.opened.items() if mask[case])


@dataclass(frozen=True)
class _Rigs:
    """The rigs of boats as their plans leave them; (n,) and (n, 5)."""

    rigs: StrikeRigs
    new: BoolArray
    diameter_m: FloatArray
    held_n: FloatArray
    kept_line: BoolArray
    new_cones: BoolArray
    shackle_n: FloatArray
    attachment_n: FloatArray
    small_end_m: FloatArray


def place_of(purpose: str, sections_aboard: int) -> int:
    """The column of `PARTS` that a piece of rope goes into, by its purpose; -1 where it is no such part.

    >>> [place_of(words, 1) for words in ("bridle leg", "lead line", "cone line, section 2",
    ...                                   "extension for 20 cones", "cone line, section 1, ends")]
    [0, 1, 3, 3, -1]
    """
    if purpose in PARTS[:FIRST]:
        return PARTS.index(purpose)
    section = purpose.removeprefix("cone line, section ")
    if section != purpose and section.isdecimal():
        return FIRST + int(section) - 1
    behind = FIRST + sections_aboard
    return behind if purpose.startswith("extension") and behind < len(PARTS) else -1


def as_fitted(
    context: AuditContext, plans: Sequence[MendPlan], put: RopesPut, *, samples: int = 0
) -> FittedColumns:
    """Judge boats with the ropes put into their parts; `plans` are those chosen, one for each boat.

    With `samples` every case has a spread of varied strikes of its own, as a new rig has. Without, the loads
    that the boat's rig was chosen for are raised as its single strike is: quick, for choosing among many.
    Where no strike was simulated for the fleet, the published loads alone count. Nothing that is not known
    fits. [CG87 6.2, 6.3; rules 4, 6, 12, 17, 20]
    """
    every, case = np.unique(put.row, return_inverse=True)
    base = _as_planned(context, plans, every)
    into = put.into
    need, policy, catalogue = context.requirements, context.policy, context.catalogue
    rows, new = put.row, base.new[case]
    left = new_residual_share(policy.sizing, policy.condition)
    diameter = np.where(into, put.diameter_m, base.diameter_m[case])
    held = np.where(into, left * put.strength_n, base.held_n[case])

    asked, as_planned, lost = _asked_n(context, base, put, case, samples)
    steady = required_strength_n(_published_n(context, rows), policy.sizing.strength_use, left)
    with np.errstate(invalid="ignore"):
        weak = into & ~(put.strength_n >= steady * (1 - EQUAL_WITHIN))
        over = held < asked * (1 - EQUAL_WITHIN)
        held_before = base.held_n[case] >= as_planned * (1 - EQUAL_WITHIN)
        broken = np.where(new, over, over & held_before).any(axis=1)
        share = policy.sizing.attachment_share
        attachment = attachment_load_n(asked[:, BRIDLE], share)
        hers = base.attachment_n[case]
        pulled = (hers >= attachment_load_n(as_planned[:, BRIDLE], share)) & (hers < attachment)
        shackle = base.shackle_n[case]
        broken |= (shackle >= as_planned[:, BRIDLE]) & (shackle < asked[:, BRIDLE])

    thimbles = catalogue.thimbles
    thimble = smallest_enough(thimbles.rope_diameter_m, diameter)
    groove = at(thimbles.groove_m, thimble) - put.diameter_m
    section = np.where(into, put.diameter_m, np.nan)[:, FIRST:]
    usual = np.full(section.shape, policy.sizing.cone_small_end)
    small = small_end_over_rope_m(diameter[:, FIRST:], usual, policy.sizing.small_end_clearance)
    there = ~np.isnan(section)
    with np.errstate(invalid="ignore"):
        no_cone = there & ~(small <= MOST_SMALL_END_SHARE * need.cone_mouth_m[rows, None] * (1 + 1e-9))
        room = base.small_end_m[case][:, None] - policy.sizing.small_end_clearance
        thicker = section > base.diameter_m[case][:, FIRST:] * (1 + EQUAL_WITHIN)
        tight = thicker & ~base.new_cones[case] & ~(room >= section * (1 - EQUAL_WITHIN))
        thin = into & ~(put.diameter_m >= policy.sizing.least_diameter * (1 - EQUAL_WITHIN))
    strong = np.where(into, put.strength_n, base.held_n[case] / left)
    joints = joint_columns(
        RigEnds(
            bridle=thimble[:, BRIDLE], lead=thimble[:, LEAD], section=thimble[:, FIRST:],
            bridle_diameter_m=diameter[:, BRIDLE], lead_diameter_m=diameter[:, LEAD],
            section_diameter_m=diameter[:, FIRST:],
            line_strength_n=np.fmax(need.chosen_strength_n[rows], asked[:, LEAD] / left),
            section_strength_n=strong[:, FIRST:], design_load_n=asked[:, LEAD],
            section_tension_n=asked[:, FIRST:], end_weight_kg=need.end_weight_kg[rows],
        ), policy, catalogue,
    )  # fmt: skip
    unknown = np.isnan(asked[:, LEAD]) | np.isnan(np.where(into, asked, 0.0)).any(axis=1)
    opened = {
        "another part": (into & ~new).any(axis=1),
        "unknown": unknown,
        "strength": weak.any(axis=1),
        "strike": broken,
        "attachments": pulled,
        "held": lost,
        "thimbles": (into & ~((thimble >= 0) & passes(groove))).any(axis=1),
        "tapes": thin.any(axis=1),
        "small ends": (no_cone | tight).any(axis=1),
        "connectors": joints.unfit.any(axis=1),
    }
    return FittedColumns(
        put, {name: np.asarray(mask) for name, mask in opened.items()}, asked, held, attachment, thimble,
        np.where(there, small, np.nan), joints.shackle,
    )  # fmt: skip


def fitted_requirements(
    requirements: RequirementColumns,
    put: RopesPut,
    asked_n: FloatArray,
    policy: Policy,
    catalogue: Catalogue,
) -> RequirementColumns:
    """The rigs with the ropes put into boats, one case a boat, and the loads of the strike on them (k, 5).

    Ropes are given by the catalogue's size that goes through the same thimbles and cones. Pieces, thimbles,
    cones, connectors, mass and room made from these go with what is put in. [derived]
    """
    row = put.row
    rope = smallest_enough(catalogue.ropes.diameter_m, put.diameter_m)

    def raised(values: FloatArray, to: FloatArray) -> FloatArray:
        out = values.copy()
        out[row] = np.fmax(values[row], to)
        return out

    def of(values: IntArray, place: slice | int) -> IntArray:
        out, new = values.copy(), rope[:, place]
        out[row] = np.where(new >= 0, new, values[row])
        return out

    left = new_residual_share(policy.sizing, policy.condition)
    attachment = attachment_load_n(asked_n[:, BRIDLE], policy.sizing.attachment_share)
    loaded = replace(
        requirements,
        chosen_load_n=raised(requirements.chosen_load_n, np.fmax(asked_n[:, BRIDLE], asked_n[:, LEAD])),
        chosen_attachment_n=raised(requirements.chosen_attachment_n, attachment),
        chosen_section_n=raised(requirements.chosen_section_n, asked_n[:, FIRST:]),
        chosen_strength_n=raised(requirements.chosen_strength_n, asked_n[:, LEAD] / left),
    )
    return made_of(
        loaded,
        of(requirements.lead_rope, LEAD),
        of(requirements.bridle_rope, BRIDLE),
        of(requirements.section_rope, slice(FIRST, None)),
        policy,
        catalogue,
    )


def _as_planned(context: AuditContext, plans: Sequence[MendPlan], rows: IntArray) -> _Rigs:
    """The rigs of some boats with every part their plans make new, and all others as aboard."""
    need, policy, ropes = context.requirements, context.policy, context.catalogue.ropes
    gear: GearAboard = gear_aboard(context)
    required = required_rigs(need, policy, context.catalogue).take(rows)
    aboard = gear.rigs.take(rows)
    of = {plan.row: plan for plan in plans}

    def makes(group: str) -> BoolArray:
        return np.array([row in of and group in of[row].groups for row in rows.tolist()], dtype=np.bool_)

    bridle, lead, line, behind = (makes(g) for g in ("bridle", "lead line", "cone line", "extension"))
    kept = {
        "bridle_": ~bridle, "lead_": ~lead, "section_": ~line, "cone_": ~line, "element_": ~line,
        "end_weight": ~makes("end weight"),
    }  # fmt: skip
    mixed = {}
    for name, keep in kept.items():
        for column in (one for one in vars(required) if one.startswith(name)):
            new, old = getattr(required, column), getattr(aboard, column)
            mixed[column] = np.where(keep if new.ndim == 1 else keep[:, None], old, new)
    section = need.section_rope[rows]
    rope = np.column_stack([need.bridle_rope[rows], need.lead_rope[rows], section])
    sections = context.sections[rows]
    places = np.arange(len(PARTS) - FIRST)
    cones = np.array([of[row].cones_to_make if row in of else 0 for row in rows.tolist()], dtype=np.float64)
    here = behind[:, None] & (places == sections[:, None])
    if here.any():
        outboard = np.cumsum(need.section_cones[rows][:, ::-1], axis=1)[:, ::-1]
        enough = (outboard >= cones[:, None]) & (need.section_cones[rows] > 0)
        last = np.where(enough.any(axis=1), 2 - enough[:, ::-1].argmax(axis=1), 0)
        its = np.take_along_axis(section, last[:, None], axis=1)[:, 0]
        rope[:, FIRST:] = np.where(here, its[:, None], rope[:, FIRST:])
        length = cone_line_m(cones, policy.sizing.cone_pitch, policy.sizing.first_cone_offset)
        for column, value in (
            ("section_cones", cones), ("section_length_m", length), ("section_ea_n", at(ropes.ea_n, its)),
            ("section_mass_kg_per_m", at(ropes.mass_kg_per_m, its)),
        ):  # fmt: skip
            mixed[column] = np.where(here, value[:, None], mixed[column])
    unsure = _unsure(context, rows, bridle=~bridle, lead=~lead, line=~line)
    mixed["displacement_kg"] = np.where(unsure, np.nan, required.displacement_kg)
    new = np.column_stack([bridle, lead, (line[:, None] & (need.section_cones[rows] > 0)) | here])
    number = context.fleet.number
    hers = np.column_stack([number["bridle_diameter_m"], number["lead_line_diameter_m"],
                            context.fleet.section_diameters_m])[rows]  # fmt: skip
    hers[:, FIRST:] = np.where(line[:, None], np.nan, hers[:, FIRST:])
    left = new_residual_share(policy.sizing, policy.condition)
    known = np.column_stack([gear.strengths.by_part[part][rows] for part in PARTS])
    known[:, FIRST:] = np.where(line[:, None], np.nan, known[:, FIRST:])
    return _Rigs(
        rigs=replace(required, **mixed),
        new=new,
        diameter_m=np.where(new, at(ropes.diameter_m, rope), hers),
        held_n=np.where(new, left * at(ropes.minimum_strength_n, rope), known),
        kept_line=~line,
        # on a new line the new ones stand on the inner sections, as they are ordered (cone_pieces)
        new_cones=here | (np.cumsum(need.section_cones[rows], axis=1) <= cones[:, None]),
        shackle_n=np.where(makes("shackles"), np.nan, gear.strengths.by_part["shackle"][rows]),
        attachment_n=np.where(makes("attachments"), np.nan, gear.strengths.by_part["attachment"][rows]),
        small_end_m=number["cone_small_end_m"][rows],
    )


def _unsure(
    context: AuditContext, rows: IntArray, *, bridle: BoolArray, lead: BoolArray, line: BoolArray
) -> BoolArray:
    """Boats of which something is not known that a strike needs of the parts that they keep."""
    number, fleet = context.fleet.number, context.fleet
    series, single = context.series, context.single_element
    cones = np.column_stack([number["cone_mouth_m"], number["cone_pitch_m"], context.section_cones,
                             fleet.section_diameters_m[:, :1]])  # fmt: skip
    unknown_line = np.where(series, np.isnan(cones).any(axis=1), ~single)
    nylon = CHOICES["line_material"].index("nylon double braid")
    legs = codes_of(context, "bridle", "material")[rows] != nylon
    rope = codes_of(context, "line", "material")[rows] != nylon
    return np.asarray((bridle & legs) | ((lead | line) & rope) | (line & unknown_line[rows]))


def _asked_n(
    context: AuditContext, base: _Rigs, put: RopesPut, case: IntArray, samples: int
) -> tuple[FloatArray, FloatArray, BoolArray]:
    """What parts must hold, with the ropes put in and as planned, (k, 5); and who is held less well, (k,)."""
    need, rows = context.requirements, put.row
    chosen = np.column_stack([need.chosen_load_n, need.chosen_load_n, need.chosen_section_n])[rows]
    if not (need.chosen_by > 0).any():
        return chosen, chosen, np.zeros(len(rows), dtype=np.bool_)
    rigs = _with_put(context, base.rigs.take(case), put)
    labels = [f"entry {context.fleet.text['entry_no'][row]}" for row in rows.tolist()]
    required = required_rigs(need, context.policy, context.catalogue).take(np.unique(rows))
    needed, before, after = (strike(one) for one in (required, base.rigs, rigs))
    with np.errstate(invalid="ignore", divide="ignore"):
        first, then = _peaks_n(before)[case], _peaks_n(after)
        spread = (chosen[:, 0] / first[:, 0])[:, None] * first
        chosen[:, FIRST:] = np.where(base.kept_line[case, None], spread, chosen)[:, FIRST:]
        asked = chosen * np.maximum(then / first, 1.0)
        limit = 1.0 + context.policy.audit.hold_margin
        behind = [compare_hold(hold, _of(hold_of(needed), case)).excess
                  for hold in (_of(hold_of(before), case), hold_of(after))]  # fmt: skip
        lost = np.asarray((behind[1] > limit - 1.0) & ~(behind[0] > limit - 1.0))
    if samples:
        none = parts(np.full((len(rows), 1), np.nan))
        many = run_ensembles(rigs, none, labels, Plan(samples=samples))
        spread = np.column_stack([many.p90_n, many.head_p90_n[:, 1:]])
        asked = np.where(np.isnan(asked), np.nan, np.fmax(spread, _published_n(context, rows)))
    return asked, chosen, lost


def _of(hold: HoldColumns, case: IntArray) -> HoldColumns:
    return HoldColumns(hold.speed_mps[case], hold.distance_m[case], hold.crest_s[case], hold.carried[case])


def _peaks_n(once: StrikeResult) -> FloatArray:
    """Peaks of a single strike at the bridle and the heads, (n, 5); none where the wave carries her along."""
    passed = (once.status == Status.PASSED)[:, None]
    return np.where(passed, np.column_stack([once.peak_load_n, once.head_peak_n[:, 1:]]), np.nan)


def _published_n(context: AuditContext, rows: IntArray) -> FloatArray:
    need = context.requirements
    return np.column_stack([need.design_load_n, need.design_load_n, need.section_tension_n])[rows]


def _with_put(context: AuditContext, rigs: StrikeRigs, put: RopesPut) -> StrikeRigs:
    """The rigs with stretch and mass of what is put in; stretch goes by strength. [UFC, derived]"""
    usual = mass_at_diameter_kg_per_m(context.catalogue.ropes, put.diameter_m)
    mass = np.where(np.isnan(put.mass_kg_per_m), usual, put.mass_kg_per_m)
    stretch = EA_OVER_MINIMUM * put.strength_n
    changed = {}
    for part, place, legs in (("bridle", BRIDLE, 2), ("lead", LEAD, 1), ("section", slice(FIRST, None), 1)):
        into = put.into[:, place]
        for column, value in ((f"{part}_ea_n", stretch), (f"{part}_mass_kg_per_m", mass)):
            changed[column] = np.where(into, legs * value[:, place], getattr(rigs, column))
    return replace(rigs, **changed)
