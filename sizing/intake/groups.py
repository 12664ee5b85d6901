"""What is wrong with rows, by kind: one heading for all boats with one fault, the gravest first."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from sizing.fields import FIELD_BY_NAME
from sizing.intake.rejects import own_name, rejected_cells
from sizing.model import IntakeResult, RowError
from sizing.units import clip

_WRONG_FILL: Final = "FFF6C6C0"
_ROW_FILL: Final = "FFFCEFED"
_HEAD_FILL: Final = "FFE6ECEF"
_WIDTH: Final = 18
_WIDEST: Final = 60


@dataclass(frozen=True)
class Group:
    """Boats with one kind of fault in one column: which boat, and what was found."""

    column: str
    expected: str
    mend: str
    boats: tuple[tuple[str, RowError], ...]
    weight: tuple[int, int]

    @property
    def heading(self) -> str:
        """The fault in one sentence."""
        count = len(self.boats)
        boats = "1 boat" if count == 1 else f"{count} boats"
        return f"{self.column or 'whole row'}, {boats}. Expected: {self.expected}. To mend: {self.mend}."


def boat_of(cells: Mapping[str, str], error: RowError) -> str:
    """Return how a rejected boat is called: entry number, name and row; the row alone without these."""
    called = " ".join(cells[name] for name in ("entry_no", "boat_name") if cells.get(name))
    where = f"row {error.row_no}"
    return f"{clip(called)} ({where})" if called else where


def grouped(intake: IntakeResult) -> tuple[Group, ...]:
    """Return all faults by kind: what boats are sized by first, and of these what most boats have."""
    found: dict[tuple[str, str, str, str], list[tuple[str, RowError]]] = {}
    for row in intake.rejected:
        cells = rejected_cells(row, intake.columns)
        for error in row.errors:
            key = (error.column, error.code, error.expected, error.mend)
            found.setdefault(key, []).append((boat_of(cells, error), error))
    groups = []
    for (column, _, expected, mend), boats in found.items():
        field = FIELD_BY_NAME.get(own_name(intake, column))
        sizes = field is not None and (field.required or field.sizes)
        weight = (0 if sizes else 1, -len(boats))
        groups.append(Group(column, expected.rstrip("."), mend.rstrip("."), tuple(boats), weight))
    return tuple(sorted(groups, key=lambda one: one.weight))


def sheet_to_send_back(intake: IntakeResult) -> bytes:
    """Return the rejected rows as a workbook for the club's secretary: wrong cells coloured and explained.

    Every cell is text, as it was; the first column says what to do, the wrong cells say it in a note as well.
    """
    from openpyxl import Workbook  # noqa: PLC0415  slow to load, and only workbooks need it
    from openpyxl.comments import Comment  # noqa: PLC0415
    from openpyxl.styles import Alignment, Font, PatternFill  # noqa: PLC0415
    from openpyxl.utils import get_column_letter  # noqa: PLC0415

    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "To be mended"
    titles = ["what to do", *(cell.strip() for cell in intake.header)]
    for place, title in enumerate(titles, start=1):
        head = sheet.cell(row=1, column=place)
        _text(head, title)
        head.font, head.fill = Font(bold=True), PatternFill("solid", fgColor=_HEAD_FILL)
        sheet.column_dimensions[get_column_letter(place)].width = _WIDEST if place == 1 else _WIDTH
    wrong, pale = PatternFill("solid", fgColor=_WRONG_FILL), PatternFill("solid", fgColor=_ROW_FILL)
    for at, row in enumerate(intake.rejected, start=2):
        said = "\n".join(f"{error.column or 'row'}: {error.found}. {error.mend}." for error in row.errors)
        told = sheet.cell(row=at, column=1)
        _text(told, said)
        told.alignment = Alignment(wrap_text=True, vertical="top")
        faults = {error.column: error for error in row.errors}
        for place, cell in enumerate(row.cells[: len(titles) - 1], start=2):
            shown = sheet.cell(row=at, column=place)
            _text(shown, cell)
            shown.alignment = Alignment(vertical="top")
            error = faults.get(clip(titles[place - 1]))
            shown.fill = wrong if error else pale
            if error:
                shown.comment = Comment(f"{error.found}. Expected: {error.expected}.", "Drogue Muster")
    sheet.freeze_panes = "B2"
    sheet.page_setup.orientation = "landscape"
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def _text(cell: object, text: str) -> None:
    """Write text as text: a formula in it is never run."""
    from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE, Cell  # noqa: PLC0415

    assert isinstance(cell, Cell)
    cell.value = ILLEGAL_CHARACTERS_RE.sub("", text)
    cell.data_type = "s"
    cell.number_format = "@"
