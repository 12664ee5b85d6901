"""Bounds and the knapsack under them, against plain enumeration."""

from __future__ import annotations

from itertools import product

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from sizing.order.cutting.bounds import purchase_cut, starting_cuts
from sizing.order.cutting.grid import Instance, to_instance
from sizing.order.cutting.knapsack import best_fill
from sizing.order.cutting.patterns import maximal_patterns
from sizing.order.cutting.problem import CutProblem, Piece, Stock
from sizing.order.cutting.purchase import cheapest_purchase, key_of
from tests.sizing.order.cutting.brute_force import least_value_and_spools

WIDTHS = st.lists(st.integers(1, 12), min_size=1, max_size=4, unique=True).map(
    lambda w: sorted(w, reverse=True)
)


def _fitting(widths: list[int], copies: list[int], capacity: int) -> list[tuple[int, ...]]:
    ranges = [range(n + 1) for n in copies]
    return [c for c in product(*ranges) if sum(w * n for w, n in zip(widths, c, strict=True)) <= capacity]


@given(WIDTHS, st.data(), st.integers(1, 30))
def test_knapsack_is_exact(widths: list[int], data: st.DataObject, capacity: int) -> None:
    several = st.lists(st.integers(0, 5), min_size=len(widths), max_size=len(widths))
    copies, values = data.draw(several), data.draw(several)
    fill = best_fill(np.array(widths), np.array(copies), np.array(values), capacity)
    for room in range(capacity + 1):
        best = max(sum(v * n for v, n in zip(values, c, strict=True)) for c in _fitting(widths, copies, room))
        assert fill.value[room] == best
        pattern = fill.pattern(room)
        assert int(pattern @ np.array(values)) == best
        assert int(pattern @ np.array(widths)) <= room
        assert (pattern <= np.array(copies)).all()


@given(WIDTHS, st.data(), st.integers(1, 30))
def test_maximal_patterns_are_all_there(widths: list[int], data: st.DataObject, capacity: int) -> None:
    copies = data.draw(st.lists(st.integers(1, 4), min_size=len(widths), max_size=len(widths)))
    fitting = set(_fitting(widths, copies, capacity))
    maximal = {
        c
        for c in fitting
        if any(c) and not any((*c[:i], c[i] + 1, *c[i + 1 :]) in fitting for i in range(len(c)))
    }
    found = maximal_patterns(np.array(widths), np.array(copies), capacity, 100_000)
    assert found is not None
    assert len(found) == len(maximal)
    assert set(found) == maximal


def test_too_many_patterns_are_declined() -> None:
    widths = np.arange(40, 0, -1)
    assert maximal_patterns(widths, np.full(40, 9), 400, 1_000) is None


def _instance(lengths: list[int], spools: list[tuple[int, int]]) -> tuple[CutProblem, Instance]:
    pieces = [Piece(length, f"boat {i}") for i, length in enumerate(lengths)]
    stock = tuple(Stock(f"s{i}", length, price) for i, (length, price) in enumerate(spools))
    return CutProblem(tuple(pieces), stock), to_instance(CutProblem(tuple(pieces), stock), pieces)


@given(
    st.lists(st.integers(1, 14), min_size=1, max_size=6),
    st.lists(st.tuples(st.integers(14, 30), st.integers(1, 40)), min_size=1, max_size=3),
    st.data(),
)
def test_cuts_never_rule_out_an_optimum(
    lengths: list[int], spools: list[tuple[int, int]], data: st.DataObject
) -> None:
    problem, instance = _instance(lengths, spools)
    size = len(instance.widths)
    values = data.draw(st.lists(st.integers(0, 50), min_size=size, max_size=size))
    cuts = [*starting_cuts(instance), purchase_cut(instance, np.array(values, dtype=np.int64))]
    purchase = cheapest_purchase(instance, cuts)
    optimum = least_value_and_spools(problem)
    assert purchase is not None
    assert optimum is not None
    assert all(cut.holds(purchase) for cut in cuts)
    assert key_of(instance, purchase) <= optimum


def test_pieces_above_half_a_spool_need_one_each() -> None:
    """Material alone asks for 4 spools; no two of seven pieces of 51 fit on 100 (Martello and Toth's L2)."""
    _, instance = _instance([51] * 7, [(100, 1)])
    assert cheapest_purchase(instance, starting_cuts(instance)) == (7,)


@given(
    st.lists(st.tuples(st.integers(3, 20), st.integers(1, 30)), min_size=2, max_size=3),
    st.integers(20, 120),
)
def test_cheapest_purchase_for_the_material(spools: list[tuple[int, int]], total: int) -> None:
    """Against enumeration of all counts: pieces of 1 make the material bound exact."""
    stock = tuple(Stock(f"s{i}", length, price) for i, (length, price) in enumerate(spools))
    pieces = [Piece(1, "boat", total)]
    instance = to_instance(CutProblem(tuple(pieces), stock), pieces)
    purchase = cheapest_purchase(instance, starting_cuts(instance))
    ranges = [range(-(-total // length) + 1) for length, _ in spools]
    best = min(
        (sum(n * price for n, (_, price) in zip(counts, spools, strict=True)), sum(counts))
        for counts in product(*ranges)
        if sum(n * length for n, (length, _) in zip(counts, spools, strict=True)) >= total
    )
    assert purchase is not None
    assert key_of(instance, purchase) == best
