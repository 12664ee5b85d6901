"""Every method reaches its bound where it should, and the plan says honestly when none does."""

from __future__ import annotations

import pytest

from sizing.order.cutting import CutProblem, Piece, Remnant, Stock, plan_cuts, purchase, solve
from sizing.order.cutting.bounds import PurchaseCut
from sizing.order.cutting.solve import DIVE, FIRST_FIT, NOTHING
from tests.sizing.order.cutting.brute_force import least_value_and_spools
from tests.sizing.order.cutting.fleets import filled_spools, uniform_pieces


def test_nothing_to_cut() -> None:
    plan = plan_cuts(CutProblem((), (Stock("100 m", 100_000),)))
    assert plan.method == NOTHING
    assert plan.optimal
    assert plan.complete
    assert (plan.value, plan.spools_bought, plan.waste, plan.gap) == (0, 0, 0.0, 0.0)


def test_tapes_from_rolls() -> None:
    """90,000 tapes of 30 in: 131 from a 100 m roll, so 90,000 / 131 = 687.02, 688 rolls."""
    pieces = tuple(Piece(762, f"boat {i:03d}", 300) for i in range(300))
    plan = plan_cuts(CutProblem(pieces, (Stock("roll", 100_000),)))
    assert plan.spools_bought == 688
    assert plan.optimal
    assert plan.method == FIRST_FIT


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize(("count", "each", "step_mm"), [(20, 3, 1000), (25, 3, 100), (40, 5, 100)])
def test_full_spools_are_found_again(count: int, each: int, step_mm: int, seed: int) -> None:
    """Optimum known by construction: full spools cut up without offcut."""
    plan = plan_cuts(CutProblem(filled_spools(count, each, 220_000, step_mm, seed), (Stock("s", 220_000),)))
    assert plan.spools_bought == count
    assert plan.optimal
    assert plan.waste == 0.0


def test_column_generation_and_dive() -> None:
    plan = plan_cuts(
        CutProblem(
            uniform_pieces(150, 100, seed=1, shortest_m=20.0, longest_m=50.0), (Stock("100 m", 100_000),)
        )
    )
    assert plan.method == DIVE
    assert plan.optimal
    assert plan.proof == "whole-number bound"


def test_several_lengths_at_tenths_of_a_metre() -> None:
    stock = (
        Stock("100 m", 100_000, 21_300),
        Stock("150 m", 150_000, 30_100),
        Stock("200 m", 200_000, 39_900),
        Stock("220 m", 220_000, 43_700),
    )
    plan = plan_cuts(CutProblem(uniform_pieces(214, 100, seed=5), stock))
    assert plan.optimal


def test_where_the_rounded_up_linear_bound_falls_short() -> None:
    """2 x 44, 3 x 33, 6 x 12 on 132: the linear program asks for 259/132 = 1.96 spools, yet 3 are needed.

    Instance from the literature on the integer round-up property [memory]; 3 by exhaustive search below.
    """
    problem = CutProblem((Piece(44, "a", 2), Piece(33, "b", 3), Piece(12, "c", 6)), (Stock("s", 132),))
    plan = plan_cuts(problem)
    assert least_value_and_spools(problem) == (3 * 132, 3)
    assert plan.spools_bought == 3
    assert plan.optimal


def test_proof_by_the_integer_program_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """With every whole-number bound blunted to one spool the proof must be the integer program's."""
    blunt = PurchaseCut((1,), 1, (), 0)
    monkeypatch.setattr(solve, "starting_cuts", lambda instance: [blunt])
    monkeypatch.setattr(solve, "dual_cut", lambda master, duals: blunt)
    plan = plan_cuts(
        CutProblem((Piece(40, "a", 3), Piece(30, "b", 3), Piece(25, "c", 2)), (Stock("s", 100),))
    )
    assert plan.spools_bought == 3
    assert plan.optimal
    assert plan.proof == "integer program"


def test_purchase_search_that_grows_too_large_still_bounds(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(purchase, "NODE_LIMIT", 3)
    stock = (Stock("100", 100, 7), Stock("70", 70, 5), Stock("45", 45, 3))
    pieces = tuple(Piece(length, f"boat {length}") for length in (61, 52, 44, 38, 33, 27, 21, 13))
    plan = plan_cuts(CutProblem(pieces, stock))
    best = least_value_and_spools(CutProblem(pieces, stock))
    assert best is not None
    assert plan.complete
    assert plan.bound <= best[0] <= plan.value


def test_out_of_time_gives_the_best_found_and_its_gap() -> None:
    problem = CutProblem(filled_spools(40, 3, 220_000, 100, seed=1), (Stock("s", 220_000, 100),))
    plan = plan_cuts(problem, time_limit_s=1e-6)
    assert plan.time_ran_out
    assert plan.complete
    assert plan.bound == 4_000
    assert plan.value > plan.bound
    assert plan.gap == pytest.approx(1 - 4_000 / plan.value)
    assert not plan.optimal


def test_too_long_pieces_are_listed_and_the_rest_is_cut() -> None:
    pieces = (Piece(120_000, "long boat"), Piece(60_000, "boat 1"), Piece(40_000, "boat 2"))
    plan = plan_cuts(CutProblem(pieces, (Stock("100 m", 100_000),)))
    assert [entry.piece.label for entry in plan.uncut] == ["long boat"]
    assert "100000 mm" in plan.uncut[0].reason
    assert not plan.complete
    assert plan.spools_bought == 1


def test_allowances_make_a_piece_too_long() -> None:
    problem = CutProblem((Piece(100, "boat"),), (Stock("s", 100),), per_piece_mm=1)
    assert plan_cuts(problem).uncut[0].piece.label == "boat"
    fits = CutProblem((Piece(90, "boat"),), (Stock("s", 100),), per_piece_mm=6, per_spool_mm=4)
    assert plan_cuts(fits).complete


def test_no_stock_at_all() -> None:
    plan = plan_cuts(CutProblem((Piece(10, "boat", 3),), ()))
    assert plan.uncut[0].piece.quantity == 3
    assert "no stock kind" in plan.uncut[0].reason


def test_stock_that_runs_out() -> None:
    """Two spools of 100 hold two of three pieces of 60: one is listed, not dropped."""
    plan = plan_cuts(CutProblem((Piece(60, "boat", 3),), (Stock("s", 100, 500, available=2),)))
    assert plan.spools_bought == 2
    assert [(entry.piece.label, entry.piece.quantity) for entry in plan.uncut] == [("boat", 1)]
    assert "does not suffice" in plan.uncut[0].reason


def test_dear_small_spools_against_cheap_large_ones() -> None:
    """Three of 30 and one of 10: one of 100 for 90, or one of 60 (40) and one of 40 (30) for 70."""
    pieces = (Piece(30, "a", 3), Piece(10, "b"))
    stock = (Stock("100", 100, 90), Stock("60", 60, 40), Stock("40", 40, 30))
    plan = plan_cuts(CutProblem(pieces, stock))
    assert (plan.objective, plan.value) == ("cost", 70)
    assert dict(plan.bought) == {"100": 0, "60": 1, "40": 1}


def test_equal_cost_takes_fewer_spools() -> None:
    stock = (Stock("50", 50, 10), Stock("100", 100, 20))
    plan = plan_cuts(CutProblem((Piece(25, "a", 4),), stock))
    assert dict(plan.bought) == {"50": 0, "100": 1}


def test_any_unpriced_kind_makes_length_the_objective() -> None:
    stock = (Stock("50", 50, 1), Stock("40", 40))
    plan = plan_cuts(CutProblem((Piece(40, "a"),), stock))
    assert plan.objective == "length"
    assert plan.objective == "length"
    assert (plan.value, dict(plan.bought)["40"]) == (40, 1)


def test_remnants_save_a_spool() -> None:
    pieces = (Piece(60, "a"), Piece(60, "b"))
    stock = (Stock("s", 100, 500),)
    shelf = (Remnant("old 1", 65), Remnant("too short", 59))
    plan = plan_cuts(CutProblem(pieces, stock, shelf))
    assert (plan.objective, plan.value) == ("cost", 500)
    assert [(spool.source, spool.id) for spool in plan.spools] == [("remnant", "old 1"), ("spool", "s")]


def test_remnants_alone() -> None:
    plan = plan_cuts(CutProblem((Piece(60, "a"),), (), (Remnant("old", 60),)))
    assert plan.complete
    assert (plan.value, plan.spools_bought, plan.optimal) == (0, 0, True)
