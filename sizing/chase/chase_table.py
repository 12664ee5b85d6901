"""The chase list as a table for the officer's spreadsheet. It holds no contact details."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Final

from sizing.chase.actions import Action
from sizing.spreadsheet import Cell, csv_bytes, plain_text

COLUMNS: Final = (
    "due", "milestone", "overdue", "days_left", "owner", "entry_no", "boat_name", "berth", "level", "before",
    "action", "checks", "id",
)  # fmt: skip


def chase_csv(actions: Iterable[Action], today: date) -> bytes:
    """Return chase.csv: a row an action, in the order given.

    `days_left` is a number, negative when the day is past; every other cell is text.
    """
    return csv_bytes([COLUMNS, *(_cells(action, today) for action in actions)])


def _cells(action: Action, today: date) -> list[Cell]:
    cells: tuple[Cell, ...] = (
        action.due.day.isoformat() if action.due.day else "", action.due.milestone,
        "overdue" if action.overdue else "", action.due.days_left(today), action.owner, action.entry_no,
        action.boat_name, action.berth, action.level, action.stage, action.sentence,
        ", ".join(action.checks), action.id,
    )  # fmt: skip
    return [plain_text(cell) if isinstance(cell, str) else cell for cell in cells]
