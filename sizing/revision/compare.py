"""Two snapshots to the report of what changed between them. Read this file first."""

from __future__ import annotations

from collections.abc import Iterable

from sizing.revision.changes import Amendment, BoatChange, BoatKind, Cause, ChangeReport, Count, ItemChange
from sizing.revision.compare_boats import finding_changes, need_changes, open_shalls, plan_change
from sizing.revision.compare_entries import SIZING_FIELDS, amendments
from sizing.revision.compare_rules import reference_day, rule_changes, rules_differ
from sizing.revision.matching import Row, match
from sizing.revision.natural import natural_key
from sizing.revision.snapshot import RejectedSnapshot, Snapshot


def compare(previous: Snapshot, current: Snapshot) -> ChangeReport:
    """Return what changed from one run to a later one: rules, boats, order.

    A snapshot compared with itself gives an empty report; the same two snapshots always give the same report.
    """
    matching = match(previous, current)
    both = [(one, two) for one, two in matching.pairs if one.accepted and two.accepted]
    boats = _in_both(previous, current, [(one.place, two.place) for one, two in both])
    shalls_before, shalls_after = open_shalls(previous), open_shalls(current)
    for one, two in matching.pairs:
        if one.accepted and two.accepted:
            continue
        if two.accepted:
            boats.append(_entering(current, two, shalls_after, "put right", previous.rejected[one.place]))
        elif one.accepted:
            gone = _leaving(previous, one, shalls_before, "now rejected", current.rejected[two.place])
            boats.append(gone)
        else:
            boats += _still_rejected(previous.rejected[one.place], current.rejected[two.place])
    for row in matching.only_after:
        if row.accepted:
            boats.append(_entering(current, row, shalls_after, "entered", None))
        else:
            refused = current.rejected[row.place]
            boats.append(_boat(refused, "rejected", after=_problems(refused)))
    for row in matching.only_before:
        if row.accepted:
            boats.append(_leaving(previous, row, shalls_before, "withdrawn", None))
        else:
            refused = previous.rejected[row.place]
            boats.append(_boat(refused, "rejected row gone", before=_problems(refused)))
    return ChangeReport(
        previous=previous.stamp,
        current=current.stamp,
        boats_before=Count(len(previous), len(previous.rejected)),
        boats_after=Count(len(current), len(current.rejected)),
        rules=rule_changes(previous, current),
        boats=tuple(sorted(boats, key=lambda boat: (natural_key(boat.entry_no), boat.kind, boat.boat_name))),
        order=_order(previous, current),
        notes=_notes(previous, current),
    )


def _in_both(previous: Snapshot, current: Snapshot, pairs: list[tuple[int, int]]) -> list[BoatChange]:
    """Return the boats that are in both runs and changed."""
    amended = amendments(previous, current, pairs)
    rules: tuple[Cause, ...] = ("rules",) if rules_differ(previous, current) else ()
    day: tuple[Cause, ...] = ("day",) if reference_day(previous.stamp) != reference_day(current.stamp) else ()
    hers = {now: _values_changed(amended.get(now, ())) for _, now in pairs}
    resized = {now: bool(fields & SIZING_FIELDS) for now, fields in hers.items()}
    needs = need_changes(previous, current, pairs, {now: (*_entry(resized[now]), *rules) for now in resized})
    findings = finding_changes(
        previous, current, pairs, {now: (*_entry(bool(hers[now])), *rules, *day) for now in hers}
    )
    shalls_before, shalls_after = open_shalls(previous), open_shalls(current)
    boats = []
    for then, now in pairs:
        plan = plan_change(previous, current, then, now)
        renumbered = previous.entry_nos[then] != current.entry_nos[now]
        reasons = previous.not_computed[then], current.not_computed[now]
        if not (now in amended or now in needs or now in findings or plan or reasons[0] != reasons[1]):
            continue
        boats.append(
            BoatChange(
                entry_no=current.entry_nos[now],
                boat_name=current.names[now],
                kind="amended" if now in amended else "judged anew",
                was_entry_no=previous.entry_nos[then] if renumbered else "",
                open_shalls_before=shalls_before[then],
                open_shalls_after=shalls_after[now],
                not_computed_before=reasons[0],
                not_computed_after=reasons[1],
                amendments=tuple(amended.get(now, ())),
                needs=tuple(needs.get(now, ())),
                findings=tuple(findings.get(now, ())),
                plan=plan,
            )
        )
    return boats


def _values_changed(amended: Iterable[Amendment]) -> frozenset[str]:
    """Fields whose value changed: not another spelling of the same, not a private cell."""
    return frozenset(a.field for a in amended if a.kind in {"amended", "reread"})


def _entry(changed: bool) -> tuple[Cause, ...]:
    return ("entry",) if changed else ()


def _entering(
    current: Snapshot, row: Row, shalls: list[int], kind: BoatKind, was: RejectedSnapshot | None
) -> BoatChange:
    entry_no = current.entry_nos[row.place]
    return BoatChange(
        entry_no=entry_no,
        boat_name=current.names[row.place],
        kind=kind,
        was_entry_no=was.entry_no if was and was.entry_no != entry_no else "",
        open_shalls_after=shalls[row.place],
        not_computed_after=current.not_computed[row.place],
        problems_before=_problems(was) if was else (),
    )


def _leaving(
    previous: Snapshot, row: Row, shalls: list[int], kind: BoatKind, refused: RejectedSnapshot | None
) -> BoatChange:
    entry_no = previous.entry_nos[row.place]
    return BoatChange(
        entry_no=refused.entry_no if refused else entry_no,
        boat_name=previous.names[row.place],
        kind=kind,
        was_entry_no=entry_no if refused and refused.entry_no != entry_no else "",
        open_shalls_before=shalls[row.place],
        not_computed_before=previous.not_computed[row.place],
        problems_after=_problems(refused) if refused else (),
    )


def _still_rejected(before: RejectedSnapshot, after: RejectedSnapshot) -> list[BoatChange]:
    """Return a row that was and is rejected, if anything about it changed."""
    was, now = _problems(before), _problems(after)
    if was == now and before.entry_no == after.entry_no and before.boat_name == after.boat_name:
        return []
    was_entry_no = before.entry_no if before.entry_no != after.entry_no else ""
    return [_boat(after, "still rejected", was, now, was_entry_no)]


def _boat(
    row: RejectedSnapshot,
    kind: BoatKind,
    before: tuple[str, ...] = (),
    after: tuple[str, ...] = (),
    was_entry_no: str = "",
) -> BoatChange:
    return BoatChange(
        entry_no=row.entry_no,
        boat_name=row.boat_name,
        kind=kind,
        was_entry_no=was_entry_no,
        problems_before=before,
        problems_after=after,
    )


def _problems(row: RejectedSnapshot) -> tuple[str, ...]:
    """The problems of a rejected row in words."""
    return tuple(f"{p.column or 'the row'}: {p.code.replace('_', ' ')}" for p in row.problems)


def _order(previous: Snapshot, current: Snapshot) -> tuple[ItemChange, ...]:
    before = {item.item: item for item in previous.order}
    after = {item.item: item for item in current.order}
    changes = []
    for item in sorted({*before, *after}):
        one, two = before.get(item), after.get(item)
        known = two or one
        if known is None or (one and two and (one.needed, one.unit) == (two.needed, two.unit)):
            continue
        changes.append(
            ItemChange(
                id=item,
                description=known.description,
                unit=known.unit,
                before=one.needed if one else None,
                after=two.needed if two else None,
                unit_before=one.unit if one else known.unit,
            )
        )
    return tuple(changes)


def _notes(previous: Snapshot, current: Snapshot) -> tuple[str, ...]:
    """What could not be compared, so that silence is not taken for sameness."""
    then, now = previous.stamp.key_id, current.stamp.key_id
    notes = []
    if not then or not now or then != now:
        why = (
            "the two snapshots were made with different keys"
            if then and now
            else "a snapshot was made without a key"
        )
        notes.append(
            f"Private columns, columns that are not ours and free text with contact details were not "
            f"compared: {why}."
        )
    if previous.stamp.today > current.stamp.today:
        notes.append(
            "The earlier snapshot is of a run for a later day: were the two given the wrong way round?"
        )
    return tuple(notes)
