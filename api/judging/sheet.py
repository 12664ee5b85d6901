"""One boat from her cells as kept, and a fleet with some of its boats as found aboard."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any, Final

import numpy as np

from api.judging.answered import Answer
from api.judging.measured import Measured, MeasurementError
from sizing.audit import ANSWERED
from sizing.fields import FIELDS
from sizing.intake import read_boat
from sizing.intake.collect import Fault
from sizing.model import BoolArray, FleetColumns, HeaderUnit, Notation, Remark, RemarkKind
from sizing.redaction import private_values

AS_FOUND: Final = "as_found"
LEFT_OUT: Final = "answer_left_out"
IDENTITY: Final = ("entry_no", "boat_name")
AMONG_BOATS: Final = ("sister_ships",)
"""Columns, and codes of others, whose remarks come from holding boats against each other: one row alone
cannot show them."""

_KEPT: Final = tuple(field.name for field in FIELDS if field.published)


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


class FleetCells:
    """Every boat's cells as they stood, by her row; made when asked for, since few are of a large fleet."""

    def __init__(self, fleet: FleetColumns) -> None:
        self._fleet = fleet
        self._names = [name for name in _KEPT if name in fleet.as_written.columns]
        self._written = fleet.as_written.select(self._names)
        self._shared = [remark for remark in fleet.remarks if _among_boats(remark)]

    def __getitem__(self, row: int) -> BoatCells:
        told = ((one, one.sentence_of(row)) for one in self._shared)
        said = tuple((one.kind, one.code, one.column, sentence) for one, sentence in told if sentence)
        cells = dict(zip(self._names, self._written.row(row), strict=True))
        if self._fleet.weight_asked is not None and self._fleet.weight_asked[row]:
            cells["displacement_confirmed"] = ""  # a day without a name confirms nothing
        return BoatCells(
            {name: cell for name, cell in cells.items() if cell}, said, private_values(self._fleet, row)
        )


def one_boat(
    boat: BoatCells, notation: Notation, found: Mapping[str, Measured | Answer], today: dt.date
) -> FleetColumns:
    """Read one boat, with what was found in place of what was entered.

    Raises MeasurementError where she could not be accepted so; nothing is taken then.
    """
    cells = {name: one.cell for name, one in found.items()}
    fleet, faults = read_boat(boat.cells, notation, cells, today)
    if faults:
        raise MeasurementError([_told(name, fault, found) for name, fault in faults])
    shared = [
        _remark(kind, code, column, said, 0)
        for kind, code, column, said in boat.remarks
        if column not in found  # it was about the figure that was entered
    ]
    return replace(fleet, remarks=(*fleet.remarks, *shared))


def boat_as_found(
    boat: BoatCells,
    notation: Notation,
    found: Mapping[str, Measured],
    answered: Mapping[str, Answer],
    today: dt.date,
) -> FleetColumns:
    """As `one_boat`, with a remark about every value that a scrutineer found or her skipper answered.

    An answer that does not go with a new entry, or with what was measured since, is left out, and a warning
    says so: what a skipper wrote keeps no list from being taken.
    """
    fleet, left_out = _as_answered(boat, notation, found, answered, today)
    told = []
    for name, one in found.items():
        sentence = f"{name}: “{one.text}” as found aboard by a scrutineer, {_instead(boat, name)}"
        told.append(_remark("interpretation", AS_FOUND, name, sentence, 0))
    for name, answer in answered.items():
        said = f"{name}: “{answer.text}” as her skipper answered on {answer.day}"
        if name in left_out:
            sentence = f"{said} does not go with the rest of the entry, and is left out"
            told.append(_remark("warning", LEFT_OUT, name, sentence, 0))
        else:
            sentence = f"{said}, {_instead(boat, name)}"
            told.append(_remark("interpretation", ANSWERED, name, sentence, 0))
    return replace(fleet, remarks=(*fleet.remarks, *told))


def _as_answered(
    boat: BoatCells,
    notation: Notation,
    found: Mapping[str, Measured],
    answered: Mapping[str, Answer],
    today: dt.date,
) -> tuple[FleetColumns, Collection[str]]:
    """The boat read with all answers that can be read with the rest, and the columns of those that cannot."""
    left = dict(answered)
    while left:
        try:
            return one_boat(boat, notation, {**left, **found}, today), answered.keys() - left.keys()
        except MeasurementError as problem:
            named = {column for column, *_ in problem.problems} & left.keys()
            for name in named or set(left):
                del left[name]
    return one_boat(boat, notation, found, today), answered.keys()


def _instead(boat: BoatCells, name: str) -> str:
    own = boat.cells.get(name, "")
    return f"in place of “{own}” in the entry" if own.strip() else "where the entry says nothing"


def replace_rows(fleet: FleetColumns, boats: Mapping[int, FleetColumns]) -> FleetColumns:
    """The fleet with some boats as found: rows of figures and remarks; cells stay as they were written."""
    if not boats:
        return fleet
    number = {name: column.copy() for name, column in fleet.number.items()}
    choice = {name: column.copy() for name, column in fleet.choice.items()}
    sections = fleet.section_diameters_m.copy()
    unread = fleet.unread
    asked = np.zeros(len(fleet), dtype=np.bool_) if fleet.weight_asked is None else fleet.weight_asked.copy()
    remarks = [_without(remark, set(boats)) for remark in fleet.remarks]
    for row, boat in boats.items():
        for name, values in boat.number.items():
            number[name][row] = values[0]
        for name, codes in boat.choice.items():
            choice[name][row] = codes[0]
        sections[row] = boat.section_diameters_m[0]
        unread = _unread_of(unread, boat, row, len(fleet))
        asked[row] = boat.weight_asked is not None and bool(boat.weight_asked[0])
        for remark in boat.remarks:
            remarks.append(_remark(remark.kind, remark.code, remark.column, remark.sentences[0], row))
    kept = tuple(remark for remark in remarks if len(remark.rows))
    return replace(
        fleet, number=number, choice=choice, section_diameters_m=sections, remarks=kept, unread=unread,
        weight_asked=asked if asked.any() else None,
    )  # fmt: skip


def _unread_of(
    unread: Mapping[str, BoolArray], boat: FleetColumns, row: int, boats: int
) -> Mapping[str, BoolArray]:
    """Which cells could not be read, with those of one boat as they are now."""
    now = {}
    for name in {*unread, *boat.unread}:
        now[name] = unread[name].copy() if name in unread else np.zeros(boats, dtype=np.bool_)
        now[name][row] = name in boat.unread and bool(boat.unread[name][0])
    return {name: mask for name, mask in now.items() if mask.any()}


def notation_of(kept: Mapping[str, Any]) -> Notation:
    """How a file was read, as it was kept."""
    units = {name: HeaderUnit(**unit) for name, unit in kept["units"].items()}
    return Notation(units, kept["decimal"])


def _told(name: str, fault: Fault, found: Mapping[str, Measured | Answer]) -> tuple[str, str, str, str]:
    """What is wrong with a column, and what to do where it was measured or where it was entered."""
    if name not in found:
        return name or "boat", fault.code, fault.expected, "measure again, or correct the entry"
    mend = "write the unit after the figure" if fault.code == "no_unit" else fault.mend
    return name, fault.code, fault.expected, mend


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
