"""What holds for any two snapshots."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

from hypothesis import given

from sizing.revision import change_report_text, changes_csv, compare, parse_snapshot, remember, snapshot_bytes
from sizing.revision.lines import columns
from sizing.revision.matching import match, rows_of
from sizing.revision.snapshot import Snapshot
from tests.sizing.revision.snapshot_strategy import snapshots

OPEN = "123"
MIRROR = {
    "entered": "withdrawn", "put right": "now rejected", "rejected": "rejected row gone",
    "still rejected": "still rejected", "amended": "amended", "judged anew": "judged anew",
}  # fmt: skip
MIRROR |= {after: before for before, after in MIRROR.items()}


@given(snapshots())
def test_a_record_differs_in_nothing_from_itself(snapshot: Snapshot) -> None:
    report = compare(snapshot, snapshot)
    assert report.is_empty
    assert not report.notes
    assert "Nothing changed." in change_report_text(report)


@given(snapshots(), snapshots())
def test_swapped_records_give_the_mirror(one: Snapshot, two: Snapshot) -> None:
    there, back = compare(one, two), compare(two, one)
    kinds = Counter(boat.kind for boat in there.boats)
    assert Counter(MIRROR[boat.kind] for boat in back.boats) == kinds
    assert {(r.id, r.before, r.after) for r in there.rules} == {(r.id, r.after, r.before) for r in back.rules}
    assert {(i.id, i.before, i.after) for i in there.order} == {(i.id, i.after, i.before) for i in back.order}
    cells = Counter((a.field, a.kind, a.before, a.after) for b in there.boats for a in b.amendments)
    mirrored = Counter((a.field, a.kind, a.after, a.before) for b in back.boats for a in b.amendments)
    assert cells == mirrored
    opened = sum(len(b.of_kind("opened", "reopened")) for b in there.boats)
    not_judged = sum(f.before is None for b in there.boats for f in b.of_kind("opened", "reopened"))
    closed = sum(len(b.of_kind("closed", "waived", "no longer applies")) for b in back.boats)
    assert opened - not_judged == closed - sum(
        f.before is None for b in back.boats for f in b.of_kind("closed", "waived", "no longer applies")
    )


@given(snapshots(), snapshots())
def test_every_row_of_both_runs_is_accounted_for_once(one: Snapshot, two: Snapshot) -> None:
    matching = match(one, two)
    before = [pair[0] for pair in matching.pairs] + list(matching.only_before)
    after = [pair[1] for pair in matching.pairs] + list(matching.only_after)
    assert Counter(before) == Counter(rows_of(one))
    assert Counter(after) == Counter(rows_of(two))


@given(snapshots(), snapshots())
def test_boats_taken_add_up(one: Snapshot, two: Snapshot) -> None:
    kinds = Counter(boat.kind for boat in compare(one, two).boats)
    gained = kinds["entered"] + kinds["put right"] - kinds["withdrawn"] - kinds["now rejected"]
    assert gained == len(two) - len(one)
    rows = kinds["rejected"] + kinds["now rejected"] - kinds["rejected row gone"] - kinds["put right"]
    assert rows == len(two.rejected) - len(one.rejected)


@given(snapshots(), snapshots())
def test_open_shalls_change_by_what_opened_and_closed(one: Snapshot, two: Snapshot) -> None:
    for boat in compare(one, two).boats:
        if boat.open_shalls_before is None or boat.open_shalls_after is None:
            continue
        change = 0
        for finding in boat.findings:
            for judged, sign in ((finding.before, -1), (finding.after, 1)):
                if judged and judged.level == "shall" and str(int(judged.standing)) in OPEN:
                    change += sign
        assert boat.open_shalls_after - boat.open_shalls_before == change


@given(snapshots(), snapshots())
def test_a_record_remembers_once_and_for_all(one: Snapshot, two: Snapshot) -> None:
    remembered = remember(one, two)
    assert remember(one, remembered) == remembered
    assert set(remembered.ever_closed) >= {*one.ever_closed, *two.ever_closed}
    assert remembered.model_copy(update={"ever_closed": two.ever_closed}) == two
    assert compare(one, remembered) == compare(one, two)


@given(snapshots(), snapshots())
def test_what_was_never_closed_is_never_reopened(one: Snapshot, two: Snapshot) -> None:
    fresh = one.model_copy(update={"ever_closed": ()})
    assert not [f for boat in compare(fresh, two).boats for f in boat.of_kind("reopened")]


@given(snapshots(), snapshots())
def test_the_order_adds_up(one: Snapshot, two: Snapshot) -> None:
    needed = {item.item: item.needed for item in one.order}
    for item in compare(one, two).order:
        difference = item.difference
        assert difference is not None
        needed[item.id] = needed.get(item.id, Decimal(0)) + difference
    assert {i: n for i, n in needed.items() if n} == {item.item: item.needed for item in two.order}


@given(snapshots(), snapshots())
def test_reports_are_the_same_every_time_and_fit_the_page(one: Snapshot, two: Snapshot) -> None:
    report = compare(one, two)
    text = change_report_text(report)
    assert text == change_report_text(compare(parse_snapshot(snapshot_bytes(one), "snapshot"), two))
    assert all(columns(line) <= 76 for line in text.split("\n"))
    assert "\u202e" not in text
    assert changes_csv(report) == changes_csv(compare(one, two))
    ids = [f.id for boat in report.boats for f in boat.findings] + [
        a.id for b in report.boats for a in b.amendments
    ]
    assert len(ids) == len(set(ids))


@given(snapshots(), snapshots())
def test_whatever_changed_has_a_cause(one: Snapshot, two: Snapshot) -> None:
    for boat in compare(one, two).boats:
        assert all(need.causes for need in boat.needs)
        assert all(finding.causes for finding in boat.findings)
