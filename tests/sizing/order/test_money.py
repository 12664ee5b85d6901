"""Shares add up to the whole, whatever the weights."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.errors import ComputationError
from sizing.order.money import CENT, share_out

WEIGHTS = st.dictionaries(
    st.integers(0, 500), st.decimals(0, 10_000, places=3, allow_nan=False), min_size=1, max_size=40
).filter(lambda weights: sum(weights.values()) > 0)


@given(st.integers(0, 10**9), WEIGHTS)
def test_shares_add_up_and_are_within_a_cent(cents: int, weights: dict[int, Decimal]) -> None:
    whole = cents * CENT
    shares = share_out(whole, weights)
    assert sum(shares.values()) == whole
    assert shares.keys() == weights.keys()
    total = sum(weights.values())
    for key, share in shares.items():
        assert abs(share - whole * weights[key] / total) < CENT


def test_the_cent_left_over_goes_to_the_largest_remainder() -> None:
    shares = share_out(Decimal("1.00"), {0: Decimal(1), 1: Decimal(3), 2: Decimal(2)})
    assert shares == {0: Decimal("0.17"), 1: Decimal("0.50"), 2: Decimal("0.33")}


@pytest.mark.parametrize("whole", ["0.005", "-1.00"])
def test_a_whole_that_is_no_whole_cents_is_refused(whole: str) -> None:
    with pytest.raises(ComputationError):
        share_out(Decimal(whole), {0: Decimal(1)})


def test_no_weight_at_all_is_refused() -> None:
    with pytest.raises(ComputationError):
        share_out(Decimal("1.00"), {0: Decimal(0)})
