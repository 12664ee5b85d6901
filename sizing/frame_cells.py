"""A pandas table of boats as the text that the intake reads: quantities, figures, days and words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from decimal import Decimal
from numbers import Integral, Real
from typing import Any, Final

import numpy as np
import pandas as pd
import polars as pl

from sizing.errors import InputError
from sizing.raw_table import RawTable
from sizing.spreadsheet import csv_bytes

UNITS: Final[Mapping[str, tuple[str, str]]] = {
    "[length]": ("metre", "m"),
    "[mass]": ("kilogram", "kg"),
    "[force]": ("newton", "N"),
    "[area]": ("metre ** 2", "m2"),
}
"""Dimension of a quantity -> the pint unit it is told in, and how that is spelled in a sheet."""


def table_of(frame: pd.DataFrame) -> tuple[RawTable, bytes, bool]:
    """Return a frame as a table of text, the same as CSV, and whether any cell was a figure and not text.

    Raises InputError for a cell that is no text, figure, quantity, day, yes or no.
    """
    header = tuple(str(name) for name in frame.columns)
    columns, figures = [], False
    for place, name in enumerate(header):
        cells = frame.iloc[:, place].tolist()
        figures |= any(not isinstance(cell, str) and not _is_blank(cell) for cell in cells)
        columns.append([cell_text(cell, f"row {row}, column “{name}”") for row, cell in enumerate(cells, 1)])
    rows = np.arange(1, len(frame) + 1, dtype=np.int64)
    text = pl.DataFrame(
        {str(place): pl.Series(cells, dtype=pl.String) for place, cells in enumerate(columns)}
    )
    content = csv_bytes([header, *zip(*columns, strict=True)])
    return RawTable(header, text, rows, rows, {}, "", (), suspect=True), content, figures


def cell_text(value: Any, where: str) -> str:
    """Return one value as it would stand in a sheet; nothing known (None, NaN, NA, NaT) is blank.

    >>> cell_text(8400.0, ""), cell_text(True, ""), cell_text(("20 mm", "16 mm"), ""), cell_text(None, "")
    ('8400.0', 'yes', '20 mm; 16 mm', '')
    """
    if isinstance(value, str) or _is_blank(value):
        return value if isinstance(value, str) else ""
    if hasattr(value, "dimensionality"):
        return _quantity_text(value, where)
    if isinstance(value, Sequence):
        return "; ".join(cell_text(part, where) for part in value)
    text = None
    if isinstance(value, bool | np.bool_):
        text = "yes" if value else "no"
    elif isinstance(value, dt.date):
        text = f"{value:%Y-%m-%d}"  # of a moment the day
    elif isinstance(value, Integral):
        text = str(int(value))
    elif isinstance(value, Real | Decimal) and np.isfinite(float(value)):
        text = f"{Decimal(str(value)):f}"
    if text is None:
        raise InputError(
            where, f"{value!r} is a {type(value).__name__}",
            "text, a figure, a quantity with its unit, a day, yes or no",
            "write it as text, as it would stand in the sheet",
        )  # fmt: skip
    return text


def _is_blank(value: Any) -> bool:
    return (
        value is None or value is pd.NaT or value is pd.NA or (isinstance(value, float) and np.isnan(value))
    )


def _quantity_text(quantity: Any, where: str) -> str:
    """A quantity of pint in the unit the sheet spells its dimension in; a bare figure if it has none."""
    if quantity.dimensionless:
        return cell_text(quantity.to("dimensionless").magnitude, where)
    for dimension, (unit, word) in UNITS.items():
        if quantity.check(dimension):
            return f"{cell_text(quantity.to(unit).magnitude, where)} {word}"
    raise InputError(
        where, f"{quantity} is a quantity of {quantity.dimensionality}", "a length, mass, force or area",
        "give the column's own kind of quantity",
    )  # fmt: skip
