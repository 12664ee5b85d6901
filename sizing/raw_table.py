"""A table of text as it stood in a file, the limits within which one is read, and how its header is found."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, TypeAlias

import numpy as np
import polars as pl

from sizing.errors import InputError
from sizing.units import clip

if TYPE_CHECKING:
    from sizing.model import IntArray

NO_RESULT: Final = "#NO RESULT!"
"""Stands in a cell before a formula whose result the workbook does not hold."""
HEAD_ROWS: Final = 30
"""Rows among which the header is looked for."""
_CHUNK_ROWS: Final = 20_000

NameOf: TypeAlias = Callable[[str], str | None]
"""The column that a header cell stands for, None where it is not known."""


@dataclass(frozen=True)
class Limits:
    """How much is read before the file is refused.

    `max_unpacked` is what the parts of a workbook may come to once unpacked, each as often as it is read.
    `max_cell` is the most characters a spreadsheet program keeps in one cell. A workbook is read for so many
    seconds of the processor, and so many more for each megabyte unpacked: about 0.3 are needed.
    """

    max_bytes: int = 256 * 1024 * 1024
    max_unpacked: int = 2 * 1024 * 1024 * 1024
    max_rows: int = 1_000_000
    max_columns: int = 400
    max_cell: int = 32_767
    workbook_seconds: float = 10.0
    workbook_seconds_a_mb: float = 2.0


@dataclass(frozen=True)
class RawTable:
    """The rows below the header, every cell text, nothing read into them yet.

    header:
        the header row as it stood
    frame:
        regular rows: one String column for each header cell, named "0", "1", ...; no nulls
    row_no, line_no:
        for each row of `frame`, its row in the file counted from 1 and the line where it begins
    ragged:
        row of `frame` -> its cells, for rows with too few or too many; in `frame` they are cut or filled
    delimiter:
        the sign between cells, or "" for a workbook
    notes:
        what was found out about the file as a whole
    suspect:
        whether any cell may hold signs that no text has: control characters, or bytes not read
    """

    header: tuple[str, ...]
    frame: pl.DataFrame
    row_no: IntArray
    line_no: IntArray
    ragged: dict[int, tuple[str, ...]]
    delimiter: str
    notes: tuple[str, ...]
    suspect: bool = False


def column_letter(index: int) -> str:
    """Return the letter by which a spreadsheet names the column at `index`, counted from 0.

    >>> column_letter(0), column_letter(27)
    ('A', 'AB')
    """
    letters = ""
    place = index + 1
    while place:
        place, rest = divmod(place - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def find_header(rows: Sequence[Sequence[str]], name_of: NameOf) -> tuple[int, int]:
    """Return the place of the header among the first rows and how many of its cells are known.

    The row with most known headers, if at least two are; otherwise the first that is not blank.
    """
    best, most = 0, 0
    for place, row in enumerate(rows):
        known = len({name for cell in row if (name := name_of(cell))})
        if known > most:
            best, most = place, known
    if most < 2:
        best = next((place for place, row in enumerate(rows) if any(cell.strip() for cell in row)), 0)
    return best, most


def check_size(rows: int, columns: int, filename: str, limits: Limits) -> None:
    """Raise InputError for a table with too many rows or columns."""
    if columns > limits.max_columns:
        found, expected = f"the header has {columns:,} columns", f"at most {limits.max_columns:,}"
    elif rows > limits.max_rows:
        found, expected = f"the table has more than {limits.max_rows:,} rows", f"at most {limits.max_rows:,}"
    else:
        return
    raise InputError(filename, found, expected, "delete what does not belong to the table")


def title_notes(titles: Sequence[Sequence[str]]) -> list[str]:
    """Return a note on the rows above the header, if there are any."""
    if not titles:
        return []
    said = "; ".join(
        f"“{clip(' '.join(row).strip())}”" for row in titles if any(cell.strip() for cell in row)
    )
    rows = "row" if len(titles) == 1 else "rows"
    return [f"{len(titles)} {rows} above the header left out" + (f": {said}." if said else " (blank).")]


def gather(
    read: Iterator[tuple[int, int, list[str]]],
    header: Sequence[str],
    delimiter: str,
    filename: str,
    limits: Limits,
    notes: Sequence[str],
    *,
    suspect: bool,
) -> RawTable:
    """Return a table of records of any length (row, line, cells); blank ones are left out and counted."""
    width = len(header)
    schema = {str(place): pl.String for place in range(width)}
    frames = [pl.DataFrame(schema=schema)]
    chunk: list[list[str]] = []
    numbers: list[int] = []
    lines: list[int] = []
    ragged: dict[int, tuple[str, ...]] = {}
    blank = 0
    for row_no, line, cells in read:
        if not any(cell.strip() for cell in cells):
            blank += 1
            continue
        check_size(len(numbers) + 1, width, filename, limits)
        if len(cells) < width or any(cell.strip() for cell in cells[width:]):
            ragged[len(numbers)] = tuple(cells)
        numbers.append(row_no)
        lines.append(line)
        chunk.append((cells + [""] * width)[:width])
        if len(chunk) == _CHUNK_ROWS:
            frames.append(pl.DataFrame(chunk, schema=schema, orient="row"))
            chunk = []
    if chunk:
        frames.append(pl.DataFrame(chunk, schema=schema, orient="row"))
    said = [f"{blank} blank row{'s' if blank > 1 else ''} left out."] if blank else []
    return RawTable(tuple(header), pl.concat(frames, rechunk=True), np.array(numbers, dtype=np.int64),
                    np.array(lines, dtype=np.int64), ragged, delimiter, (*notes, *said), suspect)  # fmt: skip
