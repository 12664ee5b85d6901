"""Who has to do what: nothing open is left to nobody, and everything is dated."""

from __future__ import annotations

import csv
import io
from collections import Counter
from datetime import date

import pytest

from sizing.audit import SPECS
from sizing.chase import OWNERS, Action, chase_actions, chase_csv
from sizing.chase.actions import boat_actions
from sizing.model import OPEN_STANDINGS
from tests.sizing.revision.runs import TODAY, boat, demo, demo_rules, run


@pytest.fixture(scope="module")
def actions() -> tuple[Action, ...]:
    return chase_actions(demo(), demo_rules().policy)


def of(actions: tuple[Action, ...], entry_no: str) -> set[tuple[str, str, str]]:
    return {(a.owner, a.stage, a.level) for a in actions if a.entry_no == entry_no and a.row is not None}


def test_every_open_finding_is_in_an_action_and_no_other_is(actions: tuple[Action, ...]) -> None:
    result = demo()
    for row, found in boat_actions(actions).items():
        named = {check for action in found for check in action.checks}
        still_open = {c.check.id for c in result.checks if c.standing[row] in OPEN_STANDINGS}
        assert named == still_open
    idle = set(range(len(result.intake.fleet))) - set(boat_actions(actions))
    for row in idle:
        assert not [c for c in result.checks if c.standing[row] in OPEN_STANDINGS]


def test_every_rejected_row_has_an_action(actions: tuple[Action, ...]) -> None:
    rejected = [a for a in actions if a.row is None]
    assert Counter(a.row_no for a in rejected) == Counter(r.row_no for r in demo().intake.rejected)
    assert {a.owner for a in rejected} == {"safety officer"}


def test_ids_are_unique_and_the_order_is_by_day(actions: tuple[Action, ...]) -> None:
    ids = [action.id for action in actions]
    assert len(set(ids)) == len(ids)
    days = [action.due.day or date.max for action in actions]
    assert days == sorted(days)
    assert actions == chase_actions(demo(), demo_rules().policy)


def test_a_boat_short_of_parts_keeps_four_people_busy(actions: tuple[Action, ...]) -> None:
    marrow_bone = of(actions, "003")  # end weight alone
    assert marrow_bone >= {
        ("chandlery", "orders", "shall"), ("workshop", "work", "shall"),
        ("scrutineer", "inspection", "shall"),
    }  # fmt: skip
    honest_mistake = of(actions, "024")  # attachments too: no skipper changes a transom on his own
    assert ("surveyor", "orders", "shall") in honest_mistake
    assert ("skipper", "work", "shall") in honest_mistake


def test_nobody_is_asked_about_gear_that_is_replaced(actions: tuple[Action, ...]) -> None:
    asked = {check for a in actions if a.entry_no == "013" and a.owner == "skipper" for check in a.checks}
    assert asked
    assert not [check for check in asked if SPECS[check].of_the_drogue]


def test_what_a_plan_does_not_order_says_so() -> None:
    result, rules = run([boat(cone_cloth="light rip-stop", displacement="16 t", cone_count="200")])
    cloth = next(a for a in chase_actions(result, rules.policy) if "drag.cone-cloth" in a.checks)
    assert (cloth.owner, cloth.stage, cloth.level) == ("skipper", "orders", "should")
    assert "The bulk order holds no part for this" in cloth.sentence


def test_a_day_that_is_over_is_flagged() -> None:
    rally = '[rally]\ndeparture = 2026-12-15\nmilestones = [{ name = "all done", due = 2026-11-19 }]\n'
    result, rules = run([boat(swivel="unrated")], rally)
    late = [a for a in chase_actions(result, rules.policy) if a.stage != "orders"]
    assert late
    assert all(action.overdue for action in late)
    table = list(csv.DictReader(io.StringIO(chase_csv(late, TODAY).decode("utf-8"), newline="")))
    assert {(row["overdue"], row["days_left"], row["due"]) for row in table} == {
        ("overdue", "-1", "2026-11-19")
    }


def test_without_any_date_nothing_is_overdue() -> None:
    result, rules = run([boat(swivel="unrated")])
    found = chase_actions(result, rules.policy)
    assert found
    assert not any(action.overdue for action in found)
    table = csv.DictReader(io.StringIO(chase_csv(found, TODAY).decode("utf-8"), newline=""))
    assert {(row["due"], row["days_left"]) for row in table} == {("", "")}


def test_a_waiver_that_ends_before_departure_is_chased() -> None:
    policy = (
        "[rally]\ndeparture = 2027-05-15\n"
        '[[waivers]]\nentry_no = "01"\ncheck = "line.lead-length"\nreason = "weather"\n'
        'officer = "Office"\nuntil = 2027-05-01\n'
    )
    result, rules = run([boat(lead_line_length="15 m")], policy)
    waiver = next(a for a in chase_actions(result, rules.policy) if a.due.milestone == "a waiver ends")
    assert (waiver.owner, waiver.due.day, waiver.checks) == (
        "safety officer", date(2027, 5, 1), ("line.lead-length",),
    )  # fmt: skip


def test_hostile_names_are_text_in_the_table() -> None:
    result, rules = run(
        [
            boat(entry_no="=1+1", boat_name="@SUM(A1)", berth="+3", swivel="unrated"),
            boat(entry_no="\t-2", loa="x"),
        ]
    )
    data = chase_csv(chase_actions(result, rules.policy), TODAY).decode("utf-8")
    rows = list(csv.DictReader(io.StringIO(data, newline="")))
    assert {row["boat_name"] for row in rows} == {"'@SUM(A1)", "Grey Plover"}
    for row in rows:
        assert not any(cell.startswith(("=", "+", "@", "\t")) for cell in row.values())
        assert row["owner"] in OWNERS


def test_the_table_holds_no_contact_details(actions: tuple[Action, ...]) -> None:
    data = chase_csv(actions, TODAY).decode("utf-8")
    for column in ("skipper", "email", "phone"):
        for value in demo().intake.fleet.text[column]:
            assert not value or value not in data
