"""What holds for every plan, whatever the input."""

from __future__ import annotations

import random
from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from sizing.order.cutting import CutPlan, CutProblem, Piece, Remnant, Stock, plan_cuts
from tests.sizing.order.cutting.fleets import uniform_pieces


@st.composite
def problems(draw: st.DrawFn) -> CutProblem:
    """Ten to forty pieces, some too long, from a few spool lengths and remnants."""
    pieces = draw(
        st.lists(
            st.tuples(st.integers(10, 240), st.sampled_from(["a", "b", "c", "d"]), st.integers(1, 4)),
            min_size=1,
            max_size=14,
        )
    )
    priced = draw(st.booleans())
    kinds = draw(
        st.lists(st.tuples(st.integers(60, 260), st.integers(1, 500), st.integers(0, 9)), max_size=3)
    )
    shelf = draw(st.lists(st.integers(5, 250), max_size=4))
    return CutProblem(
        tuple(Piece(length, label, n) for length, label, n in pieces),
        tuple(
            Stock(f"s{i}", length, price if priced else None, n or None)
            for i, (length, price, n) in enumerate(kinds)
        ),
        tuple(Remnant(f"r{i}", length) for i, length in enumerate(shelf)),
        per_piece_mm=draw(st.integers(0, 5)),
        per_spool_mm=draw(st.integers(0, 20)),
    )


def _asked(problem: CutProblem) -> Counter[tuple[int, str]]:
    asked: Counter[tuple[int, str]] = Counter()
    for piece in problem.pieces:
        asked[piece.length_mm, piece.label] += piece.quantity
    return asked


def _listed(plan: CutPlan) -> Counter[tuple[int, str]]:
    listed: Counter[tuple[int, str]] = Counter()
    for spool in plan.spools:
        for cut in spool.cuts:
            listed[cut.length_mm, cut.label] += cut.quantity
    for entry in plan.uncut:
        listed[entry.piece.length_mm, entry.piece.label] += entry.piece.quantity
    return listed


@given(problems())
def test_every_piece_is_cut_or_listed_exactly_once(problem: CutProblem) -> None:
    assert _listed(plan_cuts(problem)) == _asked(problem)


@given(problems())
def test_nothing_is_cut_beyond_its_length(problem: CutProblem) -> None:
    stock = {kind.id: kind.length_mm for kind in problem.stock}
    shelf = {remnant.id: remnant.length_mm for remnant in problem.remnants}
    for spool in plan_cuts(problem).spools:
        assert spool.length_mm == (stock if spool.source == "spool" else shelf)[spool.id]
        taken = sum((cut.length_mm + problem.per_piece_mm) * cut.quantity for cut in spool.cuts)
        assert taken + problem.per_spool_mm + spool.offcut_mm == spool.length_mm
        assert spool.offcut_mm >= 0
        assert spool.cuts
        assert list(spool.cuts) == sorted(spool.cuts, key=lambda cut: -cut.length_mm)


@given(problems())
def test_counts_cost_and_bound_agree(problem: CutProblem) -> None:
    plan = plan_cuts(problem)
    used = Counter(spool.id for spool in plan.spools if spool.source == "spool")
    assert dict(plan.bought) == {kind.id: used[kind.id] for kind in problem.stock}
    worth = {kind.id: kind.price_cents if problem.priced else kind.length_mm for kind in problem.stock}
    assert plan.value == sum((worth[name] or 0) * n for name, n in plan.bought)
    assert 0 <= plan.bound <= plan.value
    assert 0.0 <= plan.gap < 1.0
    assert plan.optimal == (plan.gap == 0.0)
    assert plan.objective == ("cost" if problem.priced else "length")
    for kind in problem.stock:
        assert kind.available is None or used[kind.id] <= kind.available


@given(problems())
def test_remnants_are_used_first(problem: CutProblem) -> None:
    plan = plan_cuts(problem)
    taken = [spool.id for spool in plan.spools if spool.source == "remnant"]
    assert len(taken) == len(set(taken))
    room = {remnant.id: remnant.length_mm - problem.per_spool_mm for remnant in problem.remnants}
    room |= {spool.id: spool.offcut_mm for spool in plan.spools if spool.source == "remnant"}
    for spool in plan.spools:
        for cut in spool.cuts if spool.source == "spool" else ():
            assert all(cut.length_mm + problem.per_piece_mm > left for left in room.values())


@given(problems(), st.randoms(use_true_random=False))
def test_order_of_input_makes_no_difference(problem: CutProblem, chance: random.Random) -> None:
    pieces = list(problem.pieces)
    chance.shuffle(pieces)
    again = CutProblem(
        tuple(pieces), problem.stock, problem.remnants[::-1], problem.per_piece_mm, problem.per_spool_mm
    )
    assert plan_cuts(again) == plan_cuts(problem)


def test_same_input_gives_the_same_plan() -> None:
    problem = CutProblem(uniform_pieces(120, 100, seed=3, shortest_m=20.0), (Stock("100 m", 100_000),))
    assert plan_cuts(problem) == plan_cuts(problem)


def test_splitting_a_quantity_changes_nothing_but_the_runs() -> None:
    stock = (Stock("60 m", 60_000, 9_900),)
    whole = plan_cuts(CutProblem((Piece(13_000, "a", 9), Piece(17_000, "b", 7)), stock))
    single = tuple(Piece(13_000, "a") for _ in range(9)) + tuple(Piece(17_000, "b") for _ in range(7))
    assert plan_cuts(CutProblem(single, stock)) == whole
