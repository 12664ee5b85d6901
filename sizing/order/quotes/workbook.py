"""A supplier's workbook: what is asked of him, or ordered; live sums, and cells to fill in and no others."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from textwrap import wrap
from typing import Any, Final, TypeAlias

from openpyxl import Workbook
from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side
from openpyxl.worksheet.datavalidation import DataValidation

from sizing.order.quotes.layout import (
    ANSWER_AT,
    COLUMNS,
    FIRST_LINE,
    LABEL_AT,
    LEFT,
    LETTER,
    MONEY,
    PLACE,
    RIGHT,
    Field,
    Key,
    line_sum,
    totals,
)
from sizing.order.write_xlsx import EPOCH, set_page, without_time
from sizing.spreadsheet import could_be_formula, plain_text

Said: TypeAlias = str | Decimal | date | None

_SIZE: Final = 10
_PLAIN, _BOLD = Font(name="Arial", size=_SIZE), Font(name="Arial", size=_SIZE, bold=True)
_TITLE: Final = Font(name="Arial", size=14, bold=True)
_HEAD_FILL, _ANSWER_FILL = PatternFill("solid", fgColor="FFE6ECEF"), PatternFill("solid", fgColor="FFFFF6D6")
_THIN: Final = Side(style="thin", color="FF8A9AA3")
_BOX, _LINE = Border(_THIN, _THIN, _THIN, _THIN), Border(bottom=_THIN)
_OPEN: Final = Protection(locked=False)
_LINE_HEIGHT: Final = 13.5
_FAR: Final = "K"


@dataclass(frozen=True)
class SupplierSheet:
    """What stands on one sheet.

    `said` is what is known of the fields of both blocks; where `to_fill_in` the supplier's cells are open,
    and so is each of the buyer's fields named in `open_fields`.
    """

    title: str
    name: str
    guidance: str
    said: Mapping[Field, Said]
    lines: Sequence[Mapping[Key, Said]]
    to_fill_in: bool
    open_fields: frozenset[Field] = frozenset()


def workbook_bytes(sheet: SupplierSheet) -> bytes:
    """Return the workbook; the same sheet gives the same bytes. Only open cells can be changed in it."""
    book = Workbook()
    book.properties.title = plain_text(sheet.title)
    book.properties.creator = "Drogue Muster"
    book.properties.created = EPOCH
    book.calculation.fullCalcOnLoad = True
    ws: Any = book.active
    ws.title = sheet.name
    for column in COLUMNS:
        ws.column_dimensions[LETTER[column.key]].width = column.width
    head = _top(ws, sheet)
    for column in COLUMNS:
        cell = ws.cell(head, PLACE[column.key], column.title)
        cell.font, cell.fill, cell.border = _BOLD, _HEAD_FILL, _BOX
        cell.alignment = Alignment(wrap_text=True, vertical="top", horizontal=_side(column.number_format))
    ws.row_dimensions[head].height = 3 * _LINE_HEIGHT + 2
    for row, line in enumerate(sheet.lines, head + 1):
        _line(ws, row, line, to_fill_in=sheet.to_fill_in)
    last = head + len(sheet.lines)
    _foot(ws, head + 1, last)
    if sheet.to_fill_in:
        _guard(ws, head + 1, last)
    ws.freeze_panes = f"A{head + 1}"
    ws.print_title_rows = f"{head}:{head}"
    ws.print_area = f"A1:{_FAR}{last + 1 + len(totals(1, 1))}"
    set_page(ws, sheet.name)
    ws.protection.sheet = True
    ws.protection.formatColumns = ws.protection.formatRows = False
    out = io.BytesIO()
    book.save(out)
    return without_time(out.getvalue(), {})


def _top(ws: Any, sheet: SupplierSheet) -> int:
    """Write what stands above the table; returns the row of its head."""
    _write(ws, 1, 1, sheet.title).font = _TITLE
    ws.row_dimensions[1].height = 22
    heights = [1] * max(len(LEFT), len(RIGHT))
    for at, (field, label) in enumerate(LEFT):
        row = FIRST_LINE + at
        _write(ws, row, 1, label).font = _BOLD
        cell = _write(ws, row, 2, sheet.said.get(field))
        cell.alignment = Alignment(wrap_text=True, vertical="top", horizontal="left")
        ws.merge_cells(f"B{row}:C{row}")
        heights[at] = _lines(sheet.said.get(field), COLUMNS[1].width + COLUMNS[2].width)
        if field in sheet.open_fields:
            _open(ws, row, 2, 3)
    for at, (field, label, number_format) in enumerate(RIGHT):
        row = FIRST_LINE + at
        _write(ws, row, LABEL_AT, label).font = _BOLD
        cell = _write(ws, row, ANSWER_AT, sheet.said.get(field))
        cell.number_format = number_format
        cell.alignment = Alignment(wrap_text=True, vertical="top", horizontal="left")
        ws.merge_cells(f"H{row}:{_FAR if field == 'remarks' else 'I'}{row}")
        if sheet.to_fill_in and (field != "vat_percent" or sheet.said.get(field) is None):
            _open(ws, row, ANSWER_AT, 11 if field == "remarks" else 9)
    for at, lines in enumerate(heights):
        ws.row_dimensions[FIRST_LINE + at].height = max(lines, 1) * _LINE_HEIGHT + 2
    row = FIRST_LINE + len(heights) + 1
    _write(ws, row, 1, sheet.guidance).alignment = Alignment(wrap_text=True, vertical="top")
    ws.merge_cells(f"A{row}:{_FAR}{row}")
    ws.row_dimensions[row].height = _lines(sheet.guidance, 140) * _LINE_HEIGHT + 2
    return row + 2


def _line(ws: Any, row: int, line: Mapping[Key, Said], *, to_fill_in: bool) -> None:
    tallest = 1
    for column in COLUMNS:
        at = PLACE[column.key]
        cell = _write(ws, row, at, line_sum(row) if column.key == "sum" else line.get(column.key))
        if column.key == "sum":
            cell.data_type, cell.quotePrefix = "f", False
        cell.number_format = column.number_format
        cell.border = _BOX
        side, indent = _side(column.number_format), int(column.key == "unit")
        cell.alignment = Alignment(wrap_text=True, vertical="top", horizontal=side, indent=indent)
        tallest = max(tallest, _lines(line.get(column.key), column.width))
        if to_fill_in and column.filled_in:
            _open(ws, row, at, at)
    ws.row_dimensions[row].height = tallest * _LINE_HEIGHT + 2


def _foot(ws: Any, first: int, last: int) -> None:
    for row, (label, formula) in enumerate(totals(first, last), last + 2):
        _write(ws, row, LABEL_AT, label).font = _BOLD
        cell = ws.cell(row, PLACE["sum"], formula)
        cell.font, cell.number_format, cell.border = _BOLD, MONEY, _LINE


def _guard(ws: Any, first: int, last: int) -> None:
    """Have a spreadsheet program refuse what is no price and no day while it is typed."""
    price = DataValidation(
        "decimal", operator="greaterThan", formula1="0", allow_blank=True, showErrorMessage=True
    )
    price.error = "A price above 0, in plain digits, without VAT."
    price.add(f"{LETTER['price']}{first}:{LETTER['price']}{last}")
    day = DataValidation(
        "date", operator="greaterThan", formula1="36526", allow_blank=True, showErrorMessage=True
    )
    day.error = "A day, such as 2027-03-08."
    day.add(f"{LETTER['delivered']}{first}:{LETTER['delivered']}{last}")
    day.add(f"H{FIRST_LINE}:H{FIRST_LINE + 1}")
    for validation in (price, day):
        ws.add_data_validation(validation)


def _write(ws: Any, row: int, at: int, said: Said) -> Any:
    """Put in one cell what is said; text stays text, whatever it begins with."""
    cell = ws.cell(row, at)
    cell.font = _PLAIN
    cell.alignment = Alignment(vertical="top")
    if isinstance(said, str):
        text = plain_text(said)
        cell.value = text or None
        if text:
            cell.data_type, cell.quotePrefix = "s", could_be_formula(text)
    else:
        cell.value = said
    return cell


def _open(ws: Any, row: int, first: int, last: int) -> None:
    for at in range(first, last + 1):
        cell = ws.cell(row, at)
        cell.protection, cell.fill, cell.border = _OPEN, _ANSWER_FILL, _BOX


def _side(number_format: str) -> str:
    return "left" if number_format == "@" else "right"


def _lines(said: Said, width: int) -> int:
    """Lines that a text takes: of print of 10 points about 1.1 characters go into one of width."""
    return len(wrap(said, round(1.1 * width))) if isinstance(said, str) and said else 1
