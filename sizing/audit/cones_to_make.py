"""How many new cones a boat's mend takes, by where they go: behind her line, on it, or on a new one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sizing.audit.context import AuditContext
from sizing.audit.judge import EQUAL_WITHIN
from sizing.drogue.drag import mouth_area_m2

ALL_ANEW = frozenset({"condition.cones", "condition.cones-age", "drag.cone-cloth", "drag.small-end"})
"""Findings that no cone she has can close."""

LARGER_MOUTH = 0.03
"""Share by which a mouth may pass the standard one and still count as such: 6 % of load [assumed]."""


def missing_by_count(context: AuditContext, row: int, wanting: Sequence[str]) -> int:
    """Standard cones that make up the mouth area missing; 0 where the count is not short.

    0 too where it is short by torn cones alone, and new ones in their places make it up.
    """
    if "drag.cone-count" not in wanting:
        return 0
    standard = float(mouth_area_m2(context.requirements.cone_mouth_m[row]))
    sound = float(context.sound_cones[row])
    mouth = float(context.cone_mouth_area_m2[row])
    aboard = sound * (standard if np.isnan(mouth) else mouth)
    short = float(context.requirements.mouth_area_required_m2[row]) - aboard
    missing = max(0, int(np.ceil(short / standard - 1e-9)))
    return 0 if missing <= torn(context, row, wanting) else missing


def torn(context: AuditContext, row: int, wanting: Sequence[str]) -> int:
    """Cones that are torn or missing and asked to be replaced."""
    if "drag.torn-cones" not in wanting:
        return 0
    return int(context.fleet.number["cones_torn"][row])


def all_anew(wanting: Sequence[str]) -> bool:
    """Whether every cone she has is to be replaced: they are poor, or of too light cloth."""
    return not ALL_ANEW.isdisjoint(wanting)


def room_for_all(context: AuditContext, row: int) -> bool:
    """Whether her cone line has a place for every cone she needs; taken so where she gives no count."""
    count = float(context.fleet.number["cone_count"][row])
    return bool(np.isnan(count) or count >= int(context.requirements.cones[row]))


def of_another_size(context: AuditContext, row: int) -> bool:
    """Whether her cones are known not to be of the rally's size.

    A new cone line has as many places as she needs standard cones, and each section is sized for that many
    behind it. Smaller cones fill every place and still make too little drag; larger ones make it in fewer
    places, and load the outer sections with more than their share.
    """
    standard = float(context.requirements.cone_mouth_m[row])
    ratio = float(context.fleet.number["cone_mouth_m"][row]) / standard
    return bool(ratio < 1.0 - EQUAL_WITHIN or ratio > 1.0 + LARGER_MOUTH)


def too_narrow(context: AuditContext, row: int) -> bool:
    """Whether the small end of her cones is known not to pass the rope of the line she needs."""
    ropes = context.requirements.section_rope[row]
    thickest = max(float(context.catalogue.ropes.diameter_m[rope]) for rope in ropes if rope >= 0)
    small_end = float(context.fleet.number["cone_small_end_m"][row])
    return bool(small_end < thickest + context.policy.sizing.small_end_clearance - EQUAL_WITHIN * thickest)


def on_a_new_line(context: AuditContext, row: int, wanting: Sequence[str]) -> int:
    """New cones for a new cone line: all where hers cannot be moved to it, else one for each place left over.

    Where she gives no count, those she has are taken to be enough; the finding on the count stays open.
    """
    needed = int(context.requirements.cones[row])
    if all_anew(wanting) or of_another_size(context, row) or too_narrow(context, row):
        return needed
    count = float(context.sound_cones[row])
    left_over = 0 if np.isnan(count) else max(0, needed - int(count))
    return max(left_over, missing_by_count(context, row, wanting))
