"""The chase list as a table for the officer's spreadsheet. It holds no contact details."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from datetime import date
from typing import Final

from sizing.chase.actions import Action
from sizing.order.cell_text import csv_text

COLUMNS: Final = (
    "due", "milestone", "overdue", "days_left", "owner", "entry_no", "boat_name", "berth", "level", "before",
    "action", "checks", "id",
)  # fmt: skip


def chase_csv(actions: Iterable[Action], today: date) -> bytes:
    """Return chase.csv: a row an action, in the order given; UTF-8, comma, CR LF [RFC 4180].

    `days_left` is a number, negative when the day is past; every other cell is text and never a formula.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for action in actions:
        left = action.due.days_left(today)
        cells = (
            action.due.day.isoformat() if action.due.day else "", action.due.milestone,
            "overdue" if action.overdue else "", "" if left is None else str(left), action.owner,
            action.entry_no, action.boat_name, action.berth, action.level, action.stage, action.sentence,
            ", ".join(action.checks), action.id,
        )  # fmt: skip
        writer.writerow(
            cell if name == "days_left" else csv_text(cell) for name, cell in zip(COLUMNS, cells, strict=True)
        )
    return out.getvalue().encode("utf-8")
