"""Cheapest whole packs against every purchase there is."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.errors import CatalogueError
from sizing.order.packs import PackOffer, cheapest_packs

OFFERS = st.lists(
    st.builds(PackOffer, st.integers(1, 12), st.integers(1, 40), st.integers(1, 3)), min_size=1, max_size=3
)


def spent(counts: tuple[int, ...], offers: list[PackOffer]) -> tuple[int, int]:
    return sum(n * offer.price for n, offer in zip(counts, offers, strict=True)), sum(counts)


def allowed(counts: tuple[int, ...], offers: list[PackOffer], need: int) -> bool:
    enough = sum(n * offer.size for n, offer in zip(counts, offers, strict=True)) >= need
    return enough and all(n == 0 or n >= offer.minimum for n, offer in zip(counts, offers, strict=True))


@given(OFFERS, st.integers(1, 45))
def test_no_purchase_is_cheaper(offers: list[PackOffer], need: int) -> None:
    ranges = [range(max(-(-need // offer.size), offer.minimum) + 1) for offer in offers]
    best = min(spent(c, offers) for c in product(*ranges) if allowed(c, offers, need))
    found = cheapest_packs(need, offers)
    assert allowed(found, offers, need)
    assert spent(found, offers) == best


@given(OFFERS, st.integers(1, 60), st.integers(1, 9))
def test_a_coarser_unit_changes_nothing(offers: list[PackOffer], need: int, factor: int) -> None:
    scaled = [PackOffer(o.size * factor, o.price, o.minimum) for o in offers]
    assert cheapest_packs(need * factor, scaled) == cheapest_packs(need, offers)


def test_a_need_far_past_the_table_is_cut_down_by_the_best_rate() -> None:
    offers = [PackOffer(100, 9_000, 3), PackOffer(1, 100), PackOffer(7, 650)]
    counts = cheapest_packs(3_000_000_003, offers)
    assert counts == (30_000_000, 3, 0)


def test_nothing_needed_is_nothing_bought() -> None:
    assert cheapest_packs(0, [PackOffer(5, 1)]) == (0,)


def test_a_need_without_offers_is_refused() -> None:
    with pytest.raises(CatalogueError, match="no pack is offered"):
        cheapest_packs(1, [])
