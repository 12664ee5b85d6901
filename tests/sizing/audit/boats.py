"""Boats for the audit's tests, entered through the real intake."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping

from sizing.audit import AuditContext, audit_fleet, findings_of, plan_boats
from sizing.audit.cases import DAY, READY
from sizing.catalogue import load_catalogue
from sizing.drogue.size import size_fleet
from sizing.fields import FIELDS
from sizing.intake import read_fleet
from sizing.model import CheckColumns, Finding, FleetColumns, IntakeResult, MendPlan
from sizing.policy import Policy

TODAY = DAY
CATALOGUE = load_catalogue()


def boat(**changes: str) -> dict[str, str]:
    """The ready boat with changes; her cones are shared among her sections, where nothing else is said."""
    entered = {**READY, **changes}
    if "section_cones" not in changes and {"cone_count", "section_diameters"} & set(changes):
        entered["section_cones"] = shared(entered["cone_count"], entered["section_diameters"])
    return entered


def shared(cones: str, sections: str) -> str:
    """As many cones on each section, the first with what is over."""
    if not cones or not sections:
        return ""
    share, over = divmod(int(cones), places := len(sections.split(";")))
    return "; ".join(str(share + (place < over)) for place in range(places))


def intake_of(*boats: Mapping[str, str]) -> IntakeResult:
    text = io.StringIO()
    writer = csv.DictWriter(text, [field.name for field in FIELDS], restval="")
    writer.writeheader()
    for number, entered in enumerate(boats, start=1):
        writer.writerow({**entered, "entry_no": str(number)})
    return read_fleet(text.getvalue().encode(), "boats.csv", today=TODAY)


def fleet_of(*boats: Mapping[str, str]) -> FleetColumns:
    intake = intake_of(*boats)
    assert not intake.rejected, [error.sentence for row in intake.rejected for error in row.errors]
    return intake.fleet


def context_of(fleet: FleetColumns, policy: Policy | None = None) -> AuditContext:
    rules = policy or Policy()
    return AuditContext(fleet, size_fleet(fleet, rules, CATALOGUE), rules, CATALOGUE, TODAY)


def findings(entered: Mapping[str, str], policy: Policy | None = None) -> dict[str, Finding]:
    context = context_of(fleet_of(entered), policy)
    return {f.check.id: f for f in findings_of(audit_fleet(context), context.fleet, 0)}


def plan(entered: Mapping[str, str], policy: Policy | None = None) -> MendPlan:
    context = context_of(fleet_of(entered), policy)
    return plan_boats(context, audit_fleet(context))[0]


def checks(*boats: Mapping[str, str]) -> tuple[CheckColumns, ...]:
    return audit_fleet(context_of(fleet_of(*boats)))
