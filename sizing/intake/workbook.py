"""From an .xlsx workbook to a table, with dates and numbers as the sheet showed them.

What its reader passes over is read here too: formulas never worked out, hidden rows and columns, merged
cells.
"""

from __future__ import annotations

import datetime as dt
import re
import zipfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Any, Final
from xml.etree import ElementTree

from sizing.errors import InputError
from sizing.intake.header_match import name_of
from sizing.intake.several_sheets import Part, copies, shape, together
from sizing.raw_table import (
    HEAD_ROWS,
    NO_RESULT,
    Limits,
    RawTable,
    check_size,
    column_letter,
    find_header,
    gather,
    title_notes,
)
from sizing.units import clip
from sizing.workbook_parts import SAVE_AS, WorkbookParts

_EXPECTED: Final = "an .xlsx workbook with the fleet on one sheet"
_NAMED: Final = 10
_ROW_OF: Final = re.compile(r"[A-Z]+([0-9]+)")
_LIKE_ENTRIES: Final = 4
"""Known headers from which a sheet that is left out may be an entry list too [assumed]."""


def read_workbook(data: bytes, filename: str, limits: Limits) -> RawTable:
    """Return the sheet that is most like an entry list, with all others of its shape.

    InputError if the workbook is broken or protected. Hidden sheets are read only if no visible one holds
    anything.
    """
    try:
        with WorkbookParts(data, filename, limits, _EXPECTED) as parts:
            sheets, notes = _sheets(parts, filename, limits)
    except InputError:
        raise
    except Exception as error:  # the reader meets damage anywhere and raises whatever it likes
        found = f"the workbook is damaged ({type(error).__name__})"
        raise InputError(filename, found, _EXPECTED, SAVE_AS) from error
    first = sheets[0].part
    read = first.rows
    if len(sheets) > 1:
        read, said = together([one.part for one in sheets], name_of)
        notes.extend(said)
    at = first.header_at(name_of)
    notes.extend(title_notes([cells for _, _, cells in read[:at]]))
    header = read[at][2]
    while header and not header[-1].strip():
        header.pop()
    width = len(header)
    check_size(0, width, filename, limits)
    for one in sheets:
        notes.extend(one.notes(several=len(sheets) > 1))
    # A workbook stores no empty cells at a row's end, so a short row there is not a broken one.
    body = ((number, line, cells + [""] * (width - len(cells))) for number, line, cells in read[at + 1 :])
    return gather(body, header, "", filename, limits, notes, suspect=True)


@dataclass(frozen=True)
class _Sheet:
    """A sheet that is read, and its marks."""

    part: Part
    marks: SheetMarks

    def notes(self, *, several: bool) -> list[str]:
        """What is marked on it from its first boat on."""
        at = self.part.header_at(name_of)
        boats = self.part.rows[at + 1 :]
        if not boats:
            return []
        said = self.marks.notes(self.part.rows[at][2], boats[0][0], [number for number, _, _ in boats])
        return [f"Sheet “{clip(self.part.title)}”: {note}" if several else note for note in said]


def _sheets(parts: WorkbookParts, filename: str, limits: Limits) -> tuple[list[_Sheet], list[str]]:
    """Return the sheets that are read, the one most like an entry list first, and notes on the choice."""
    from openpyxl.reader.excel import ExcelReader  # noqa: PLC0415  slow to load, only workbooks need it

    reader = ExcelReader(parts.stream, read_only=True, data_only=True, keep_links=False)
    reader.archive = parts  # as openpyxl.load_workbook does, but for the parts looked through
    reader.read()
    book = reader.wb
    try:
        # Several sheets may be one part of the archive, which is unpacked for each.
        every: list[Any] = list(book.worksheets)
        parts.refuse_large(sum(parts.getinfo(one._worksheet_path).file_size for one in every))
        heads = _heads(every, filename, limits)
        if not heads:
            raise InputError(
                filename, "every sheet is empty", _EXPECTED, "choose the workbook with the entries"
            )
        known = {title: find_header(head, name_of)[1] for title, head in heads.items()}
        visible = [title for title in known if book[title].sheet_state == "visible"]
        best = max(visible or known, key=lambda title: known[title])
        like = shape(heads[best], name_of)
        alike = [
            title for title in visible if title != best and like and shape(heads[title], name_of) == like
        ]
        read: list[_Sheet] = []
        for title in (best, *alike):
            sheet: Any = book[title]
            marks = sheet_marks(parts, sheet._worksheet_path)
            one = _Sheet(Part(title, list(_rows(sheet, filename, limits, marks.unworked))), marks)
            if not read or not copies(read[0].part, one.part, name_of):
                read.append(one)
        titles = [one.title for one in every if one.title not in [sheet.part.title for sheet in read]]
    finally:
        book.close()
    rivals = [title for title in titles if known.get(title, 0) >= _LIKE_ENTRIES]
    notes = [f"Sheet “{clip(best)}” is read."] if len(read) == 1 else []
    notes.extend(
        f"Sheet “{clip(title)}”{'' if title in visible else ', which is hidden,'} looks like an entry list "
        "too and is not read. If its boats belong to the fleet, put them on one sheet."
        for title in rivals
    )
    others = [f"“{clip(title)}”" for title in titles if title not in rivals]
    if others:
        notes.append(f"Other sheets left out: {', '.join(others)}.")
    return read, notes


def _heads(sheets: Iterable[Any], filename: str, limits: Limits) -> dict[str, list[list[str]]]:
    """Return the first rows of each sheet that holds anything."""
    heads = {}
    for sheet in sheets:
        sheet.reset_dimensions()
        head = [cells for _, _, cells in islice(_rows(sheet, filename, limits, {}), HEAD_ROWS)]
        if head:
            heads[sheet.title] = head
    return heads


def _rows(
    sheet: Any, filename: str, limits: Limits, unworked: Mapping[str, str]
) -> Iterator[tuple[int, int, list[str]]]:
    """Yield (row, row, cells) of the rows that are not blank."""
    kept = 0
    for number, row in enumerate(sheet.iter_rows(), start=1):
        cells = [_shown(cell) for cell in row]
        if unworked:
            for place, cell in enumerate(cells):
                cells[place] = unworked.get(f"{column_letter(place)}{number}", cell)
        while cells and not cells[-1].strip():
            cells.pop()
        if not cells:
            continue
        kept += 1
        if kept > limits.max_rows + HEAD_ROWS:
            raise InputError(filename, f"the table has more than {limits.max_rows:,} rows",
                             f"at most {limits.max_rows:,}", "delete what does not belong")  # fmt: skip
        for place, text in enumerate(cells):
            if len(text) > limits.max_cell:
                raise InputError(f"{filename}, row {number}, cell {place + 1}",
                                 f"the cell has {len(text):,} characters",
                                 f"at most {limits.max_cell:,}", "shorten it")  # fmt: skip
        yield number, number, cells


def _shown(cell: Any) -> str:
    """Return a cell's cached value as the sheet showed it, as far as the figure itself goes."""
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dt.datetime):
        midnight = value.time() == dt.time()
        return value.date().isoformat() if midnight else value.isoformat(sep=" ", timespec="seconds")
    if isinstance(value, int | float):
        return _number_shown(value, str(cell.number_format or "General"))
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    return str(value)


def _number_shown(value: float, number_format: str) -> str:
    """Return a number in plain digits, with the zeros and the unit its format adds.

    >>> _number_shown(17, "000"), _number_shown(11.6, '0.00" m"')
    ('017', '11.6 m')
    """
    text = str(value) if isinstance(value, int) else f"{value:.15g}"
    if "e" in text:
        text = f"{value:.15f}".rstrip("0").rstrip(".") if abs(value) < 1 else f"{value:.0f}"
    section = number_format.split(";", maxsplit=1)[0]
    if re.fullmatch("0{2,}", section) and float(value).is_integer() and value >= 0:
        return text.zfill(len(section))
    if section.rstrip().endswith("%"):
        return f"{value * 100:.15g}%"
    literals = re.findall(r'"([^"]*)"|\\(.)', re.sub(r"^.*[0#?]", "", section))
    return text + "".join(quoted or single for quoted, single in literals)


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


def sheet_marks(parts: zipfile.ZipFile, path: str) -> SheetMarks:
    """Return the marks of the sheet stored at `path` of a workbook."""
    marks = SheetMarks()
    with parts.open(path) as stream:
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
