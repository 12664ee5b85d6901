"""What a snapshot remembers of the runs before it: findings that were open once and closed later."""

from __future__ import annotations

from sizing.entry_key import entry_key
from sizing.model import OPEN_STANDINGS
from sizing.revision.matching import match
from sizing.revision.snapshot import Snapshot

OPEN_DIGITS = frozenset(str(int(standing)) for standing in OPEN_STANDINGS)


def memory_key(entry_no: str, check_id: str) -> str:
    """Return how one finding is named in a snapshot's memory."""
    return f"{entry_key(entry_no)}/{check_id}"


def remember(previous: Snapshot, snapshot: Snapshot) -> Snapshot:
    """Return `snapshot` with the memory of `previous`, and with what closed between the two.

    A boat that has left closes nothing. Doing it again changes nothing.
    """
    pairs = [
        (one.place, two.place)
        for one, two in match(previous, snapshot).pairs
        if one.accepted and two.accepted
    ]
    before = {check.id: check.standing for check in previous.checks}
    kept = frozenset(previous.ever_closed)
    closed = {
        memory_key(snapshot.entry_nos[now], check.id)
        for check in snapshot.checks
        if check.id in before
        for then, now in pairs
        if before[check.id][then] in OPEN_DIGITS and check.standing[now] not in OPEN_DIGITS
    }
    moved = {
        memory_key(snapshot.entry_nos[now], check.id)
        for then, now in pairs
        if entry_key(previous.entry_nos[then]) != entry_key(snapshot.entry_nos[now])
        for check in snapshot.checks
        if memory_key(previous.entry_nos[then], check.id) in kept
    }
    ever = closed.union(moved, previous.ever_closed, snapshot.ever_closed)
    return snapshot.model_copy(update={"ever_closed": tuple(sorted(ever))})
