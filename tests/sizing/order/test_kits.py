"""Kits, and hours with learning."""

from __future__ import annotations

from collections import Counter
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet_demo import fleet_csv, policy_toml, prices_csv
from sizing.order.kits import Kit, Work, build_hours, kits_for, learned_minutes
from sizing.order.purchase import build_order
from sizing.policy import Policy
from sizing.story import load_rules, muster
from tests.sizing.order.fleet_builder import Boat, case

RULES = Policy().order


def kits(boats: list[Boat]) -> tuple[Kit, ...]:
    c = case(boats)
    order = build_order(c.fleet, c.requirements, c.plans, c.policy, c.catalogue, None, departure=None,
                        time_limit_s=5.0)  # fmt: skip
    made = kits_for(order, c.fleet, c.requirements, c.plans, c.policy)
    total: Counter[tuple[str, float | None]] = Counter()
    for kit in made:
        for piece in kit.contents:
            total[piece.item, piece.length_m] += piece.quantity
    asked: Counter[tuple[str, float | None]] = Counter()
    for piece in order.pieces:
        asked[piece.item, piece.length_m] += piece.quantity
    assert total == asked, "kits add up to the order, piece by piece"
    return made


def test_kits_add_up_and_name_their_cuts() -> None:
    made = kits([Boat(entry_no="7", boat_name="Tern"), Boat(entry_no="8", groups=()), Boat(entry_no="9")])
    assert [kit.entry_no for kit in made] == ["7", "9"]
    ropes = {(cut.item, cut.purpose): cut.count for cut in made[0].cuts if cut.item.startswith("NDB")}
    assert ropes["NDB-20", "bridle leg"] == 2
    assert made[0].marks == "marks table of entry 7"
    assert {cut.purpose for cut in made[0].cuts if cut.marked} == {
        "cone line, section 1",
        "cone line, section 2",
    }


def test_work_counts_what_is_sewn_fitted_and_spliced() -> None:
    whole = kits([Boat()])[0]
    assert whole.work == Work(cones_to_sew=101, cones_to_fit=101, splices=10, rope_pieces=5, bags=1)
    moved = kits([Boat(groups=("cone line",), cones_to_make=0)])[0]
    assert (moved.work.cones_to_sew, moved.work.cones_to_fit) == (0, 101)


def test_a_practised_cone_takes_the_time_of_the_policy() -> None:
    # Common practice, no source: about 12 minutes a cone once practised.
    one_more = learned_minutes(101, 12.0, 0.85, 50) - learned_minutes(100, 12.0, 0.85, 50)
    assert one_more == pytest.approx(12.0)


def test_each_doubling_takes_the_time_of_a_cone_to_the_rate() -> None:
    """The definition of the learning curve (Wright, 1936; from memory)."""

    def nth(n: int) -> float:
        return learned_minutes(n, 12.0, 0.8, 64) - learned_minutes(n - 1, 12.0, 0.8, 64)

    for n in (1, 3, 8, 32):
        assert nth(2 * n) == pytest.approx(0.8 * nth(n))


@given(st.integers(0, 300), st.floats(0.6, 1.0), st.integers(1, 200))
def test_learning_costs_time_and_never_saves_any(count: int, rate: float, practised: int) -> None:
    assert learned_minutes(count, 10.0, rate, practised) >= 10.0 * count - 1e-9
    assert learned_minutes(count, 10.0, 1.0, practised) == pytest.approx(10.0 * count)


def test_hours_of_a_whole_drogue_are_days_of_work() -> None:
    # Common practice, no source: two to four days for one whole drogue.
    hours = build_hours(Work(101, 101, 10, 5, 1), RULES)
    assert 2 * 8 <= hours <= 4 * 14


def test_the_hours_of_a_plan_are_those_of_her_kit_once_practised() -> None:
    """One count of work: the plan on her page, the table of whole drogues, and her kit."""
    rules = load_rules(policy_toml(), prices_csv())
    result = muster(fleet_csv(), rules, today=date(2026, 11, 25))
    order = rules.policy.order
    assert result.order is not None
    plans = {plan.row: plan for plan in result.plans}
    whole = 0
    for kit in kits_for(result.order, result.intake.fleet, result.requirements, result.plans, rules.policy):
        minutes = kit.work.cones_to_sew * order.sew_minutes_per_cone
        minutes += kit.work.cones_to_fit * order.minutes_per_cone + kit.work.splices * order.splice_minutes
        assert plans[kit.row].hours == pytest.approx(minutes / 60), kit.entry_no
        if plans[kit.row].choice == "replace":
            whole += 1
            assert plans[kit.row].hours == pytest.approx(result.requirements.labour_hours[kit.row])
    assert whole > 3
