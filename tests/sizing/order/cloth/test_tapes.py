"""Tapes from rolls: division, and nothing lost in it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.errors import CatalogueError, ComputationError
from sizing.order.cloth import tape_cutting_list
from sizing.order.cutting import CutProblem, Piece, Stock, plan_cuts
from sizing.policy import OrderRules


@given(st.integers(1, 5000), st.floats(1.0, 300.0), st.floats(0.3, 0.8), st.sampled_from([0.0, 0.1, 0.2]))
def test_every_tape_is_cut_and_no_roll_is_overdrawn(
    cones: int, roll_m: float, tape_m: float, loss_m: float
) -> None:
    rules = OrderRules(tape_length=tape_m, spool_end_loss=loss_m)
    cuts = tape_cutting_list(cones, roll_m, rules)
    assert (cuts.rolls - 1) * cuts.tapes_per_roll + cuts.last_roll_tapes == cuts.tapes == 3 * cones
    assert 1 <= cuts.last_roll_tapes <= cuts.tapes_per_roll
    assert cuts.tape_length_mm >= 1000 * tape_m - 1e-6
    left_mm = cuts.roll_length_mm - cuts.tapes_per_roll * cuts.tape_length_mm
    assert 1000 * loss_m - 1e-6 <= left_mm < cuts.tape_length_mm + 1000 * loss_m + 1


def test_division_is_as_good_as_the_cutting_plan() -> None:
    """The proven optimum for rope and tape, on the same rolls."""
    cuts = tape_cutting_list(37, 25.0, OrderRules())
    stock = (Stock("ROLL", cuts.roll_length_mm, price_cents=100),)
    plan = plan_cuts(CutProblem((Piece(cuts.tape_length_mm, "tapes", cuts.tapes),), stock, per_spool_mm=100))
    assert sum(count for _, count in plan.bought) == cuts.rolls


@pytest.mark.parametrize("roll_m", [0.5, 0.0, -3.0, math.nan, math.inf, 1e9])
def test_rolls_that_hold_no_tape_are_refused(roll_m: float) -> None:
    with pytest.raises(CatalogueError, match="at least one tape of 762 mm"):
        tape_cutting_list(10, roll_m, OrderRules())


@pytest.mark.parametrize("cones", [0, -1, 1.5, True])
def test_nonsense_counts_are_refused(cones: int) -> None:
    with pytest.raises(ComputationError, match="whole number"):
        tape_cutting_list(cones, 50.0, OrderRules())
