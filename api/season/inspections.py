"""Inspections: what was found aboard, signed off, or withdrawn. Nothing is ever deleted."""

from __future__ import annotations

import datetime as dt
import json
import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from sqlalchemy import Connection, RowMapping, insert, select, update

from api.judging.documents import BoatDocuments
from api.judging.measured import Measured, MeasurementError
from api.judging.run import Scrutiny
from api.judging.sheet import notation_of
from api.season.acting import Acting
from api.season.acts import RECORDED, SIGNED, WITHDREW_INSPECTION, record
from api.season.errors import NotAllowed, NotFound, NotValid, Refused
from api.season.observed import FIELD, observed
from api.season.rejudging import Rejudged, Seen, judge_again, keep_judged, not_measurable, see
from api.season.reopening import covered_cells, covers_of
from api.storage.clock import now
from api.storage.schema import inspections
from api.storage.scrutiny import next_number
from api.trail import Actor
from sizing.model import Notation
from sizing.policy_rules import is_written

UNSIGNED: Final = ("recorded", "reopened")
"""States in which an inspection may be signed off, and in which whoever made it may withdraw it."""


@dataclass(frozen=True)
class FoundAboard:
    """What was seen aboard, as it is sent: columns with what was measured, and when by a phone's clock."""

    measurements: Sequence[tuple[str, str]]
    note: str = ""
    photo: str = ""
    observed_at: dt.datetime | None = None


@dataclass(frozen=True)
class Inspected:
    """An inspection as it is kept, and how the boat stands with it."""

    row: RowMapping
    judged: Rejudged


def record_inspection(
    acting: Acting, fleet_id: str, boat_id: str, aboard: FoundAboard, match: str | None = None
) -> Inspected:
    """Record what was found aboard; her findings are worked out anew at once.

    Of each column the measurement that arrived last counts, also where a phone's clock says that it was seen
    earlier than another: a clock may be wrong, and whoever sent it has looked at what stood (`match`).
    """
    inspection_id = f"i{secrets.token_hex(8)}"
    seen = see(acting, fleet_id, boat_id, match)
    at = observed(aboard.observed_at, dt.datetime.now(dt.UTC))
    if not aboard.measurements and not is_written(aboard.note) and not aboard.photo:
        raise NotValid(
            "inspection", "it holds nothing", "a measurement, a photo or a note", "say what was seen",
            detail="An inspection holds a measurement, a photo or a note.",
        )  # fmt: skip
    taken = taken_of(aboard.measurements, "measurements", notation_of(seen.boat.sheet))
    docs = judge_again(acting, seen, _with_inspection(seen, inspection_id, taken), taken)
    measured = _with_figures(taken, docs, seen.boat.cells["cells"])

    def write(connection: Connection) -> Inspected:
        judged = keep_judged(connection, acting, seen, docs)
        connection.execute(
            insert(inspections).values(
                id=inspection_id, fleet_id=fleet_id, boat_id=boat_id,
                number=next_number(connection, inspections, fleet_id), state="recorded",
                measured=json.dumps(measured, ensure_ascii=False), photo=aboard.photo, note=aboard.note,
                made_at=now(), observed_at_phone_clock=at, made_by=acting.actor.name,
                token_id=acting.actor.token_id, reason="",
            )
        )  # fmt: skip
        before = seen.boat.cells["cells"] | {name: one.text for name, one in seen.scrutiny.found.items()}
        record(
            connection, acting.actor, RECORDED, fleet_id, f"{boat_id} {inspection_id}",
            before=[{"field": one.field, "value": before.get(one.field)} for one in taken],
            after={
                "measured": [{"field": one.field, "value": one.text} for one in taken],
                "note": aboard.note, "photo": aboard.photo, FIELD: at,
            },
        )  # fmt: skip
        return _inspected(connection, inspection_id, judged)

    return acting.write(write)


def sign_off_inspection(
    acting: Acting, fleet_id: str, boat_id: str, number: int, statement: str, match: str | None = None
) -> Inspected:
    """State that an inspection is right as it stands. From then on only the officer may withdraw it.

    It covers what was seen: the value of each column, and what the list said of it then (`reopening`).
    """
    seen = see(acting, fleet_id, boat_id, match)
    with acting.store.read() as connection:
        row = _inspection(connection, fleet_id, boat_id, number)
    covers = covers_of(row, seen.boat.cells["cells"])
    signed = {**seen.scrutiny.sign_offs, row["id"]: covered_cells(covers)}
    docs = judge_again(acting, seen, replace(seen.scrutiny, sign_offs=signed))

    def write(connection: Connection) -> Inspected:
        row = _inspection(connection, fleet_id, boat_id, number)
        if row["state"] not in UNSIGNED:
            raise _wrong_state(row, "an inspection that is recorded or reopened, and not signed")
        judged = keep_judged(connection, acting, seen, docs)
        connection.execute(
            update(inspections)
            .where(inspections.c.id == row["id"])
            .values(
                state="signed off", signed_at=now(), signed_by=acting.actor.name,
                covers=covers,
            )
        )  # fmt: skip
        record(
            connection, acting.actor, SIGNED, fleet_id, f"{boat_id} {row['id']}",
            before={"state": row["state"]}, after={"state": "signed off", "statement": statement},
        )  # fmt: skip
        return _inspected(connection, row["id"], judged)

    return acting.write(write)


def withdraw_inspection(
    acting: Acting, fleet_id: str, boat_id: str, number: int, reason: str, match: str | None = None
) -> Inspected:
    """Take an inspection back: it stays to be read, and what it replaced counts again."""
    seen = see(acting, fleet_id, boat_id, match)
    with acting.store.read() as connection:
        before = _inspection(connection, fleet_id, boat_id, number)
    _refuse_withdrawal(acting.actor, before)
    rest = tuple(
        taken
        for taken in seen.scrutiny.measurements
        if not any(one.inspection == before["id"] for one in taken)
    )
    left = {name: covered for name, covered in seen.scrutiny.sign_offs.items() if name != before["id"]}
    docs = judge_again(acting, seen, replace(seen.scrutiny, measurements=rest, sign_offs=left))

    def write(connection: Connection) -> Inspected:
        row = _inspection(connection, fleet_id, boat_id, number)
        _refuse_withdrawal(acting.actor, row)
        judged = keep_judged(connection, acting, seen, docs)
        connection.execute(
            update(inspections)
            .where(inspections.c.id == row["id"])
            .values(state="withdrawn", withdrawn_at=now(), withdrawn_by=acting.actor.name, reason=reason)
        )
        record(
            connection, acting.actor, WITHDREW_INSPECTION, fleet_id, f"{boat_id} {row['id']}",
            before={"state": row["state"], "measured": json.loads(row["measured"])},
            after={"state": "withdrawn", "reason": reason},
        )  # fmt: skip
        return _inspected(connection, row["id"], judged)

    return acting.write(write)


def taken_of(asked: Sequence[tuple[str, str]], where: str, notation: Notation) -> tuple[Measured, ...]:
    """What was measured, as the list it is about is written; refused where a column stands twice."""
    names = [field for field, _ in asked]
    twice = [
        (f"{where}.{at}", "twice", "each column once", "leave one of them out")
        for at, name in enumerate(names)
        if names.index(name) != at
    ]
    if twice:
        raise not_measurable(MeasurementError(twice))
    return tuple(Measured(field, " ".join(value.split()), notation.decimal) for field, value in asked)


def _with_inspection(seen: Seen, inspection: str, taken: Sequence[Measured]) -> Scrutiny:
    """What counts once one more inspection is recorded."""
    told = tuple(replace(one, inspection=inspection) for one in taken)
    sign_offs = {**seen.scrutiny.sign_offs, inspection: None}
    return replace(seen.scrutiny, measurements=(*seen.scrutiny.measurements, told), sign_offs=sign_offs)


def _with_figures(
    taken: Sequence[Measured], docs: BoatDocuments, listed: Mapping[str, str]
) -> list[dict[str, Any]]:
    """What was measured, on its way into the tables, with the figure that was read where it is one."""
    figures = {one["field"]: one["value"] for one in docs.document["measures"]}
    values = {name: figure["si"] if figure else None for name, figure in figures.items()}
    return [
        replace(one, si=values[one.field], listed=listed.get(one.field, "").strip()).as_json()
        for one in taken
    ]


def _refuse_withdrawal(actor: Actor, row: RowMapping) -> None:
    if row["state"] == "withdrawn":
        raise _wrong_state(row, "an inspection that counts")
    own = row["token_id"] == actor.token_id and row["state"] in UNSIGNED
    if actor.role != "officer" and not own:
        raise NotAllowed(
            f"inspection {row['number']}",
            "only the officer withdraws a signed inspection, or another's",
            "one's own inspection, not signed off", "ask the officer",
        )  # fmt: skip


def _wrong_state(row: RowMapping, expected: str) -> Refused:
    found = f"this inspection is {row['state']}"
    return Refused(f"inspection {row['number']}", found, expected, "see the inspections of the boat")


def _inspection(connection: Connection, fleet_id: str, boat_id: str, number: int) -> RowMapping:
    here = (
        inspections.c.fleet_id == fleet_id,
        inspections.c.boat_id == boat_id,
        inspections.c.number == number,
    )
    row = connection.execute(select(inspections).where(*here)).mappings().first()
    if row is None:
        raise NotFound(
            f"inspection {number}", "the boat has no inspection of this number",
            "the number of an inspection of the boat", "see the inspections of the boat",
        )  # fmt: skip
    return row


def _inspected(connection: Connection, inspection_id: str, judged: Rejudged) -> Inspected:
    row = connection.execute(select(inspections).where(inspections.c.id == inspection_id)).mappings().one()
    return Inspected(row, judged)
