"""Units in a row of their own under the header, as many sheets have them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from sizing.intake.header_match import recognise
from sizing.intake.words import UNSTATED
from sizing.raw_table import RawTable
from sizing.units import Dimension, clip, normal_unit, unit_factors

_FEWEST: Final = 2
"""Units that make a row one of units; no boat has a unit and no figure in two of her columns."""

_BRACKET_SIGNS: Final = "()[]{}<>"
_UNCLEAR: Final = ("ton", "tons")


def with_units_below(table: RawTable) -> RawTable:
    """Return the table with the units of the row under its header in the header, and a note.

    The row is taken as one of units only if every cell under a column of quantities that has no unit of its
    own is a unit of that quantity or says nothing, and no other cell has a figure. Else the table is
    unchanged, and the row is read as a boat.
    """
    if not table.frame.height or 0 in table.ragged:
        return table
    cells = [cell.strip() for cell in table.frame.row(0)]
    units: dict[int, str] = {}
    for place, (title, cell) in enumerate(zip(table.header, cells, strict=True)):
        match = recognise(title)
        dimension = match.field.dimension if match else None
        if not cell or cell.casefold() in UNSTATED:
            continue
        if dimension is None:
            if any(sign.isdigit() for sign in cell):
                return table
            continue
        unit = _unit(cell, dimension)
        if not unit or (match and match.unit):
            return table
        units[place] = unit
    if len(units) < _FEWEST:
        return table
    header = tuple(f"{title.strip()} ({units[at]})" if at in units else title
                   for at, title in enumerate(table.header))  # fmt: skip
    note = (
        f"Row {table.row_no[0]} (line {table.line_no[0]}) holds units and is read as part of the header: "
        f"{_named(table.header, units)}."
    )
    keep = np.arange(1, table.frame.height)
    return replace(
        table, header=header, frame=table.frame[1:], row_no=table.row_no[keep],
        line_no=table.line_no[keep], ragged={row - 1: cells for row, cells in table.ragged.items()},
        notes=(*table.notes, note),
    )  # fmt: skip


def _unit(cell: str, dimension: Dimension) -> str:
    """Return a cell's unit without brackets around it, or "" if it is none of this quantity."""
    text = cell.strip(_BRACKET_SIGNS).strip()
    word = normal_unit(text)
    return text if word in unit_factors(dimension) or (dimension == "mass" and word in _UNCLEAR) else ""


def _named(header: Sequence[str], units: dict[int, str]) -> str:
    return ", ".join(f"{clip(header[at].strip())} in {unit}" for at, unit in units.items())
