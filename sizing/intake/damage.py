"""Rows broken as text: too few or too many cells, signs that are no characters, spreadsheet errors."""

from __future__ import annotations

from typing import Final

import numpy as np
import polars as pl

from sizing.errors import QuantityError
from sizing.fields import FIELD_BY_NAME
from sizing.intake.cells import check_damage
from sizing.intake.collect import Collected, Fault
from sizing.intake.headers import Columns
from sizing.intake.table import RawTable, column_letter
from sizing.model import BoolArray, IntArray
from sizing.units import clip

# Control characters except tab, line feed and carriage return, and the sign put for unreadable bytes.
_BAD_SIGNS: Final = r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\x{fffd}]"
_ERROR: Final = r"^\s*#(?:(?:#+|[A-Z/0_?]+!?)\s*$|NO RESULT! )"


def check_rows(table: RawTable, *, suspect: bool, collected: Collected) -> None:
    """Record rows with broken text; `suspect` says whether the file has signs worth a search at all."""
    width = len(table.header)
    for row, cells in table.ragged.items():
        found = f"the row has {len(cells)} cells and the header {width}"
        if len(cells) <= width:
            mend = "the row may be cut short: add the missing cells, empty if need be"
        elif table.delimiter:
            mend = (
                "a sign that separates cells stands inside one: put that cell in quotes, "
                "or write 9300 for 9,300"
            )
        else:
            beyond = next(place for place in range(width, len(cells)) if cells[place].strip())
            found += f"; {column_letter(beyond)} holds “{clip(cells[beyond].strip())}”"
            mend = "give that column a header, or empty the cell"
        collected.fault(row, -1, Fault("cells", found, f"{width} cells in every row", mend))
    if not suspect:
        return
    for place in range(width):
        column = table.frame[str(place)]
        for bad in _rows(column, _BAD_SIGNS):
            found = "the cell has a control character or a sign that could not be read"
            fault = Fault("bad_character", found, "readable text", "type the cell's text again")
            collected.fault(int(bad), place, fault)


def check_text_cells(table: RawTable, columns: Columns, collected: Collected) -> None:
    """Record error values that a spreadsheet left in text columns; other columns see to their own."""
    for name, place in columns.place.items():
        if FIELD_BY_NAME[name].kind not in ("text", "bolts"):
            continue
        cells = table.frame[str(place)]
        for row in _rows(cells, _ERROR):
            try:
                check_damage(cells[int(row)].strip())
            except QuantityError as error:
                fault = Fault(error.code, error.found, error.expected, error.mend)
                collected.fault(int(row), place, fault)


def _rows(cells: pl.Series, pattern: str) -> IntArray:
    hits: BoolArray = cells.str.contains(pattern).to_numpy()
    return np.flatnonzero(hits)
