"""Inspections and waivers of a fleet, as rows and as what counts for the engine."""

from __future__ import annotations

import datetime as dt
import json
from collections import defaultdict
from collections.abc import Collection
from typing import Any

from sqlalchemy import Connection, RowMapping, Select, func, or_, select, update

from api.judging.answered import Answer
from api.judging.measured import Measured
from api.judging.run import Scrutiny, waiver_of
from api.storage.schema import answers, fleets, inspections, waivers


def scrutiny_of(
    connection: Connection,
    fleet_id: str,
    boat_id: str | None = None,
    at: str | None = None,
    signed: Collection[str] | None = None,
) -> dict[str, Scrutiny]:
    """What counts for every boat (or one), by boat id: what is withdrawn does not. `at` a moment, or now.

    `signed` are the inspections that were signed off at that moment; without it those that are now.
    """
    measured: dict[str, list[tuple[Measured, ...]]] = defaultdict(list)
    sign_offs: dict[str, dict[str, dict[str, str] | None]] = defaultdict(dict)
    for row in connection.execute(_standing(select(inspections), inspections, fleet_id, boat_id, at)):
        told = (Measured(**one, inspection=row.id) for one in json.loads(row.measured))
        measured[row.boat_id].append(tuple(told))
        is_signed = row.state == "signed off" if signed is None else row.id in signed
        covers = json.loads(row.covers).items() if is_signed else None
        sign_offs[row.boat_id][row.id] = None if covers is None else {k: one["listed"] for k, one in covers}
    given = defaultdict(list)
    for row in connection.execute(_standing(select(waivers), waivers, fleet_id, boat_id, at)):
        until = dt.date.fromisoformat(row.until)
        waiver = waiver_of(row.entry_no, row.check_id, row.reason, row.officer, until)
        assert waiver is not None  # it was made by the same function before it was kept
        given[row.boat_id].append(waiver)
    said = answers_of(connection, fleet_id, boat_id, at)
    return {
        key: Scrutiny(
            tuple(measured.get(key, ())), tuple(given.get(key, ())), sign_offs.get(key, {}), said.get(key, {})
        )
        for key in sorted(measured.keys() | given.keys() | said.keys())
    }


def answers_of(
    connection: Connection, fleet_id: str, boat_id: str | None = None, at: str | None = None
) -> dict[str, dict[str, Answer]]:
    """The last answer about each column of every boat (or of one), by boat id. `at` a moment, or now."""
    query = select(answers).where(answers.c.fleet_id == fleet_id).order_by(answers.c.number)
    if boat_id is not None:
        query = query.where(answers.c.boat_id == boat_id)
    if at is not None:
        query = query.where(answers.c.made_at <= at)
    said: dict[str, dict[str, Answer]] = defaultdict(dict)
    for row in connection.execute(query):
        said[row.boat_id][row.field] = Answer(
            row.field, row.state, row.text, row.decimal, row.listed, row.until, row.number, row.made_at[:10]
        )
    return dict(said)


def _standing(
    query: Select[Any], table: Any, fleet_id: str, boat_id: str | None, at: str | None
) -> Select[Any]:
    query = query.where(table.c.fleet_id == fleet_id).order_by(table.c.number)
    if at is None:
        query = query.where(table.c.state != "withdrawn")
    else:
        still = or_(table.c.withdrawn_at.is_(None), table.c.withdrawn_at > at)
        query = query.where(table.c.made_at <= at, still)
    return query if boat_id is None else query.where(table.c.boat_id == boat_id)


def next_number(connection: Connection, table: Any, fleet_id: str) -> int:
    """The next number of an inspection or waiver within its fleet."""
    last = connection.execute(select(func.max(table.c.number)).where(table.c.fleet_id == fleet_id)).scalar()
    return int(last or 0) + 1


def next_version(connection: Connection, fleet_id: str) -> int:
    """Count one more change of the fleet; the new version."""
    counted = update(fleets).where(fleets.c.id == fleet_id).values(version=fleets.c.version + 1)
    return int(connection.execute(counted.returning(fleets.c.version)).scalar_one())


def waiver_document(row: RowMapping) -> dict[str, Any]:
    """A waiver as the interface shows it."""
    return {("check" if k == "check_id" else k): v for k, v in row.items()}
