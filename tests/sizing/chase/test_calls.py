"""Whom the office calls first. Common practice, no source."""

from __future__ import annotations

import csv
import io
from functools import cache

from sizing.audit import stages_of
from sizing.chase import Action, Call, boat_actions, calls_csv, calls_of, chase_actions, holding_up
from sizing.chase.calls import CALLED, CONSEQUENCES
from tests.sizing.revision.runs import demo, demo_rules


@cache
def actions() -> tuple[Action, ...]:
    return chase_actions(demo(), demo_rules().policy)


@cache
def calls() -> tuple[Call, ...]:
    return calls_of(demo(), actions())


def test_calls_come_by_consequence() -> None:
    """The demo's story says of each of these boats what she is there to show."""
    places = [CONSEQUENCES.index(call.why) for call in calls()]
    assert places == sorted(places)
    first = [call.action.entry_no for call in calls()[:7]]
    assert first == ["063", "067", "002", "054", "059", "056", "065"]
    assert len(set(places)) >= 6


def test_each_boat_that_owes_an_answer_is_called_about_once_and_no_other() -> None:
    owed = {
        (action.row, action.row_no)
        for action in actions()
        if action.level == "shall" and action.owner in CALLED
    }
    assert sorted(owed, key=str) == sorted(((c.row, c.action.row_no) for c in calls()), key=str)
    assert {row.row_no for row in demo().intake.rejected} <= {
        c.action.row_no for c in calls() if c.row is None
    }


def test_what_is_left_to_ask_is_counted() -> None:
    by_row = boat_actions(actions())
    for call in calls():
        if call.row is not None:
            hers = [a for a in by_row[call.row] if a.level == "shall" and a.owner in CALLED]
            assert (call.action in hers, call.more) == (True, len(hers) - 1)


def test_the_order_waits_for_every_answer_that_changes_it() -> None:
    waiting = holding_up(calls())
    asked = {
        (a.row, a.row_no) for a in actions()
        if a.stage == "orders" and a.owner in CALLED and a.level == "shall"
    }  # fmt: skip
    assert {(call.row, call.action.row_no) for call in waiting} == asked
    stages = stages_of(demo())
    assert not [call for call in waiting if call.row is not None and stages[call.row] == "signed-off"]


def test_the_officers_table_has_who_to_ring_and_is_safe_in_a_spreadsheet() -> None:
    rows = list(csv.DictReader(io.StringIO(calls_csv(calls(), demo()).decode("utf-8-sig"))))
    assert [row["entry_no"].lstrip("'") for row in rows] == [call.action.entry_no for call in calls()]
    assert rows[0]["phone"]
    assert "@" in rows[0]["email"]
    rejected = next(row for row in rows if row["why"] == CONSEQUENCES[4])
    assert rejected["skipper"], "a rejected row's skipper is rung too"
    assert not [cell for row in rows for cell in row.values() if cell[:1] in "=+-@" and cell]


def test_a_call_about_a_row_that_was_not_taken_asks_for_the_figure() -> None:
    """Her skipper has no sheet to mend: “Have row 16 of the sheet put right” asked nothing of him."""
    calls = calls_of(demo(), chase_actions(demo(), demo_rules().policy))
    asks = {call.action.row_no: call.ask for call in calls if call.row is None}
    assert asks[16] == "What is her displacement? Then mend row 16."
    assert all(ask.startswith("What ") for ask in asks.values())
