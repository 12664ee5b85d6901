"""Whether the boat changed or the rules did, and what a snapshot remembers."""

from __future__ import annotations

from datetime import date

import pytest

from sizing.revision import BoatChange, ChangeReport, change_report_text, compare
from tests.sizing.revision.runs import LATER, boat, snapshot


def only(report: ChangeReport) -> BoatChange:
    assert len(report.boats) == 1
    return report.boats[0]


def test_a_changed_rule_is_not_taken_for_a_changed_boat() -> None:
    stricter = '[sizing]\nlead_line_length = "30 m"\n'
    report = compare(snapshot([boat()]), snapshot([boat()], stricter))
    changed = only(report)
    assert changed.kind == "judged anew"
    assert not changed.amendments
    assert {cause for need in changed.needs for cause in need.causes} == {"rules"}
    opened = {f.check: f.causes for f in changed.of_kind("opened")}
    assert opened["line.lead-length"] == ("rules",)
    assert set(opened.values()) == {("rules",)}
    assert [(rule.id, rule.before, rule.after) for rule in report.rules] == [
        ("policy.sizing.lead_line_length", "22.86 m (75 ft)", "30 m (98 ft 5 in)")
    ]


def test_a_changed_boat_is_not_taken_for_a_changed_rule() -> None:
    report = compare(snapshot([boat()]), snapshot([boat(displacement="9,400 kg")]))
    changed = only(report)
    assert not report.rules
    assert changed.needs
    assert {cause for need in changed.needs for cause in need.causes} == {"entry"}


def test_where_both_changed_both_are_named() -> None:
    report = compare(
        snapshot([boat()]), snapshot([boat(displacement="9,400 kg")], "[sizing]\nloading_factor = 1.3\n")
    )
    assert {need.causes for need in only(report).needs} == {("entry", "rules")}


def test_gear_aboard_does_not_change_what_she_needs() -> None:
    report = compare(
        snapshot([boat()]), snapshot([boat(end_weight="5 kg")], '[sizing]\nlead_line_length = "30 m"\n')
    )
    changed = only(report)
    assert {need.causes for need in changed.needs} == {("rules",)}
    assert {f.check for f in changed.of_kind("opened")} >= {"end-weight.mass", "line.lead-length"}


def test_another_spelling_is_no_other_value() -> None:
    report = compare(snapshot([boat()]), snapshot([boat(displacement="8.2 t", line_material="nylon braid")]))
    changed = only(report)
    assert {(a.field, a.kind) for a in changed.amendments} == {
        ("displacement", "rewritten"), ("line_material", "rewritten"),
    }  # fmt: skip
    assert not changed.needs
    assert not changed.findings


def test_the_same_text_under_another_unit_is_another_value() -> None:
    bare = boat(lead_line_length="75")
    feet = snapshot([bare], headers={"lead_line_length": "Lead line (ft)"})
    metres = snapshot([bare], headers={"lead_line_length": "Lead line (m)"})
    changed = only(compare(feet, metres))
    assert [(a.field, a.kind, a.before, a.after) for a in changed.amendments] == [
        ("lead_line_length", "reread", "22.86", "75")
    ]


def test_time_alone_is_named_where_no_departure_is_given() -> None:
    then = snapshot([boat(last_inspected="2025-11-24")])
    report = compare(then, snapshot([boat(last_inspected="2025-11-24")], today=LATER))
    changed = only(report)
    assert [(f.check, f.causes) for f in changed.of_kind("opened")] == [("condition.inspected", ("day",))]
    assert [rule.id for rule in report.rules] == ["run.day"]


def test_with_a_departure_the_day_of_the_run_changes_nothing() -> None:
    rally = "[rally]\ndeparture = 2027-05-15\n"
    assert compare(snapshot([boat()], rally), snapshot([boat()], rally, today=LATER)).is_empty


def test_a_waiver_is_named_as_the_cause_and_its_end_reopens() -> None:
    short = boat(lead_line_length="15 m")
    waiver = (
        '[[waivers]]\nentry_no = "01"\ncheck = "line.lead-length"\nreason = "weather"\nofficer = "Office"\n'
        "until = 2026-11-25\n"
    )
    shall = '[checks]\n"line.lead-length" = "shall"\n'
    open_before = snapshot([short], shall)
    waived = snapshot([short], shall + waiver, previous=open_before)
    over = snapshot([short], shall + waiver, today=date(2026, 11, 28), previous=waived)
    first, second = only(compare(open_before, waived)), only(compare(waived, over))
    assert [(f.check, f.causes) for f in first.of_kind("waived")] == [("line.lead-length", ("waiver",))]
    assert [f.check for f in second.of_kind("reopened")] == ["line.lead-length"]


def test_a_finding_that_opens_again_is_told_as_reopened() -> None:
    light = snapshot([boat(end_weight="5 kg")])
    mended = snapshot([boat()], previous=light)
    again = snapshot([boat(end_weight="5 kg")], previous=mended)
    assert [f.check for f in only(compare(light, mended)).of_kind("closed")] == ["end-weight.mass"]
    assert [f.check for f in only(compare(mended, again)).of_kind("reopened")] == ["end-weight.mass"]
    never = snapshot([boat(), boat(entry_no="02", boat_name="Dunlin")])
    first_time = snapshot(
        [boat(), boat(entry_no="02", boat_name="Dunlin", end_weight="5 kg")], previous=never
    )
    assert [f.kind for f in only(compare(never, first_time)).findings if f.check == "end-weight.mass"] == [
        "opened"
    ]


def test_memory_follows_a_boat_to_her_new_number() -> None:
    light = snapshot([boat(end_weight="5 kg")])
    mended = snapshot([boat()], previous=light)
    renumbered = snapshot([boat(entry_no="77")], previous=mended)
    changed = only(compare(mended, renumbered))
    assert (changed.was_entry_no, changed.entry_no, changed.kind) == ("01", "77", "amended")
    assert "77/end-weight.mass" in renumbered.ever_closed


def test_a_boat_of_her_name_and_design_is_known_under_a_new_number_though_amended() -> None:
    before = snapshot([boat(design="Tern 36"), boat(entry_no="02", boat_name="Dunlin", design="Tern 36")])
    after = snapshot(
        [
            boat(design="Tern 36", entry_no="77", displacement="9,000 kg"),
            boat(entry_no="02", boat_name="Dunlin", design="Tern 36"),
        ]
    )
    report = compare(before, after)
    changed = only(report)
    assert (changed.was_entry_no, changed.entry_no, changed.kind) == ("01", "77", "amended")
    assert {amendment.field for amendment in changed.amendments} == {"entry_no", "displacement"}
    text = " ".join(change_report_text(report).split())
    assert "taken for entry 01 of the earlier list, by her name and design; other cells differ" in text


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ([boat()], [boat(entry_no="77", displacement="9,000 kg")]),  # no design is given
        ([boat(design="Tern 36")], [boat(entry_no="77", design="Tern 38", displacement="9,000 kg")]),
        (
            [boat(design="Tern 36"), boat(entry_no="02", design="Tern 36", berth="A3")],
            [boat(entry_no="77", design="Tern 36", displacement="9,000 kg")],
        ),
    ],
)
def test_who_cannot_be_told_for_certain_left_and_entered(
    before: list[dict[str, str]], after: list[dict[str, str]]
) -> None:
    kinds = [change.kind for change in compare(snapshot(before), snapshot(after)).boats]
    assert sorted(kinds) == sorted(["entered", *["withdrawn"] * len(before)])


def test_a_level_is_changed_by_the_rules() -> None:
    short = boat(lead_line_length="15 m")
    report = compare(snapshot([short]), snapshot([short], '[checks]\n"line.lead-length" = "shall"\n'))
    finding = next(f for f in only(report).findings if f.check == "line.lead-length")
    assert (finding.kind, finding.causes, finding.level) == ("still open", ("rules",), "shall")
    before = only(report).open_shalls_before
    assert before is not None
    assert only(report).open_shalls_after == before + 1


def test_a_row_that_can_no_longer_be_read_is_not_withdrawn() -> None:
    report = compare(snapshot([boat(), boat(entry_no="02", boat_name="Dunlin")]),
                     snapshot([boat(), boat(entry_no="02", boat_name="Dunlin", loa="long")]))  # fmt: skip
    changed = only(report)
    assert (changed.entry_no, changed.kind) == ("02", "now rejected")
    assert changed.problems_after == ("loa: no number",)


def test_a_rule_that_touches_many_boats_alike_is_told_once() -> None:
    boats = [boat(entry_no=f"{n:02}", boat_name=f"Dunlin {n}") for n in range(1, 7)]
    text = change_report_text(
        compare(snapshot(boats), snapshot(boats, "[condition]\ninspection_days = 330\n"))
    )
    assert text.count("condition.inspected:") == 1
    assert "6 boats, 01, 02, 03, 04, 05, 06" in " ".join(text.split())


def test_prices_and_names_of_the_rally_judge_nobody() -> None:
    report = compare(snapshot([boat()]), snapshot([boat()], '[rally]\nname = "Long Way Round"\n'))
    assert not report.boats
    assert [rule.id for rule in report.rules] == ["policy.rally.name"]
