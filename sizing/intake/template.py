"""The blank entry sheet, made from the table of columns: CSV with its guidance beside it, or a workbook."""

from __future__ import annotations

import io
from pathlib import Path
from textwrap import wrap
from typing import Final

from sizing.fields import FIELDS
from sizing.intake.rows import GUIDANCE_MARK
from sizing.spreadsheet import BYTE_ORDER_MARK, csv_bytes
from sizing.writing import write_files

_READY_ROWS: Final = 500
_WIDTH: Final = 24
_LINE_HEIGHT: Final = 15
_HEAD_FILL: Final = "FFE6ECEF"
_REQUIRED_FILL: Final = "FFF6E3B4"
_LONGEST_LIST: Final = 255


def blank_template() -> bytes:
    """Return the blank entry sheet as CSV: the header row alone."""
    return csv_bytes([[field.name for field in FIELDS]])


def guidance_table() -> bytes:
    """Return, as CSV, what to write in each column of the entry sheet."""
    rows = [["column", "required", "what to write", "words", "example"]]
    rows.extend(
        [f.name, "yes" if f.required else "no", f.guidance, ", ".join(f.words), f.example] for f in FIELDS
    )
    return csv_bytes(rows)


def write_template(path: Path) -> tuple[Path, ...]:
    """Write the blank entry sheet and return the files written.

    A path that ends in .xlsx gets a workbook with guidance, notes and lists to choose from; any other path a
    CSV file and, beside it, another with the guidance.
    """
    if path.suffix.lower() == ".xlsx":
        files = {path.name: _workbook()}
    else:
        guidance = f"{path.stem}-guidance.csv"
        files = {path.name: BYTE_ORDER_MARK + blank_template(), guidance: BYTE_ORDER_MARK + guidance_table()}
    write_files(path.parent, files)
    return tuple(path.with_name(name) for name in files)


def _workbook() -> bytes:
    """Return the workbook: header, guidance row, and lists to choose from below them."""
    from openpyxl import Workbook  # noqa: PLC0415  slow to load, and only workbooks need it
    from openpyxl.comments import Comment  # noqa: PLC0415
    from openpyxl.styles import Alignment, Font, PatternFill  # noqa: PLC0415
    from openpyxl.utils import get_column_letter  # noqa: PLC0415
    from openpyxl.worksheet.datavalidation import DataValidation  # noqa: PLC0415

    book = Workbook()
    sheet = book.active
    if sheet is None:
        raise AssertionError("a new workbook has a sheet")
    sheet.title = "Fleet"
    tallest = 1
    for place, field in enumerate(FIELDS, start=1):
        letter = get_column_letter(place)
        head = sheet.cell(row=1, column=place, value=field.name)
        head.font = Font(bold=True)
        head.fill = PatternFill("solid", fgColor=_REQUIRED_FILL if field.required else _HEAD_FILL)
        words = field.words
        said = f"{field.guidance} Example: {field.example}."
        said += " Required." if field.required else ""
        shown = f"{GUIDANCE_MARK} {said}" if field.name == "entry_no" else said
        tallest = max(tallest, len(wrap(shown, _WIDTH - 2)))
        head.comment = Comment(said, "Drogue Muster")
        guide = sheet.cell(row=2, column=place, value=shown)
        guide.font = Font(italic=True)
        guide.alignment = Alignment(wrap_text=True, vertical="top")
        sheet.column_dimensions[letter].width = _WIDTH
        for row in range(3, _READY_ROWS + 3):
            # Text cells keep leading zeros and stop dates from being made out of entry numbers.
            sheet.cell(row=row, column=place).number_format = "@"
        listed = f'"{",".join(words)}"'
        if words and len(listed) <= _LONGEST_LIST:
            choice = DataValidation(type="list", formula1=listed, allow_blank=True, showErrorMessage=False)
            choice.add(f"{letter}3:{letter}{_READY_ROWS + 2}")
            sheet.add_data_validation(choice)
    # Not every program makes a row as high as its text; cut off, the guidance guides nobody.
    sheet.row_dimensions[2].height = _LINE_HEIGHT * tallest
    sheet.freeze_panes = "C2"
    sheet.page_setup.orientation = "landscape"
    sheet.print_title_rows = "1:1"
    sheet.print_title_cols = "A:B"
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()
