"""What a new list says of what was measured: sign-offs that it opens again, and where the two disagree.

What was measured is trusted before what is listed. A new list overrides no measurement: where it changes what
a sign-off covers, the inspection still counts and is open again, and the officer is told where they disagree.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from sqlalchemy import Connection, RowMapping, select, update

from api.judging.measured import Measured
from api.season.acts import REOPENED, SIGN_OFF_BY_ACT, record
from api.storage.schema import inspections, trail
from api.trail import Actor
from sizing.intake import FoundCell, read_boat
from sizing.model import FleetColumns, Notation
from sizing.units import DecimalSign

_encoded: Final = json.JSONEncoder(ensure_ascii=False).encode

Listed = Mapping[str, Mapping[str, str]]
"""Cells of a list as written, by the id of the boat and by column."""


@dataclass(frozen=True)
class ChangedCell:
    """A column that a sign-off covers: what the list said then, and what it says now."""

    field: str
    listed: str
    now: str


@dataclass(frozen=True)
class Reopened:
    """An inspection that is open again, and why."""

    boat_id: str
    number: int
    changed: tuple[ChangedCell, ...]


@dataclass(frozen=True)
class Disagreement:
    """A column that was measured, by whom and when, and of which the list now says something else."""

    boat_id: str
    field: str
    measured: str
    made_by: str
    made_at: str
    listed: str


def covers_of(row: RowMapping, listed: Mapping[str, str]) -> str:
    """What a sign-off of this inspection covers, as it is kept: by column the value, and what is listed."""
    covers = {
        one["field"]: {"measured": one["text"], "listed": listed.get(one["field"], "").strip()}
        for one in json.loads(row["measured"])
    }
    return _encoded(covers)


def covered_cells(covers: str) -> dict[str, str]:
    """What the list said of each column that a sign-off covers, from how that is kept."""
    return {field: one["listed"] for field, one in json.loads(covers).items()}


def changed_cells(row: RowMapping) -> list[ChangedCell]:
    """The columns for which an inspection is open again; none where it is not."""
    if row["state"] != "reopened":
        return []
    covers = json.loads(row["covers"]).items()
    return [ChangedCell(field, one["listed"], one["now"]) for field, one in covers if "now" in one]


def reopen_changed(connection: Connection, actor: Actor, fleet_id: str, listed: Listed) -> list[Reopened]:
    """Open every sign-off again that covers a cell of which the list in force says something else now.

    Part of the transaction that puts the list in force. One that is open already is told again where the list
    changed once more. A boat that is not listed keeps hers, for when she is back.
    """
    signed = inspections.c.state.in_(("signed off", "reopened"))
    query = select(inspections).where(inspections.c.fleet_id == fleet_id, signed)
    reopened = []
    for row in connection.execute(query.order_by(inspections.c.number)).mappings().all():
        cells = listed.get(row["boat_id"])
        if cells is None:
            continue
        covers: dict[str, dict[str, str]] = json.loads(row["covers"])
        changed = []
        for field, one in covers.items():
            known, now = one.get("now", one["listed"]), cells.get(field, "").strip()
            if now != known:
                one["now"] = now
                changed.append({"field": field, "before": known, "after": now})
        if not changed:
            continue
        now_open = (
            update(inspections)
            .where(inspections.c.id == row["id"])
            .values(state="reopened", signed_at=None, signed_by=None, covers=_encoded(covers))
            .returning(inspections)
        )
        kept = connection.execute(now_open).mappings().one()
        record(
            connection, actor, REOPENED, fleet_id, f"{row['boat_id']} {row['id']}",
            before={name: row[name] for name in ("state", "signed_at", "signed_by")}
            | {"listed": [{"field": one["field"], "value": one["before"]} for one in changed]},
            after={
                "state": "reopened",
                "listed": [{"field": one["field"], "value": one["after"]} for one in changed],
            },
        )  # fmt: skip
        reopened.append(Reopened(row["boat_id"], row["number"], tuple(changed_cells(kept))))
    return reopened


def signed_at(connection: Connection, fleet_id: str, at: str) -> set[str]:
    """The inspections that were signed off at a moment, by the trail: a row knows only how it stands now."""
    query = (
        select(trail.c.action, trail.c.subject)
        .where(trail.c.fleet_id == fleet_id, trail.c.at <= at)
        .where(trail.c.action.in_(SIGN_OFF_BY_ACT))
        .order_by(trail.c.seq)
    )
    signed = {row.subject.split()[-1]: SIGN_OFF_BY_ACT[row.action] for row in connection.execute(query)}
    return {inspection for inspection, is_signed in signed.items() if is_signed}


def disagreements(
    connection: Connection,
    fleet_id: str,
    listed: Listed,
    *,
    notation: Notation,
    day: dt.date,
    before: Listed | None = None,
) -> list[Disagreement]:
    """Where the list says of a column something else than was measured, and than it said then.

    A cell that is blank, or that reads as the measurement does ("24" under "Lead line (m)" and "24 m"), is
    no disagreement. `before` are the cells of the list that was in force: one that stood there was told then.
    """
    counts = inspections.c.fleet_id == fleet_id, inspections.c.state != "withdrawn"
    query = select(inspections).where(*counts).order_by(inspections.c.number)
    standing: dict[tuple[str, str], tuple[RowMapping, Measured]] = {}
    for row in connection.execute(query).mappings():
        for one in json.loads(row["measured"]):
            standing[row["boat_id"], one["field"]] = row, Measured(**one)
    told = []
    for (boat_id, field), (row, measured) in sorted(standing.items(), key=lambda item: item[0]):
        now = listed.get(boat_id, {}).get(field, "").strip()
        earlier = (before or {}).get(boat_id, {}).get(field, "").strip()
        if not now or now in (measured.text, measured.listed, earlier):
            continue
        if not reads_alike(field, now, measured, notation, day):
            told.append(Disagreement(boat_id, field, measured.text, row["made_by"], row["made_at"], now))
    return told


def reads_alike(
    field: str,
    cell: str,
    measured: Measured,
    notation: Notation,
    day: dt.date,
    decimal: DecimalSign | None = None,
) -> bool:
    """Whether a cell of the list and a measurement are read as the same; not where either cannot be read.

    With `decimal` it is no cell of the list but an answer, which tells its own unit and has this decimal
    sign.
    """
    if decimal is None:
        as_listed, wrong = read_boat({field: cell}, notation, {}, day)
    else:
        as_listed, wrong = read_boat({}, notation, {field: FoundCell(cell, decimal)}, day)
    as_measured, wrong_too = read_boat({}, notation, {field: measured.cell}, day)
    if any(name == field for name, _ in (*wrong, *wrong_too)):
        return False
    return all(
        np.allclose(one, other, rtol=1e-9, atol=0.0, equal_nan=True)
        for one, other in zip(_values(as_listed), _values(as_measured), strict=True)
    )


def _values(fleet: FleetColumns) -> list[Any]:
    return [*fleet.number.values(), *fleet.choice.values(), fleet.section_diameters_m]
