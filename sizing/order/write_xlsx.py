"""The order as a spreadsheet: real sheets, text that stays text, and the same bytes for the same order."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from itertools import islice
from textwrap import wrap
from typing import Any, Final
from xml.sax.saxutils import escape

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.page import PageMargins

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
MARGINS: Final = PageMargins(left=0.4, right=0.4, top=0.5, bottom=0.6, header=0.2, footer=0.3)
"""Inches."""
_ABOVE_WIDTH: Final = 125
"""Characters of one line above a table."""

_HEAD_FONT: Final = Font(bold=True)
_HEAD_FILL: Final = PatternFill("solid", fgColor="FFE6ECEF")
_HEAD_LEFT: Final = Alignment(wrap_text=True, vertical="top", horizontal="left", indent=1)
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
    bodies: dict[str, bytes] = {}
    for sheet in sheets:
        shown = [at for at, column in enumerate(sheet.columns) if column.width]
        columns = [sheet.columns[at] for at in shown]
        rows = (tuple(row[at] for at in shown) for row in sheet.rows)
        for part in range(max(1, -(-len(sheet.rows) // ROWS_A_SHEET))):
            name = sheet.name if part == 0 else f"{sheet.name} {part + 1}"
            body = _add(book, name, columns, list(islice(rows, ROWS_A_SHEET)), sheet.above)
            bodies[f"xl/worksheets/sheet{len(bodies) + 1}.xml"] = body
    out = io.BytesIO()
    book.save(out)
    return without_time(out.getvalue(), bodies)


def _add(
    book: Workbook,
    name: str,
    columns: Sequence[Column],
    rows: Sequence[Row],
    above: Sequence[tuple[str, str]],
) -> bytes:
    """Add one sheet, laid out for reading and for printing on A4 landscape, one page wide.

    Returns its rows below the head as XML, to be put into the finished sheet: the library takes some ten
    times as long for a row.
    """
    ws: Any = book.create_sheet(name)
    for at, column in enumerate(columns, 1):
        ws.column_dimensions[get_column_letter(at)].width = column.width
    lines = [
        ("" if at else label, part)
        for label, text in above
        for at, part in enumerate(wrap(plain_text(text), _ABOVE_WIDTH))
    ]
    head = len(lines) + 1
    ws.freeze_panes = f"A{head + 1}"
    ws.row_dimensions[head].height = HEAD_HEIGHT
    last = f"{get_column_letter(len(columns))}{head + len(rows)}"
    ws.auto_filter.ref = f"A{head}:{last}"
    ws.print_area = f"A1:{last}"
    ws.print_title_rows = f"{head}:{head}"
    set_page(ws, name)
    for label, text in lines:
        ws.append(_above(ws, label, text))
    ws.append(_head(ws, columns))
    moulds = [_Mould(ws, column, get_column_letter(at)) for at, column in enumerate(columns, 1)]
    return "".join(_row(at, row, columns, moulds) for at, row in enumerate(rows, head + 1)).encode()


def set_page(ws: Any, name: str) -> None:
    """Have a sheet printed on A4 across, one page wide, with its name and number at the foot."""
    ws.page_setup.orientation = "landscape"
    ws.page_setup.paperSize = A4
    ws.page_setup.fitToWidth = 1
    ws.page_setup.fitToHeight = 0
    ws.page_margins = MARGINS
    ws.sheet_properties.pageSetUpPr.fitToPage = True
    ws.oddFooter.center.text = f"{name}, page &P of &N"


def _above(ws: Any, label: str, text: str) -> list[Any]:
    """One line above the table; its text runs on over the columns to the right."""
    head, body = WriteOnlyCell(ws, value=label), WriteOnlyCell(ws, value=text)
    head.font = _HEAD_FONT
    body.data_type, body.number_format = "s", FORMATS["text"]
    body.quotePrefix = could_be_formula(text)
    return [head, body]


def _row(at: int, row: Row, columns: Sequence[Column], moulds: Sequence[_Mould]) -> str:
    lines = _lines(row, columns)
    # Not every program makes a row as high as its text when the file is opened.
    height = f' ht="{LINE_HEIGHT * lines}" customHeight="1"' if lines > 1 else ""
    cells = "".join(mould.filled(at, value) for mould, value in zip(moulds, row, strict=True))
    return f'<row r="{at}"{height}>{cells}</row>'


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
    """The cells of one column, styled once and filled anew for each row. [ECMA-376-1 18.3.1.4]"""

    def __init__(self, ws: Any, column: Column, letter: str) -> None:
        self._letter = letter
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
        self._styles: dict[int, int] = {}

    def filled(self, at: int, value: Cell) -> str:
        """The cell of row `at`: numbers as numbers, text as text whatever it begins with."""
        if value is None or value == "":
            return ""
        if not isinstance(value, str):
            return f'{self._start(at, self._number)}"n"><v>{float(value):.16g}</v></c>'
        text = plain_text(value)
        start = self._start(at, self._quoted if could_be_formula(text) else self._text)
        if not text:
            return f'{start}"inlineStr" />'
        kept = ' xml:space="preserve"' if text.strip() not in {"", text} else ""
        return f'{start}"inlineStr"><is><t{kept}>{escape(text)}</t></is></c>'

    def _start(self, at: int, cell: Any) -> str:
        """The begin of a cell like `cell`; a style is numbered when it is first used."""
        if id(cell) not in self._styles:
            self._styles[id(cell)] = cell.style_id
        return f'<c r="{self._letter}{at}" s="{self._styles[id(cell)]}" t='


def without_time(data: bytes, bodies: Mapping[str, bytes]) -> bytes:
    """Return the workbook's archive with the sheets' rows, and without the time it was written at."""
    out = io.BytesIO()
    stamp = EPOCH.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(out, "w") as target:
        for info in source.infolist():
            content = source.read(info)
            if info.filename == "docProps/core.xml":
                content = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>" + stamp, content)
            if info.filename in bodies:
                head, end, tail = content.partition(b"</sheetData>")
                content = head + bodies[info.filename] + end + tail
            entry = zipfile.ZipInfo(info.filename, ZIP_EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o600 << 16
            entry.create_system = 3
            target.writestr(entry, content)
    return out.getvalue()
