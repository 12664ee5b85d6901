"""Boats of the upload in force and what was found for them: reading and writing, on a given connection."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any, Final

from sqlalchemy import Connection, bindparam, delete, insert, select, update

from api.storage.packing import packed, unpacked
from api.storage.schema import entries, findings, fleets, requirements, results, revisions

_encoded: Final = json.JSONEncoder(ensure_ascii=False, allow_nan=False).encode
_HERE: Final = (results.c.fleet_id == bindparam("fleet"), results.c.boat_id == bindparam("boat"))
_ETAG: Final = select(results.c.etag).where(*_HERE)
_HER: Final = (results.c.boat_id, results.c.fleet_id, results.c.version)
RESULT: Final = select(results.c.etag, results.c.document, *_HER).where(*_HERE)
"""Her version, and what `kept_text` takes."""
REQUIREMENT: Final = (
    select(results.c.etag, requirements.c.document, *_HER)
    .join(requirements, (requirements.c.fleet_id == results.c.fleet_id)
          & (requirements.c.boat_id == results.c.boat_id))
    .where(*_HERE)
)  # fmt: skip
_LEVEL: Final = 3
"""Of packing: a fifth of the size, and a boat's texts take half a millisecond."""


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
class ResultTexts:
    """A boat's result as JSON texts."""

    document: str
    requirement: str
    findings: tuple[str, ...]
    cells: str


@dataclass(frozen=True)
class KeptResult:
    """A boat's result on its way into the tables."""

    boat_id: str
    row: int
    document: Mapping[str, Any]
    requirement: Mapping[str, Any]
    findings: Sequence[Mapping[str, Any]]
    cells: Mapping[str, Any]

    @cached_property
    def texts(self) -> ResultTexts:
        """Everything as it is written down; worked out once, and best before the database is locked."""
        return ResultTexts(
            _encoded(self.document),
            _encoded(self.requirement),
            tuple(_encoded({"boat_id": self.boat_id, **finding}) for finding in self.findings),
            _encoded(self.cells),
        )

    @cached_property
    def packed(self) -> tuple[bytes, bytes, bytes]:
        """Document, requirement and findings as they are kept: small. Findings are a line each."""
        texts = self.texts
        return _pack(texts.document), _pack(texts.requirement), _pack("\n".join(texts.findings))

    def made_ready(self) -> KeptResult:
        """The same with all worked out that is written."""
        assert self.packed
        assert self.content_hash
        return self

    @cached_property
    def content_hash(self) -> str:
        """Hash of everything that is said about the boat."""
        texts = self.texts
        said = (str(self.row), texts.document, texts.requirement, texts.cells, *texts.findings)
        return hashlib.sha256("\n".join(said).encode()).hexdigest()[:16]


def _pack(text: str) -> bytes:
    return packed(text.encode(), _LEVEL)


def kept_text(document: bytes, boat_id: str, fleet_id: str, version: int) -> bytes:
    """A boat's result or requirement as it is sent: kept without ids and version, which change more often."""
    head = f'{{"id": "{boat_id}", "fleet_id": "{fleet_id}", "version": {version}, '
    return head.encode() + unpacked(document)[1:]


def kept_findings(
    connection: Connection, fleet_id: str, places: Sequence[tuple[str, int]]
) -> list[dict[str, Any]]:
    """Findings as the interface shows them, by boat and place."""
    here = results.c.fleet_id == fleet_id, results.c.boat_id.in_({boat for boat, _ in places})
    rows = connection.execute(select(results.c.boat_id, results.c.findings).where(*here))
    lines = {row.boat_id: unpacked(row.findings).split(b"\n") for row in rows}
    return [json.loads(lines[boat][place]) for boat, place in places]


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
    return connection.execute(_ETAG, {"fleet": fleet_id, "boat": boat_id}).scalar()


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
    changed = [boat for boat in boats if _hash_of(earlier.get(boat.boat_id, "")) != boat.content_hash]
    gone = set(earlier) - {boat.boat_id for boat in boats}
    ids = [boat.boat_id for boat in changed if boat.boat_id in earlier] + sorted(gone)
    for start in range(0, len(ids), 500):
        part = ids[start : start + 500]
        for table in (findings, requirements, results, entries):
            connection.execute(delete(table).where(table.c.fleet_id == fleet_id, table.c.boat_id.in_(part)))
    for start in range(0, len(changed), 500):
        part_of = changed[start : start + 500]
        connection.execute(insert(entries), [_entry(fleet_id, boat) for boat in part_of])
        connection.execute(insert(results), [_result(fleet_id, boat, version) for boat in part_of])
        connection.execute(insert(requirements), [_requirement(fleet_id, boat) for boat in part_of])
        connection.execute(insert(findings), [row for boat in part_of for row in _findings(fleet_id, boat)])
    return sorted({boat.boat_id for boat in changed} | gone)


def keep_boat(connection: Connection, fleet_id: str, version: int, boat: KeptResult) -> str:
    """Put one boat's new result in the place of the earlier one; returns its ETag.

    What says the same as before is not written again: it is most of what is said.
    """
    here = {"fleet": fleet_id, "boat": boat.boat_id}
    row = _result(fleet_id, boat, version)
    connection.execute(_UPDATE_RESULT, here | {name: row[name] for name in _RESULT_COLUMNS})
    connection.execute(_UPDATE_REQUIREMENT, here | {"document": boat.packed[1]})
    before = {found.place: tuple(found)[1:] for found in connection.execute(_FINDINGS, here)}
    rows = {one["place"]: one for one in _findings(fleet_id, boat)}
    changed = [
        here | {"at": place} | {name: one[name] for name in _FINDING_COLUMNS}
        for place, one in rows.items()
        if place in before and before[place] != tuple(one[name] for name in _FINDING_COLUMNS)
    ]
    if changed:
        connection.execute(_UPDATE_FINDING, changed)
    if new := [one for place, one in rows.items() if place not in before]:
        connection.execute(insert(findings), new)
    if gone := [here | {"at": place} for place in before if place not in rows]:
        connection.execute(_DELETE_FINDING, gone)
    return str(row["etag"])


# Prepared once, since building a statement costs more than running it.
_RESULT_COLUMNS: Final = (
    "version",
    "open_shalls",
    "open_shoulds",
    "computed",
    "stage",
    "etag",
    "document",
    "findings",
)
_FINDING_COLUMNS: Final = ("check_id", "family", "level", "standing")
_UPDATE_RESULT: Final = (
    update(results).where(*_HERE).values({name: bindparam(name) for name in _RESULT_COLUMNS})
)
_UPDATE_REQUIREMENT: Final = (
    update(requirements)
    .where(
        requirements.c.fleet_id == bindparam("fleet"), requirements.c.boat_id == bindparam("boat"),
        requirements.c.document != bindparam("document"),
    )
    .values(document=bindparam("document"))
)  # fmt: skip
_HER_FINDINGS: Final = (findings.c.fleet_id == bindparam("fleet"), findings.c.boat_id == bindparam("boat"))
_FINDINGS: Final = select(findings.c.place, *(findings.c[name] for name in _FINDING_COLUMNS)).where(
    *_HER_FINDINGS
)
_ONE_FINDING: Final = (*_HER_FINDINGS, findings.c.place == bindparam("at"))
_UPDATE_FINDING: Final = (
    update(findings).where(*_ONE_FINDING).values({name: bindparam(name) for name in _FINDING_COLUMNS})
)
_DELETE_FINDING: Final = delete(findings).where(*_ONE_FINDING)


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
        "cells": boat.texts.cells,
    }


def _result(fleet_id: str, boat: KeptResult, version: int) -> dict[str, Any]:
    return {
        "fleet_id": fleet_id,
        "boat_id": boat.boat_id,
        "version": version,
        "open_shalls": boat.document["open_shalls"],
        "open_shoulds": boat.document["open_shoulds"],
        "computed": int(boat.document["computed"]),
        "stage": boat.document["stage"],
        "etag": f'"{version}-{boat.content_hash}"',
        "document": boat.packed[0],
        "findings": boat.packed[2],
    }


def _requirement(fleet_id: str, boat: KeptResult) -> dict[str, Any]:
    return {"fleet_id": fleet_id, "boat_id": boat.boat_id, "document": boat.packed[1]}


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
        }
        for place, finding in enumerate(boat.findings)
    ]
