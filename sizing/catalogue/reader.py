"""One catalogue table from its CSV bytes, with every fault named by file, row and column."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from sizing.catalogue.columns import UNITS, Column
from sizing.delimited import read_delimited
from sizing.errors import CatalogueError, InputError
from sizing.model import BoolArray, FloatArray
from sizing.units import clip, si_factor

_ID: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}")
_NUMBER: Final = re.compile(r"[0-9]+(\.[0-9]+)?|\.[0-9]+")
_FLAGS: Final = {"yes": True, "no": False}


@dataclass(frozen=True)
class _Place:
    """Where a column stands in this file, and its factor to SI (1 for text)."""

    column: Column
    position: int
    header: str
    factor: float


def read_table(
    content: bytes, file_name: str, columns: Sequence[Column]
) -> dict[str, tuple[str, ...] | FloatArray | BoolArray]:
    """Return the table's columns under their attribute names, numbers in SI.

    Raises CatalogueError for anything missing, unreadable, not positive, out of order or written twice.
    """
    header, rows = _cells(content, file_name, columns)
    places = [_place(column, header, file_name) for column in columns]
    table: dict[str, tuple[str, ...] | FloatArray | BoolArray] = {}
    ids = [row[places[0].position].strip() for row in rows]
    for place in places:
        cells = [row[place.position].strip() for row in rows]
        wheres = [
            f"{file_name}, row {i + 2}{f' ({clip(name)})' if name else ''}, column {place.header}"
            for i, name in enumerate(ids)
        ]
        table[place.column.attribute] = _column(place, cells, wheres)
    return table


def _cells(
    content: bytes, file_name: str, columns: Sequence[Column]
) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """The header and the rows of a table that is plain: figures that lives hang on are read of no other."""
    wanted = {name: name for column in columns for name in _names(column)}
    try:
        table = read_delimited(content, file_name, lambda cell: wanted.get(_plain(cell)))
    except InputError as problem:
        raise CatalogueError(problem.where, problem.found, problem.expected, problem.mend) from None
    for place, cells in table.ragged.items():
        raise CatalogueError(
            f"{file_name}, row {table.row_no[place]}",
            f"{len(cells)} cells",
            f"{len(table.header)} cells, as in the header",
            "add or remove cells; put quotes round text with a comma",
        )
    if table.notes or not table.frame.height:
        raise CatalogueError(
            file_name,
            table.notes[0].rstrip(".") if table.notes else "there are no rows below the header",
            "a CSV file in UTF-8, its header in the first row and one row for each size below it",
            "save it so, or remove the file to use the program's own",
        )
    return table.header, table.frame.rows()


def _names(column: Column) -> dict[str, float]:
    """The names a column may have in a header, and the factor to SI that goes with each."""
    if column.kind != "number" or not column.dimension:
        return {column.name: 1.0}
    return {f"{column.name}_{unit}": si_factor(name) for unit, name in UNITS[column.dimension].items()}


def _plain(header: str) -> str:
    """A header as it is compared: "Diameter (mm)" and "diameter_mm" are the same."""
    text = header.strip().lower().replace("/", " per ").replace("²", "2").replace("³", "3")
    return "_".join(re.sub(r"[()\[\],_]", " ", text).split())


def _place(column: Column, header: Sequence[str], file_name: str) -> _Place:
    plain = [_plain(cell) for cell in header]
    wanted = _names(column)
    found = [i for i, cell in enumerate(plain) if cell in wanted]
    if len(found) == 1:
        return _Place(column, found[0], header[found[0]].strip(), wanted[plain[found[0]]])
    where = f"{file_name}, header row"
    expected = f"one column named {' or '.join(wanted)}"
    if found:
        raise CatalogueError(where, f"{len(found)} columns hold {column.name}", expected, "keep one of them")
    raise CatalogueError(
        where,
        f"there is no column {column.name} with a unit known here"
        if column.kind == "number"
        else f"there is no column {column.name}",
        expected,
        "add the column, or name it so",
    )


def _column(
    place: _Place, cells: Sequence[str], wheres: Sequence[str]
) -> tuple[str, ...] | FloatArray | BoolArray:
    column = place.column
    if column.kind == "number":
        return _numbers(place, cells, wheres)
    for i, (cell, where) in enumerate(zip(cells, wheres, strict=True)):
        if not cell and not column.optional:
            raise CatalogueError(
                where,
                "nothing is written",
                f"the {column.name}",
                "fill the cell; a figure without a source is not used",
            )
        if column.kind == "id":
            if not _ID.fullmatch(cell):
                raise CatalogueError(
                    where,
                    f"“{clip(cell)}” is no id",
                    "letters, digits, full stops and hyphens, 40 at most",
                    "write a short id",
                )
            if cell in cells[:i]:
                raise CatalogueError(
                    where,
                    f"“{clip(cell)}” stands twice",
                    "an id of its own for each row",
                    "rename or remove one of the rows",
                )
        if column.words and cell not in column.words:
            raise CatalogueError(
                where,
                f"“{clip(cell)}” is written",
                f"one of {', '.join(column.words)}",
                "write what was read of the figures of this row",
            )
        if column.kind == "flag" and cell.lower() not in _FLAGS:
            raise CatalogueError(where, f"“{clip(cell)}” is written", "yes or no", "write yes or no")
    if column.kind == "flag":
        return np.array([_FLAGS[cell.lower()] for cell in cells], dtype=np.bool_)
    return tuple(cells)


def _numbers(place: _Place, cells: Sequence[str], wheres: Sequence[str]) -> FloatArray:
    values = np.empty(len(cells))
    for i, (cell, where) in enumerate(zip(cells, wheres, strict=True)):
        if not _NUMBER.fullmatch(cell):
            found = f"“{clip(cell)}” is no plain number" if cell else "nothing is written"
            raise CatalogueError(
                where,
                found,
                "a positive number in the unit of the header, with a decimal point",
                "write the certified or published figure, or remove the row",
            )
        values[i] = float(cell) * place.factor
        if not (math.isfinite(values[i]) and values[i] > 0.0):
            raise CatalogueError(
                where,
                f"{clip(cell)} is not above zero" if values[i] == 0.0 else f"{clip(cell)} is too large",
                "a positive number in the unit of the header",
                "write the certified or published figure, or remove the row",
            )
        if place.column.rising and i and values[i] <= values[i - 1]:
            raise CatalogueError(
                where,
                f"{cell} is not above the {cells[i - 1]} of the row before",
                "figures that rise from row to row, each size once",
                "sort the rows by size and correct or remove the one out of order",
            )
    return values
