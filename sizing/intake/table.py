"""A table of text as it stood in the file, and the limits within which one is read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import polars as pl

    from sizing.model import IntArray


NO_RESULT: Final = "#NO RESULT!"
"""Stands in a cell before a formula whose result the workbook does not hold."""


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
    """

    header: tuple[str, ...]
    frame: pl.DataFrame
    row_no: IntArray
    line_no: IntArray
    ragged: dict[int, tuple[str, ...]]
    delimiter: str
    notes: tuple[str, ...]


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
