"""Parts that were handed out are aboard, and not there for others: rather bought again than missing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.order.amend import Stocktake
from sizing.order.fitted import less_what_is_fitted
from tests.sizing.order.fleet_builder import Boat
from tests.sizing.order.price_books import KNOWN
from tests.sizing.order.test_season import FLEET, Season, metres_in, own_table

LATE = Boat(entry_no="099", cones=(52, 33), leg_cut_m=8.0)
DONE = tuple(replace(boat, groups=()) for boat in FLEET)
"""The same boats once all is aboard: their plans want nothing."""


def received(boats: Sequence[Boat] = FLEET) -> Season:
    season = Season(boats)
    season.receive(own_table(season.order))
    assert season.again().total == Decimal("0.00")
    return season


def needed_to_buy(season: Season, item: str) -> Decimal:
    lines = [line for line in season.order.lines if line.item == item and line.supplier != "in hand"]
    return sum((line.needed + line.spare for line in lines), Decimal(0))


def needed(season: Season, item: str) -> Decimal:
    lines = [line for line in season.order.lines if line.item == item]
    return sum((line.needed + line.spare for line in lines), Decimal(0))


def told(season: Season, item: str) -> str:
    return " ".join(problem.sentence for problem in season.order.problems if problem.item == item)


def test_shackles_that_are_aboard_are_not_counted_on_for_another_boat() -> None:
    season = received()
    came = season.stock.sums["SHB-3.25t"]
    season.enter([DONE[0], *FLEET[1:], LATE])
    assert needed_to_buy(season, "SHB-3.25t") == needed(season, "SHB-3.25t") - (came - 2)
    assert "2 piece of forged bow shackle" in told(season, "SHB-3.25t")
    assert "(entries 000): they are taken as aboard, and are not counted on" in told(season, "SHB-3.25t")


@pytest.mark.parametrize("cut", [False, True], ids=["whole packs", "pieces cut"])
def test_rope_that_is_aboard_is_not_there_for_another_boat(cut: bool) -> None:
    season = received()
    if cut:
        season.cut("NDB-20", sum(bool(s.pieces) for s in season.order.spools if s.item == "NDB-20"))
        season.again()
    there = metres_in(season.stock, "NDB-20")
    hers = sum(
        round((piece.length_m or 0) * 1000) * piece.quantity
        for piece in season.order.pieces
        if piece.item == "NDB-20"
    )
    season.enter([*DONE, LATE])
    assert "are taken as aboard" in told(season, "NDB-20")
    in_hand = [
        s for s in season.order.spools if s.item == "NDB-20" and s.spool_no <= _lengths_in_hand(season)
    ]
    assert sum(round(s.spool_length_m * 1000) for s in in_hand) <= there - hers


def _lengths_in_hand(season: Season) -> int:
    return sum(
        line.packs or 0 for line in season.order.lines if (line.item, line.supplier) == ("NDB-20", "in hand")
    )


def test_a_boat_that_left_the_list_leaves_her_parts() -> None:
    season = received()
    season.enter([*FLEET[1:], replace(FLEET[0], entry_no="099")])
    assert season.order.total == Decimal("0.00")


def test_a_boat_whose_entry_was_amended_was_given_nothing() -> None:
    """Bridle legs of another length in the place of hers: what was for her still lies there."""
    season = received()
    season.enter([replace(FLEET[0], leg_cut_m=6.5), *FLEET[1:]])
    assert not [one for one in season.order.problems if "taken as aboard" in one.sentence]


def test_what_never_came_is_not_aboard() -> None:
    season = Season(FLEET)
    season.receive("item,quantity\nSHB-3.25t,1\n")
    season.enter([DONE[0], *FLEET[1:]])
    assert needed_to_buy(season, "SHB-3.25t") == needed(season, "SHB-3.25t")
    assert "1 piece" in told(season, "SHB-3.25t")
    assert "taken as aboard" not in told(season, "THM-20")


def test_what_was_given_stays_given_when_a_later_delivery_comes() -> None:
    season = received()
    season.enter([DONE[0], *FLEET[1:], LATE])
    season.receive(own_table(season.order))
    assert season.again().total == Decimal("0.00")
    season.enter([*FLEET, LATE])  # she lost them: they are bought anew
    assert needed_to_buy(season, "SHB-3.25t") == 2
    assert [piece for piece in season.order.pieces if piece.row == 0 and piece.item == "NDB-20"]
    assert needed_to_buy(season, "NDB-20") > 0


def test_cuts_of_an_order_that_counts_parts_as_aboard_can_be_recorded() -> None:
    """Its cut list takes the lengths that were left, and the record knows the same ones."""
    season = received()
    season.enter([DONE[0], *FLEET[1:], LATE])
    season.receive(own_table(season.order))
    season.again()
    for item in ("NDB-20", "NDB-16", "TAPE-16"):
        season.cut(item, sum(bool(s.pieces) for s in season.order.spools if s.item == item))
    assert season.again().total == Decimal("0.00")


def test_what_is_found_on_the_shelf_is_recorded_and_counts() -> None:
    season = received()
    season.enter([DONE[0], *FLEET[1:], LATE])
    short = needed_to_buy(season, "SHB-3.25t")
    assert short > 0
    season.receive(f"item,quantity\nSHB-3.25t,{short}\n")
    season.again()
    assert needed_to_buy(season, "SHB-3.25t") == 0


def test_a_length_that_a_stocktake_counted_is_there() -> None:
    season = received()
    season.shelf = Stocktake(b"item,length\nNDB-20,31 m\n", "shelf.csv", after=1)
    stock = season.stock
    assert stock.last is not None
    left, said = less_what_is_fitted(stock, stock.last, {}, None, KNOWN)
    assert "NDB-20" in {one.item for one in said}
    assert 31_000 in left.lengths_mm["NDB-20"]


def test_a_boat_of_which_nothing_can_be_computed_was_given_nothing() -> None:
    season = received()
    season.enter([replace(FLEET[0], reason_not_computed="Her displacement is blank."), *FLEET[1:]])
    assert not [one for one in season.order.problems if "taken as aboard" in one.sentence]
    season.enter(FLEET)
    assert season.order.total == Decimal("0.00")


@given(st.sets(st.integers(0, 3)), st.integers(0, 2))
def test_boats_that_still_wait_miss_nothing(fitted: set[int], late: int) -> None:
    """Of parts by the piece, what came less what is aboard and what is bought covers all that is needed."""
    season = received()
    first = season.order
    fleet = [DONE[at] if at in fitted else boat for at, boat in enumerate(FLEET)]
    season.enter([*fleet, *(replace(LATE, entry_no=f"1{at:02}") for at in range(late))])
    for item in ("SHB-3.25t", "THM-20"):
        aboard = sum(
            (line.boats.get(row, Decimal(0)) for line in first.lines if line.item == item for row in fitted),
            Decimal(0),
        )
        bought = sum(
            ((line.packs or 0) * line.pack_size for line in season.order.lines
             if line.item == item and line.pack_size), Decimal(0),
        )  # fmt: skip
        assert season.stock.sums[item] - aboard + bought >= needed(season, item)


def test_a_whole_kit_that_is_aboard_is_told_of_item_by_item() -> None:
    season = received()
    season.enter(DONE)
    items = {problem.item for problem in season.order.problems if "taken as aboard" in problem.sentence}
    assert items == {piece.item for piece in Season(FLEET).order.pieces}
