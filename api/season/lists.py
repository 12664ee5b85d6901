"""Entry lists of a season: received whole, and put in force with all that was found for them."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from importlib.metadata import version as version_of
from typing import Any, Final

from sqlalchemy import Connection, Row, delete, select, update

from api.judging.changes import changes_between, entries_before
from api.judging.run import FleetRun, Scrutiny
from api.season.acts import LIST_IN_FORCE, UNDID_LIST, record
from api.season.reopening import disagreements, reopen_changed
from api.season.rules import number_in_force
from api.storage.boats import KeptResult, keep_fleet
from api.storage.clock import now
from api.storage.packing import unpacked
from api.storage.schema import (
    entries,
    findings,
    fleets,
    inspections,
    requirements,
    results,
    revisions,
    stock_files,
)
from api.storage.scrutiny import next_version, scrutiny_of
from api.trail.chain import Actor
from sizing.fields import FIELD_BY_NAME
from sizing.revision import Snapshot, parse_snapshot
from sizing.waivers import needless_waivers

MOST_REJECTED_KEPT: Final = 10_000
PROGRAM: Final = version_of("drogue-muster")


class MovedOn(Exception):  # noqa: N818  not a fault: whoever meets it works on what stands now
    """Something was recorded since the fleet was read: what was made of it is not kept."""


@dataclass(frozen=True)
class KeptList:
    """A list as it was received, and what it was judged by once it was in force."""

    number: int
    filename: str
    content: bytes
    withdraw: bool
    sha256: str
    state: str
    rules: int | None
    program: str
    day: str
    in_force_at: str | None
    uploaded_at: str


@dataclass(frozen=True)
class FleetState:
    """A fleet as it stood when it was read: what counts about her boats, and which list is in force."""

    fleet_id: str
    name: str
    folder: str
    version: int
    in_force: KeptList | None
    rules: int
    scrutiny: Mapping[str, Scrutiny]


def state_of(connection: Connection, fleet_id: str) -> FleetState:
    """Read a fleet as it stands now."""
    row = connection.execute(select(fleets).where(fleets.c.id == fleet_id)).one()
    return FleetState(
        fleet_id, row.name, row.folder, row.version,
        kept_list(connection, fleet_id, row.revision) if row.revision else None,
        number_in_force(connection), scrutiny_of(connection, fleet_id),
    )  # fmt: skip


def kept_list(connection: Connection, fleet_id: str, number: int) -> KeptList:
    """One list, whole."""
    here = revisions.c.fleet_id == fleet_id, revisions.c.number == number
    return _kept(connection.execute(select(*_COLUMNS).where(*here)).one())


def list_before(connection: Connection, fleet_id: str, number: int | None) -> KeptList | None:
    """The list that was in force before list `number`, those that were taken back left out."""
    query = (
        select(*_COLUMNS)
        .where(revisions.c.fleet_id == fleet_id, revisions.c.state.in_(("in force", "superseded")))
        .order_by(revisions.c.number.desc())
        .limit(1)
    )
    row = connection.execute(query if number is None else query.where(revisions.c.number < number)).first()
    return None if row is None else _kept(row)


def snapshot_before(connection: Connection, fleet_id: str, number: int | None) -> Snapshot | None:
    """What was found for the latest list before `number` of which it is known."""
    query = (
        select(revisions.c.number, revisions.c.snapshot)
        .where(
            revisions.c.fleet_id == fleet_id, revisions.c.state.in_(("in force", "superseded")),
            revisions.c.snapshot.is_not(None),
        )
        .order_by(revisions.c.number.desc())
        .limit(1)
    )  # fmt: skip
    row = connection.execute(query if number is None else query.where(revisions.c.number < number)).first()
    return None if row is None else parse_snapshot(unpacked(bytes(row.snapshot)), f"list {row.number}")


def put_in_force(
    connection: Connection,
    actor: Actor,
    state: FleetState,
    number: int,
    run: FleetRun,
    ready: Sequence[KeptResult] | None,
    *,
    rules: int,
    day: dt.date,
) -> list[str]:
    """Put a list in force with what was found for its boats, all of it or nothing.

    `ready` are the answers of the interface; without them there are none until a server makes them. Returns
    what the officer is to be told: where the list says something else than was measured, and which sign-offs
    it opens again. Raises MovedOn where something was recorded since `state` was read, or other rules are in
    force than those it was judged by.
    """
    fleet_id = state.fleet_id
    at = connection.execute(select(fleets.c.version).where(fleets.c.id == fleet_id)).scalar_one()
    if at != state.version or number_in_force(connection) != rules:
        raise MovedOn
    report = list_report(run)
    told = _held_against_measured(connection, actor, fleet_id, run, day)
    report["notes"] += told
    new_version = next_version(connection, fleet_id)
    changed = 0
    if ready is None:
        _drop_ready(connection, fleet_id)
    else:
        before = entries_before(connection, fleet_id)
        changed = len(keep_fleet(connection, fleet_id, new_version, ready))
        report["changes"] = changes_between(before, entries_before(connection, fleet_id))
    here = revisions.c.fleet_id == fleet_id
    connection.execute(
        update(revisions).where(here, revisions.c.state == "in force").values(state="superseded")
    )
    connection.execute(
        update(revisions)
        .where(here, revisions.c.number == number)
        .values(
            state="in force", reason="", problem="", report=json.dumps(report, ensure_ascii=False),
            rules=rules, program=PROGRAM, day=day.isoformat(), in_force_at=now(),
        )
    )  # fmt: skip
    connection.execute(update(fleets).where(fleets.c.id == fleet_id).values(revision=number))
    after = {"accepted": len(run.keys), "rejected": report["rejected_rows"], "changed": changed}
    record(connection, actor, LIST_IN_FORCE, fleet_id, str(number), after=after)
    return told


def _held_against_measured(
    connection: Connection, actor: Actor, fleet_id: str, run: FleetRun, day: dt.date
) -> list[str]:
    """Open the sign-offs again that the list of a run changes; a sentence for each, and each disagreement."""
    inspected = select(inspections.c.boat_id).where(inspections.c.fleet_id == fleet_id)
    wanted = set(connection.execute(inspected).scalars())
    listed = {key: run.cells[row].cells for row, key in enumerate(run.keys) if key in wanted}
    query = select(entries.c.boat_id, entries.c.cells).where(
        entries.c.fleet_id == fleet_id, entries.c.boat_id.in_(inspected)
    )
    before = {row.boat_id: json.loads(row.cells)["cells"] for row in connection.execute(query)}
    entry_nos = {key: cells["entry_no"].strip() for key, cells in listed.items()}
    told = [
        f"Entry {entry_nos[one.boat_id]}: {FIELD_BY_NAME[one.field].label} was measured as “{one.measured}” "
        f"by {one.made_by} on {one.made_at[:10]}, and the list now says “{one.listed}”. What was measured "
        "counts."
        for one in disagreements(
            connection, fleet_id, listed, notation=run.intake.notation, day=day, before=before
        )
    ]
    for inspection in reopen_changed(connection, actor, fleet_id, listed):
        cells = ", ".join(
            f"{FIELD_BY_NAME[one.field].label} “{one.now}”, before “{one.listed}”"
            for one in inspection.changed
        )
        told.append(
            f"Entry {entry_nos[inspection.boat_id]}: inspection {inspection.number} is open again, since the "
            f"list now says {cells}. It has to be signed off anew."
        )
    return told


def has_ready_answers(connection: Connection, fleet_id: str) -> bool:
    """Whether the interface's answers about a fleet are there."""
    return (
        connection.execute(select(results.c.boat_id).where(results.c.fleet_id == fleet_id)).first()
        is not None
    )


def take_back(connection: Connection, actor: Actor, state: FleetState, reason: str) -> None:
    """Mark the list in force as taken back; the trail keeps it, and another comes into force with this."""
    assert state.in_force is not None
    here = revisions.c.fleet_id == state.fleet_id, revisions.c.number == state.in_force.number
    connection.execute(update(revisions).where(*here).values(state="taken back", reason=reason))
    after = {"sha256": state.in_force.sha256, "filename": state.in_force.filename}
    record(connection, actor, UNDID_LIST, state.fleet_id, str(state.in_force.number), after=after)


def resting_on(connection: Connection, state: FleetState) -> list[str]:
    """What was recorded since the list in force came: it rests on that list. A phrase for each."""
    assert state.in_force is not None
    # It came when it was received: it may have been put in force once more, by other rules say.
    since, found = state.in_force.uploaded_at, []
    of_fleet = inspections.c.fleet_id == state.fleet_id
    query = select(inspections).where(of_fleet, inspections.c.state != "withdrawn")
    numbers = select(entries.c.boat_id, entries.c.entry_no).where(entries.c.fleet_id == state.fleet_id)
    names = {row.boat_id: row.entry_no for row in connection.execute(numbers)}
    for row in connection.execute(query.order_by(inspections.c.number)):
        boat = f"entry {names.get(row.boat_id, row.boat_id)}"
        if row.made_at > since:
            found.append(f"inspection {row.number} of {boat}, by {row.made_by}")
        if (row.signed_at or "") > since:
            found.append(f"sign-off of inspection {row.number} of {boat}, by {row.signed_by}")
    received = select(stock_files).where(
        stock_files.c.fleet_id == state.fleet_id, stock_files.c.received_at > since
    )
    for row in connection.execute(received.order_by(stock_files.c.number)):
        found.append(f"{row.kind} {row.number}, {row.filename}")
    return found


def ready_answers(run: FleetRun) -> list[KeptResult]:
    """Every boat of a run, on her way into the tables; packed here, so that no lock waits for it."""
    kept: list[KeptResult] = []
    for row, key in enumerate(run.keys):
        docs = run.documents(row)
        cells = run.cells[row].as_json()
        kept.append(KeptResult(key, row, docs.document, docs.requirement, docs.findings, cells).made_ready())
    return kept


def list_report(run: FleetRun) -> dict[str, Any]:
    """What became of the rows of a list."""
    intake = run.intake
    needless = needless_waivers(run.rules.policy.waivers, intake.fleet, run.judged.checks)
    return {
        "sheet": asdict(run.intake.notation),
        "rows_in": intake.rows_in,
        "accepted": len(intake.fleet),
        "rejected_rows": len(intake.rejected),
        "notes": [*intake.file_notes, *needless],
        "rejected": [
            {
                "row_no": row.row_no,
                "line_no": row.line_no,
                "errors": [
                    {
                        "column": e.column, "column_letter": e.column_letter, "code": e.code,
                        "found": e.found, "expected": e.expected, "mend": e.mend,
                    }
                    for e in row.errors
                ],
            }
            for row in intake.rejected[:MOST_REJECTED_KEPT]
        ],
    }  # fmt: skip


_COLUMNS: Final = [
    revisions.c[name]
    for name in (
        "number", "filename", "content", "withdraw", "sha256", "state", "rules", "program", "day",
        "in_force_at", "uploaded_at",
    )
]  # fmt: skip


def _kept(row: Row[Any]) -> KeptList:
    kept = dict(row._mapping)
    return KeptList(
        **kept | {"content": unpacked(bytes(kept["content"])), "withdraw": bool(kept["withdraw"])}
    )


def _drop_ready(connection: Connection, fleet_id: str) -> None:
    for table in (findings, requirements, results, entries):
        connection.execute(delete(table).where(table.c.fleet_id == fleet_id))
