"""A week of the demo rally: everything its story promises is reported, and nothing else."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

import pytest

from sizing.model import Standing
from sizing.revision import ChangeReport, change_report_text, changes_csv, compare
from tests.sizing.revision.runs import demo, demo_record

ENTERED = {"068", "069", "071"}
WITHDRAWN = {"026", "040", "067"}
PUT_RIGHT = {"014", "022", "031", "038", "046", "052", "057", "077"}

# Cells amended between the two sheets, boat by boat, as the story says and the sheets show.
AMENDED = {
    "003": {"end_weight", "notes"},
    "004": {"notes"},
    "005": {"thimble_type"},
    "009": {"last_inspected", "evidence", "evidence_date", "structure_survey"},
    "011": {"bridle_leg_length"},
    "012": {"lead_line_length"},
    "018": {"attachment_lead", "chafe_gear"},
    "019": {"shackle_rating", "shackles_moused", "joints_tried"},
    "024": {"displacement", "displacement_basis", "notes"},
    "036": {"chafe_gear", "stowed_ready", "within_reach"},
    "042": {"line_state", "made_year", "last_inspected", "condition", "notes"},
    "063": {"device_type"},
}
CLOSED = {
    "003": {"end-weight.mass"},
    "005": {"hardware.thimbles"},
    "009": {"condition.inspected"},
    "011": {"bridle.leg-length"},
    "012": {"line.lead-length"},
    "018": {"attachment.lead", "chafe.protection"},
    "019": {"end-weight.joint", "hardware.shackles", "hardware.mousing", "hardware.joints-tried"},
    "024": {"data.displacement-basis"},
    "036": {"chafe.protection", "stowage.ready", "stowage.reach"},
    "042": {
        "line.strength-residual", "line.state", "bridle.strength-residual", "bridle.state",
        "condition.cones",
    },
}  # fmt: skip


@pytest.fixture(scope="module")
def report() -> ChangeReport:
    return compare(demo_record(), demo_record(second=True))


def entries(report: ChangeReport, kind: str) -> set[str]:
    return {boat.entry_no for boat in report.boats if boat.kind == kind}


def test_boats_come_and_go_as_the_story_says(report: ChangeReport) -> None:
    assert entries(report, "entered") == ENTERED
    assert entries(report, "withdrawn") == WITHDRAWN
    assert entries(report, "put right") == PUT_RIGHT
    assert entries(report, "rejected") == {"070"}
    assert entries(report, "still rejected") == {"058"}  # three of its four faults are mended
    assert entries(report, "amended") == set(AMENDED)
    assert not entries(report, "now rejected") | entries(report, "rejected row gone")
    assert not entries(report, "judged anew")
    assert (report.boats_before.accepted, report.boats_before.rejected) == (57, 10)
    assert (report.boats_after.accepted, report.boats_after.rejected) == (65, 3)


def test_the_second_031_is_known_again_under_her_new_number(report: ChangeReport) -> None:
    was = {boat.entry_no: boat.was_entry_no for boat in report.boats if boat.was_entry_no}
    assert was == {"077": "031"}


def test_every_amended_cell_is_told_and_no_other(report: ChangeReport) -> None:
    told = {boat.entry_no: {a.field for a in boat.amendments} for boat in report.boats if boat.amendments}
    assert told == AMENDED
    weight = next(a for boat in report.boats for a in boat.amendments if a.id == "003/end_weight")
    assert (weight.before, weight.after, weight.kind) == ("15 lb", "28 lb", "amended")


def test_findings_close_where_the_story_says_so(report: ChangeReport) -> None:
    closed = {boat.entry_no: {f.check for f in boat.of_kind("closed")} for boat in report.boats}
    assert {entry: found for entry, found in closed.items() if found} == CLOSED
    opened = {f.id for boat in report.boats for f in boat.of_kind("opened", "reopened", "waived")}
    assert opened == {"009/attachment.structure"}  # the survey was not good news
    assert {c for boat in report.boats for f in boat.findings for c in f.causes} == {"entry"}


def test_a_boat_that_says_she_has_nothing_closes_nothing(report: ChangeReport) -> None:
    hen_coop = next(boat for boat in report.boats if boat.entry_no == "063")
    kinds = {finding.kind for finding in hen_coop.findings}
    assert kinds == {"no longer applies", "still open"}
    aboard = next(f for f in hen_coop.findings if f.check == "drag.device-aboard")
    assert aboard.before is not None
    assert aboard.after is not None
    assert (aboard.before.standing, aboard.after.standing) == (Standing.UNPROVEN, Standing.ABSENT)
    assert hen_coop.plan is not None
    assert (hen_coop.plan.before, hen_coop.plan.after) == ("nothing", "replace")


def test_only_the_boat_that_was_weighed_needs_something_else(report: ChangeReport) -> None:
    assert {boat.entry_no for boat in report.boats if boat.needs} == {"024"}
    weighed = next(boat for boat in report.boats if boat.entry_no == "024")
    used = next(need for need in weighed.needs if need.name == "displacement_used_kg")
    assert used.before == pytest.approx(22_900 * 0.45359237 * 1.15)  # SP 811; loading factor of the policy
    assert used.after == pytest.approx(25_400 * 0.45359237)
    assert used.causes == ("entry",)


def test_no_rule_changed(report: ChangeReport) -> None:
    assert not report.rules
    assert not report.notes


def test_the_order_differs_by_the_sums_of_the_two_orders(report: ChangeReport) -> None:
    sums: list[dict[str, Decimal]] = []
    for second in (False, True):
        needed: dict[str, Decimal] = {}
        for line in demo(second=second).order.lines:
            needed[line.item] = needed.get(line.item, Decimal(0)) + line.needed
        sums.append(needed)
    expected = {
        item: sums[1].get(item, Decimal(0)) - sums[0].get(item, Decimal(0)) for item in {*sums[0], *sums[1]}
    }
    assert {item.id: item.difference for item in report.order} == {k: d for k, d in expected.items() if d}


def test_the_text_names_every_boat_that_changed_and_fits_the_page(report: ChangeReport) -> None:
    text = change_report_text(report)
    assert max(len(line) for line in text.splitlines()) <= 76
    for entry in {boat.entry_no for boat in report.boats}:
        assert f"\n  {entry}: " in text
    assert "not enough, asked 11.34 kg (25 lb), found" in " ".join(text.split())
    assert "skipper@" not in text


def test_the_table_has_a_row_for_every_change(report: ChangeReport) -> None:
    rows = list(csv.DictReader(io.StringIO(changes_csv(report).decode("utf-8"), newline="")))
    leaves = sum(
        1 + len(b.amendments) + len(b.needs) + len(b.findings) + (b.plan is not None) for b in report.boats
    )
    assert len(rows) == leaves + len(report.rules) + len(report.order)
    ids = [(row["change"], row["id"]) for row in rows]
    assert len(set(ids)) == len(ids)
    assert not any(
        cell.startswith(("=", "+", "@")) for row in rows for k, cell in row.items() if k != "difference"
    )


def test_the_same_two_runs_give_the_same_report(report: ChangeReport) -> None:
    again = compare(demo_record(), demo_record(second=True))
    assert again == report
    assert changes_csv(again) == changes_csv(report)
