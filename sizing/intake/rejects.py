"""Rejected rows as a file that can be mended and read again.

Each row stands as it was, after columns that say what is wrong with it. Reading the file again leaves those
columns aside. Text that a spreadsheet program would take for a formula is written behind an apostrophe, which
reading takes away again.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Final, TextIO

import polars as pl

from sizing.intake.headers import PROBLEM_PREFIX, Columns
from sizing.model import IntakeResult, RejectedRow
from sizing.raw_table import RawTable
from sizing.spreadsheet import BYTE_ORDER_MARK, GUARDED, csv_bytes, from_text
from sizing.units import DecimalSign, clip
from sizing.writing import write_files

DECIMAL_NOTES: Final[Mapping[DecimalSign, str]] = MappingProxyType(
    {".": "Figures are read with a decimal point.", ",": "Figures are read with a decimal comma."}
)
PROBLEM_COLUMNS: Final = tuple(
    PROBLEM_PREFIX + name for name in ("row", "line", "column", "found", "expected", "how_to_mend", "decimal")
)
_DECIMAL_WORDS: Final[Mapping[str, DecimalSign]] = MappingProxyType({"point": ".", "comma": ","})
_JOIN: Final = " | "


def own_name(intake: IntakeResult, column: str) -> str:
    """Return the entry sheet's own name of a column that a message names, "" for one not used."""
    return next(
        (
            name
            for cell, name in zip(intake.header, intake.columns, strict=True)
            if clip(cell.strip()) == column
        ),
        "",
    )


def rejected_cells(row: RejectedRow, names: Sequence[str]) -> dict[str, str]:
    """Return a rejected row's cells by column; a row of the wrong length may have them in wrong places."""
    return {name: cell.strip() for name, cell in zip(names, row.cells, strict=False) if name}


def write_rejects(result: IntakeResult, target: Path | TextIO) -> None:
    """Write the rejected rows of `result` as CSV (UTF-8 with byte order mark in a file).

    Every row keeps the cells it had, one more or fewer than the header if that was its problem.
    """
    data = csv_bytes(_lines(result))
    if not isinstance(target, Path):
        target.write(data.decode())
        return
    write_files(target.parent, {target.name: BYTE_ORDER_MARK + data})


def _lines(result: IntakeResult) -> Iterator[list[str]]:
    decimal = next(
        (word for word, sign in _DECIMAL_WORDS.items() if DECIMAL_NOTES[sign] in result.file_notes), ""
    )
    yield [*PROBLEM_COLUMNS, *result.header]
    for row in result.rejected:
        yield [*_problem_cells(row, decimal), *row.cells]


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
        guarded = cells.str.contains(GUARDED)
        frame = frame.lazy().select(pl.when(guarded).then(cells.str.slice(1)).otherwise(cells)).collect()
    signs: set[str] = set()
    for place in columns.problems:
        if table.header[place].strip().casefold() == PROBLEM_COLUMNS[-1]:
            signs = set(table.frame[str(place)].str.strip_chars().unique().to_list()) - {""}
    told = _DECIMAL_WORDS.get(signs.pop()) if len(signs) == 1 else None
    header = tuple(from_text(cell) for cell in table.header)
    ragged = {row: tuple(from_text(cell) for cell in own) for row, own in table.ragged.items()}
    return replace(table, frame=frame, header=header, ragged=ragged), told
