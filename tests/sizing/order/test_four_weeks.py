"""Four weeks of a fleet with its ledger: entries, withdrawals, deliveries right and wrong, kits handed out.

What is asserted is arithmetic: what was bought once is not bought again, every millimetre that came is
somewhere, and what was cut stays cut. The fleet is invented.
"""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

import pytest

from sizing.errors import CatalogueError
from sizing.order.amend import Handed, Stocktake, stock_in_hand
from sizing.order.items import CUT_KINDS
from sizing.order.stock import ClubStock
from tests.sizing.order.fleet_builder import Boat
from tests.sizing.order.price_books import KNOWN
from tests.sizing.order.test_season import Season, adds_up, own_table, tagged


class Weeks(Season):
    """A season whose lists of what was handed out and came back are kept too."""

    def __init__(self, boats: list[Boat]) -> None:
        self.handed: list[Handed] = []
        super().__init__(boats)

    @property
    def stock(self) -> ClubStock:
        return stock_in_hand(self.deliveries, self.shelf, KNOWN, handed=self.handed, new=True)

    def hand(self, data: str, kind: str) -> None:
        made = Handed(data.encode(), f"{kind} {len(self.handed) + 1}.csv", kind, len(self.deliveries))  # type: ignore[arg-type]
        kept = list(self.handed)
        self.handed.append(made)
        try:
            assert self.stock
        except CatalogueError:
            self.handed = kept
            raise

    def refused(self, rows: str, words: str) -> None:
        """A wrong note is refused, with its file and cell, and nothing of it is in the ledger."""
        before, kept = self.stock, list(self.deliveries)
        self.receive(rows)
        with pytest.raises(CatalogueError) as said:
            assert self.stock
        assert words in str(said.value)
        assert f"delivery {len(kept) + 1}.csv" in str(said.value)
        self.deliveries = kept
        assert self.stock == before

    def plan(self) -> Counter[tuple[str, str, str, float]]:
        """Cuts that are planned or made: item, boat, purpose, length."""
        text = self.case.fleet.text["entry_no"]
        return Counter(
            (spool.item, str(text[piece.row]) if piece.row >= 0 else "", piece.purpose, piece.length_m)
            for spool in self.order.spools for piece in spool.pieces
        )  # fmt: skip


def fleet(first: int, count: int) -> list[Boat]:
    return [
        Boat(entry_no=f"{at:03}", cones=(44 + 3 * (at % 7), 26 + at % 5), leg_cut_m=6.2 + (at % 9) / 4,
             lead_cut_m=23.4 + (at % 4) / 10, heavy=at % 4 == 0)
        for at in range(first, first + count)
    ]  # fmt: skip


def metres(season: Season, item: str) -> Decimal:
    return sum(
        (one.amount for one in season.stock.tags if one.item == item and "-" not in one.tag), Decimal(0)
    )


@pytest.mark.parametrize("boats", [5, pytest.param(30, marks=pytest.mark.thorough)])
def test_four_weeks_of_a_fleet(boats: int) -> None:
    # week 1: the first list; half of it comes, with a wrong note between
    season = Weeks(fleet(0, boats - 2))
    head, *lines = own_table(season.order).decode("utf-8-sig").splitlines()
    whole = season.order.total
    season.receive("\r\n".join([head, *lines[::2]]) + "\r\n")
    season.refused("\r\n".join([head, *lines[::2]]) + "\r\n", "the same list was received before")
    season.refused("item,packs,pack_size\nNDB-06,1,100 m\n", "“NDB-06” was never ordered")
    season.refused("item,packs,pack_size\nNDB-16,-1,100 m\n", "a whole number from 0")
    season.refused("item,packs,pack_size\nNDB-16,500,100 m\n", "which are ordered and did not come yet")
    season.refused(
        "item,packs,pack_size,supplier\nNDB-16,1,100 m,Nobody & Sons\n", "nothing was ordered from"
    )
    season.refused("item,packs,pack_size,currency\nNDB-16,1,100 m,USD\n", "EUR, as ordered")
    came = sum((line.amount or Decimal(0) for line in season.order.lines[::2]), Decimal(0))
    assert season.again().total == (whole or Decimal(0)) - came
    adds_up(season)

    # the rest comes, and two spools are cut
    season.receive(own_table(season.order))
    assert season.again().total == Decimal("0.00")
    season.cut("NDB-20", 1)
    season.cut("NDB-16", 1)
    season.again()
    made = {tag: one for tag, one in tagged(season).items() if one[3] in ("piece", "cut up")}
    assert made
    adds_up(season)

    # week 2: two boats enter, one withdraws; only what is wanting is bought
    bought = {item: metres(season, item) for item, known in KNOWN.items() if known.kind in CUT_KINDS}
    before = season.plan()
    season.enter([*fleet(1, boats - 3), *fleet(100, 2)])
    alone = Season(fleet(100, 2)).order.total
    assert alone is not None
    assert season.order.total is not None
    assert Decimal(0) < season.order.total <= alone
    stays = {cut for cut in before if cut[1] not in ("000", "")}
    assert stays <= set(season.plan())
    assert {tag: tagged(season)[tag] for tag in made} == made
    season.receive(own_table(season.order))
    assert season.again().total == Decimal("0.00")
    for item, m in bought.items():
        assert metres(season, item) >= m
    adds_up(season)

    # week 3: kits are handed out; a boat that has hers says so; one changes her bridle
    hers = [one for one in season.stock.tags if one.state == "piece" and one.entry_no]
    first = hers[0]
    season.hand(
        "tag,entry\n" + "".join(f"{one.tag},\n" for one in hers if one.entry_no == first.entry_no), "issue"
    )
    assert season.again().total == Decimal("0.00")
    assert tagged(season)[first.tag][3] == "issued"
    with pytest.raises(CatalogueError, match="is issued, and not in hand"):
        season.hand(f"tag,entry\n{first.tag},\n", "issue")
    with pytest.raises(CatalogueError, match=r"issue 2\.csv, line 2, column “tag”: no length has the tag"):
        season.hand("tag,entry\nR999,001\n", "issue")
    adds_up(season)

    # week 4: half a piece comes back and is used first; the shelf is counted and misses an offcut
    before_back = season.stock
    season.hand(f"tag,length\n{first.tag},{first.amount / 2:.3f} m\n", "return")
    season.again()
    (back,) = [one for one in season.stock.tags if one.origin == first.tag and one.state == "offcut"]
    assert back.amount == (first.amount / 2).quantize(Decimal("0.001"))
    assert len(season.stock.tags) == len(before_back.tags) + 2
    adds_up(season)
    season.shelf = Stocktake(
        b"item,length\nNDB-20,1.5 m\n", "shelf.csv", len(season.deliveries), len(season.handed)
    )
    season.again()
    assert tagged(season)[back.tag][3] == "not found"
    adds_up(season)
    for item in bought:
        account = Counter[str]()
        for one in season.stock.tags:
            if one.item == item and "-" not in one.tag:
                account["came"] += int(one.amount * 1000)
            if one.item == item:
                account["ends"] += int(one.ends_m * 1000)
                account["there"] += 0 if one.state == "cut up" else one.length_mm
        assert account["came"] == account["ends"] + account["there"], item
