"""From an .xlsx workbook to a table, with dates and numbers as the sheet showed them."""

from __future__ import annotations

import datetime as dt
import io
import re
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from itertools import islice
from typing import Any, Final

from sizing.errors import InputError
from sizing.intake.gather import check_size, gather, title_notes
from sizing.intake.headers import find_header
from sizing.intake.sheet_marks import SheetMarks, sheet_marks
from sizing.intake.table import Limits, RawTable, column_letter
from sizing.units import clip

_EXPECTED: Final = "an .xlsx workbook with the fleet on one sheet"
_SAVE: Final = "open it in a spreadsheet program, save it again as .xlsx without a password, or as CSV UTF-8"
_HEAD_ROWS: Final = 30
_LIKE_ENTRIES: Final = 4
"""Known headers from which a sheet that is left out may be an entry list too [assumed]."""


def read_workbook(data: bytes, filename: str, limits: Limits) -> RawTable:
    """Return the sheet that is most like an entry list; InputError if the workbook is broken or protected.

    A hidden sheet is read only if no visible one holds anything.
    """
    sizes = _unpacked_sizes(data, filename)
    _refuse_large(sum(sizes.values()), filename, limits)
    try:
        read, notes, marks = _best_sheet(data, filename, limits, sizes)
    except InputError:
        raise
    except Exception as error:  # the reader meets damage anywhere and raises whatever it likes
        found = f"the workbook is damaged ({type(error).__name__})"
        raise InputError(filename, found, _EXPECTED, _SAVE) from error
    at, _ = find_header([cells for _, _, cells in read[:_HEAD_ROWS]])
    notes.extend(title_notes([cells for _, _, cells in read[:at]]))
    header = read[at][2]
    while header and not header[-1].strip():
        header.pop()
    width = len(header)
    check_size(0, width, filename, limits)
    if at + 1 < len(read):
        notes.extend(marks.notes(header, read[at + 1][0], [number for number, _, _ in read[at + 1 :]]))
    # A workbook stores no empty cells at a row's end, so a short row there is not a broken one.
    body = ((number, line, cells + [""] * (width - len(cells))) for number, line, cells in read[at + 1 :])
    return gather(body, header, "", filename, limits, notes)


def _unpacked_sizes(data: bytes, filename: str) -> dict[str, int]:
    """Return the size of every part as the archive tells it. More than that is read of none.

    A part that unpacks to more breaks off there, and is damaged by its checksum.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            sizes = {entry.filename: 0 for entry in archive.infolist()}
            for entry in archive.infolist():
                sizes[entry.filename] += entry.file_size
    except (zipfile.BadZipFile, ValueError, OSError, EOFError, NotImplementedError) as error:
        raise InputError(filename, "the workbook is cut short or damaged", _EXPECTED, _SAVE) from error
    if "xl/workbook.xml" not in sizes:
        raise InputError(filename, "the file is an archive, but not an .xlsx workbook", _EXPECTED, _SAVE)
    return sizes


def _refuse_large(unpacked: int, filename: str, limits: Limits) -> None:
    if unpacked > limits.max_unpacked:
        found = f"the workbook unpacks to {unpacked / 1e6:,.0f} MB"
        expected = f"at most {limits.max_unpacked / 1e6:,.0f} MB"
        mend = "delete sheets, and formats of empty rows, that are not needed; or save the entry list as CSV"
        raise InputError(filename, found, expected, mend)


def _best_sheet(
    data: bytes, filename: str, limits: Limits, sizes: Mapping[str, int]
) -> tuple[list[tuple[int, int, list[str]]], list[str], SheetMarks]:
    """Return the rows of the chosen sheet, notes on the choice, and the marks of the sheet."""
    import openpyxl  # noqa: PLC0415  slow to load, and only workbooks need it

    book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
    try:
        # Several sheets may be one part of the archive, which is unpacked for each.
        sheets: list[Any] = list(book.worksheets)
        _refuse_large(sum(sizes.get(one._worksheet_path, 0) for one in sheets), filename, limits)
        known = _known_headers(book.worksheets, filename, limits)
        if not known:
            raise InputError(
                filename, "every sheet is empty", _EXPECTED, "choose the workbook with the entries"
            )
        visible = [title for title in known if book[title].sheet_state == "visible"]
        best = max(visible or known, key=lambda title: known[title])
        sheet: Any = book[best]
        marks = sheet_marks(data, sheet._worksheet_path)
        read = list(_rows(sheet, filename, limits, marks.unworked))
        titles = [one.title for one in book.worksheets if one.title != best]
    finally:
        book.close()
    rivals = [title for title in titles if known.get(title, 0) >= _LIKE_ENTRIES]
    notes = [f"Sheet “{clip(best)}” is read."]
    notes.extend(
        f"Sheet “{clip(title)}”{'' if title in visible else ', which is hidden,'} looks like an entry list "
        "too and is not read. If its boats belong to the fleet, put them on one sheet."
        for title in rivals
    )
    others = [f"“{clip(title)}”" for title in titles if title not in rivals]
    if others:
        notes.append(f"Other sheets left out: {', '.join(others)}.")
    return read, notes, marks


def _known_headers(sheets: Iterable[Any], filename: str, limits: Limits) -> dict[str, int]:
    """Return, for each sheet that holds anything, how many columns of the entry sheet its header names."""
    known = {}
    for sheet in sheets:
        sheet.reset_dimensions()
        head = [cells for _, _, cells in islice(_rows(sheet, filename, limits, {}), _HEAD_ROWS)]
        if head:
            known[sheet.title] = find_header(head)[1]
    return known


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
        if kept > limits.max_rows + _HEAD_ROWS:
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
