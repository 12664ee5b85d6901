"""Whose each thing is to do, and by when: what a boat's plan makes, and open findings that no part closes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final, Literal, get_args

from sizing.audit import REGISTER
from sizing.chase.dates import STAGES, Due, Stage, due_for
from sizing.model import Finding, Level, MendPlan, MusterResult, PartGroup, Standing
from sizing.policy import Policy
from sizing.units import both

Owner = Literal["skipper", "workshop", "chandlery", "surveyor", "safety officer", "scrutineer"]
OWNERS: Final[tuple[Owner, ...]] = get_args(Owner)

SURVEYED_WHERE_SHORT: Final = frozenset(
    {
        "attachment.fitting", "attachment.load", "attachment.bolts", "attachment.lead", "attachment.place",
        "strike.attachments", "bridle.spread",
    }
)  # fmt: skip
"""Changes to the structure of a boat: not a skipper's to make on his own."""
SURVEYED: Final = frozenset({"attachment.structure", "data.published-range"})
SEEN_BY_SCRUTINEER: Final = frozenset({"data.evidence", "data.evidence-age"})
GIVEN_BY_OFFICE: Final = frozenset({"data.berth"})
SIZES_HER: Final = frozenset({"data.displacement-basis", "data.plausible", "data.published-range"})
"""Figures that her parts are worked out from, and so needed before anything is ordered."""
NEW_WITH_THE_DROGUE: Final = frozenset({"drag", "line", "hardware", "condition", "strike"})
"""Families of findings about gear that a whole new drogue takes the place of."""
ALSO_NEW: Final = frozenset({"bridle.symmetry", "data.evidence", "data.evidence-age"})
NOT_NEW: Final = frozenset({"strike.attachments"})
PARTS: Final = {spec.check.id: spec.parts for spec in REGISTER}
"""The parts that could close a finding of each check."""


def owner_of(finding: Finding) -> Owner:
    """Return who has to act on an open finding that no part of the order closes [practice]."""
    check = finding.check.id
    if check in SURVEYED or (check in SURVEYED_WHERE_SHORT and finding.standing is not Standing.UNPROVEN):
        return "surveyor"
    if check in SEEN_BY_SCRUTINEER:
        return "scrutineer"
    return "safety officer" if check in GIVEN_BY_OFFICE else "skipper"


def stage_of(finding: Finding, parts: tuple[PartGroup, ...]) -> Stage:
    """Return what acting on an open finding must come before.

    Where parts could close it, or her size hangs on it, the order: what is found out later is not bought.
    Else what is unproven before it is inspected, and what is short before the work ends. [practice]
    """
    if parts or finding.check.id in SIZES_HER:
        return "orders"
    return "inspection" if finding.standing is Standing.UNPROVEN else "work"


@dataclass(frozen=True)
class Job:
    """What somebody has to do, before it is dated and given to a boat."""

    owner: Owner
    stage: Stage
    level: Level
    sentence: str
    checks: tuple[str, ...]


def settles(plan: MendPlan, finding: Finding, parts: tuple[PartGroup, ...]) -> bool:
    """Whether the plan's parts, once fitted and seen, settle an open finding.

    They do where the plan says so, where every part that would close the finding is among them, and where
    the finding is about gear that is replaced as a whole.
    """
    if finding.id in plan.closes or (parts and set(parts) <= set(plan.groups)):
        return True
    check = finding.check
    if plan.choice != "replace" or check.id in NOT_NEW:
        return False
    return check.family in NEW_WITH_THE_DROGUE or check.id in ALSO_NEW


def jobs_of(plan: MendPlan, settled: tuple[str, ...], attachment_load_n: float) -> Iterator[Job]:
    """Return the jobs of a plan that has parts; `settled` are the findings it settles."""
    words = _parts_words(plan)
    yield Job("chandlery", "orders", "shall", f"Buy her parts: {', '.join(words)}.", settled)
    fitted = tuple(check for check in settled if not check.startswith("attachment."))
    made = [word for word in words if word not in {"attachments", "stowage bag"}]
    if made:
        hours = f" About {plan.hours:.1f} hours of work, once practised." if plan.hours else ""
        yield Job("workshop", "work", "shall", f"Make and fit: {', '.join(made)}.{hours}", fitted)
    if "attachments" in plan.groups:
        load = ""
        if math.isfinite(attachment_load_n):
            load = f" Each must hold at least {both(attachment_load_n, 'force')}."
        checks = tuple(check for check in settled if check.startswith(("attachment.", "strike.attachments")))
        advice = f"Say which attachments and backing she needs, before they are bought.{load}"
        yield Job("surveyor", "orders", "shall", advice, checks)
        yield Job("skipper", "work", "shall", f"Have the new attachments fitted.{load}", checks)
    seen = "See the new parts fitted, and have her entry amended: until then her findings stay open."
    yield Job("scrutineer", "inspection", "shall", seen, settled)


def _parts_words(plan: MendPlan) -> list[str]:
    """The parts in words; "extension" is a further section of line."""
    count = plan.cones_to_make
    named = {
        "cones": f"{count} new cone{'' if count == 1 else 's'}",
        "extension": "a further section of line",
    }
    groups = [group for group in plan.groups if not (group == "extension" and plan.choice == "replace")]
    return [named.get(group, group) for group in groups]


def last_days(result: MusterResult, policy: Policy) -> dict[Stage, Due]:
    """By when each stage has to be over; one order is placed on one day, so its longest delivery counts."""
    lead_days = max((line.lead_days or 0 for line in result.order.lines), default=0)
    return {stage: due_for(stage, policy.rally, lead_days=lead_days) for stage in STAGES}


def first_due(findings: Sequence[Finding], plan: MendPlan | None, days: Mapping[Stage, Due]) -> Due | None:
    """The first day by which an open shall of one boat wants something done; None where no day is set.

    What the plan's parts settle has to be ordered; for the rest `stage_of` holds.
    """
    dues = []
    for finding in findings:
        if not (finding.is_open and finding.check.level == "shall"):
            continue
        parts = PARTS[finding.check.id]
        ordered = plan is not None and bool(plan.groups) and settles(plan, finding, parts)
        dues.append(days["orders" if ordered else stage_of(finding, parts)])
    return min(
        (due for due in dues if due.day is not None), key=lambda due: due.day or date.max, default=None
    )
