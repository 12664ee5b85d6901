"""Last days: from what milestones close where they say so, from the order of their dates where not."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.chase import Due, Stage, due_for
from sizing.chase.dates import STAGES
from sizing.policy import Milestone, Rally

DEPARTURE = date(2027, 5, 15)


class Keyed(Milestone):
    """A milestone that says what it closes."""

    closes: Literal["orders", "work", "inspection"] | None = None


LIST = Milestone(name="list closed", due=date(2026, 12, 18))
ORDERED = Keyed(name="order placed", due=date(2027, 1, 8), closes="orders")
SPLICED = Keyed(name="splicing", due=date(2027, 3, 13), closes="work")
STREAMED = Milestone(name="streamed", due=date(2027, 4, 17))
SEEN = Keyed(name="seen", due=date(2027, 5, 8), closes="inspection")


def plain(milestone: Milestone) -> Milestone:
    return Milestone(name=milestone.name, due=milestone.due)


def rally(*milestones: Milestone, departure: date | None = DEPARTURE) -> Rally:
    return Rally(departure=departure, milestones=milestones)


@pytest.mark.parametrize(
    ("stage", "expected"),
    [("orders", ORDERED), ("work", SPLICED), ("inspection", SEEN)],
)
def test_a_milestone_that_closes_the_stage_is_its_last_day(stage: Stage, expected: Milestone) -> None:
    due = due_for(stage, rally(LIST, ORDERED, SPLICED, STREAMED, SEEN), lead_days=28)
    assert due == Due(expected.due, expected.name)


def test_of_two_that_close_a_stage_the_later_counts() -> None:
    late = Keyed(name="late orders", due=date(2027, 2, 1), closes="orders")
    assert due_for("orders", rally(late, ORDERED)).milestone == "late orders"


def test_without_keys_the_last_milestone_before_departure_counts() -> None:
    stones = [plain(m) for m in (LIST, ORDERED, SPLICED, STREAMED, SEEN)]
    assert due_for("work", rally(*stones)).milestone == "seen"
    assert due_for("inspection", rally(*stones)).milestone == "seen"


def test_orders_leave_time_for_delivery() -> None:
    stones = [plain(m) for m in (LIST, ORDERED, SPLICED, STREAMED, SEEN)]
    assert due_for("orders", rally(*stones), lead_days=28).milestone == "streamed"  # 15 May - 28 d = 17 April
    assert due_for("orders", rally(*stones), lead_days=29).milestone == "splicing"


def test_work_is_not_due_before_its_parts_are_ordered() -> None:
    assert due_for("work", rally(LIST, ORDERED)) == Due(DEPARTURE, "departure")
    assert due_for("work", rally(LIST, ORDERED, STREAMED)).milestone == "streamed"


def test_a_stage_without_a_date_ends_before_the_next_that_has_one() -> None:
    assert due_for("work", rally(LIST, ORDERED, STREAMED, SEEN)).milestone == "streamed"
    assert due_for("work", rally(ORDERED, SEEN)) == Due(SEEN.due, "seen")


def test_milestones_after_departure_do_not_count() -> None:
    after = Keyed(name="party", due=DEPARTURE + timedelta(days=1), closes="orders")
    assert due_for("orders", rally(after), lead_days=10) == Due(
        date(2027, 5, 5), "10 days of delivery before departure"
    )


def test_without_departure_and_milestones_there_is_no_date() -> None:
    for stage in STAGES:
        due = due_for(stage, rally(departure=None), lead_days=28)
        assert due == Due(None, "")
        assert due.words == "no date is set"
        assert not due.is_over(date.max)
        assert due.days_left(DEPARTURE) is None


def test_a_last_day_is_over_on_the_day_after_it() -> None:
    due = Due(DEPARTURE, "departure")
    assert not due.is_over(DEPARTURE)
    assert due.is_over(DEPARTURE + timedelta(days=1))
    assert due.days_left(DEPARTURE + timedelta(days=1)) == -1


days = st.dates(date(2026, 11, 1), date(2027, 6, 30))
stones = st.lists(
    st.builds(
        Keyed, name=st.sampled_from(["a", "b", "c"]), due=days,
        closes=st.sampled_from([None, "orders", "work", "inspection"]),
    ),
    max_size=6,
)  # fmt: skip


@given(stones, st.integers(0, 60), st.sampled_from(STAGES))
def test_no_last_day_is_after_departure_and_every_milestone_named_is_real(
    found: list[Milestone], lead_days: int, stage: Stage
) -> None:
    known = rally(*found)
    due = due_for(stage, known, lead_days=lead_days)
    assert due.day is not None
    assert due.day <= DEPARTURE
    real = {(m.due, m.name) for m in found} | {(DEPARTURE, "departure")}
    assert (due.day, due.milestone) in real or (stage == "orders" and "days of delivery" in due.milestone)
    assert due_for(stage, known, lead_days=lead_days) == due
