"""Which boats of an earlier run a new list leaves out, known before anything is sized or written."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from sizing.entry_key import entry_key
from sizing.errors import InputError
from sizing.model import IntakeResult
from sizing.revision.make import row_digests
from sizing.revision.matching import match_rows, rows, rows_of
from sizing.revision.rejected import rejected_snapshots
from sizing.revision.secret import Sealer
from sizing.revision.snapshot import Snapshot

MOST_WITHDRAWN: Final = Fraction(1, 10)
"""Share of a fleet that may withdraw between two lists without a question [assumed]."""
_NAMED: Final = 5


def refuse_many_withdrawn(
    previous: Snapshot, intake: IntakeResult, key: bytes, filename: str, earlier: str
) -> None:
    """Raise InputError if a list leaves out more than a tenth of the boats of the run before.

    `key` is the officer's own, with which a boat under a new entry number is known again; `earlier` says in
    words which run it was. A boat whose row is rejected now has not withdrawn.
    """
    gone = _gone(previous, intake, key)
    if not exceeds(len(gone), len(previous)):
        return
    named = [f"{previous.entry_nos[place]} {previous.names[place]}".strip() for place in gone]
    boats = "boat" if len(previous) == 1 else "boats"
    raise InputError(
        filename, f"it leaves out {len(gone)} of the {len(previous)} {boats} of {earlier}: {few(named)}",
        "the whole list, from which at most a tenth of the boats has withdrawn since",
        "give the whole list (rows mended in rejects.csv belong back in it); if these boats have withdrawn, "
        "add --withdraw; for another fleet, choose another --out",
    )  # fmt: skip


def exceeds(gone: int, boats: int) -> bool:
    """Whether so many withdrawals from so many boats are to be asked about.

    >>> exceeds(6, 57), exceeds(5, 57), exceeds(0, 0)
    (True, False, False)
    """
    return gone > MOST_WITHDRAWN * boats


def few(named: list[str]) -> str:
    """Return the first few of some boats, and how many more there are."""
    more = len(named) - _NAMED
    return ", ".join(named[:_NAMED]) + (f" and {more} more" if more > 0 else "")


def _gone(previous: Snapshot, intake: IntakeResult, key: bytes) -> list[int]:
    """The places in `previous` of the boats that are on no row of the new list."""
    fleet, sealer = intake.fleet, Sealer(key)
    entries = [str(entry) for entry in fleet.text["entry_no"]]
    rejected = rejected_snapshots(intake, sealer)
    listed = {entry_key(entry) for entry in (*entries, *(row.entry_no for row in rejected))}
    gone = [place for place, entry in enumerate(previous.entry_nos) if entry_key(entry) not in listed]
    if not exceeds(len(gone), len(previous)):
        return gone  # digests of all rows, to know renumbered boats by, cost more than the look above
    names, designs = (tuple(fleet.text[name]) for name in ("boat_name", "design"))
    now = rows(entries, row_digests(fleet, sealer), names, designs, rejected)
    return sorted(row.place for row in match_rows(rows_of(previous), now).only_before if row.accepted)
