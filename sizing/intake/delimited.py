"""From delimited text to a table, exactly as the csv module reads it in strict mode.

Plain files take a fast path: the structure is checked on the bytes, then polars splits them. Anything out of
the ordinary (stray quotes, uneven rows, blank lines, bare carriage returns) goes through the csv module.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import polars as pl

from sizing.errors import InputError
from sizing.intake.gather import check_size, gather, title_notes
from sizing.intake.headers import find_header
from sizing.intake.row_finder import find_rows
from sizing.intake.table import Limits, RawTable
from sizing.units import clip

_DELIMITERS: Final = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "vertical bars"}
_HEAD_BYTES: Final = 65_536
_HEAD_ROWS: Final = 30


@dataclass(frozen=True)
class _Layout:
    delimiter: str
    header_at: int
    known: int
    share: float
    width: int


def read_delimited(data: bytes, filename: str, limits: Limits) -> RawTable:
    """Return the table in `data` (UTF-8, no byte order mark); InputError if there is none."""
    layout = _choose(data, filename)
    notes = [f"Cells are separated by {_DELIMITERS[layout.delimiter]}."]
    table = _plain(data, layout, filename, limits, notes)
    return table if table is not None else _careful(data, layout, filename, limits, notes)


def _choose(data: bytes, filename: str) -> _Layout:
    """Return the delimiter under which the header is best known and the rows are most even."""
    head = data[:_HEAD_BYTES].decode("utf-8", errors="ignore")
    whole = len(data) <= _HEAD_BYTES
    layouts = [layout for sign in _DELIMITERS if (layout := _layout(head, sign, whole=whole))]
    layouts.sort(key=lambda one: (one.known, one.share * (one.width > 1), one.width), reverse=True)
    if not layouts or (layouts[0].known < 2 and (layouts[0].width < 2 or layouts[0].share < 0.5)):
        found = "no table is found: the lines do not fall into columns"
        expected = "a header row and one line for each boat, with commas, semicolons or tabs between cells"
        raise InputError(filename, found, expected, "save the sheet as CSV UTF-8 or as .xlsx")
    best = layouts[0]
    rivals = [
        one
        for one in layouts[1:]
        if (one.known, one.share, one.width) == (best.known, best.share, best.width)
    ]
    if rivals:
        signs = f"{_DELIMITERS[best.delimiter]} and {_DELIMITERS[rivals[0].delimiter]}"
        found = f"{signs} divide the lines equally well, so the columns are not certain"
        raise InputError(filename, found, "one sign between cells", "save the sheet as CSV with commas only")
    return best


def _layout(head: str, delimiter: str, *, whole: bool) -> _Layout | None:
    rows: list[list[str]] = []
    try:
        for row in csv.reader(io.StringIO(head, newline=""), delimiter=delimiter):
            rows.append(row)
            if len(rows) >= 200:
                break
        else:
            if not whole and len(rows) > 1:
                rows.pop()
    except csv.Error:
        if not rows:
            return None
    header_at, known = find_header(rows[:_HEAD_ROWS])
    widths = [len(row) for row in rows[header_at:] if any(row)]
    if not widths:
        return None
    return _Layout(delimiter, header_at, known, widths.count(widths[0]) / len(widths), widths[0])


def _plain(
    data: bytes, layout: _Layout, filename: str, limits: Limits, notes: Sequence[str]
) -> RawTable | None:
    """Return the table if the bytes are plain; None if they need more care."""
    read = find_rows(data, layout.delimiter, layout.header_at, layout.width)
    if read is None or layout.width < 2:
        return None
    if (read.ends - read.starts).max() > limits.max_cell:
        return None
    body = layout.header_at + 1
    rows = len(read.starts) - body
    check_size(rows, layout.width, filename, limits)
    if not rows:
        return None
    head = data[: read.ends[layout.header_at]].decode()
    top = list(csv.reader(io.StringIO(head, newline=""), delimiter=layout.delimiter))
    frame = pl.read_csv(
        data[read.starts[body] :],
        has_header=False,
        separator=layout.delimiter,
        quote_char='"' if read.quoted else None,
        schema={str(place): pl.String for place in range(layout.width)},
        empty_string_is_null=False,
    )
    if frame.height != rows:
        return None
    row_no = np.arange(body, body + rows, dtype=np.int64) + 1
    said = (*notes, *title_notes(top[: layout.header_at]))
    return RawTable(tuple(top[layout.header_at]), frame, row_no, read.lines[body:], {},
                    layout.delimiter, said)  # fmt: skip


def _rows_of(
    text: str, delimiter: str, filename: str, limits: Limits
) -> Iterator[tuple[int, int, list[str]]]:
    """Yield (row_no number, line where it begins, cells); InputError for broken quoting."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    row_no = line = 0
    while True:
        line = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            where = f"{filename}, row {row_no + 1}, beginning at line {line}"
            if "field larger" in str(error):
                found = (
                    f"a cell has more than {csv.field_size_limit():,} characters; a quote may not be closed"
                )
            elif "unexpected end" in str(error):
                found = 'a quote (") is opened and never closed'
            else:
                found = 'text follows straight after a closing quote (")'
            mend = "close the quote, or write a quote inside a quoted cell twice"
            raise InputError(where, found, "quoted cells to begin and end with a quote", mend) from None
        row_no += 1
        for place, cell in enumerate(cells):
            if len(cell) > limits.max_cell:
                where = f"{filename}, row {row_no} (line {line}), cell {place + 1}"
                found = f"the cell has {len(cell):,} characters and begins “{clip(cell)[:40]}”"
                mend = "shorten it, or close a quote that was left open"
                raise InputError(where, found, f"at most {limits.max_cell:,} characters in a cell", mend)
        yield row_no, line, cells


def _careful(data: bytes, layout: _Layout, filename: str, limits: Limits, notes: list[str]) -> RawTable:
    """Return the table read row_no by row_no with the csv module."""
    read = _rows_of(data.decode("utf-8"), layout.delimiter, filename, limits)
    titles: list[list[str]] = []
    header: list[str] = []
    for _, _, cells in read:
        if len(titles) == layout.header_at:
            header = cells
            break
        titles.append(cells)
    check_size(0, len(header), filename, limits)
    return gather(read, header, layout.delimiter, filename, limits, [*notes, *title_notes(titles)])
