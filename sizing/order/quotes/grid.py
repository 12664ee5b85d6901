"""The cells of a returned file, workbook or CSV, by row and column, with nothing read into them yet."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final, TypeAlias

from sizing.delimited import read_rows
from sizing.errors import CatalogueError, InputError
from sizing.order.quotes.layout import COLUMNS, Key
from sizing.raw_table import Limits, column_letter
from sizing.spreadsheet import from_text, plain_text
from sizing.units import clip
from sizing.workbook_parts import SAVE_AS, WorkbookParts

MOST_BYTES: Final = 5_000_000
"""A request has some hundred rows; a returned one is no larger."""
MOST_COLUMNS: Final = 100
_LIMITS: Final = Limits(
    max_bytes=MOST_BYTES, max_unpacked=40_000_000, max_rows=5_000, max_columns=MOST_COLUMNS, max_cell=2_000
)
_EXPECTED: Final = "the workbook that was sent, filled in, or a CSV of the same columns"
_NAMES: Final[Mapping[str, Key]] = {
    word.casefold(): column.key for column in COLUMNS for word in (column.title, column.key)
}
_ZIP: Final = b"PK\x03\x04"
_HEAD_ROWS: Final = 60

Value: TypeAlias = str | Decimal | dt.date


@dataclass(frozen=True)
class GridCell:
    """What stands in one cell; the text of a formula, with its equals sign, where it is one."""

    value: Value
    is_formula: bool = False

    @property
    def shown(self) -> str:
        """What stands there, shortened for a message."""
        return clip(f"{self.value:f}" if isinstance(self.value, Decimal) else str(self.value))


@dataclass(frozen=True)
class Grid:
    """The cells of one file that hold something, by row and column from 1."""

    name: str
    cells: Mapping[tuple[int, int], GridCell]
    is_workbook: bool

    @property
    def last_row(self) -> int:
        """The last row that holds anything."""
        return max((row for row, _ in self.cells), default=0)

    def place(self, row: int, at: int) -> str:
        """Where a cell is, as a spreadsheet program names it."""
        return f"{self.name}, cell {column_letter(at - 1)}{row}"

    def wrong(self, row: int, at: int, found: str, expected: str, mend: str) -> CatalogueError:
        """Return the refusal of one cell."""
        return CatalogueError(self.place(row, at), found, expected, mend)

    def text(self, row: int, at: int) -> str:
        """What stands in a cell as text, "" for a blank one; a formula is refused."""
        cell = self.cells.get((row, at))
        if cell is None:
            return ""
        if cell.is_formula:
            raise self.wrong(row, at, f"the formula {cell.shown}", "what is meant, as plain text or a figure",
                             "type it into the cell in place of the formula")  # fmt: skip
        return f"{cell.value:f}" if isinstance(cell.value, Decimal) else plain_text(str(cell.value)).strip()

    def columns(self) -> tuple[int, Mapping[Key, int]]:
        """The row of the table's head, and at which column each key stands; CatalogueError for none."""
        best: tuple[int, dict[Key, int]] = (0, {})
        for row in range(1, min(self.last_row, _HEAD_ROWS) + 1):
            found: dict[Key, int] = {}
            for at in sorted(at for line, at in self.cells if line == row):
                key = _name_of(str(self.cells[row, at].value))
                if key is not None:
                    found.setdefault(key, at)
            if len(found) > len(best[1]):
                best = row, found
        missing = [
            c.title for c in COLUMNS if c.key in ("item", "pack_size", "price") and c.key not in best[1]
        ]
        if missing:
            raise CatalogueError(
                self.name, f"there is no column {' or '.join(f'“{title}”' for title in missing)}", _EXPECTED,
                "fill in the workbook that was sent, and leave its heads as they are",
            )  # fmt: skip
        return best


def read_grid(data: bytes, name: str) -> Grid:
    """Return the cells of a returned file; CatalogueError if it is too large, damaged or neither kind."""
    if len(data) > MOST_BYTES:
        raise CatalogueError(name, f"it is {len(data):,} bytes long", f"at most {MOST_BYTES:,} bytes",
                             "send the workbook as it was, filled in, without pictures")  # fmt: skip
    try:
        if data.startswith(_ZIP):
            return Grid(name, _of_workbook(data, name), is_workbook=True)
        rows = read_rows(data, name, _name_of, _LIMITS)
    except InputError as problem:
        raise CatalogueError(problem.where, problem.found, _EXPECTED, problem.mend) from None
    cells = {
        (row, at): GridCell(from_text(text.strip()), is_formula=text.lstrip(" \xa0'").startswith("="))
        for row, line in rows
        for at, text in enumerate(line, 1)
        if text.strip()
    }
    return Grid(name, cells, is_workbook=False)


def _name_of(text: str) -> Key | None:
    return _NAMES.get(" ".join(text.split()).casefold())


def _of_workbook(data: bytes, name: str) -> Mapping[tuple[int, int], GridCell]:
    """The cells of the first sheet that holds anything, formulas as they are written."""
    from openpyxl.reader.excel import ExcelReader  # noqa: PLC0415  slow to load, only workbooks need it

    try:
        with WorkbookParts(data, name, _LIMITS, _EXPECTED) as parts:
            reader = ExcelReader(parts.stream, read_only=True, data_only=False, keep_links=False)
            reader.archive = parts  # as openpyxl.load_workbook does, but for the parts looked through
            reader.read()
            for sheet in reader.wb.worksheets:
                if cells := _of_sheet(sheet, name):
                    return cells
    except InputError:
        raise
    except Exception as error:  # the reader meets damage anywhere and raises whatever it likes
        found = f"the workbook is damaged ({type(error).__name__})"
        raise InputError(name, found, _EXPECTED, SAVE_AS) from error
    raise InputError(name, "every sheet is empty", _EXPECTED, "send the workbook that was filled in")


def _of_sheet(sheet: Any, name: str) -> Mapping[tuple[int, int], GridCell]:
    sheet.reset_dimensions()
    cells: dict[tuple[int, int], GridCell] = {}
    for row in sheet.iter_rows(max_col=MOST_COLUMNS):
        for cell in row:
            if cell.value is None or (isinstance(cell.value, str) and not cell.value.strip()):
                continue
            if cell.row > _LIMITS.max_rows:
                found = f"it has more than {_LIMITS.max_rows:,} rows"
                raise InputError(name, found, _EXPECTED, "delete what does not belong to the request")
            cells[cell.row, cell.column] = _cell(cell)
    return cells


def _cell(cell: Any) -> GridCell:
    value = cell.value
    if cell.data_type == "f" or not isinstance(value, str | int | float | dt.date | dt.time):
        return GridCell(str(getattr(value, "text", value)), is_formula=True)
    if isinstance(value, dt.datetime):
        return GridCell(value.date())
    if isinstance(value, int | float) and not isinstance(value, bool):
        return GridCell(Decimal(repr(value)))
    return GridCell(value if isinstance(value, dt.date) else str(value)[: _LIMITS.max_cell])
