"""Rows that could not be taken, and how to mend them; never with contact details."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from sitegen.pages.frame import Frame, SearchEntry
from sitegen.pages.parts import plural
from sitegen.plain_text import visible
from sitegen.redaction import LEFT_OUT, redact
from sizing.fields import FIELD_BY_NAME, FIELDS
from sizing.model import IntakeResult, RejectedRow, RowError


@dataclass(frozen=True)
class ErrorView:
    """One thing wrong, as shown."""

    column: str
    column_letter: str
    found: str
    expected: str
    mend: str


@dataclass(frozen=True)
class RejectedView:
    """One rejected row, as shown."""

    row_no: int
    line_no: int
    entry_no: str
    boat_name: str
    errors: tuple[ErrorView, ...]


@dataclass(frozen=True)
class RejectedPage:
    """What the template of rejected rows may use."""

    template: ClassVar[str] = "rejected.html.j2"

    lead_words: str
    rows: tuple[RejectedView, ...]

    @property
    def frame(self) -> Frame:
        """The page as the theme sees it."""
        return Frame("rejected.html", "Rejected rows", "Rows that could not be taken", "rejected", "")

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """Every row whose boat is known."""
        rows = tuple(
            SearchEntry(f"rejected.html#row-{place}", row.boat_name, f"rejected row {row.row_no}")
            for place, row in enumerate(self.rows, start=1)
            if row.boat_name
        )
        return (SearchEntry("rejected.html", "Rejected rows", "how to mend them"), *rows)


def rejected_page(intake: IntakeResult, private: Sequence[str]) -> RejectedPage:
    """Return the page of rejected rows. `private` are contact details known from accepted rows."""
    if not intake.rejected:
        lead = "Every row of the fleet file was taken."
    else:
        lead = (
            f"{plural(len(intake.rejected), 'row')} of {intake.rows_in:,} could not be taken. "
            "Nothing was guessed: mend them in the file and run it again."
        )
    columns = _columns(intake.header)
    return RejectedPage(lead, tuple(_row(row, columns, private) for row in intake.rejected))


def _plain(header: str) -> str:
    return re.sub(r"[^a-z0-9]+", " ", header.casefold()).strip()


def _columns(header: Sequence[str]) -> dict[str, int]:
    """Return the place of every column of ours, by its own name or one of its other names."""
    names = {_plain(word): field.name for field in FIELDS for word in (field.name, *field.aliases)}
    places: dict[str, int] = {}
    for place, word in enumerate(header):
        name = names.get(_plain(word))
        if name is not None:
            places.setdefault(name, place)
    return places


def _row(row: RejectedRow, columns: dict[str, int], known: Sequence[str]) -> RejectedView:
    def cell(name: str) -> str:
        place = columns.get(name)
        return row.cells[place].strip() if place is not None and place < len(row.cells) else ""

    own = tuple(cell(field.name) for field in FIELDS if field.private)
    private = (*known, *(value for value in own if value))
    return RejectedView(
        row.row_no,
        row.line_no,
        visible(redact(cell("entry_no"), private)),
        visible(redact(cell("boat_name"), private)),
        tuple(_error(error, private) for error in row.errors),
    )


def _error(error: RowError, private: Sequence[str]) -> ErrorView:
    field = FIELD_BY_NAME.get(error.column) or FIELD_BY_NAME.get(_plain(error.column).replace(" ", "_"))
    hidden = field is not None and field.private
    return ErrorView(
        visible(error.column),
        error.column_letter,
        LEFT_OUT if hidden else visible(redact(error.found, private)),
        visible(error.expected),
        visible(redact(error.mend, private)),
    )
