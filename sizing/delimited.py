"""The one reader of CSV: from bytes to a table, exactly as the csv module reads it in strict mode.

Fleet sheets, price books, shelves and catalogues are all read here, in any usual encoding, with any usual
sign between cells, with rows above the header or without. Plain files take a fast path: the structure is
checked on the bytes, then polars splits them. Anything out of the ordinary (stray quotes, uneven rows, blank
lines, bare carriage returns) goes through the csv module.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, TypeAlias

import numpy as np
import numpy.typing as npt
import polars as pl

from sizing.errors import InputError
from sizing.raw_table import HEAD_ROWS, Limits, NameOf, RawTable, check_size, find_header, gather, title_notes
from sizing.units import clip

if TYPE_CHECKING:
    from sizing.model import IntArray

DELIMITERS: Final = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "vertical bars"}
_EXPECTED: Final = "a table saved as CSV (text)"
_SAVE_AS: Final = (
    "open it in the program it came from and save it as CSV UTF-8; a fleet sheet may be an .xlsx workbook too"
)
_MAGIC: Final = (
    (b"PK\x03\x04", "a workbook, or another archive"),
    (b"\xd0\xcf\x11\xe0", "an old .xls workbook, or a workbook protected by a password"),
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"\x1f\x8b", "a compressed file"),
    (b"SQLite format 3", "a database"),
    (b"PAR1", "a Parquet file"),
    (b"{\\rtf", "a word processor's document"),
    (b"<!DOCTYPE", "a web page"),
    (b"<html", "a web page"),
)
_TEXT_CONTROLS: Final = frozenset(b"\t\n\r\x0b\x0c\x1a\x1b")
_NO_TEXT: Final = bytes((*range(9), 11, 12, *range(14, 32), 127))
_UNREAD: Final = re.compile(rb"\xef\xbf\xbd|\xc2[\x80-\x9f]")
_SAMPLE: Final = 65_536
_QUOTE: Final = 34
_NEWLINE: Final = 10
_RETURN: Final = 13
_Signs: TypeAlias = npt.NDArray[np.uint8]


@dataclass(frozen=True)
class _Layout:
    """How a file is laid out: where its header is, how many of its cells are known, how even its rows are."""

    delimiter: str
    header_at: int
    known: int
    share: float
    width: int


@dataclass(frozen=True)
class _File:
    """A file's text as UTF-8 without byte order mark, and what was found out about it."""

    text: bytes
    name: str
    limits: Limits
    suspect: bool
    notes: tuple[str, ...]


def read_delimited(data: bytes, filename: str, name_of: NameOf, limits: Limits | None = None) -> RawTable:
    """Return the table in `data`; InputError if there is none.

    `name_of` knows the headers, by which the header row and the sign between cells are found. Bytes that
    stand for no character become U+FFFD, and the table is suspect then.
    """
    text, notes = _decode(data, filename)
    suspect = len(text.translate(None, _NO_TEXT)) != len(text) or (
        not text.isascii() and _UNREAD.search(text) is not None
    )
    layout = _choose(text, filename, name_of)
    file = _File(text, filename, limits or Limits(), suspect, notes)
    table = _plain(file, layout)
    return table if table is not None else _careful(file, layout)


def read_rows(
    data: bytes, filename: str, name_of: NameOf, limits: Limits | None = None
) -> list[tuple[int, list[str]]]:
    """Return every row as it stands with its number from 1, those above the header too; InputError as above.

    For tables whose other cells count as much as those below the header.
    """
    text, notes = _decode(data, filename)
    layout, bounds = _choose(text, filename, name_of), limits or Limits()
    file = _File(text, filename, bounds, suspect=False, notes=notes)
    rows = [(row_no, cells) for row_no, _, cells in _rows_of(file, layout.delimiter)]
    check_size(len(rows), max(len(cells) for _, cells in rows), filename, bounds)
    return rows


def _decode(data: bytes, filename: str) -> tuple[bytes, tuple[str, ...]]:
    """Return the text as UTF-8 without byte order mark, and notes on how it was read."""
    if not data.strip():
        raise InputError(filename, "the file is empty", _EXPECTED, "choose the file that holds the table")
    for magic, words in _MAGIC:
        if data[:64].lstrip().lower().startswith(magic.lower()):
            raise InputError(filename, f"the file is {words}", _EXPECTED, _SAVE_AS)
    if data.startswith(b"\xef\xbb\xbf"):
        data = data[3:]
    elif data.startswith((b"\xff\xfe\x00\x00", b"\x00\x00\xfe\xff")):
        return _recoded(data, "utf-32", "UTF-32")
    elif data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _recoded(data, "utf-16", "UTF-16")
    elif guess := _utf16_without_mark(data):
        return _recoded(data, guess, "UTF-16 without a byte order mark")
    _refuse_binary(data, filename)
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return _recoded(data, "cp1252", "Windows-1252, because it is not UTF-8; check accented letters")
    return data, ()


def _recoded(data: bytes, encoding: str, words: str) -> tuple[bytes, tuple[str, ...]]:
    text = data.decode(encoding, errors="replace").removeprefix("\ufeff")
    note = f"The file is read as {words}."
    # Half of a UTF-16 pair can survive in UTF-32 input; it is no character either.
    return re.sub("[\ud800-\udfff]", "\ufffd", text).encode("utf-8"), (note,)


def _utf16_without_mark(data: bytes) -> str:
    """Return the byte order of UTF-16 text without mark, or "": every other byte of its signs is zero."""
    sample = data[:4096]
    half = len(sample) // 2
    if half < 4:
        return ""
    even, odd = sample[0::2].count(0), sample[1::2].count(0)
    if odd > 0.6 * half and even < 0.05 * half:
        return "utf-16-le"
    if even > 0.6 * half and odd < 0.05 * half:
        return "utf-16-be"
    return ""


def _refuse_binary(data: bytes, filename: str) -> None:
    if b"\0" in data:
        line = data[: data.index(b"\0")].count(b"\n") + 1
        found = f"line {line} has a zero byte, so this is not a text file or it is damaged"
        raise InputError(filename, found, _EXPECTED, _SAVE_AS)
    sample = data[:_SAMPLE]
    controls = sum(sample.count(code) for code in range(32) if code not in _TEXT_CONTROLS)
    if controls > 0.02 * len(sample):
        raise InputError(filename, "the file is not text", _EXPECTED, _SAVE_AS)


def _choose(data: bytes, filename: str, name_of: NameOf) -> _Layout:
    """Return the delimiter under which the header is best known and the rows are most even."""
    head = data[:_SAMPLE].decode("utf-8", errors="ignore")
    whole = len(data) <= _SAMPLE
    layouts = [layout for sign in DELIMITERS if (layout := _layout(head, sign, name_of, whole=whole))]
    layouts.sort(key=lambda one: (one.known, one.share * (one.width > 1), one.width), reverse=True)
    if not layouts or (layouts[0].known < 2 and (layouts[0].width < 2 or layouts[0].share < 0.5)):
        found = "no table is found: the lines do not fall into columns"
        expected = "a header row and rows below it, with commas, semicolons or tabs between cells"
        raise InputError(filename, found, expected, _SAVE_AS)
    best = layouts[0]
    rivals = [
        one
        for one in layouts[1:]
        if (one.known, one.share, one.width) == (best.known, best.share, best.width)
    ]
    if rivals:
        signs = f"{DELIMITERS[best.delimiter]} and {DELIMITERS[rivals[0].delimiter]}"
        found = f"{signs} divide the lines equally well, so the columns are not certain"
        raise InputError(filename, found, "one sign between cells", "save the sheet as CSV with commas only")
    return best


def _layout(head: str, delimiter: str, name_of: NameOf, *, whole: bool) -> _Layout | None:
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
    header_at, known = find_header(rows[:HEAD_ROWS], name_of)
    widths = [len(row) for row in rows[header_at:] if any(row)]
    if not widths:
        return None
    return _Layout(delimiter, header_at, known, widths.count(widths[0]) / len(widths), widths[0])


def _plain(file: _File, layout: _Layout) -> RawTable | None:
    """Return the table if the bytes are plain; None if they need more care."""
    read = find_rows(file.text, layout.delimiter, layout.header_at, layout.width)
    if read is None or layout.width < 2:
        return None
    if (read.ends - read.starts).max() > file.limits.max_cell:
        return None
    body = layout.header_at + 1
    rows = len(read.starts) - body
    check_size(rows, layout.width, file.name, file.limits)
    if not rows:
        return None
    head = file.text[: read.ends[layout.header_at]].decode()
    top = list(csv.reader(io.StringIO(head, newline=""), delimiter=layout.delimiter))
    frame = pl.read_csv(
        file.text[read.starts[body] :],
        has_header=False,
        separator=layout.delimiter,
        quote_char='"' if read.quoted else None,
        schema={str(place): pl.String for place in range(layout.width)},
        empty_string_is_null=False,
    )
    if frame.height != rows:
        return None
    row_no = np.arange(body, body + rows, dtype=np.int64) + 1
    notes = (*file.notes, *title_notes(top[: layout.header_at]))
    return RawTable(tuple(top[layout.header_at]), frame, row_no, read.lines[body:], {},
                    layout.delimiter, notes, file.suspect)  # fmt: skip


def _careful(file: _File, layout: _Layout) -> RawTable:
    """Return the table read row by row with the csv module."""
    read = _rows_of(file, layout.delimiter)
    titles = [cells for _, (_, _, cells) in zip(range(layout.header_at), read, strict=False)]
    _, _, header = next(read, (0, 0, []))
    check_size(0, len(header), file.name, file.limits)
    notes = (*file.notes, *title_notes(titles))
    return gather(read, header, layout.delimiter, file.name, file.limits, notes, suspect=file.suspect)


def _rows_of(file: _File, delimiter: str) -> Iterator[tuple[int, int, list[str]]]:
    """Yield (row, line where it begins, cells); InputError for broken quoting."""
    reader = csv.reader(io.StringIO(file.text.decode(), newline=""), delimiter=delimiter, strict=True)
    row_no = line = 0
    while True:
        line = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            where = f"{file.name}, row {row_no + 1}, beginning at line {line}"
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
            if len(cell) > file.limits.max_cell:
                where = f"{file.name}, row {row_no} (line {line}), cell {place + 1}"
                found = f"the cell has {len(cell):,} characters and begins “{clip(cell)[:40]}”"
                mend = "shorten it, or close a quote that was left open"
                raise InputError(where, found, f"at most {file.limits.max_cell:,} characters in a cell", mend)
        yield row_no, line, cells


@dataclass(frozen=True)
class RowPlaces:
    """Where the rows of a text begin and end, and on which line each begins."""

    starts: IntArray
    ends: IntArray
    lines: IntArray
    quoted: bool


def find_rows(data: bytes, delimiter: str, header_at: int, width: int) -> RowPlaces | None:
    """Return the rows of a plain text; None if it is not plain from the header on.

    Plain means: every quote opens, closes or doubles just where RFC 4180 has it, line ends are all alike,
    every row has as many cells as the header, and none is blank. For such text any CSV parser finds the same
    cells.
    """
    signs = np.frombuffer(data, dtype=np.uint8)
    sign = ord(delimiter)
    breaks = np.flatnonzero(signs == _NEWLINE)
    returns = _paired_returns(data, signs, breaks)
    quotes = np.flatnonzero(signs == _QUOTE) if b'"' in data else breaks[:0]
    if returns is None or not _well_quoted(signs, quotes, sign):
        return None
    inner = breaks if not quotes.size else breaks[(np.searchsorted(quotes, breaks) & 1) == 0]
    if returns and len(inner) != len(breaks):
        return None
    starts = np.concatenate(([0], inner + 1))
    ends = np.concatenate((inner - returns, [len(data)]))
    if starts[-1] == len(data):
        starts, ends = starts[:-1], ends[:-1]
    if len(starts) <= header_at:
        return None
    delimiters = np.flatnonzero(signs == sign)
    cells = np.diff(np.searchsorted(delimiters, np.concatenate((starts, [len(data)])))) + 1
    if quotes.size:
        opened, closed = quotes[0::2], quotes[1::2]
        inside = np.searchsorted(delimiters, closed) - np.searchsorted(delimiters, opened)
        row = np.searchsorted(ends, opened)
        cells = cells - np.bincount(row, weights=inside, minlength=len(cells)).astype(np.int64)
    even = (cells[header_at:] == width) & (ends[header_at:] > starts[header_at:])
    if not even.all():
        return None
    lines = np.searchsorted(breaks, starts) + 1
    return RowPlaces(starts, ends, lines.astype(np.int64), bool(quotes.size))


def _paired_returns(data: bytes, signs: _Signs, breaks: IntArray) -> int | None:
    """Return 1 if every line feed follows a carriage return, 0 if there is none, None if they are mixed."""
    if b"\r" not in data:
        return 0
    paired = breaks.size and breaks[0] > 0 and bool((signs[breaks - 1] == _RETURN).all())
    return 1 if paired and data.count(b"\r") == len(breaks) else None


def _well_quoted(signs: _Signs, quotes: IntArray, sign: int) -> bool:
    """Whether every quote opens, closes or doubles in its place.

    Quotes are taken in pairs; two pairs without a gap have a doubled quote between them.
    """
    if not quotes.size:
        return True
    if quotes.size % 2:
        return False
    edge = np.zeros(256, dtype=bool)
    edge[[sign, _NEWLINE, _RETURN]] = True
    opened, closed = quotes[0::2], quotes[1::2]
    doubled = opened[1:] == closed[:-1] + 1
    begins = edge[signs[np.maximum(opened - 1, 0)]] | (opened == 0)
    ends = edge[signs[np.minimum(closed + 1, len(signs) - 1)]] | (closed == len(signs) - 1)
    begins[1:] |= doubled
    ends[:-1] |= doubled
    return bool(begins.all() and ends.all())
