"""The cheapest way to mend a boat is taken, and the runner-up is said."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest

from fleet_demo import prices_csv
from sizing.audit import audit_fleet, plan_options
from sizing.catalogue import load_catalogue
from sizing.model import MendPlan
from sizing.order import choose_plans, known_items, load_prices, pieces_for
from sizing.order.prices import PriceBook, parse_prices
from sizing.policy import OrderRules, Policy
from tests.sizing.audit.boats import boat, context_of, fleet_of

CATALOGUE = load_catalogue()
BOOK = load_prices(prices_csv(), known_items(CATALOGUE))
SHORT_OF_CONES = boat(cone_count="100")
WEAK_ROPE = boat(lead_line_diameter="16 mm", section_diameters="16 mm")


def chosen(entered: dict[str, str], book: PriceBook | None = BOOK, policy: Policy | None = None) -> MendPlan:
    rules = policy or Policy()
    context = context_of(fleet_of(entered), rules)
    options = plan_options(context, audit_fleet(context))
    return choose_plans(options, context.fleet, context.requirements, rules, CATALOGUE, book)[0]


@pytest.mark.parametrize(
    "entered", [SHORT_OF_CONES, WEAK_ROPE, boat(bridle_leg_length="5 m", cone_count="90")]
)
def test_no_other_way_is_cheaper(entered: dict[str, str]) -> None:
    """Against costing every way by hand: best unit price x quantity, 3.8 m of cloth a hundred cones or so."""
    rules = Policy()
    context = context_of(fleet_of(entered), rules)
    ways = plan_options(context, audit_fleet(context))[0]
    assert len(ways) > 1
    best = chosen(entered)
    rates = {
        item: min(o.pack_price / o.pack_size for o in offers if o.pack_price is not None)
        for item, offers in BOOK.offers.items()
    }

    def by_hand(plan: MendPlan) -> float:
        total = 0.0
        for piece in pieces_for(plan, context.fleet, context.requirements, rules, CATALOGUE):
            amount = piece.quantity * (piece.length_m or 1.0)
            if piece.kind == "cone":
                amount = piece.quantity * 0.04
            total += float(rates[piece.item]) * amount
        return total + plan.hours * rules.order.hour_value

    costs = {plan.groups: by_hand(plan) for plan in ways}
    assert best.groups == min(costs, key=lambda groups: costs[groups])
    assert best.materials is not None
    worth = float(best.materials) + best.hours * rules.order.hour_value
    assert worth == pytest.approx(costs[best.groups], rel=0.05)


def test_the_runner_up_is_said_with_its_cost() -> None:
    best = chosen(SHORT_OF_CONES)
    assert best.choice == "extend"
    assert re.fullmatch(
        r"new rope, old cones kept \(materials [\d,]+\.\d\d EUR, about \d+ hours, (?:\d+|no) new cones?\)",
        best.runner_up,
    )


def test_without_prices_the_least_work_is_taken_and_nothing_is_guessed() -> None:
    plan = chosen(SHORT_OF_CONES, book=None)
    assert (plan.choice, plan.materials, plan.runner_up) == ("extend", None, "")


def test_a_missing_price_is_no_cheap_part() -> None:
    partial = parse_prices(
        b"item,pack_size,pack_price,currency\nNDB-16,100 m,1.00,EUR\n", "few.csv", known_items(CATALOGUE)
    )
    plan = chosen(WEAK_ROPE, book=partial)
    assert (plan.choice, plan.materials, plan.runner_up) == ("re-rig", None, "")


def test_every_way_closes_the_same_findings() -> None:
    context = context_of(fleet_of(SHORT_OF_CONES))
    ways = plan_options(context, audit_fleet(context))[0]
    assert len({way.closes for way in ways}) == 1
    assert len({way.leaves for way in ways}) == 1


def test_dear_hours_turn_to_the_way_with_least_work() -> None:
    dear = chosen(WEAK_ROPE, policy=Policy(order=OrderRules(hour_value=1000.0)))
    context = context_of(fleet_of(WEAK_ROPE))
    ways = plan_options(context, audit_fleet(context))[0]
    assert dear.hours == min(way.hours for way in ways)


def test_a_boat_with_a_short_bridle_and_too_few_cones_gets_a_line_for_them() -> None:
    plan = chosen(boat(bridle_leg_length="5 m", cone_count="100"))
    assert {"cones", "bridle"} <= set(plan.groups)
    assert {"extension", "cone line"} & set(plan.groups)
    assert plan.materials is not None
    assert plan.materials > Decimal(0)
