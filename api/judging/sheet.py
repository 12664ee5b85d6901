"""Reading one boat's cells again as the whole file was read, and putting her row back among the fleet."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any, Final

import numpy as np
import polars as pl

from api.judging.measured import MeasurementError
from sitegen.boat_facts import private_values
from sizing.fields import FIELDS
from sizing.intake import read_fleet
from sizing.intake.headers import map_columns
from sizing.intake.rejects import DECIMAL_NOTES, PROBLEM_COLUMNS
from sizing.model import FleetColumns, IntakeResult, Remark, RemarkKind
from sizing.spreadsheet import csv_bytes

IDENTITY: Final = ("entry_no", "boat_name")
AMONG_BOATS: Final = ("sister_ships",)
"""Columns, and codes of others, whose remarks come from holding boats against each other: one row alone
cannot show them."""

_KEPT: Final = tuple(field.name for field in FIELDS if field.published)


@dataclass(frozen=True)
class Sheet:
    """How a file was read: its own header of each column, and its decimal sign ("." , "," or "" )."""

    headers: Mapping[str, str]
    decimal: str


@dataclass(frozen=True)
class BoatCells:
    """One boat as the file had her, and remarks only the whole file can make.

    `private` are her contact details, known only so that they can be taken out of free text.
    """

    cells: Mapping[str, str]
    remarks: tuple[tuple[str, str, str, str], ...] = ()
    private: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """As it is kept."""
        return asdict(self)

    @classmethod
    def of(cls, kept: Mapping[str, Any]) -> BoatCells:
        """As it was kept."""
        remarks = tuple((kind, code, column, said) for kind, code, column, said in kept["remarks"])
        return cls(dict(kept["cells"]), remarks, tuple(kept["private"]))


def sheet_of(intake: IntakeResult, filename: str) -> Sheet:
    """How the file of `intake` was read."""
    place = map_columns(list(intake.header), filename).place
    headers = {name: intake.header[at] for name, at in place.items() if name in _KEPT}
    sign = next((sign for sign, note in DECIMAL_NOTES.items() if note in intake.file_notes), "")
    return Sheet(headers, sign)


def cells_of(fleet: FleetColumns) -> list[BoatCells]:
    """Every boat's cells as they stood, in the order of the file."""
    names = [name for name in _KEPT if name in fleet.as_written.columns]
    shared = [remark for remark in fleet.remarks if _among_boats(remark)]
    boats = []
    for row, cells in enumerate(fleet.as_written.select(names).iter_rows()):
        said = [(r.kind, r.code, r.column, sentence) for r in shared if (sentence := r.sentence_of(row))]
        filled = {name: cell for name, cell in zip(names, cells, strict=True) if cell}
        boats.append(BoatCells(filled, tuple(said), private_values(fleet, row)))
    return boats


def one_boat(sheet: Sheet, boat: BoatCells, as_found: Mapping[str, str], today: dt.date) -> IntakeResult:
    """Read one boat, with what was found in place of what was entered.

    Raises MeasurementError where she could not be accepted so; nothing is taken then.
    """
    comma = sheet.decimal == ","
    found = {name: cell.replace(".", ",") if comma else cell for name, cell in as_found.items()}
    cells = {**dict.fromkeys(sheet.headers, ""), **boat.cells, **found}
    names = list(cells)
    header = [PROBLEM_COLUMNS[-1], *(sheet.headers.get(name, name) for name in names)]
    row = ["comma" if comma else "point", *(cells[name] for name in names)]
    intake = read_fleet(csv_bytes([header, row]), "one boat.csv", today=today)
    if intake.rejected:
        columns = {sheet.headers.get(name, name).strip(): name for name in names}
        raise MeasurementError(
            [
                (columns.get(e.column, "boat"), e.code, e.expected, "measure again, or correct the entry")
                for row in intake.rejected
                for e in row.errors
            ]
        )
    own = [remark for remark in intake.fleet.remarks if not _among_boats(remark)]
    shared = [
        _remark(kind, code, column, said, 0)
        for kind, code, column, said in boat.remarks
        if column not in as_found  # it was about the figure that was entered
    ]
    return replace(intake, fleet=replace(intake.fleet, remarks=(*own, *shared)))


def as_entered(fleet: FleetColumns, boat: BoatCells) -> FleetColumns:
    """A fleet of one boat from `one_boat`, with her cells as written put back as they were entered."""
    names = fleet.as_written.columns
    cells = [tuple(boat.cells.get(name, "") for name in names)]
    written = pl.DataFrame(cells, schema=dict.fromkeys(names, pl.String), orient="row")
    return replace(fleet, as_written=written)


def replace_rows(fleet: FleetColumns, boats: Mapping[int, FleetColumns]) -> FleetColumns:
    """The fleet with some rows in the place of what was entered; rows as single boats from `one_boat`."""
    if not boats:
        return fleet
    number = {name: column.copy() for name, column in fleet.number.items()}
    choice = {name: column.copy() for name, column in fleet.choice.items()}
    sections = fleet.section_diameters_m.copy()
    remarks = [_without(remark, set(boats)) for remark in fleet.remarks]
    for row, boat in boats.items():
        for name, values in boat.number.items():
            number[name][row] = values[0]
        for name, codes in boat.choice.items():
            choice[name][row] = codes[0]
        sections[row] = boat.section_diameters_m[0]
        for remark in boat.remarks:
            remarks.append(_remark(remark.kind, remark.code, remark.column, remark.sentences[0], row))
    return replace(
        fleet,
        number=number,
        choice=choice,
        section_diameters_m=sections,
        as_written=_written(fleet.as_written, boats),
        remarks=tuple(remark for remark in remarks if len(remark.rows)),
    )


def _written(frame: pl.DataFrame, boats: Mapping[int, FleetColumns]) -> pl.DataFrame:
    added = {name for boat in boats.values() for name in boat.as_written.columns if name in _KEPT}
    columns = {name: frame[name].to_list() for name in frame.columns}
    for name in sorted(added - set(frame.columns)):
        columns[name] = [""] * frame.height
    for row, boat in boats.items():
        for name in boat.as_written.columns:
            if name in added:
                columns[name][row] = str(boat.as_written[name][0] or "")
    return pl.DataFrame(columns, schema=dict.fromkeys(columns, pl.String))


def _without(remark: Remark, rows: set[int]) -> Remark:
    stays = np.array([int(row) not in rows for row in remark.rows], dtype=np.bool_)
    if stays.all():
        return remark
    said: Sequence[str] = remark.sentences
    if len(said) > 1:
        said = [sentence for sentence, stay in zip(said, stays, strict=True) if stay]
    return replace(remark, rows=remark.rows[stays], sentences=tuple(said))


def _remark(kind: str, code: str, column: str, sentence: str, row: int) -> Remark:
    known: RemarkKind = "warning" if kind == "warning" else "interpretation"
    return Remark(known, code, column, np.array([row], dtype=np.int64), (sentence,))


def _among_boats(remark: Remark) -> bool:
    return remark.column in IDENTITY or remark.code in AMONG_BOATS
