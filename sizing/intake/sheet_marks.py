"""What a workbook's reader passes over: formulas never worked out, hidden rows and columns, merged cells."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final
from xml.etree import ElementTree

from sizing.intake.table import NO_RESULT, column_letter
from sizing.units import clip

_NAMED: Final = 10
_ROW_OF: Final = re.compile(r"[A-Z]+([0-9]+)")


@dataclass
class SheetMarks:
    """Marks of one sheet.

    unworked:
        cell ("F2") -> what is shown for a formula without a result
    hidden:
        rows that are hidden or filtered away
    hidden_columns:
        first and last place of each run of hidden columns, counted from 0
    merged:
        ranges ("L4:L6") merged over several rows
    """

    unworked: dict[str, str] = field(default_factory=dict)
    hidden: list[int] = field(default_factory=list)
    hidden_columns: list[tuple[int, int]] = field(default_factory=list)
    merged: list[tuple[str, int, int]] = field(default_factory=list)

    def notes(self, header: Sequence[str], first_boat: int, numbers: Sequence[int]) -> list[str]:
        """Return notes on hidden rows, hidden columns with a header, and merged cells, from `first_boat`."""
        read = set(numbers)
        hidden = [row for row in self.hidden if row >= first_boat and row in read]
        merged = [name for name, first, last in self.merged if last >= first_boat and last > first]
        notes = []
        if hidden:
            rows = "row is" if len(hidden) == 1 else "rows are"
            notes.append(
                f"{len(hidden)} {rows} hidden in the sheet and read like all others: "
                f"{_named([str(row) for row in hidden])}."
            )
        unseen = [
            f"{column_letter(place)} “{clip(title.strip())}”"
            for place, title in enumerate(header)
            if title.strip() and any(first <= place <= last for first, last in self.hidden_columns)
        ]
        if unseen:
            columns = "column is" if len(unseen) == 1 else "columns are"
            notes.append(
                f"{len(unseen)} {columns} hidden in the sheet and read like all others: {_named(unseen)}."
            )
        if merged:
            notes.append(
                f"Cells are merged over several rows ({_named(merged)}): only the first row of each has what "
                "is written there, the rows below it are read as blank."
            )
        return notes


def _named(names: Sequence[str]) -> str:
    more = len(names) - _NAMED
    return ", ".join(names[:_NAMED]) + (f" and {more} more" if more > 0 else "")


def sheet_marks(data: bytes, path: str) -> SheetMarks:
    """Return the marks of the sheet stored at `path` of the workbook `data`."""
    marks = SheetMarks()
    with zipfile.ZipFile(io.BytesIO(data)) as archive, archive.open(path) as stream:
        # The parser fetches nothing from outside and bounds what entities may grow to.
        for _, element in ElementTree.iterparse(stream):  # noqa: S314
            tag = element.tag.rpartition("}")[2]
            if tag == "c":
                _mark_cell(element, marks.unworked)
            elif tag == "row":
                if element.get("hidden") in ("1", "true") and element.get("r", "").isdigit():
                    marks.hidden.append(int(element.get("r", "")))
                element.clear()
            elif tag == "col" and element.get("hidden") in ("1", "true"):
                _mark_columns(element.attrib, marks.hidden_columns)
            elif tag == "mergeCell":
                _mark_merged(element.attrib, marks.merged)
    return marks


def _mark_cell(cell: ElementTree.Element, unworked: dict[str, str]) -> None:
    """Note a formula whose result is not stored; an empty text is a result."""
    parts = {part.tag.rpartition("}")[2]: part for part in cell}
    if "f" not in parts:
        return
    result = parts.get("v")
    if result is None or (result.text is None and cell.get("t") != "str"):
        formula = parts["f"].text or "the formula of a cell above"
        unworked[cell.get("r", "")] = f"{NO_RESULT} ={clip(formula)}"


def _mark_columns(attributes: Mapping[str, str], hidden: list[tuple[int, int]]) -> None:
    first, last = attributes.get("min", ""), attributes.get("max", "")
    if first.isdigit() and last.isdigit():
        hidden.append((int(first) - 1, int(last) - 1))


def _mark_merged(attributes: Mapping[str, str], merged: list[tuple[str, int, int]]) -> None:
    name = attributes.get("ref", "")
    rows = [int(row) for row in _ROW_OF.findall(name)]
    if len(rows) == 2:
        merged.append((name, rows[0], rows[1]))
