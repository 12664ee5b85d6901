"""What is sold by the metre is declared in the price book, and bought in the cheapest mix with packs."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.errors import CatalogueError
from sizing.order.buying import buy_counts
from sizing.order.length_stock import Stocked, Wanted
from sizing.order.lengths import buy_lengths
from sizing.order.prices import Offer, PriceBook, parse_prices
from tests.sizing.order.price_books import KNOWN
from tests.sizing.order.test_lengths import fits

HEADER = "item,unit,pack_size,pack_price,currency,supplier,lead_days,length_step,least_length\n"


def read(*rows: str) -> PriceBook:
    return parse_prices((HEADER + "\n".join(rows) + "\n").encode(), "prices.csv", KNOWN)


def bought_lines(item: str, book: PriceBook, *pieces: tuple[int, int]) -> list[tuple[Decimal, int, Decimal]]:
    wanted = [Wanted(at, "piece", mm, n) for at, (mm, n) in enumerate(pieces)]
    bought = buy_lengths(KNOWN[item], wanted, Stocked(book.offers[item], (), 100, 20.0))
    assert bought.summary is not None
    assert bought.summary.optimal
    assert sorted(p.length_m for s in bought.spools for p in s.pieces) == sorted(
        mm / 1000 for mm, n in pieces for _ in range(n)
    )
    assert not bought.problems
    return [
        (line.pack_size or Decimal(0), line.packs or 0, line.amount or Decimal(0)) for line in bought.lines
    ]


def test_a_cut_length_is_not_a_spool_of_one_metre() -> None:
    """7.6 m of chain bought a drum of 30 m for 680.00, since no piece was as short as a metre."""
    book = read("CHN-16,m,30,680.00,EUR,Iron,10,,", "CHN-16,m,1,29.90,EUR,Iron,3,1,")
    assert bought_lines("CHN-16", book, (3800, 2)) == [(Decimal(8), 1, Decimal("239.20"))]
    assert bought_lines("CHN-16", book, (2600, 1), (5000, 1)) == [(Decimal(8), 1, Decimal("239.20"))]


def test_a_short_spare_of_tape_buys_no_whole_roll() -> None:
    book = read("TAPE-16,m,100,39.00,EUR,Loft,3,,", "TAPE-16,m,1,0.55,EUR,Loft,3,0.5,2")
    assert bought_lines("TAPE-16", book, (762, 2)) == [(Decimal("2.0"), 1, Decimal("1.10"))]
    # 134 tapes fill 102.108 m: a roll holds 131, and 2.5 m hold the other three
    assert bought_lines("TAPE-16", book, (762, 134)) == [
        (Decimal(100), 1, Decimal("39.00")), (Decimal("2.5"), 1, Decimal("1.38")),
    ]  # fmt: skip


def test_what_is_bought_by_the_sum_is_bought_by_the_metre_too() -> None:
    book = read("WIRE-SEIZE,m,10,4.04,EUR,Iron,3,,", "WIRE-SEIZE,m,1,0.60,EUR,Iron,3,0.1,0.5")
    lines = buy_counts(
        KNOWN["WIRE-SEIZE"], {0: Decimal("11.3")}, Decimal(0), book.offers["WIRE-SEIZE"], Decimal(0)
    )
    assert [(line.pack_size, line.packs, line.amount) for line in lines] == [
        (Decimal(10), 1, Decimal("4.04")), (Decimal("1.3"), 1, Decimal("0.78")),
    ]  # fmt: skip
    assert "Cut to length by the supplier, at 0.60 for 1 m" in lines[1].note


def test_without_a_price_the_least_length_is_bought() -> None:
    book = read("CHN-16,m,30,,,Iron,10,,", "CHN-16,m,1,,,Iron,3,0.1,")
    assert bought_lines("CHN-16", book, (2600, 1), (5000, 1)) == [(Decimal("7.7"), 1, Decimal(0))]


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        ("CHN-16,m,1,29.90,EUR,Iron,3,,2", "least_length", "there is a least length and no step"),
        ("CHN-16,m,1,29.90,EUR,Iron,3,0,", "length_step", "is nothing"),
        ("CHN-16,m,1,29.90,EUR,Iron,3,-1,", "length_step", "negative"),
        ("CHN-16,m,1,29.90,EUR,Iron,3,half,", "length_step", "half"),
        ("THM-16,,1,3.45,EUR,Iron,3,1,", "length_step", "counted by the piece"),
    ],
)
def test_a_bad_cell_is_named(row: str, column: str, words: str) -> None:
    with pytest.raises(CatalogueError) as refused:
        read(row)
    assert f"line 2, column “{column}”" in str(refused.value)
    assert words in str(refused.value)


def test_a_metre_and_a_pack_of_one_metre_are_two_offers_and_two_steps_a_contradiction() -> None:
    assert len(read("CHN-16,m,1,29.90,EUR,Iron,3,,", "CHN-16,m,1,29.90,EUR,Iron,3,1,").offers["CHN-16"]) == 2
    with pytest.raises(CatalogueError, match="other figures"):
        read("CHN-16,m,1,29.90,EUR,Iron,3,1,", "CHN-16,m,1,29.90,EUR,Iron,3,0.5,")


METRES = st.tuples(st.integers(1, 3), st.integers(0, 3), st.integers(20, 200))


@given(
    st.lists(st.integers(2, 9), min_size=1, max_size=5),
    st.lists(st.tuples(st.integers(9, 14), st.integers(500, 2000), st.integers(1, 3)), max_size=2),
    st.lists(METRES, min_size=1, max_size=2),
    st.lists(st.integers(3, 12), max_size=1),
    st.integers(0, 1),
)
def test_no_mix_of_packs_and_metres_is_cheaper(
    lengths: list[int],
    packs: list[tuple[int, int, int]],
    metres: list[tuple[int, int, int]],
    shelf: list[int],
    loss: int,
) -> None:
    """Against every way there is: each piece from packs or from one of the lengths, every count of packs."""
    offers = [
        Offer("NDB-16", "", "m", Decimal(size), Decimal(cents) / 100, "S", None, least, at)
        for at, (size, cents, least) in enumerate(packs)
    ]
    offers += [
        Offer("NDB-16", "", "m", Decimal(1), Decimal(cents) / 100, "M", None, 1, 10 + at, Decimal(step),
              Decimal(least) if least else None)
        for at, (step, least, cents) in enumerate(metres)
    ]  # fmt: skip
    wanted = [Wanted(at, "lead line", mm * 1000, 1) for at, mm in enumerate(lengths)]
    stocked = Stocked(tuple(offers), tuple(mm * 1000 for mm in shelf), loss * 1000, 20.0)
    bought = buy_lengths(KNOWN["NDB-16"], wanted, stocked)

    def packed(pieces: list[int]) -> Fraction | None:
        found = [
            sum(n * pack[1] for n, pack in zip(counts, packs, strict=True))
            for counts in product(range(6), repeat=len(packs))
            if all(n == 0 or n >= pack[2] for n, pack in zip(counts, packs, strict=True))
            and fits(sorted(pieces, reverse=True), [
                room - loss
                for room in (*shelf, *(p[0] for n, p in zip(counts, packs, strict=True) for _ in range(n)))
            ])
        ]  # fmt: skip
        return Fraction(min(found)) if found else None

    best: Fraction | None = None
    for places in product(range(len(metres) + 1), repeat=len(lengths)):
        cost = packed([mm for mm, place in zip(lengths, places, strict=True) if place == len(metres)])
        if cost is None:
            continue
        for at, (step, least, cents) in enumerate(metres):
            here = [mm for mm, place in zip(lengths, places, strict=True) if place == at]
            if here:
                cost += -(-max(sum(here) + loss, least) // step) * step * cents
        best = cost if best is None else min(best, cost)
    paid = sum((line.amount for line in bought.lines if line.amount), Decimal(0))
    assert paid * 100 == best
    assert bought.summary is not None
    assert bought.summary.optimal
    assert bought.summary.cost == bought.summary.bound == paid
    assert sorted(round(p.length_m) for s in bought.spools for p in s.pieces) == sorted(lengths)
    for spool in bought.spools:
        used = sum(p.length_m for p in spool.pieces)
        assert spool.spool_length_m >= used + (loss if spool.pieces else 0) - 1e-9
