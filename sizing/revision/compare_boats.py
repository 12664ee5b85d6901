"""What a boat needs and how she stands, then and now, over all boats that are in both runs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sizing.model import OPEN_STANDINGS, Standing
from sizing.revision.changes import Cause, FindingChange, FindingKind, Judged, NeedChange, PlanChange
from sizing.revision.compare_entries import Pairs, same_figure
from sizing.revision.make import NEEDS
from sizing.revision.memory import memory_key
from sizing.revision.snapshot import CheckSnapshot, Snapshot, unpacked

Causes = Mapping[int, tuple[Cause, ...]]
"""For each boat (row in the later run), what can have changed her figures; empty if nothing did."""


def need_changes(
    previous: Snapshot, current: Snapshot, pairs: Pairs, causes: Causes
) -> dict[int, list[NeedChange]]:
    """Return the changes of what boats need, by row in `current`: figures, then catalogue ids."""
    found: dict[int, list[NeedChange]] = {}

    def add(
        now: int, name: str, before: float | str | None, after: float | str | None, dimension: str
    ) -> None:
        change_id = f"{current.entry_nos[now]}/{name}"
        change = NeedChange(change_id, name, before, after, dimension, causes[now] or ("run",))
        found.setdefault(now, []).append(change)

    for name, dimension in NEEDS.items():
        before = unpacked(previous.needs.get(name, (None,)), len(previous))
        after = unpacked(current.needs.get(name, (None,)), len(current))
        for then, now in pairs:
            if not same_figure(before[then], after[now]):
                add(now, name, before[then], after[now], dimension)
    for name in dict.fromkeys((*current.parts, *previous.parts)):
        ids_before = previous.parts.get(name) or ("",) * len(previous)
        ids_after = current.parts.get(name) or ("",) * len(current)
        for then, now in pairs:
            if ids_before[then] != ids_after[now]:
                add(now, name, ids_before[then] or None, ids_after[now] or None, "")
    return found


def finding_changes(
    previous: Snapshot, current: Snapshot, pairs: Pairs, causes: Causes
) -> dict[int, list[FindingChange]]:
    """Return the changes of findings, by row in `current`, in the order of the checks.

    A figure asked for that changed under the same standing is told where the rules or the run did it, not
    where it follows from her entry alone.
    """
    found: dict[int, list[FindingChange]] = {}
    then_checks = {check.id: check for check in previous.checks}
    now_checks = {check.id: check for check in current.checks}
    closed_once = frozenset(previous.ever_closed)
    for check_id in dict.fromkeys((*now_checks, *then_checks)):
        before, after = then_checks.get(check_id), now_checks.get(check_id)
        sides = _Side(before, len(previous)), _Side(after, len(current))
        for then, now in pairs:
            if sides[0].same(then, sides[1], now):
                continue
            one, two = sides[0].at(then), sides[1].at(now)
            kind = _kind(one, two, memory_key(previous.entry_nos[then], check_id) in closed_once)
            if kind is None and not _asked_anew(one, two, causes[now]):
                continue
            change = FindingChange(
                id=f"{current.entry_nos[now]}/{check_id}",
                check=check_id,
                dimension=(after or before).dimension,  # type: ignore[union-attr]
                kind=kind or _unmoved(two),
                before=one,
                after=two,
                causes=_causes(one, two, causes[now]),
            )
            found.setdefault(now, []).append(change)
    return found


class _Side:
    """One check in one run, boat by boat."""

    def __init__(self, check: CheckSnapshot | None, boats: int) -> None:
        self._check = check
        self._required = unpacked(check.required, boats) if check else ()
        self._found = unpacked(check.found, boats) if check else ()

    def same(self, row: int, other: _Side, other_row: int) -> bool:
        """Whether nothing that is told can differ: found out without making the objects to tell it with."""
        if self._check is None or other._check is None:
            return False
        return (
            self._check.standing[row] == other._check.standing[other_row]
            and self._check.level == other._check.level
            and self._required[row] == other._required[other_row]
        )

    def at(self, row: int) -> Judged | None:
        if self._check is None:
            return None
        standing = Standing(int(self._check.standing[row]))
        return Judged(standing, self._check.level, self._required[row], self._found[row])


def _is_open(judged: Judged | None) -> bool:
    return judged is not None and judged.standing in OPEN_STANDINGS


def _kind(before: Judged | None, after: Judged | None, was_closed: bool) -> FindingKind | None:
    """How a finding moved; None if it stands as it did."""
    if after is None:
        return "not judged" if _is_open(before) else None
    if _is_open(after):
        if not _is_open(before):
            return "reopened" if was_closed else "opened"
        assert before is not None
        changed = (before.standing, before.level) != (after.standing, after.level)
        return "still open" if changed else None
    if _is_open(before):
        gone: dict[Standing, FindingKind] = {
            Standing.WAIVED: "waived", Standing.NOT_APPLICABLE: "no longer applies",
        }  # fmt: skip
        return gone.get(after.standing, "closed")
    changed = before is not None and (before.standing, before.level) != (after.standing, after.level)
    return "other" if changed else None


def _unmoved(judged: Judged | None) -> FindingKind:
    return "still open" if _is_open(judged) else "other"


def _asked_anew(before: Judged | None, after: Judged | None, causes: tuple[Cause, ...]) -> bool:
    if before is None or after is None or causes == ("entry",):
        return False
    if after.standing is Standing.NOT_APPLICABLE:
        return False
    return not same_figure(before.required, after.required)


def _causes(before: Judged | None, after: Judged | None, causes: tuple[Cause, ...]) -> tuple[Cause, ...]:
    if before and after:
        if Standing.WAIVED in {before.standing, after.standing} and before.standing != after.standing:
            return ("waiver",)
        if before.level != after.level and before.standing == after.standing:
            return ("rules",)
    return causes or ("run",)


def plan_change(previous: Snapshot, current: Snapshot, then: int, now: int) -> PlanChange | None:
    """Return how the plan that mends a boat changed, None if it did not."""
    before, after = previous.plans[then], current.plans[now]
    if before == after:
        return None
    return PlanChange(
        before=before.choice,
        after=after.choice,
        parts_added=_without(after.groups, before.groups),
        parts_dropped=_without(before.groups, after.groups),
        cones_before=before.cones_to_make,
        cones_after=after.cones_to_make,
    )


def _without(parts: Sequence[str], others: Sequence[str]) -> tuple[str, ...]:
    return tuple(part for part in parts if part not in others)


def open_shalls(snapshot: Snapshot) -> list[int]:
    """Return the number of open findings at level shall for each boat of a snapshot."""
    counts = [0] * len(snapshot)
    digits = frozenset(str(int(standing)) for standing in OPEN_STANDINGS)
    for check in snapshot.checks:
        if check.level == "shall":
            for row, digit in enumerate(check.standing):
                counts[row] += digit in digits
    return counts
