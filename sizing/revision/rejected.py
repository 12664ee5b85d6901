"""What the snapshot keeps of rows that could not be taken: who, and why, in words of our own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from sizing.fields import FIELDS, PRIVATE
from sizing.intake import rejected_cells
from sizing.model import IntakeResult, RejectedRow
from sizing.revision.secret import NOT_KEPT, Sealer, may_tell_contact
from sizing.revision.snapshot import Problem, RejectedSnapshot
from sizing.units import clip

LONGEST: Final = 400


def rejected_snapshots(intake: IntakeResult, sealer: Sealer) -> tuple[RejectedSnapshot, ...]:
    """Return all rejected rows, in the order of the file."""
    names = intake.columns
    return tuple(_rejected(row, rejected_cells(row, names), sealer) for row in intake.rejected)


def row_digest(cells: Mapping[str, str], sealer: Sealer) -> str:
    """Return the digest of a row without its entry number, by which a renumbered boat is known again."""
    parts = [
        part
        for field in FIELDS
        if field.name != "entry_no" and cells.get(field.name)
        for part in (field.name, cells[field.name])
    ]
    return sealer.seal("row", *parts)


def _rejected(row: RejectedRow, cells: Mapping[str, str], sealer: Sealer) -> RejectedSnapshot:
    private = [cells.get(name, "") for name in PRIVATE]

    def kept(text: str, instead: str = NOT_KEPT) -> str:
        return instead if may_tell_contact(text, private) else text[:LONGEST]

    return RejectedSnapshot(
        entry_no=kept(cells.get("entry_no", ""), ""),
        boat_name=kept(cells.get("boat_name", "")),
        row_no=row.row_no,
        row_digest=row_digest(cells, sealer),
        problems=tuple(Problem(column=kept(clip(e.column)), code=e.code) for e in row.errors),
    )
