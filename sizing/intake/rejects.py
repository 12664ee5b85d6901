"""Rejected rows as a file that can be mended and read again.

Each row stands as it was, after columns that say what is wrong with it. Reading the file again leaves those
columns aside. Text that a spreadsheet program would take for a formula is written behind an apostrophe, which
reading takes away again.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Final, TextIO

import polars as pl

from sizing.errors import OutputError
from sizing.intake.headers import PROBLEM_PREFIX, Columns
from sizing.model import IntakeResult, RejectedRow
from sizing.raw_table import RawTable
from sizing.spreadsheet import from_text
from sizing.units import DecimalSign

DECIMAL_NOTES: Final[Mapping[DecimalSign, str]] = MappingProxyType(
    {".": "Figures are read with a decimal point.", ",": "Figures are read with a decimal comma."}
)
PROBLEM_COLUMNS: Final = tuple(
    PROBLEM_PREFIX + name for name in ("row", "line", "column", "found", "expected", "how_to_mend", "decimal")
)
_DECIMAL_WORDS: Final[Mapping[str, DecimalSign]] = MappingProxyType({"point": ".", "comma": ","})
# The same rule as `sizing.spreadsheet`, but nothing is taken out of the cell: it must come back whole.
_FORMULA: Final = r"'*[=+\-@\t\r\n＝＋－＠]"
_PLAIN_NUMBER: Final = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?")
_JOIN: Final = " | "


def escape(cell: str) -> str:
    """Return a cell that no spreadsheet program takes for a formula; `unescape` undoes it.

    >>> escape("=1+1"), escape("-3.5"), escape("Heron")
    ("'=1+1", '-3.5', 'Heron')
    """
    return f"'{cell}" if re.match(_FORMULA, cell) and not _PLAIN_NUMBER.fullmatch(cell) else cell


def unescape(cell: str) -> str:
    """Return the cell as it was before `escape`.

    >>> unescape("'=1+1"), unescape("'tis")
    ('=1+1', "'tis")
    """
    return from_text(cell)


def write_rejects(result: IntakeResult, target: Path | TextIO) -> None:
    """Write the rejected rows of `result` as CSV (UTF-8 with byte order mark in a file).

    Every row keeps the cells it had, one more or fewer than the header if that was its problem.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    for cells in _lines(result):
        writer.writerow(cells)
    if not isinstance(target, Path):
        target.write(text.getvalue())
        return
    try:
        target.write_bytes(text.getvalue().encode("utf-8-sig"))
    except OSError as error:
        raise OutputError(str(target), f"the file cannot be written ({error.strerror})",
                          "a folder that can be written to", "choose another folder") from None  # fmt: skip


def _lines(result: IntakeResult) -> Iterator[list[str]]:
    decimal = next(
        (word for word, sign in _DECIMAL_WORDS.items() if DECIMAL_NOTES[sign] in result.file_notes), ""
    )
    yield [*PROBLEM_COLUMNS, *(escape(cell) for cell in result.header)]
    for row in result.rejected:
        yield [
            *(escape(cell) for cell in _problem_cells(row, decimal)),
            *(escape(cell) for cell in row.cells),
        ]


def _problem_cells(row: RejectedRow, decimal: str) -> list[str]:
    """Return the problems of a row; several are joined in the same order in each cell."""
    errors = row.errors
    columns = [f"{e.column_letter} {e.column}".strip() or "whole row" for e in errors]
    return [
        str(row.row_no),
        str(row.line_no),
        _JOIN.join(columns),
        _JOIN.join(e.found for e in errors),
        _JOIN.join(e.expected for e in errors),
        _JOIN.join(e.mend for e in errors),
        decimal,
    ]


def unescape_table(table: RawTable, columns: Columns) -> tuple[RawTable, DecimalSign | None]:
    """Return a table of mended rejects as it was before escaping, and the decimal sign it was read with."""
    cells = pl.all()
    frame = table.frame
    # Seldom is anything escaped, and a query over every column takes long to plan.
    if any(cell.startswith("'") for row in frame.iter_rows() for cell in row):
        guarded = cells.str.contains(f"^'{_FORMULA}")
        frame = frame.lazy().select(pl.when(guarded).then(cells.str.slice(1)).otherwise(cells)).collect()
    signs: set[str] = set()
    for place in columns.problems:
        if table.header[place].strip().casefold() == PROBLEM_COLUMNS[-1]:
            signs = set(table.frame[str(place)].str.strip_chars().unique().to_list()) - {""}
    told = _DECIMAL_WORDS.get(signs.pop()) if len(signs) == 1 else None
    header = tuple(unescape(cell) for cell in table.header)
    ragged = {row: tuple(unescape(cell) for cell in own) for row, own in table.ragged.items()}
    return replace(table, frame=frame, header=header, ragged=ragged), told
