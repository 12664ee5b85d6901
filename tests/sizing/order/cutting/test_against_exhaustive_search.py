"""Small instances of every kind against exhaustive search."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from sizing.order.cutting import CutProblem, Piece, Remnant, Stock, plan_cuts
from sizing.order.cutting.clock import Deadline
from sizing.order.cutting.columns import Master, dual_cut, generate
from sizing.order.cutting.grid import to_instance, uses_of
from sizing.order.cutting.patterns import all_columns, pack_all_patterns
from tests.sizing.order.cutting.brute_force import least_value_and_spools

PIECES = st.lists(st.tuples(st.integers(1, 14), st.integers(1, 2)), min_size=1, max_size=5)


def _pieces(drawn: list[tuple[int, int]]) -> tuple[Piece, ...]:
    return tuple(Piece(length, f"boat {i}", n) for i, (length, n) in enumerate(drawn))


def _check(problem: CutProblem) -> None:
    expected = least_value_and_spools(problem)
    plan = plan_cuts(problem)
    if expected is None:
        assert not plan.complete
        return
    assert plan.complete
    assert (plan.value, plan.spools_bought) == expected
    assert plan.optimal


@given(PIECES, st.integers(14, 30))
def test_one_spool_length(drawn: list[tuple[int, int]], spool: int) -> None:
    _check(CutProblem(_pieces(drawn), (Stock("s", spool),)))


@given(
    PIECES,
    st.lists(st.tuples(st.integers(5, 30), st.integers(1, 40)), min_size=1, max_size=3),
)
def test_priced_lengths(drawn: list[tuple[int, int]], kinds: list[tuple[int, int]]) -> None:
    stock = tuple(Stock(f"s{i}", length, price) for i, (length, price) in enumerate(kinds))
    _check(CutProblem(_pieces(drawn), stock))


@given(PIECES, st.lists(st.tuples(st.integers(14, 30), st.integers(1, 40)), min_size=1, max_size=2))
def test_integer_program_over_all_patterns(
    drawn: list[tuple[int, int]], kinds: list[tuple[int, int]]
) -> None:
    """Left to itself, without any bound to stop at."""
    stock = tuple(Stock(f"s{i}", length, price) for i, (length, price) in enumerate(kinds))
    problem = CutProblem(_pieces(drawn), stock)
    instance = to_instance(problem, list(problem.pieces))
    columns = all_columns(instance)
    assert columns is not None
    packing, proven = pack_all_patterns(instance, columns, (0, 0), Deadline(60.0))
    assert packing is not None
    assert proven
    assert instance.spent(uses_of(instance, packing)) == least_value_and_spools(problem)


@given(PIECES, st.integers(14, 30))
def test_column_generation_bound_is_below_the_optimum(drawn: list[tuple[int, int]], spool: int) -> None:
    """And not below the material, which is one of the dual solutions."""
    problem = CutProblem(_pieces(drawn), (Stock("s", spool),))
    instance = to_instance(problem, list(problem.pieces))
    master = Master(instance)
    objective, _, duals, short, settled = generate(master, Deadline(60.0))
    cut = dual_cut(master, duals)
    expected = least_value_and_spools(problem)
    assert settled
    assert short < 1e-9
    assert expected is not None
    least = -(-cut.needed // cut.worth[0])
    assert objective - 1e-6 <= least <= expected[1]
    assert least >= sum(length * n for length, n in drawn) / spool


@given(PIECES, st.lists(st.integers(5, 30), min_size=1, max_size=3))
def test_unpriced_lengths(drawn: list[tuple[int, int]], lengths: list[int]) -> None:
    _check(CutProblem(_pieces(drawn), tuple(Stock(f"s{i}", length) for i, length in enumerate(lengths))))


@given(
    PIECES,
    st.lists(
        st.tuples(st.integers(5, 30), st.integers(1, 40), st.one_of(st.none(), st.integers(1, 3))), max_size=2
    ),
    st.lists(st.integers(3, 25), max_size=3),
    st.integers(0, 2),
    st.integers(0, 3),
)
def test_remnants_limits_and_allowances(
    drawn: list[tuple[int, int]],
    kinds: list[tuple[int, int, int | None]],
    shelf: list[int],
    per_piece: int,
    per_spool: int,
) -> None:
    problem = CutProblem(
        _pieces(drawn),
        tuple(Stock(f"s{i}", length, price, n) for i, (length, price, n) in enumerate(kinds)),
        tuple(Remnant(f"r{i}", length) for i, length in enumerate(shelf)),
        per_piece_mm=per_piece,
        per_spool_mm=per_spool,
    )
    _check(problem)
