"""Whose each thing is to do, and by when: what a boat's plan makes, and open findings that no part closes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, get_args

from sizing.audit import SPECS
from sizing.chase.dates import STAGES, Due, Stage, due_for
from sizing.model import Finding, Level, MendPlan, MusterResult, Owner, Standing
from sizing.policy import Policy
from sizing.units import both

OWNERS: Final[tuple[Owner, ...]] = get_args(Owner)


def owner_of(finding: Finding) -> Owner:
    """Return who has to act on an open finding that no part of the order closes [practice]."""
    spec = SPECS[finding.check.id]
    return spec.asked_of if finding.standing is Standing.UNPROVEN else spec.done_by


def stage_of(finding: Finding) -> Stage:
    """Return what acting on an open finding must come before.

    Where parts could close it, or her size hangs on it, the order: what is found out later is not bought.
    Else what is unproven before it is inspected, and what is short before the work ends. [practice]
    """
    spec = SPECS[finding.check.id]
    only_to_try = spec.only_tried and finding.standing is Standing.UNPROVEN
    if (spec.parts and not only_to_try) or spec.sizes_her:
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
        checks = tuple(check for check in settled if check.startswith("attachment."))
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
