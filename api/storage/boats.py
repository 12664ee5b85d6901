"""Boats of the upload in force and what was found for them: reading and writing, on a given connection."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

from sqlalchemy import Connection, bindparam, delete, insert, select, update

from api.storage.schema import entries, findings, fleets, results, revisions

RESULT: Final = select(results.c.etag, results.c.document).where(
    results.c.fleet_id == bindparam("fleet"), results.c.boat_id == bindparam("boat")
)
REQUIREMENT: Final = select(results.c.etag, results.c.requirement).where(
    results.c.fleet_id == bindparam("fleet"), results.c.boat_id == bindparam("boat")
)


@dataclass(frozen=True)
class KeptBoat:
    """A boat as kept: her cells, how her file was read, and the version of her result."""

    row: int
    entry_no: str
    boat_name: str
    cells: Mapping[str, Any]
    sheet: Mapping[str, Any]
    etag: str


@dataclass(frozen=True)
class KeptResult:
    """A boat's result on its way into the tables."""

    boat_id: str
    row: int
    document: Mapping[str, Any]
    requirement: Mapping[str, Any]
    findings: Sequence[Mapping[str, Any]]
    cells: Mapping[str, Any]

    def content_hash(self) -> str:
        """Hash of everything that is said about the boat."""
        said = json.dumps(
            [self.row, self.document, self.requirement, self.findings, self.cells], sort_keys=True
        )
        return hashlib.sha256(said.encode()).hexdigest()[:16]


def kept_boat(connection: Connection, fleet_id: str, boat_id: str) -> KeptBoat | None:
    """The boat, None if the upload in force has none of this id."""
    row = connection.execute(
        select(entries.c.row, entries.c.entry_no, entries.c.boat_name, entries.c.cells, results.c.etag,
               revisions.c.report)
        .join_from(entries, results, (results.c.fleet_id == entries.c.fleet_id)
                   & (results.c.boat_id == entries.c.boat_id))
        .join(fleets, fleets.c.id == entries.c.fleet_id)
        .join(revisions, (revisions.c.fleet_id == fleets.c.id) & (revisions.c.number == fleets.c.revision))
        .where(entries.c.fleet_id == fleet_id, entries.c.boat_id == boat_id)
    ).first()  # fmt: skip
    if row is None:
        return None
    sheet = _sheet_of(row.report)
    return KeptBoat(row.row, row.entry_no, row.boat_name, json.loads(row.cells), sheet, row.etag)


@lru_cache(maxsize=8)
def _sheet_of(report: str) -> Mapping[str, Any]:
    """How the file was read; a report tells of every rejected row too, and is long for a bad file."""
    sheet: dict[str, Any] = json.loads(report)["sheet"]
    return sheet


def etag_of(connection: Connection, fleet_id: str, boat_id: str) -> str | None:
    """The version of a boat's result, None if the upload in force has none of this id."""
    here = results.c.fleet_id == fleet_id, results.c.boat_id == boat_id
    return connection.execute(select(results.c.etag).where(*here)).scalar()


def keep_fleet(connection: Connection, fleet_id: str, version: int, boats: Sequence[KeptResult]) -> list[str]:
    """Put a whole fleet's results in the place of the earlier ones; returns the boats that changed.

    A boat about which nothing changed keeps her version, so that nobody's edit is refused for nothing.
    """
    earlier = {
        row.boat_id: row.etag
        for row in connection.execute(
            select(results.c.boat_id, results.c.etag).where(results.c.fleet_id == fleet_id)
        )
    }
    changed = [boat for boat in boats if _hash_of(earlier.get(boat.boat_id, "")) != boat.content_hash()]
    gone = set(earlier) - {boat.boat_id for boat in boats}
    ids = [boat.boat_id for boat in changed if boat.boat_id in earlier] + sorted(gone)
    for start in range(0, len(ids), 500):
        part = ids[start : start + 500]
        for table in (findings, results, entries):
            connection.execute(delete(table).where(table.c.fleet_id == fleet_id, table.c.boat_id.in_(part)))
    for start in range(0, len(changed), 500):
        part_of = changed[start : start + 500]
        connection.execute(insert(entries), [_entry(fleet_id, boat) for boat in part_of])
        connection.execute(insert(results), [_result(fleet_id, boat, version) for boat in part_of])
        connection.execute(insert(findings), [row for boat in part_of for row in _findings(fleet_id, boat)])
    return sorted({boat.boat_id for boat in changed} | gone)


def keep_boat(connection: Connection, fleet_id: str, version: int, boat: KeptResult) -> str:
    """Put one boat's new result in the place of the earlier one; returns its ETag."""
    row = _result(fleet_id, boat, version)
    here = (results.c.fleet_id == fleet_id) & (results.c.boat_id == boat.boat_id)
    connection.execute(update(results).where(here).values(row))
    _keep_findings(connection, fleet_id, boat)
    return str(row["etag"])


def _keep_findings(connection: Connection, fleet_id: str, boat: KeptResult) -> None:
    """Write the findings that say something else than before: few of a boat's many."""
    here = (findings.c.fleet_id == fleet_id) & (findings.c.boat_id == boat.boat_id)
    query = select(findings.c.place, findings.c.document).where(here)
    before = {row.place: row.document for row in connection.execute(query)}
    rows = _findings(fleet_id, boat)
    changed = [row for row in rows if before.get(row["place"]) != row["document"]]
    places = [row["place"] for row in changed] + sorted(before.keys() - {row["place"] for row in rows})
    if places:
        connection.execute(delete(findings).where(here, findings.c.place.in_(places)))
    if changed:
        connection.execute(insert(findings), changed)


def _hash_of(etag: str) -> str:
    return etag.strip('"').rpartition("-")[2]


def _entry(fleet_id: str, boat: KeptResult) -> dict[str, Any]:
    said = {name: str(boat.document[name]) for name in ("entry_no", "boat_name", "sail_no", "berth")}
    return {
        "fleet_id": fleet_id,
        "boat_id": boat.boat_id,
        "row": boat.row,
        **said,
        "search": "\n".join(said.values()).casefold(),
        "cells": json.dumps(boat.cells, ensure_ascii=False),
    }


def _result(fleet_id: str, boat: KeptResult, version: int) -> dict[str, Any]:
    head = {"id": boat.boat_id, "fleet_id": fleet_id, "version": version}
    return {
        "fleet_id": fleet_id,
        "boat_id": boat.boat_id,
        "version": version,
        "open_shalls": boat.document["open_shalls"],
        "open_shoulds": boat.document["open_shoulds"],
        "computed": int(boat.document["computed"]),
        "etag": f'"{version}-{boat.content_hash()}"',
        "document": json.dumps({**head, **boat.document}, ensure_ascii=False, allow_nan=False),
        "requirement": json.dumps({**head, **boat.requirement}, ensure_ascii=False, allow_nan=False),
    }


def _findings(fleet_id: str, boat: KeptResult) -> list[dict[str, Any]]:
    return [
        {
            "fleet_id": fleet_id,
            "boat_id": boat.boat_id,
            "place": place,
            "row": boat.row,
            "check_id": finding["check"],
            "family": finding["family"],
            "level": finding["level"],
            "standing": finding["standing"],
            "document": json.dumps({"boat_id": boat.boat_id, **finding}, ensure_ascii=False, allow_nan=False),
        }
        for place, finding in enumerate(boat.findings)
    ]
