"""What a boat's people are told where the rally buys nothing for her before somebody says so."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import lru_cache

import pytest

from sizing.audit import findings_of
from sizing.chase import Getting, chase_actions, getting_of, last_days, messages_for, tasks_of
from sizing.chase.getting import ordering_words
from sizing.chase.jobs import jobs_of
from sizing.fields import CHOICES
from sizing.model import CONSENT, MendPlan, MusterResult, Order, Supply, WouldBe
from tests.sizing.revision.runs import demo, demo_rules

PLAN = MendPlan(0, "fittings only", ("end weight", "shackles"), 0, 1.0, "")
ROW = 1
"""Of a boat of the demo that needs parts."""


@lru_cache(maxsize=8)
def as_if(word: str) -> MusterResult:
    """The demo, with one boat's parts left out of the order, as if she had said this."""
    result = demo()
    order = result.order
    supplies = [Supply(word, date(2026, 11, 20)) if row == ROW else s for row, s in enumerate(order.supplies)]
    share = order.boat_totals[ROW]
    out = replace(
        order, supplies=tuple(supplies), would_be=WouldBe((ROW,), (), (), {ROW: share}, share),
        charges=replace(order.charges, owed={}),
    )  # fmt: skip
    return replace(result, order=out)


def message(result: MusterResult) -> str:
    policy = demo_rules().policy
    texts = messages_for(result, policy, chase_actions(result, policy))
    return " ".join(texts[f"{result.intake.fleet.text['entry_no'][ROW]}.txt".lower()].split())


@pytest.mark.parametrize("word", ["", *CHOICES["gear_supply"]])
def test_the_chandlery_buys_and_the_workshop_makes_what_is_ordered_alone(word: str) -> None:
    ordered = word == CONSENT
    jobs = list(jobs_of(PLAN, ("end-weight.mass",), 0.0, Getting(ordered, word)))
    assert [job.owner for job in jobs] == (
        ["chandlery", "workshop", "scrutineer"] if ordered else ["skipper", "scrutineer"]
    )
    assert all(job.checks == ("end-weight.mass",) for job in jobs), "every finding is somebody's"
    if not ordered:
        assert jobs[0].stage == ("work" if word else "orders")


def test_who_has_not_said_is_asked_first_on_her_page_and_in_her_message() -> None:
    result = as_if("")
    fleet, policy = result.intake.fleet, demo_rules().policy
    plan = next(plan for plan in result.plans if plan.row == ROW)
    found = findings_of(result.checks, fleet, ROW)
    days = last_days(result, policy)
    tasks = tasks_of(found, plan, fleet.entry(ROW), days, 0.0, "", getting_of(result, ROW))
    assert tasks[0].title == "Say whether you want the rally to order"
    assert (tasks[0].level, tasks[0].due) == ("shall", days["orders"])
    said = message(result)
    assert f"1. {tasks[0].title}. Nothing is bought for you before you say so." in said
    share = result.order.boat_totals[ROW]
    assert f"Through the rally's order your parts would cost {share:,.2f} EUR." in said
    assert "Nothing is ordered for you before you say that you want it." in said


@pytest.mark.parametrize("word", [word for word in CHOICES["gear_supply"] if word != CONSENT])
def test_who_said_another_way_is_not_asked_again(word: str) -> None:
    said = message(as_if(word))
    assert "Say whether" not in said
    assert "The rally orders nothing for you." in said
    assert "Your share of what is bought" not in said


def test_who_is_ordered_for_without_asking_can_decline() -> None:
    order = Order((), (), (), (), (), "EUR", None, {}, ask_first=False)
    assert (
        ordering_words(getting_of(replace(demo(), order=order, workshop=None), 0))
        == "Ordered unless you decline."
    )
    assert "Ordered unless you decline." in message(demo())
