"""Whose each thing is to do, and by when: what a boat's plan makes, and open findings that no part closes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final, get_args

from sizing.audit import SPECS, Voiced, in_voices
from sizing.chase.dates import STAGES, Due, Stage, due_for
from sizing.chase.getting import THROUGH_THE_RALLY, UNMADE, Getting
from sizing.model import Finding, Level, MendPlan, MusterResult, Owner, PartGroup, Standing
from sizing.policy import Policy
from sizing.spoken import spoken
from sizing.words import word

HULL: Final = "attachment.structure"
POINT_LOAD: Final = "attachment.load"
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


def stage_with(finding: Finding, plan: MendPlan | None, findings: Iterable[Finding]) -> Stage:
    """Return what acting on one of a boat's open findings must come before, by her plan and all her findings.

    Where a new drogue is made and nothing shows that her strong points hold it, the hull behind them is
    looked at before the order closes: new strong points can then still be ordered. [practice]
    """
    held = not any(f.check.id == POINT_LOAD and f.is_open for f in findings)
    if held or finding.check.id != HULL or not plan or plan.choice != "replace":
        return stage_of(finding)
    return "orders"


def practised(hours: float) -> str:
    """Hours of work as they are told, whole and rounded up.

    >>> practised(35.2), practised(0.4)
    ('36 hours once practised', '1 hour once practised')
    """
    whole = math.ceil(hours)
    return f"{whole:,} hour{'' if whole == 1 else 's'} once practised"


@dataclass(frozen=True)
class Job:
    """What somebody has to do, before it is dated and given to a boat; `said` is in each voice."""

    owner: Owner
    stage: Stage
    level: Level
    said: Voiced
    checks: tuple[str, ...]


def jobs_of(
    plan: MendPlan,
    settled: tuple[str, ...],
    attachment_load_n: float,
    getting: Getting = THROUGH_THE_RALLY,
) -> Iterator[Job]:
    """Return the jobs of a plan that has parts; `settled` are the findings it settles."""
    words = ", ".join(part_word(group, plan) for group in _groups(plan))
    if getting.ordered:
        yield Job("chandlery", "orders", "shall", in_voices(f"Buy [her] parts: {words}."), settled)
    else:
        yield _by_another_way(words, settled, getting)
    fitted = tuple(check for check in settled if not check.startswith("attachment."))
    made = [part_word(group, plan) for group in _groups(plan) if group not in {"attachments", "stowage bag"}]
    if made and getting.ordered:
        hours = f" About {practised(plan.hours)}." if plan.hours else ""
        held = f" {UNMADE}" if getting.unmade else ""
        yield Job(
            "workshop", "work", "shall", in_voices(f"Make and fit: {', '.join(made)}.{hours}{held}"), fitted
        )
    if "attachments" in plan.groups:
        load = ""
        if math.isfinite(attachment_load_n):
            load = f" Each must hold at least {spoken(attachment_load_n, 'force', 'up')}."
        checks = tuple(check for check in settled if check.startswith("attachment."))
        advice = f"Say which strong points and backing [she] needs, before they are bought.{load}"
        yield Job("surveyor", "orders", "shall", in_voices(advice), checks)
        yield Job("skipper", "work", "shall", in_voices(f"Have the new strong points fitted.{load}"), checks)
    seen = "See the new parts fitted, and have [her] entry amended: until then all of this is still to do."
    yield Job("scrutineer", "inspection", "shall", in_voices(seen), settled)


def _by_another_way(words: str, settled: tuple[str, ...], getting: Getting) -> Job:
    """What is left to her people where the rally buys nothing for her."""
    if getting.to_say:
        said = (
            f"Say whether the rally is to order [her] parts, or how else [you] will get them: {words}. "
            "Nothing is bought before that."
        )
        return Job("skipper", "orders", "shall", in_voices(said), settled)
    how = f"Get [her] parts without the rally's order, as was said ({getting.said}): {words}."
    return Job("skipper", "work", "shall", in_voices(how), settled)


def _groups(plan: MendPlan) -> list[PartGroup]:
    """The parts of a plan; what lengthens a line that is made anew is no part of its own."""
    return [group for group in plan.groups if not (group == "extension" and plan.choice == "replace")]


def part_word(group: PartGroup, plan: MendPlan) -> str:
    """A part in words, new cones with their number."""
    if group == "cones":
        return f"{plan.cones_to_make} new cone{'' if plan.cones_to_make == 1 else 's'}"
    return word("part", group)


def last_days(result: MusterResult, policy: Policy) -> dict[Stage, Due]:
    """By when each stage has to be over; one order is placed on one day, so its longest delivery counts."""
    lead_days = max((line.lead_days or 0 for line in result.order.lines), default=0)
    return {stage: due_for(stage, policy.rally, lead_days=lead_days) for stage in STAGES}
