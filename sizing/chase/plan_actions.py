"""The jobs that a boat's plan makes: parts to buy, work to do, advice to take, new gear to see."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from sizing.chase.dates import Stage
from sizing.chase.owners import Owner
from sizing.model import Finding, Level, MendPlan, PartGroup
from sizing.units import both

NEW_WITH_THE_DROGUE: Final = frozenset({"drag", "line", "hardware", "condition", "strike"})
"""Families of findings about gear that a whole new drogue takes the place of."""
ALSO_NEW: Final = frozenset({"bridle.symmetry", "data.evidence", "data.evidence-age"})
NOT_NEW: Final = frozenset({"strike.attachments"})


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
