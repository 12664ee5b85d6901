"""Which boats of an earlier run a new list leaves out, known before anything is sized or written."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from typing import Final

from sizing.entry_key import entry_key
from sizing.errors import InputError
from sizing.model import IntakeResult
from sizing.revision.make import row_digests
from sizing.revision.matching import Row, match_rows, rows, rows_of
from sizing.revision.rejected import rejected_snapshots
from sizing.revision.secret import Sealer
from sizing.revision.snapshot import RejectedSnapshot, Snapshot

MOST_WITHDRAWN: Final = Fraction(1, 10)
"""Share of a fleet that may withdraw between two lists without a question [assumed]."""
_NAMED: Final = 5


class ManyWithdrawnError(InputError):
    """A list leaves out more than a tenth of the boats in force; `boats` names them all."""

    def __init__(self, where: str, found: str, expected: str, mend: str, boats: tuple[str, ...]) -> None:
        self.boats = boats
        super().__init__(where, found, expected, mend)


def refuse_many_withdrawn(
    previous: Snapshot | IntakeResult, intake: IntakeResult, key: bytes, where: str, earlier: str, meant: str
) -> None:
    """Raise ManyWithdrawnError if a list leaves out more than a tenth of the boats of the one before.

    `key` is the one of the snapshot, with which a boat under a new entry number is known again; any will do
    for a list as it was read. `where`, `earlier` and `meant` are words: which file it is, which run or list
    it is compared with, and how to say that the boats have withdrawn. A boat whose row is rejected now has
    not withdrawn.
    """
    sealer = Sealer(key)
    before = _list(previous, sealer)
    gone, boats = _gone(before, _list(intake, sealer)), len(before.entry_nos)
    if not exceeds(len(gone), boats):
        return
    named = [f"{before.entry_nos[place]} {before.names[place]}".strip() for place in gone]
    raise ManyWithdrawnError(
        where,
        f"it leaves out {len(gone)} of the {boats} {'boat' if boats == 1 else 'boats'} of {earlier}: "
        f"{few(named)}",
        "the whole list, from which at most a tenth of the boats has withdrawn since",
        "give the whole list (rows mended in rejects.csv belong back in it); if these boats have withdrawn, "
        f"{meant}", tuple(named),
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


@dataclass(frozen=True)
class _List:
    """What is compared of a list: its boats, its rejected rows, and on a second look all of its rows."""

    entry_nos: Sequence[str]
    names: Sequence[str]
    rejected: Sequence[RejectedSnapshot]
    rows: Callable[[], tuple[Row, ...]]


def _list(run: Snapshot | IntakeResult, sealer: Sealer) -> _List:
    if isinstance(run, Snapshot):
        return _List(run.entry_nos, run.names, run.rejected, partial(rows_of, run))
    fleet, rejected = run.fleet, rejected_snapshots(run, sealer)
    entries, names, designs = (tuple(fleet.text[name]) for name in ("entry_no", "boat_name", "design"))
    return _List(
        entries, names, rejected, lambda: rows(entries, row_digests(fleet, sealer), names, designs, rejected)
    )


def _gone(before: _List, now: _List) -> list[int]:
    """The places in `before` of the boats that are on no row of the new list."""
    listed = {entry_key(entry) for entry in (*now.entry_nos, *(row.entry_no for row in now.rejected))}
    gone = [place for place, entry in enumerate(before.entry_nos) if entry_key(entry) not in listed]
    if not exceeds(len(gone), len(before.entry_nos)):
        return gone  # digests of all rows, to know renumbered boats by, cost more than the look above
    return sorted(row.place for row in match_rows(before.rows(), now.rows()).only_before if row.accepted)
