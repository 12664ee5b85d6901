"""Bad input is refused with where, what was found, what is expected and how to mend it."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.errors import CatalogueError, ComputationError, MusterError, PolicyError
from sizing.order.cutting import CutProblem, Piece, Remnant, Stock, cut_length_mm, plan_cuts

BAD_LENGTHS: list[Any] = [0, -1, math.nan, math.inf, 1.5, True, "12", None, 10**9]


@pytest.mark.parametrize("value", BAD_LENGTHS)
def test_piece_length(value: Any) -> None:
    with pytest.raises(ComputationError, match="length_mm is") as caught:
        Piece(value, "boat 1")
    assert "boat 1" in caught.value.where
    assert repr(value) in caught.value.found
    assert caught.value.expected
    assert caught.value.mend


@pytest.mark.parametrize("value", BAD_LENGTHS)
def test_stock_and_remnant_length(value: Any) -> None:
    with pytest.raises(CatalogueError, match="spool A"):
        Stock("spool A", value)
    with pytest.raises(CatalogueError, match="shelf A"):
        Remnant("shelf A", value)


@pytest.mark.parametrize("value", [0, -5, 1.5, math.nan, True, "9"])
def test_quantity_price_and_available(value: Any) -> None:
    with pytest.raises(ComputationError, match="quantity"):
        Piece(1000, "boat 1", value)
    with pytest.raises(CatalogueError, match="price_cents"):
        Stock("spool A", 1000, value)
    with pytest.raises(CatalogueError, match="available"):
        Stock("spool A", 1000, None, value)


@pytest.mark.parametrize("value", ["", "  ", None, 7])
def test_blank_names(value: Any) -> None:
    for make, error in ((Piece, ComputationError), (Remnant, CatalogueError), (Stock, CatalogueError)):
        arguments = (1000, value) if make is Piece else (value, 1000)
        with pytest.raises(error, match="at least one character"):
            make(*arguments)


@pytest.mark.parametrize("value", [-1, 0.5, math.nan, True, None])
def test_allowances(value: Any) -> None:
    for name in ("per_piece_mm", "per_spool_mm"):
        with pytest.raises(PolicyError, match=name):
            CutProblem((), (), (), **{name: value})


def test_duplicate_ids() -> None:
    with pytest.raises(CatalogueError, match="twice"):
        CutProblem((), (Stock("A", 1000), Stock("A", 2000)))
    with pytest.raises(CatalogueError, match="twice"):
        CutProblem((), (), (Remnant("A", 1000), Remnant("A", 1000)))


def test_too_many_pieces() -> None:
    with pytest.raises(ComputationError, match="at most 1000000"):
        CutProblem((Piece(1, "a", 1_000_000), Piece(2, "b")), ())


@pytest.mark.parametrize("value", [0, -1.0, math.nan, math.inf, True, None, "60"])
def test_time_limit(value: Any) -> None:
    with pytest.raises(PolicyError, match="time limit"):
        plan_cuts(CutProblem((), ()), value)


def test_steps_too_fine_for_the_lengths() -> None:
    pieces = tuple(Piece(50_000 + i, f"boat {i}") for i in range(2_000))
    with pytest.raises(ComputationError, match="coarser step"):
        plan_cuts(CutProblem(pieces, (Stock("A", 1_000_000),)))


@pytest.mark.parametrize("value", [0.0, -2.0, math.nan, math.inf, True, None, "3 m"])
def test_cut_length_refuses(value: Any) -> None:
    with pytest.raises(MusterError, match="above 0 m"):
        cut_length_mm(value)


def test_cut_length_refuses_a_bad_step() -> None:
    with pytest.raises(PolicyError, match="step_mm"):
        cut_length_mm(1.0, 0)


@given(st.floats(0.001, 5_000.0), st.sampled_from([1, 10, 100, 1000]))
def test_cut_length_is_never_short_and_never_a_step_too_long(length_m: float, step_mm: int) -> None:
    cut = cut_length_mm(length_m, step_mm)
    assert cut % step_mm == 0
    assert cut >= length_m * 1000 * (1 - 1e-15)
    assert cut - step_mm < length_m * 1000 * (1 + 1e-15)
