"""Which parts each boat needs made or bought so that her open shalls that parts can close are closed.

A finding that is short or absent is closed by parts; one that is unproven is closed by looking, and no part
is ordered on a guess. The cheapest kind of work that closes all is taken, in this order: fittings alone, a
further section with more cones, new rope under the cones she has, a whole new drogue.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sizing.audit.context import AuditContext
from sizing.audit.device import WHOLE
from sizing.audit.line import section_strength_share
from sizing.audit.register import REGISTER
from sizing.audit.strength import residual_strength_n
from sizing.model import BoolArray, CheckColumns, MendChoice, MendPlan, PartGroup, Standing

PART_ORDER: tuple[PartGroup, ...] = (
    "cones", "extension", "cone line", "lead line", "bridle", "end weight", "thimbles", "shackles",
    "chafe gear", "attachments", "stowage bag",
)  # fmt: skip
NEW_DROGUE = ("drag.device-aboard", "drag.device-accepted", "drag.equivalent-diameter")
MOST_NEW_CONES_SHARE = 0.5
"""Past this share of new cones on new rope, a whole drogue is less work than moving old cones [assumed]."""

SPLICES: dict[PartGroup, int] = {
    "extension": 2, "cone line": 6, "lead line": 2, "bridle": 4, "thimbles": 2,
}  # fmt: skip


def plan_boats(context: AuditContext, checks: Sequence[CheckColumns]) -> tuple[MendPlan, ...]:
    """One plan a boat, in the order of the fleet."""
    parts = {spec.check.id: spec.parts for spec in REGISTER}
    closable = [result for result in checks if result.check.level == "shall"]
    splice_line, splice_bridle = _saved_by_splicing(context)
    entries = [str(entry) for entry in context.fleet.text["entry_no"]]
    plans = []
    for row, entry in enumerate(entries):
        wanting = [r.check.id for r in closable if r.standing[row] in {Standing.SHORT, Standing.ABSENT}]
        unproven = [r.check.id for r in closable if r.standing[row] == Standing.UNPROVEN]
        if row in context.requirements.not_computed:
            plans.append(MendPlan(row, "nothing", (), 0, 0.0, context.requirements.not_computed[row], (),
                                  tuple(f"{entry}/{check}" for check in wanting + unproven)))  # fmt: skip
            continue
        groups: set[PartGroup] = set()
        for check_id in wanting:
            groups |= set(
                _parts_for(check_id, parts[check_id], bool(splice_line[row]), bool(splice_bridle[row]))
            )
        choice, groups, cones, reason = _choose(context, row, wanting, groups)
        closes = tuple(f"{entry}/{check}" for check in wanting if parts[check] or check == "line.ends")
        leaves = tuple(
            f"{entry}/{check}" for check in [*wanting, *unproven] if f"{entry}/{check}" not in closes
        )
        ordered = tuple(part for part in PART_ORDER if part in groups)
        hours = _hours(context, row, ordered, cones)
        plans.append(MendPlan(row, choice, ordered, cones, hours, reason, closes, leaves))
    return tuple(plans)


def _parts_for(
    check_id: str, parts: tuple[PartGroup, ...], splice_line: bool, splice_bridle: bool
) -> tuple[PartGroup, ...]:
    """Parts that close one finding; where splicing alone gives the strength back, thimbles and not rope."""
    if check_id == "line.ends":
        return ("thimbles",)
    if check_id in {"line.strength-residual", "line.sections"} and splice_line:
        return ("thimbles",)
    if check_id == "bridle.strength-residual" and splice_bridle:
        return ("thimbles",)
    return parts


def _saved_by_splicing(context: AuditContext) -> tuple[BoolArray, BoolArray]:
    """Boats whose knotted line, and whose knotted bridle, would hold the design load once spliced."""
    sizing = context.policy.sizing
    gain = np.where(context.chosen("line_ends", "knotted"), sizing.splice_factor / sizing.knot_factor, 0.0)
    load = context.requirements.design_load_n
    number = context.fleet.number
    with np.errstate(invalid="ignore"):
        lead = residual_strength_n(context, number["lead_line_diameter_m"]).least * gain >= load
        sections = section_strength_share(context).least * gain >= 1.0
        bridle = residual_strength_n(context, number["bridle_diameter_m"]).least * gain >= load
    return np.asarray(lead & (sections | ~context.series)), np.asarray(bridle)


def _choose(
    context: AuditContext, row: int, wanting: Sequence[str], groups: set[PartGroup]
) -> tuple[MendChoice, set[PartGroup], int, str]:
    needed = int(context.requirements.cones[row])
    if not groups:
        reason = "No part closes what is open." if wanting else "Nothing is short that parts would close."
        return "nothing", set(), 0, reason
    if any(check in NEW_DROGUE for check in wanting):
        return (
            "replace",
            groups | set(WHOLE),
            needed,
            "She has no device that can be brought up to what is needed.",
        )
    missing = _missing_cones(context, row, wanting)
    if missing and "cone line" in groups and missing > MOST_NEW_CONES_SHARE * needed:
        whole = (groups | set(WHOLE)) - {"extension"}
        return (
            "replace",
            whole,
            needed,
            "New rope and most cones are needed: a whole new drogue is less work.",
        )
    if "cone line" in groups or "lead line" in groups or "bridle" in groups:
        groups.discard("extension")
        if missing == 0:
            groups.discard("cones")
        reason = (
            "The cones she has are moved to new rope." if "cone line" in groups else "New rope is needed."
        )
        return "re-rig", groups, missing, reason
    if missing:
        return "extend", groups, missing, "The line holds; a further section carries the missing cones."
    return "fittings only", groups, 0, "Cones and line are enough; fittings are not."


def _missing_cones(context: AuditContext, row: int, wanting: Sequence[str]) -> int:
    """New cones to make: all if hers are poor, else the missing mouth area in standard cones."""
    needed = int(context.requirements.cones[row])
    if "condition.cones" in wanting:
        return needed
    if "drag.cone-count" not in wanting:
        return 0
    standard = np.pi / 4 * float(context.requirements.cone_mouth_m[row]) ** 2
    aboard = float(context.fleet.number["cone_count"][row]) * float(context.cone_mouth_area_m2[row])
    if np.isnan(aboard):
        aboard = float(context.fleet.number["cone_count"][row]) * standard
    short = float(context.requirements.mouth_area_required_m2[row]) - aboard
    return max(0, int(np.ceil(short / standard - 1e-9)))


def _hours(context: AuditContext, row: int, groups: Sequence[PartGroup], cones: int) -> float:
    """Hours of work, once practised: sew and fit the cones, move old ones to new rope, splice the eyes."""
    rules = context.policy.order
    fitted = cones
    if "cone line" in groups:
        fitted = int(context.requirements.cones[row])
    hours = (cones * rules.sew_minutes_per_cone + fitted * rules.minutes_per_cone) / 60
    return hours + sum(SPLICES.get(group, 0) for group in groups) * rules.splice_minutes / 60
