"""Rows that could not be taken, and how to mend them; never with contact details."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import ClassVar

from sitegen.pages.frame import Frame, SearchEntry
from sitegen.pages.parts import plural
from sitegen.plain_text import one_line, visible
from sizing.fields import FIELD_BY_NAME, PRIVATE
from sizing.intake import own_name, rejected_cells
from sizing.model import IntakeResult, RejectedRow, RowError
from sizing.redaction import LEFT_OUT, redact


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
    frame = Frame("rejected.html", "Rejected rows", "Rows that could not be taken", "rejected", "")

    lead_words: str
    rows: tuple[RejectedView, ...]

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """Every row whose boat is known, by her name and by her entry number."""
        rows = tuple(
            SearchEntry(
                f"rejected.html#row-{place}",
                one_line(row.boat_name or f"Row {row.row_no}"),
                one_line(
                    f"{f'entry {row.entry_no}, ' if row.entry_no else ''}rejected row {row.row_no}", 200
                ),
                (one_line(row.entry_no, 40),) if row.entry_no else (),
            )
            for place, row in enumerate(self.rows, start=1)
            if row.boat_name or row.entry_no
        )
        return (SearchEntry("rejected.html", "Rejected rows", "how to mend them"), *rows)


def rejected_page(intake: IntakeResult, private: Sequence[str], hidden: Collection[int] = ()) -> RejectedPage:
    """Return the page of rejected rows.

    `private` are what may not be published of accepted rows, `hidden` the numbers of rows that are private.
    """
    if not intake.rejected:
        lead = "Every row of the fleet file was taken."
    else:
        lead = (
            f"{plural(len(intake.rejected), 'row')} of {intake.rows_in:,} could not be taken. "
            "Nothing was guessed: mend them in the file and run it again."
        )
    if hidden:
        which = (
            "1 row of a private entry is"
            if len(hidden) == 1
            else f"{len(hidden):,} rows of private entries are"
        )
        lead += f" {which} not shown here."
    shown = (row for row in intake.rejected if row.row_no not in hidden)
    return RejectedPage(lead, tuple(_row(row, intake, private) for row in shown))


def _row(row: RejectedRow, intake: IntakeResult, known: Sequence[str]) -> RejectedView:
    cells = rejected_cells(row, intake.columns)
    private = (*known, *(cells[name] for name in PRIVATE if cells.get(name)))
    return RejectedView(
        row.row_no,
        row.line_no,
        visible(redact(cells.get("entry_no", ""), private)),
        visible(redact(cells.get("boat_name", ""), private)),
        tuple(_error(error, own_name(intake, error.column), private) for error in row.errors),
    )


def _error(error: RowError, name: str, private: Sequence[str]) -> ErrorView:
    hidden = name != "" and not FIELD_BY_NAME[name].published
    return ErrorView(
        visible(error.column),
        error.column_letter,
        LEFT_OUT if hidden else visible(redact(error.found, private)),
        visible(error.expected),
        visible(redact(error.mend, private)),
    )
