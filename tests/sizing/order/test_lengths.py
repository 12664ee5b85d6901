"""Buying single lengths: least orders and remnants against every purchase there is."""

from __future__ import annotations

from decimal import Decimal
from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from sizing.order.length_stock import Stocked, Wanted
from sizing.order.lengths import buy_lengths
from sizing.order.prices import Offer
from tests.sizing.order.price_books import KNOWN

ROPE = KNOWN["NDB-16"]


def offer(metres: int, cents: int, minimum: int, line: int) -> Offer:
    return Offer("NDB-16", "", "m", Decimal(metres), Decimal(cents) / 100, "S", None, minimum, line)


def fits(pieces: list[int], bins: list[int]) -> bool:
    """Whether the pieces, longest first, can be placed in the bins."""
    if not pieces:
        return True
    for at in {room: at for at, room in enumerate(bins)}.values():
        if bins[at] >= pieces[0]:
            rest = [*bins[:at], bins[at] - pieces[0], *bins[at + 1 :]]
            if fits(pieces[1:], rest):
                return True
    return False


@given(
    st.lists(st.integers(2, 9), min_size=2, max_size=6),
    st.lists(
        st.tuples(st.integers(9, 14), st.integers(500, 2000), st.integers(1, 4)), min_size=1, max_size=2
    ),
    st.lists(st.integers(3, 12), max_size=2),
)
def test_no_purchase_is_cheaper(
    lengths: list[int], packs: list[tuple[int, int, int]], shelf: list[int]
) -> None:
    offers = tuple(offer(*pack, line=at) for at, pack in enumerate(packs))
    wanted = [Wanted(at, "lead line", mm * 1000, 1) for at, mm in enumerate(lengths)]
    stocked = Stocked(offers, tuple(mm * 1000 for mm in shelf), 0, 20.0)
    bought = buy_lengths(ROPE, wanted, stocked)
    ordered = sorted(lengths, reverse=True)
    best = min(
        sum(n * pack[1] for n, pack in zip(counts, packs, strict=True))
        for counts in product(range(8), repeat=len(packs))
        if all(n == 0 or n >= pack[2] for n, pack in zip(counts, packs, strict=True))
        and fits(ordered, [*shelf, *(p[0] for n, p in zip(counts, packs, strict=True) for _ in range(n))])
    )
    paid = sum((line.amount for line in bought.lines if line.amount), Decimal(0))
    assert paid * 100 == best
    assert bought.summary is not None
    assert bought.summary.cost == paid
    assert bought.summary.optimal
    cut = sorted(round(p.length_m) for spool in bought.spools for p in spool.pieces)
    assert cut == sorted(lengths)


def test_the_end_of_a_spool_is_lost_once() -> None:
    wanted = [Wanted(0, "lead line", 50_000, 2)]
    one = buy_lengths(ROPE, wanted, Stocked((offer(100, 1000, 1, 1),), (), 0, 5.0))
    two = buy_lengths(ROPE, wanted, Stocked((offer(100, 1000, 1, 1),), (), 100, 5.0))
    assert [len(one.spools), len(two.spools)] == [1, 2]
