"""Which row of one run is which of the other: by entry number, else by what tells her under a new one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from sizing.entry_key import entry_key
from sizing.revision.secret import NOT_KEPT
from sizing.revision.snapshot import RejectedSnapshot, Snapshot


@dataclass(frozen=True)
class Row:
    """One row of a run: `place` among the accepted boats or among the rejected rows.

    `likeness` is name and design of an accepted boat, empty where one of them is not known. `rest` is what
    else tells a row without an entry number: her name and what is wrong with it.
    """

    key: str
    digest: str
    accepted: bool
    place: int
    likeness: tuple[str, ...] = ()
    rest: tuple[str, ...] = ()


@dataclass(frozen=True)
class Matching:
    """Rows of both runs that are one boat, and those found in one run only."""

    pairs: tuple[tuple[Row, Row], ...]
    only_before: tuple[Row, ...]
    only_after: tuple[Row, ...]


def rows_of(snapshot: Snapshot) -> tuple[Row, ...]:
    """Return every row of a run, accepted boats first."""
    designs = snapshot.written.get("design") or ("",) * len(snapshot)
    return rows(snapshot.entry_nos, snapshot.row_digests, snapshot.names, designs, snapshot.rejected)


def rows(
    entry_nos: Sequence[str],
    digests: Sequence[str],
    names: Sequence[str],
    designs: Sequence[str],
    rejected: Sequence[RejectedSnapshot],
) -> tuple[Row, ...]:
    """Return the rows of a list: its accepted boats, a value of each in every sequence, then the rejected."""
    boats = zip(entry_nos, digests, names, designs, strict=True)
    return (
        *(
            Row(entry_key(entry), digest, True, place, _likeness(name, design))
            for place, (entry, digest, name, design) in enumerate(boats)
        ),
        *(
            Row(entry_key(row.entry_no), row.row_digest, False, place, rest=_rest(row))
            for place, row in enumerate(rejected)
        ),
    )


def match(previous: Snapshot, current: Snapshot) -> Matching:
    """Return which rows of two runs belong together."""
    return match_rows(rows_of(previous), rows_of(current))


def match_rows(before: tuple[Row, ...], after: tuple[Row, ...]) -> Matching:
    """Return which rows belong together.

    Rows of one entry number first (where a number stands on several rejected rows, the unchanged row before
    the others, then in the order of the file); of the rest, rows whose cells are all the same but for the
    entry number, if there is one such on each side; then accepted boats of one name and one design, likewise
    (the report says by what she was known again); rejected rows without an entry number by name and problems.
    Anything else entered or left: nothing is guessed.
    """
    pairs: list[tuple[Row, Row]] = []
    steps: tuple[tuple[Callable[[Row], tuple[str, ...]], bool], ...] = (
        (lambda row: (row.key, row.digest) if row.key else (), False),
        (lambda row: (row.key,) if row.key else (), False),
        (lambda row: (row.digest,) if row.digest else (), True),
        (lambda row: row.likeness, True),
        (lambda row: row.rest, False),
    )
    for key_of, alone in steps:
        found = _paired(before, after, key_of, alone=alone)
        pairs += found
        taken_before, taken_after = {id(one) for one, _ in found}, {id(two) for _, two in found}
        before = tuple(row for row in before if id(row) not in taken_before)
        after = tuple(row for row in after if id(row) not in taken_after)
    return Matching(tuple(pairs), before, after)


def _likeness(name: str, design: str) -> tuple[str, ...]:
    words = tuple(" ".join(text.split()).casefold() for text in (name, design))
    return words if all(words) and NOT_KEPT not in (name, design) else ()


def _rest(row: RejectedSnapshot) -> tuple[str, ...]:
    if entry_key(row.entry_no):
        return ()
    return (row.boat_name, *(f"{problem.column}: {problem.code}" for problem in row.problems))


def _paired(
    before: Iterable[Row], after: Iterable[Row], key_of: Callable[[Row], tuple[str, ...]], *, alone: bool
) -> list[tuple[Row, Row]]:
    groups: dict[tuple[str, ...], tuple[list[Row], list[Row]]] = defaultdict(lambda: ([], []))
    for side, rows in enumerate((before, after)):
        for row in rows:
            if key_of(row):
                groups[key_of(row)][side].append(row)
    return [
        pair
        for one, two in groups.values()
        if not alone or len(one) == len(two) == 1
        for pair in zip(one, two, strict=False)
    ]
