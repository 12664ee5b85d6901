"""Boats for the audit's tests, entered through the real intake."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from datetime import date

from sizing.audit import AuditContext, audit_fleet, findings_of, plan_boats
from sizing.catalogue import load_catalogue
from sizing.drogue.size import size_fleet
from sizing.fields import FIELDS
from sizing.intake import read_fleet
from sizing.model import CheckColumns, Finding, FleetColumns, MendPlan
from sizing.policy import Policy

TODAY = date(2027, 3, 1)
CATALOGUE = load_catalogue()

# 20,000 lb, loaded: 15,720 lbf = 69.9 kN design load [CG87 6.2]; 125 cones of 5 in [CG87 6.1].
READY = {
    "entry_no": "1",
    "boat_name": "Test boat",
    "berth": "A1",
    "boat_type": "sailing monohull",
    "loa": "12.2 m",
    "lwl": "10.8 m",
    "beam": "3.9 m",
    "transom_width": "2.8 m",
    "displacement": "20,000 lb",
    "displacement_basis": "loaded",
    "device_type": "series drogue",
    "device_from": "stern",
    "cone_count": "126",
    "cone_mouth": "5 in",
    "cone_pitch": "20 in",
    "cone_cloth": "light rip-stop",
    "lead_line_length": "75 ft",
    "lead_line_diameter": "28 mm",
    "section_diameters": "28 mm; 22 mm",
    "section_joints": "spliced eye to eye",
    "line_material": "nylon double braid",
    "line_state": "new",
    "line_ends": "spliced",
    "bridle_leg_length": "7.0 m",
    "bridle_diameter": "28 mm",
    "bridle_leg_difference": "0 mm",
    "end_weight": "35 lb",
    "attachment_type": "dedicated plate",
    "attachment_rating": "60 kN",
    "attachment_bolts": "6 x M12 A4-70",
    "attachment_lead": "fair",
    "attachment_place": "transom corners",
    "structure_survey": "accepted",
    "thimble_type": "reinforced",
    "shackle_rating": "120 kN",
    "shackles_moused": "yes",
    "swivel": "none",
    "chafe_gear": "fitted",
    "stowed_ready": "yes",
    "within_reach": "yes",
    "retrieval": "tried",
    "made_year": "2026",
    "last_inspected": "2027-02-01",
    "condition": "new",
    "evidence": "certificate",
    "evidence_date": "2027-02-01",
}


def boat(**changes: str) -> dict[str, str]:
    return READY | changes


def fleet_of(*boats: Mapping[str, str]) -> FleetColumns:
    text = io.StringIO()
    writer = csv.DictWriter(text, [field.name for field in FIELDS], restval="")
    writer.writeheader()
    for number, entered in enumerate(boats, start=1):
        writer.writerow({**entered, "entry_no": str(number)})
    intake = read_fleet(text.getvalue().encode(), "boats.csv", today=TODAY)
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
