"""Which cells of a boat's row changed, and whether what was read from them did."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Protocol

from sizing.entry_key import entry_key
from sizing.field_kinds import Field
from sizing.fields import FIELDS
from sizing.revision.changes import Amendment, AmendmentKind
from sizing.revision.snapshot import Snapshot, unpacked

SAME_WITHIN: Final = 1e-6
"""Relative difference below which two figures are one: rounding of units, as in the audit."""

SIZING_FIELDS: Final = frozenset(field.name for field in FIELDS if field.sizes)
"""Columns of the entry that what a boat needs is worked out from."""

Pairs = Sequence[tuple[int, int]]
"""Rows of the earlier and the later run that are one boat."""


class _Add(Protocol):
    def __call__(
        self, now: int, field: str, kind: AmendmentKind, before: str = "", after: str = ""
    ) -> None: ...


def same_figure(before: float | None, after: float | None) -> bool:
    """Whether two figures are the same, or both are missing.

    >>> same_figure(1.0, 1.0000001), same_figure(None, 0.0)
    (True, False)
    """
    if before is None or after is None:
        return before is after
    return abs(after - before) <= SAME_WITHIN * max(abs(before), abs(after))


def amendments(previous: Snapshot, current: Snapshot, pairs: Pairs) -> dict[int, list[Amendment]]:
    """Return the amendments of every pair of rows, by the row in `current`, in the order of the sheet."""
    found: dict[int, list[Amendment]] = {}

    def add(now: int, field: str, kind: AmendmentKind, before: str = "", after: str = "") -> None:
        change = Amendment(f"{current.entry_nos[now]}/{field}", field, kind, before, after)
        found.setdefault(now, []).append(change)

    for field in FIELDS:
        if field.published:
            _public(previous, current, pairs, field, add)
        _sealed(previous, current, pairs, field.name, add)
    known = {field.name for field in FIELDS}
    for name in sorted({*previous.sealed, *current.sealed} - known):
        _sealed(previous, current, pairs, name, add)
    return found


def _public(previous: Snapshot, current: Snapshot, pairs: Pairs, field: Field, add: _Add) -> None:
    before = previous.written.get(field.name) or ("",) * len(previous)
    after = current.written.get(field.name) or ("",) * len(current)
    values_before, values_after = _values(previous, field), _values(current, field)
    for then, now in pairs:
        same = all(_same(one[then], two[now]) for one, two in zip(values_before, values_after, strict=True))
        if before[then] != after[now]:
            rewritten = same and values_before and before[then] and after[now]
            add(now, field.name, "rewritten" if rewritten else "amended", before[then], after[now])
        elif not same:
            add(now, field.name, "reread", _read(values_before, then), _read(values_after, now))


def _sealed(previous: Snapshot, current: Snapshot, pairs: Pairs, name: str, add: _Add) -> None:
    if name not in previous.sealed and name not in current.sealed:
        return
    if previous.stamp.key_id != current.stamp.key_id:
        return  # two keys cannot be compared; the report says so once
    before = previous.sealed.get(name) or ("",) * len(previous)
    after = current.sealed.get(name) or ("",) * len(current)
    nothing = ("",) * max(len(previous), len(current))
    shown_before, shown_after = previous.written.get(name, nothing), current.written.get(name, nothing)
    for then, now in pairs:
        if shown_before[then] != shown_after[now]:
            continue  # told as an amendment already: one of the two is not kept
        renumbered = entry_key(previous.entry_nos[then]) != entry_key(current.entry_nos[now])
        if not renumbered and before[then] != after[now]:
            add(now, name, "private")


def _values(snapshot: Snapshot, field: Field) -> tuple[tuple[float | str | None, ...], ...]:
    """Columns of what was read from a field's cells; none for plain text."""
    if field.kind == "choice":
        return (snapshot.words.get(field.name) or ("",) * len(snapshot),)
    names = ("section_1_m", "section_2_m", "section_3_m") if field.kind == "quantities" else field.numbers
    return tuple(unpacked(snapshot.numbers.get(name, (None,)), len(snapshot)) for name in names)


def _same(before: float | str | None, after: float | str | None) -> bool:
    if isinstance(before, str) or isinstance(after, str):
        return before == after
    return same_figure(before, after)


def _read(columns: Sequence[Sequence[float | str | None]], row: int) -> str:
    """What was read, in SI, for a cell whose text did not change."""
    values = [column[row] for column in columns if column[row] is not None]
    return "; ".join(f"{value:.6g}" if isinstance(value, float) else str(value) for value in values)
