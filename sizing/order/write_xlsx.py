"""The order as a spreadsheet: real sheets, text that stays text, and the same bytes for the same order."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Sequence
from datetime import datetime
from decimal import Decimal
from itertools import islice
from textwrap import wrap
from typing import Any, Final

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter

from sizing.order.sheets import Column, Kind, Row, Sheet
from sizing.spreadsheet import Cell, could_be_formula, plain_text

FORMATS: Final[dict[Kind, str]] = {
    "text": "@", "count": "#,##0", "quantity": "General", "length": "#,##0.00", "money": "#,##0.00",
}  # fmt: skip
ROWS_A_SHEET: Final = 1_000_000
"""A spreadsheet holds 1,048,576 rows; a longer table goes on in a further sheet."""

EPOCH: Final = datetime(2000, 1, 1)
ZIP_EPOCH: Final = (1980, 1, 1, 0, 0, 0)
A4: Final = "9"

_HEAD_FONT: Final = Font(bold=True)
_HEAD_FILL: Final = PatternFill("solid", fgColor="FFE6ECEF")
_HEAD_LEFT: Final = Alignment(wrap_text=True, vertical="top", indent=1)
_HEAD_RIGHT: Final = Alignment(wrap_text=True, vertical="top", horizontal="right")
_BODY_LEFT: Final = Alignment(horizontal="left", vertical="top", indent=1, wrap_text=True)
_BODY_RIGHT: Final = Alignment(horizontal="right", vertical="top")
HEAD_HEIGHT: Final = 30
LINE_HEIGHT: Final = 15
_HEAD_LINE: Final = Border(bottom=Side(style="thin"))


def xlsx_bytes(sheets: Sequence[Sheet], title: str) -> bytes:
    """Return a workbook of these tables; the same tables give the same bytes."""
    book = Workbook(write_only=True)
    book.properties.title = plain_text(title)
    book.properties.creator = "Drogue Muster"
    book.properties.created = EPOCH
    for sheet in sheets:
        rows = iter(sheet.rows)
        for part in range(max(1, -(-len(sheet.rows) // ROWS_A_SHEET))):
            name = sheet.name if part == 0 else f"{sheet.name} {part + 1}"
            _add(book, name, sheet.columns, list(islice(rows, ROWS_A_SHEET)))
    out = io.BytesIO()
    book.save(out)
    return _timeless(out.getvalue())


def _add(book: Workbook, name: str, columns: Sequence[Column], rows: Sequence[Row]) -> None:
    """Add one sheet, laid out for reading and for printing on A4 landscape, one page wide."""
    ws: Any = book.create_sheet(name)
    ws.freeze_panes = "A2"
    ws.row_dimensions[1].height = HEAD_HEIGHT
    for at, column in enumerate(columns, 1):
        ws.column_dimensions[get_column_letter(at)].width = column.width
    last = f"{get_column_letter(len(columns))}{len(rows) + 1}"
    ws.auto_filter.ref = f"A1:{last}"
    ws.print_area = f"A1:{last}"
    ws.print_title_rows = "1:1"
    ws.page_setup.orientation = "landscape"
    ws.page_setup.paperSize = A4
    ws.page_setup.fitToWidth = 1
    ws.page_setup.fitToHeight = 0
    ws.sheet_properties.pageSetUpPr.fitToPage = True
    ws.oddFooter.center.text = f"{name}, page &P of &N"
    ws.append(_head(ws, columns))
    moulds = [_Mould(ws, column) for column in columns]
    for at, row in enumerate(rows, 2):
        lines = _lines(row, columns)
        if lines > 1:  # not every program makes a row as high as its text when the file is opened
            ws.row_dimensions[at].height = LINE_HEIGHT * lines
        ws.append([mould.filled(value) for mould, value in zip(moulds, row, strict=True)])


def _lines(row: Row, columns: Sequence[Column]) -> int:
    """Lines that the longest text of a row takes in its column; a column holds its width less the indent."""
    return max(
        (len(wrap(value, column.width - 3)) for value, column in zip(row, columns, strict=True)
         if isinstance(value, str) and len(value) > column.width - 3),
        default=1,
    )  # fmt: skip


def _head(ws: Any, columns: Iterable[Column]) -> list[Any]:
    cells = []
    for column in columns:
        cell = WriteOnlyCell(ws, value=column.title)
        cell.font, cell.fill, cell.border = _HEAD_FONT, _HEAD_FILL, _HEAD_LINE
        cell.alignment = _HEAD_LEFT if column.kind == "text" else _HEAD_RIGHT
        cells.append(cell)
    return cells


class _Mould:
    """The cells of one column, styled once and filled anew for each row: the sheet is written row by row."""

    def __init__(self, ws: Any, column: Column) -> None:
        self._number = WriteOnlyCell(ws)
        self._number.number_format = FORMATS[column.kind]
        self._number.alignment = _BODY_RIGHT
        self._text = WriteOnlyCell(ws)
        self._text.number_format = FORMATS["text"]
        self._text.alignment = _BODY_LEFT
        self._quoted = WriteOnlyCell(ws)
        self._quoted.number_format = FORMATS["text"]
        self._quoted.quotePrefix = True
        self._quoted.alignment = _BODY_LEFT

    def filled(self, value: Cell) -> Any:
        """One cell: numbers as numbers, text as text whatever it begins with."""
        if value is None or value == "":
            return None
        if not isinstance(value, str):
            self._number.value = float(value) if isinstance(value, Decimal) else value
            return self._number
        text = plain_text(value)
        cell = self._quoted if could_be_formula(text) else self._text
        cell.value = text
        cell.data_type = "s"
        return cell


def _timeless(data: bytes) -> bytes:
    """Return the workbook's archive without the time it was written at."""
    out = io.BytesIO()
    stamp = EPOCH.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(out, "w") as target:
        for info in source.infolist():
            content = source.read(info)
            if info.filename == "docProps/core.xml":
                content = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>" + stamp, content)
            entry = zipfile.ZipInfo(info.filename, ZIP_EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o600 << 16
            entry.create_system = 3
            target.writestr(entry, content)
    return out.getvalue()
