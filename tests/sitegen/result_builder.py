"""A plausible run made from a small fleet sheet, with an order small enough to be followed by eye."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from decimal import Decimal
from typing import Any

import numpy as np

from sizing.audit import AuditContext, audit_fleet, plan_boats
from sizing.catalogue import Catalogue, load_catalogue
from sizing.drogue.size import size_fleet
from sizing.intake.fleet import read_fleet
from sizing.model import (
    MARKS,
    CutPiece,
    CutSpool,
    CutSummary,
    HoldColumns,
    MusterResult,
    Order,
    OrderLine,
    OrderProblem,
    Piece,
    RequirementColumns,
    RideColumns,
    StrikeColumns,
)
from sizing.order.charges import charges_of
from sizing.policy import Policy
from sizing.revision import ChangeReport, compare, snapshot_of

TODAY = date(2027, 1, 15)
NO_ROPE = "no rope of the catalogue is strong enough for her"

PLAIN: Mapping[str, str] = {
    "entry_no": "001",
    "boat_name": "Grey Plover",
    "sail_no": "XYZ 1234",
    "skipper": "Alma Tessier",
    "email": "alma@plover.example",
    "phone": "+00 7700 900123",
    "berth": "B12",
    "boat_type": "sailing monohull",
    "design": "Tern 38",
    "loa": "11.6 m",
    "lwl": "10.1 m",
    "beam": "3.7 m",
    "transom_width": "2.9 m",
    "displacement": "8,400 kg",
    "displacement_basis": "loaded",
    "device_type": "series drogue",
    "cone_count": "100",
    "cone_mouth": "127 mm",
    "cone_pitch": "508 mm",
    "lead_line_length": "23 m",
    "lead_line_diameter": "22 mm",
    "line_material": "nylon double braid",
    "line_state": "good",
    "line_ends": "spliced",
    "bridle_leg_length": "7.3 m",
    "bridle_diameter": "20 mm",
    "end_weight": "12 kg",
    "attachment_type": "dedicated plate",
    "notes": "Bridle led clear of the wind vane.",
}

FLEET: Sequence[Mapping[str, str]] = (
    PLAIN,
    {
        "entry_no": "002",
        "boat_name": "Little Auk",
        "skipper": "Bo Renner",
        "email": "bo@auk.example",
        "boat_type": "sailing monohull",
        "loa": "7.2 m",
        "transom_width": "1.8 m",
        "displacement": "2,100 kg",
        "berth": "B3",
    },
    {
        "entry_no": "003",
        "boat_name": "Twin Spoon",
        "skipper": "Cass Mulvey",
        "boat_type": "sailing multihull",
        "loa": "13.2 m",
        "beam": "7.1 m",
        "transom_width": "6.4 m",
        "displacement": "10.5 t",
        "berth": "C1",
        "device_type": "none",
    },
    {
        "entry_no": "004",
        "boat_name": "Grey Plover",
        "skipper": "Dag Orme",
        "boat_type": "motor monohull",
        "loa": "14 m",
        "transom_width": "3.9 m",
        "displacement": "21 t",
        "design": "Drawn by dag@plover.example",
    },
    {
        "entry_no": "006",
        "boat_name": "Slow Barge",
        "skipper": "Fenn Aker",
        "boat_type": "motor monohull",
        "loa": "38 m",
        "transom_width": "6 m",
        "displacement": "290 t",
        "berth": "North wall 2",
    },
    {
        "entry_no": "005",
        "boat_name": "No Length",
        "skipper": "Edda Quill",
        "email": "edda@quill.example",
        "phone": "+00 7700 900777",
        "boat_type": "sailing monohull",
        "loa": "long",
        "transom_width": "2 m",
        "displacement": "5 t",
    },
)


@dataclass(frozen=True)
class Run:
    """A result with the rules it was made by."""

    result: MusterResult
    policy: Policy
    catalogue: Catalogue


def fleet_csv(boats: Sequence[Mapping[str, str]]) -> bytes:
    """The boats as an entry sheet."""
    stream = io.StringIO()
    columns = dict.fromkeys([*PLAIN, *(name for boat in boats for name in boat)])
    writer = csv.DictWriter(stream, list(columns), restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(boats)
    return stream.getvalue().encode()


def rally_policy(**changes: Any) -> Policy:
    """A policy with a name, a day of departure and one milestone."""
    rally = {
        "name": "Example Passage",
        "officer": "Gear officer",
        "departure": date(2027, 5, 3),
        "milestones": [{"name": "Order closes", "due": date(2027, 2, 1)}],
    }
    return Policy.model_validate({"rally": rally, **changes})


def make_run(boats: Sequence[Mapping[str, str]] = FLEET, policy: Policy | None = None) -> Run:
    """A whole run over `boats`: read, sized, judged, planned, with an order made by hand."""
    policy = policy or rally_policy()
    catalogue = load_catalogue()
    intake = read_fleet(fleet_csv(boats), "fleet.csv", today=TODAY)
    requirements = size_fleet(intake.fleet, policy, catalogue)
    heavy = [i for i, name in enumerate(intake.fleet.text["boat_name"]) if name == "Slow Barge"]
    requirements = without_figures(requirements, dict.fromkeys(heavy, NO_ROPE))
    context = AuditContext(intake.fleet, requirements, policy, catalogue, TODAY)
    checks = audit_fleet(context)
    result = MusterResult(
        program_version="0.1.0",
        today=TODAY,
        policy_sha256="a" * 64,
        catalogue_sha256=catalogue.sha256,
        prices_sha256="",
        intake=intake,
        requirements=requirements,
        checks=checks,
        plans=plan_boats(context, checks),
        order=small_order([str(entry) for entry in intake.fleet.text["entry_no"]]),
    )
    return Run(result, policy, catalogue)


def without_figures(requirements: RequirementColumns, reasons: Mapping[int, str]) -> RequirementColumns:
    """The requirements with some boats not computed, for the reasons given."""
    columns: dict[str, Any] = {}
    for field in fields(requirements):
        values = getattr(requirements, field.name)
        if isinstance(values, np.ndarray) and field.name not in MARKS:
            values = values.copy()
            values[list(reasons)] = np.nan if values.dtype.kind == "f" else -1
        columns[field.name] = values
    return RequirementColumns(**columns | {"not_computed": {**requirements.not_computed, **reasons}})


def small_order(entries: Sequence[str]) -> Order:
    """One rope cut for every boat, one fitting, one part that cannot be had."""
    boats = len(entries)
    rows = range(boats)
    pieces = tuple(Piece(row, "NDB-20", "rope", "bridle leg", 2, 7.9, "[practice]") for row in rows)
    spools = tuple(
        CutSpool(
            "NDB-20",
            row + 1,
            100.0,
            (CutPiece(row, "bridle leg", 7.9), CutPiece(row, "bridle leg", 7.9)),
            84.2,
        )
        for row in rows
    )
    needed = {row: Decimal("15.800") for row in rows}
    rope = OrderLine(
        "NDB-20",
        "20 mm nylon double braid",
        "m",
        Decimal("15.800") * boats,
        Decimal(0),
        Decimal(100),
        boats,
        "Example Chandlery",
        Decimal("450.00"),
        Decimal("450.00") * boats,
        200,
        needed,
        "",
    )
    shackle = OrderLine(
        "SHB-2t",
        "forged bow shackle",
        "piece",
        Decimal(boats),
        Decimal(1),
        None,
        None,
        "",
        None,
        None,
        None,
        dict.fromkeys(rows, Decimal(1)),
        "no pack size known",
    )
    order = Order(
        lines=(rope, shackle),
        spools=spools,
        cutting=(CutSummary("NDB-20", 2 * boats, boats, None, None, True, 0.0, 84.2, "by hand"),),
        pieces=pieces,
        problems=(OrderProblem(0, "SHB-2t", "No price is known for the shackle."),) if boats else (),
        currency="EUR",
        total=Decimal("450.00") * boats,
        boat_totals=dict.fromkeys(rows, Decimal("450.00")),
    )
    return replace(order, charges=charges_of(order, entries, (), {}))


def changes_between(before: Run, after: Run) -> ChangeReport:
    """What changed from one run to the next."""
    key = b"a key for tests, of thirty-two b"
    first = snapshot_of(before.result, before.policy, before.catalogue, key=key)
    return compare(first, snapshot_of(after.result, after.policy, after.catalogue, key=key, previous=first))


def with_strike(run: Run) -> Run:
    """The same run with a wave strike on every boat but the last, which has a reason instead."""
    boats = len(run.result.intake.fleet)
    peak = run.result.requirements.design_load_n * 1.01
    time = np.linspace(0.0, 4.0, 200)
    strike = StrikeColumns(
        not_computed={boats - 1: "the strike did not settle"},
        peak_n=peak,
        peak_time_s=np.full(boats, 1.4),
        boat_speed_mps=np.full(boats, 9.1),
        distance_m=np.full(boats, 14.0),
        head_peak_n=np.outer(peak, [1.0, 0.95, 0.6, 0.3]),
        median_n=peak * 0.98,
        p90_n=peak * 1.1,
        peak_quantiles_n=np.outer(peak, np.linspace(0.8, 1.17, 50)),
        samples=256,
        head_p90_n=np.outer(peak, [1.1, 1.05, 0.7, 0.35]),
        share_above={"bridle leg": np.full(boats, 0.0), "attachment": np.full(boats, 0.25)},
        share_above_published={"bridle leg": np.full(boats, 0.3), "attachment": np.full(boats, 0.3)},
        hold=HoldColumns(
            np.tile([9.0, 4.0, -1.0], (boats, 1)),
            np.tile([11.0, 18.0, 20.0], (boats, 1)),
            np.full(boats, 2.4),
            np.zeros(boats, dtype=np.bool_),
        ),
        sensitivity={"crest speed": np.full(boats, 0.6), "face slope": np.full(boats, 0.4)},
        history={row: (time, peak[row] * np.sin(time) ** 2, 12.0 - 2.0 * time) for row in range(boats - 1)},
    )
    ride = RideColumns(
        not_computed={},
        greatest_n=peak * 0.1,
        least_n=peak * 0.01,
        mean_n=peak * 0.05,
        slack_share=np.zeros(boats),
        cycles_per_hour=np.full(boats, 450.0),
        working_share=np.full(boats, 0.08),
        storm_hours=np.full(boats, 22.0),
    )
    return replace(run, result=replace(run.result, strike=strike, ride=ride))
