"""A season of deliveries and cuts: nothing is bought twice, nothing is lost, nothing is there twice."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Sequence
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.errors import CatalogueError
from sizing.model import Order, OrderLine
from sizing.order.amend import Delivery, Stocktake, stock_in_hand
from sizing.order.items import CUT_KINDS
from sizing.order.purchase import build_order
from sizing.order.sheets import Names, decimal_m, in_hand_lengths, order_sheet
from sizing.order.stock import ClubStock
from sizing.order.stock_sheet import stock_sheet
from sizing.order.tags import metres_of
from sizing.order.write_json import json_bytes
from tests.sizing.order.fleet_builder import Boat, Case, case
from tests.sizing.order.price_books import KNOWN, PLAIN, book

NO_LEAST = book("\n".join(line.rpartition(",")[0] + "," for line in PLAIN.splitlines()[1:]).join(
    (PLAIN.splitlines()[0] + "\n", "\n")
))  # fmt: skip
"""The price book without least orders: what is left of one that came in part is a part of it."""
FLEET = [Boat(entry_no=f"{i:03}", cones=(50 + i, 31 + i), leg_cut_m=7.0 + i) for i in range(4)]


class Season:
    """A fleet's order, what was received of it and cut, and the order that is made then."""

    def __init__(self, boats: Sequence[Boat]) -> None:
        self.deliveries: list[Delivery] = []
        self.shelf: Stocktake | None = None
        self.bought = Decimal(0)
        self.enter(boats)

    def enter(self, boats: Sequence[Boat]) -> None:
        """The fleet is now these boats; order again."""
        self.case: Case = case(boats)
        self.again()

    def again(self) -> Order:
        c = self.case
        self.order = build_order(
            c.fleet, c.requirements, c.plans, c.policy, c.catalogue, NO_LEAST, time_limit_s=5.0,
            stock=self.stock,
        )  # fmt: skip
        return self.order

    @property
    def stock(self) -> ClubStock:
        return stock_in_hand(self.deliveries, self.shelf, KNOWN)

    def receive(self, data: str | bytes) -> None:
        """A list is received beside the order in force."""
        raw = data.encode() if isinstance(data, str) else data
        name = f"delivery {len(self.deliveries) + 1}.csv"
        self.deliveries.append(Delivery(raw, name, json_bytes(self.order, self.case.fleet)))

    def receive_packs(self, counts: dict[int, int]) -> None:
        """So many packs of the order's lines, by their place, are paid for and received."""
        rows = ["item,packs,pack_size,unit,supplier"]
        for at, packs in counts.items():
            line = self.order.lines[at]
            assert line.pack_price is not None
            self.bought += packs * line.pack_price
            rows.append(f"{line.item},{packs},{line.pack_size},{line.unit},{line.supplier}")
        self.receive("\n".join(rows) + "\n")

    def cut(self, item: str, spools: int) -> None:
        self.receive(f"item,packs,cut\n{item},0,{spools}\n")

    @property
    def to_buy(self) -> dict[int, OrderLine]:
        return {at: line for at, line in enumerate(self.order.lines) if line.pack_price is not None}


def own_table(order: Order) -> bytes:
    return order_sheet(order).csv()


def order_stock(season: Season) -> bytes:
    return stock_sheet(season.order, Names(season.case.fleet), {}).csv()


def csv_rows(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))


def metres_in(stock: ClubStock, item: str) -> int:
    pieces = stock.cut.get(item, ())
    return sum(stock.lengths_mm.get(item, ())) + sum(p.length_mm * p.quantity for p in pieces)


def test_the_orders_own_table_is_a_delivery_of_all_of_it() -> None:
    season = Season(FLEET)
    for _ in range(3):
        season.receive(own_table(season.order))
        again = season.again()
        assert not season.to_buy
        assert again.total == Decimal("0.00")
    assert "line is of what was in hand" in " ".join(
        season.stock.notes
    ) or "lines are of what was in hand" in (" ".join(season.stock.notes))


def test_a_part_of_the_orders_table_leaves_the_rest_to_buy() -> None:
    season = Season(FLEET)
    total = season.order.total or Decimal(0)
    head, *lines = own_table(season.order).decode().splitlines()
    season.receive("\r\n".join([head, *lines[::2]]) + "\r\n")
    came = sum((line.amount or Decimal(0) for line in season.order.lines[::2]), Decimal(0))
    for _ in range(3):
        assert season.again().total == total - came
    season.receive(own_table(season.again()))
    assert season.again().total == Decimal("0.00")


@pytest.mark.parametrize("head", ["item,packs,pack_size,pack_size_ft", "Item,Packs,Pack size,Pack size (ft)"])
def test_a_blank_pack_size_is_the_orders(head: str) -> None:
    season = Season(FLEET)
    line = next(line for line in season.order.lines if line.item == "NDB-16")
    season.receive(f"{head}\nNDB-16,{line.packs},,12\n")
    assert season.stock.lengths_mm["NDB-16"] == (int(line.pack_size or 0) * 1000,) * (line.packs or 0)


def test_what_may_have_been_told_twice_is_said() -> None:
    season = Season(FLEET)
    table = own_table(season.order)
    season.receive(table)
    assert not season.stock.notes
    season.receive(table)
    (note,) = season.stock.notes
    assert note == "delivery 2.csv: the same list was received before; what it tells is counted again."
    season.deliveries.pop()
    season.again()
    season.receive("item,packs,pack_size\nNDB-16,2,100 m\n")
    (note,) = season.stock.notes
    assert note.startswith(
        "delivery 2.csv: 2 packs of 100.000 m of 16 mm nylon double braid more than the order"
    )


def test_a_decimal_sign_that_a_spreadsheet_program_took_away_is_noticed() -> None:
    season = Season(FLEET)
    season.receive(own_table(season.order).replace(b",100.000,", b",100000,"))
    with pytest.raises(
        CatalogueError, match=r"packs of 100000.000 m, and the order has none larger than 100.000"
    ):
        season.again()


def test_a_column_for_what_came_is_stronger_than_what_was_ordered() -> None:
    season = Season(FLEET)
    head, *lines = own_table(season.order).decode().splitlines()
    rows = [f"{row},{1 if row.startswith('NDB-16') else ''}" for row in lines]
    season.receive("\n".join([f"{head},received", *rows]))
    stock = season.stock
    assert len(stock.lengths_mm["NDB-16"]) == 1
    assert stock.lengths_mm.keys() == {"NDB-16"}
    assert not stock.sums


@pytest.mark.parametrize("nothing", [b"", b"\xef\xbb\xbf\r\n", b"item,packs\n", b"item,packs\n,\n"])
def test_a_list_of_nothing_is_said_and_not_refused(nothing: bytes) -> None:
    season = Season(FLEET)
    before = season.order
    season.receive(nothing)
    stock = season.stock
    assert not stock.lengths_mm
    assert len(stock.notes) == 1
    assert "delivery 1.csv" in stock.notes[0]
    assert season.again() == before


def test_a_later_delivery_adds_to_one_that_has_been_cut() -> None:
    season = Season(FLEET)
    season.receive("item,packs,pack_size,cut\nNDB-16,2,100 m,1\n")
    season.again()
    season.receive("item,packs,pack_size\nNDB-16,1,100 m\n")
    lengths = Counter(season.stock.lengths_mm["NDB-16"])
    assert lengths[100_000] == 2
    assert metres_in(season.stock, "NDB-16") == 300_000 - 100  # one end lost at the one spool cut


def test_spools_received_in_week_1_are_cut_in_week_2_once_each() -> None:
    season = Season(FLEET)
    season.receive(own_table(season.order))
    season.again()
    spools = [s for s in season.order.spools if s.item == "NDB-20" and s.pieces]
    season.cut("NDB-20", 1)
    season.cut("NDB-20", 1)
    made = sorted(piece.length_m for spool in spools[:2] for piece in spool.pieces)
    assert made == sorted(p.length_mm / 1000 for p in season.stock.cut["NDB-20"] for _ in range(p.quantity))
    assert season.again().total == Decimal("0.00")
    left = sum(1 for s in season.order.spools if s.item == "NDB-20" and len(s.pieces) > 1)
    assert left == len(spools) - 2
    season.cut("NDB-20", left)  # those in hand as pieces are passed over
    assert season.again().total == Decimal("0.00")
    season.cut("NDB-20", 1)
    with pytest.raises(CatalogueError, match="in the cut list 0 are not cut yet"):
        season.again()


def test_a_spool_that_was_never_received_cannot_be_cut() -> None:
    season = Season(FLEET)
    season.cut("NDB-20", 1)
    with pytest.raises(CatalogueError, match=r"delivery 1\.csv, line 2.* and 0 in hand"):
        season.again()


def test_a_stocktake_takes_the_place_of_loose_lengths_and_not_of_packs_or_pieces() -> None:
    season = Season(FLEET)
    season.receive(own_table(season.order))
    season.again()
    season.cut("NDB-20", 1)
    before = season.stock
    offcuts = set(before.lengths_mm["NDB-20"]) - {100_000, 220_000}
    assert offcuts
    season.shelf = Stocktake(b"item,length\nNDB-20,1.5 m\n", "shelf.csv", after=2)
    counted = season.stock
    assert set(counted.lengths_mm["NDB-20"]) - {100_000, 220_000} == {1500}
    assert counted.cut == before.cut
    assert len(counted.lengths_mm["NDB-20"]) == len(before.lengths_mm["NDB-20"])
    season.shelf = Stocktake(b"item,length\nNDB-20,1.5 m\n", "shelf.csv", after=0)
    assert set(season.stock.lengths_mm["NDB-20"]) - {100_000, 220_000} == {1500, *offcuts}


def test_what_is_cut_is_the_first_that_can_have_been_cut() -> None:
    season = Season(FLEET)
    *_, last = [spool for spool in season.order.spools if spool.item == "TAPE-16"]
    assert last.spool_no > 1
    assert last.spool_length_m == 50.0
    season.receive("item,packs,pack_size\nTAPE-16,1,50 m\n")
    season.cut("TAPE-16", 1)
    assert sum(cut.quantity for cut in season.stock.cut["TAPE-16"]) == len(last.pieces)
    assert 50_000 not in season.stock.lengths_mm["TAPE-16"]


def test_a_length_of_the_shelf_that_is_cut_is_there_no_more() -> None:
    season = Season([])
    season.shelf = Stocktake(b"item,length,quantity\nNDB-16,60 m,2\n", "shelf.csv", after=0)
    season.enter(FLEET)
    season.cut("NDB-16", 1)
    assert Counter(season.stock.lengths_mm["NDB-16"])[60_000] == 1
    assert metres_in(season.stock, "NDB-16") == 120_000 - 100
    season.shelf = Stocktake(b"item,length\nNDB-16,60 m\n", "shelf.csv", after=1)
    assert season.stock.lengths_mm["NDB-16"] == (60_000,)
    assert season.stock.cut


def test_a_whole_pack_in_a_stocktake_is_asked_about() -> None:
    season = Season(FLEET)
    season.receive("item,packs,pack_size\nNDB-16,2,100 m\n")
    season.shelf = Stocktake(b"item,length\nNDB-16,100 m\n", "shelf.csv", after=1)
    assert any("leave it out if it is one of them" in note for note in season.stock.notes)


@st.composite
def boats(draw: st.DrawFn, first: int = 0) -> list[Boat]:
    count = draw(st.integers(1, 3))
    return [
        Boat(
            entry_no=f"{first + at:03}",
            cones=(draw(st.integers(20, 90)), draw(st.integers(15, 60))),
            leg_cut_m=draw(st.integers(50, 110)) / 10,
            heavy=draw(st.booleans()),
        )
        for at in range(count)
    ]


def adds_up(season: Season) -> None:
    """Over the tags of every item: what came is in hand, handed out, aboard, missing, or lost at ends."""
    tags = season.stock.tags
    assert len({one.tag for one in tags}) == len(tags)
    for item in {one.item for one in tags if one.single}:
        assert sum(metres for _, metres in metres_of(tags, item)) == 0, item
    by_tag = {one.tag: one for one in tags}
    for one in season.order.spools:
        there = by_tag[one.tag] if tags and one.tag else None
        assert not there or (there.item, there.amount) == (one.item, decimal_m(one.spool_length_m))
    taken = [spool.tag for spool in season.order.spools if spool.tag]
    assert len(taken) == len(set(taken))


def tagged(season: Season) -> dict[str, tuple[str, Decimal, str, str]]:
    """What every tag is written on: that never changes."""
    return {one.tag: (one.item, one.amount, one.origin, one.state) for one in season.stock.tags}


def test_a_tag_stays_on_what_it_is_written_on() -> None:
    season = Season(FLEET)
    season.receive(own_table(season.order))
    season.again()
    first = tagged(season)
    assert {"R1", "T1", "C1", "B1", "K1"} <= first.keys()
    season.cut("NDB-20", 1)
    season.again()
    second = tagged(season)
    (spool,) = [tag for tag, (*_, state) in second.items() if state == "cut up"]
    children = [tag for tag in second if tag.startswith(f"{spool}-")]
    assert [second[tag][2] for tag in children] == [spool] * len(children)
    assert {tag: one[:3] for tag, one in second.items() if tag not in children} == {
        tag: one[:3] for tag, one in first.items()
    }
    adds_up(season)
    rows = csv_rows(order_stock(season))
    assert [row["state"] for row in rows if row["tag"] == spool] == ["cut up"]
    assert sum(row["cut_from"] == spool for row in rows) == len(children)


def test_the_cut_list_names_the_length_and_that_one_is_cut() -> None:
    season = Season(FLEET)
    season.receive("item,packs,pack_size\nNDB-20,3,220 m\n")
    season.again()
    (said,) = {s.tag for s in season.order.spools if s.item == "NDB-20" and s.tag and s.spool_no == 1}
    season.cut("NDB-20", 1)
    assert tagged(season)[said][3] == "cut up"


def test_what_a_stocktake_misses_is_not_found_and_keeps_its_tag() -> None:
    season = Season(FLEET)
    season.receive(own_table(season.order))
    season.again()
    season.cut("NDB-20", 1)
    season.again()
    (offcut,) = [one for one in season.stock.tags if one.state == "offcut"]
    season.shelf = Stocktake(b"item,length\nNDB-20,1.5 m\n", "shelf.csv", after=2)
    assert tagged(season)[offcut.tag][3] == "not found"
    adds_up(season)
    (found,) = [one for one in season.stock.tags if one.origin == "shelf.csv"]
    assert found.counted
    length = f"item,length\nNDB-20,{offcut.amount} m\n".encode()
    season.shelf = Stocktake(length, "shelf.csv", after=2)
    assert tagged(season)[offcut.tag][3] == "offcut"
    adds_up(season)


def conserved(season: Season, came: Counter[str], spools_cut: Counter[str]) -> None:
    """Every length that came is in hand, whole, as pieces or as offcuts, but for the ends that are lost."""
    stock = season.stock
    adds_up(season)
    for item, mm in came.items():
        if KNOWN[item].kind in CUT_KINDS:
            assert metres_in(stock, item) == mm - 100 * spools_cut[item], item
        else:
            assert stock.sums.get(item, 0) * 1000 == mm


def can_be_cut(season: Season, item: str) -> int:
    """How many lengths in hand the order cuts; lengths in hand have the lowest numbers."""
    in_hand = in_hand_lengths(season.order).get(item, 0)
    mine = [s for s in season.order.spools if s.item == item and s.spool_no <= in_hand]
    return sum(1 for s in mine if s.pieces and not (len(s.pieces) == 1 and s.offcut_m == 0))


@given(st.data())
def test_a_season_buys_what_one_order_buys(data: st.DataObject) -> None:
    season = Season(data.draw(boats()))
    one_order = season.order.total
    came: Counter[str] = Counter()
    spools_cut: Counter[str] = Counter()
    for _ in range(data.draw(st.integers(1, 2))):
        counts = {
            at: data.draw(st.integers(0, line.packs or 0), label=line.item)
            for at, line in season.to_buy.items()
        }
        for at, packs in counts.items():
            line = season.order.lines[at]
            came[line.item] += packs * int((line.pack_size or 0) * 1000)
        season.receive_packs(counts)
        conserved(season, came, spools_cut)
        assert season.bought + (season.again().total or 0) == one_order
        for item in sorted({line.item for line in season.order.lines if KNOWN[line.item].kind in CUT_KINDS}):
            spools = data.draw(st.integers(0, can_be_cut(season, item)), label=f"cut of {item}")
            season.cut(item, spools)
            spools_cut[item] += spools
        conserved(season, came, spools_cut)
        assert season.bought + (season.again().total or 0) == one_order
    rest = {at: line.packs or 0 for at, line in season.to_buy.items()}
    season.receive_packs(rest)
    assert season.again().total == Decimal("0.00")
    assert season.bought == one_order


@given(st.data())
def test_boats_that_join_cost_no_more_than_an_order_of_their_own(data: st.DataObject) -> None:
    early, late = data.draw(boats()), data.draw(boats(first=100))
    season = Season(early)
    alone, together = Season(late).order.total, Season([*late, *early]).order.total
    first = season.order.total
    assert alone is not None
    assert together is not None
    assert first is not None
    season.receive_packs({at: line.packs or 0 for at, line in season.to_buy.items()})
    season.again()
    if data.draw(st.booleans()):
        for item in ("NDB-16", "NDB-20", "TAPE-16"):
            season.cut(item, data.draw(st.integers(0, can_be_cut(season, item))))
    season.enter([*late, *early])  # rows move: boats are known by entry number
    assert together <= first + (season.order.total or 0) <= first + alone
    season.receive_packs({at: line.packs or 0 for at, line in season.to_buy.items()})
    assert season.again().total == Decimal("0.00")
