"""A table as CSV bytes: UTF-8, comma, CR LF [RFC 4180]; text can never be taken for a formula."""

from __future__ import annotations

import csv
import io

from sizing.order.cell_text import csv_number, csv_text
from sizing.order.sheets import Cell, Column, Sheet


def csv_bytes(sheet: Sheet) -> bytes:
    """Return one table as CSV; the same table gives the same bytes."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([column.key for column in sheet.columns])
    for row in sheet.rows:
        writer.writerow([_cell(column, cell) for column, cell in zip(sheet.columns, row, strict=True)])
    return out.getvalue().encode("utf-8")


def _cell(column: Column, cell: Cell) -> str:
    if cell is None:
        return ""
    if column.kind == "text" or isinstance(cell, str):
        return csv_text(str(cell))
    return csv_number(cell)
