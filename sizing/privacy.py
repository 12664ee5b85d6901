"""Whose page is private: her row says so, or the rally's policy does. What is in doubt is private."""

from __future__ import annotations

import numpy as np

from sizing.errors import QuantityError
from sizing.intake import rejected_cells
from sizing.intake.words import read_yes_no
from sizing.model import FleetColumns, IntakeResult
from sizing.policy import Policy

COLUMN = "public"


def private_boats(fleet: FleetColumns, policy: Policy) -> frozenset[int]:
    """Return the rows of the accepted boats whose pages are private."""
    if policy.rally.private_pages:
        return frozenset(range(len(fleet)))
    column = fleet.number.get(COLUMN)
    return frozenset() if column is None else frozenset(np.flatnonzero(column == 0.0).tolist())


def private_refused(intake: IntakeResult, policy: Policy) -> frozenset[int]:
    """Return the numbers of the rejected rows that are private; so is one whose cell cannot be read."""
    names = intake.columns
    return frozenset(
        row.row_no
        for row in intake.rejected
        if policy.rally.private_pages or not _is_public(rejected_cells(row, names).get(COLUMN, ""))
    )


def _is_public(cell: str) -> bool:
    try:
        return read_yes_no(cell).value != 0.0 if cell.strip() else True
    except QuantityError:
        return False
