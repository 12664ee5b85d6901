"""The last days of a run for each stage of the work, and the first of them that matters to one boat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from sizing.audit import REGISTER
from sizing.chase.dates import STAGES, Due, Stage, due_for
from sizing.chase.owners import stage_of
from sizing.chase.plan_actions import settles
from sizing.model import Finding, MendPlan, MusterResult
from sizing.policy import Policy

PARTS = {spec.check.id: spec.parts for spec in REGISTER}


def last_days(result: MusterResult, policy: Policy) -> dict[Stage, Due]:
    """By when each stage has to be over; one order is placed on one day, so its longest delivery counts."""
    lead_days = max((line.lead_days or 0 for line in result.order.lines), default=0)
    return {stage: due_for(stage, policy.rally, lead_days=lead_days) for stage in STAGES}


def first_due(findings: Sequence[Finding], plan: MendPlan | None, days: Mapping[Stage, Due]) -> Due | None:
    """The first day by which an open shall of one boat wants something done; None where no day is set.

    What the plan's parts settle has to be ordered; for the rest the stages of `owners` hold.
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
