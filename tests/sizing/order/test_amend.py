"""Ordering again: what is bought or cut is not bought twice."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from sizing.errors import CatalogueError
from sizing.model import Order
from sizing.order.amend import Delivery, Stocktake, stock_in_hand
from sizing.order.earlier_order import parse_previous
from sizing.order.purchase import build_order
from sizing.order.stock import ClubStock, parse_remnants
from sizing.order.write_json import json_bytes
from tests.sizing.order.fleet_builder import Boat, Case, case
from tests.sizing.order.price_books import KNOWN, book

FLEET = [Boat(entry_no=f"{i:03}", cones=(50 + i, 31 + i), leg_cut_m=7.0 + i) for i in range(4)]


def order_for(c: Case, stock: ClubStock | None = None) -> Order:
    return build_order(
        c.fleet, c.requirements, c.plans, c.policy, c.catalogue, book(), departure=None, time_limit_s=5.0,
        stock=stock,
    )  # fmt: skip


@pytest.fixture(scope="module")
def first() -> tuple[Case, Order, bytes]:
    c = case(FLEET)
    order = order_for(c)
    return c, order, json_bytes(order, c.fleet)


def everything(order: Order, cut: bool) -> str:
    rows = ["item,packs,pack_size,unit,cut"]
    for line in order.lines:
        length = float(line.pack_size or 0)
        spools = sum(
            s.item == line.item and s.spool_length_m == length and bool(s.pieces) for s in order.spools
        )
        rows.append(f"{line.item},{line.packs},{line.pack_size},{line.unit},{spools if cut else ''}")
    return "\n".join(rows) + "\n"


def bought(text: str, previous: bytes) -> ClubStock:
    return stock_in_hand([Delivery(text.encode(), "bought.csv", previous)], None, KNOWN)


def packs(order: Order) -> int:
    return sum(line.packs or 0 for line in order.lines if line.supplier != "in hand")


def needed(order: Order) -> dict[str, Decimal]:
    total: dict[str, Decimal] = {}
    for line in order.lines:
        total[line.item] = total.get(line.item, Decimal(0)) + line.needed
    return total


def test_all_bought_and_nothing_changed_is_nothing_to_buy(first: tuple[Case, Order, bytes]) -> None:
    c, order, previous = first
    again = order_for(c, bought(everything(order, cut=False), previous))
    assert packs(again) == 0
    assert again.total == Decimal("0.00")
    assert needed(again) == needed(order)


def test_all_bought_and_cut_is_nothing_to_buy(first: tuple[Case, Order, bytes]) -> None:
    c, order, previous = first
    again = order_for(c, bought(everything(order, cut=True), previous))
    assert packs(again) == 0
    assert needed(again) == needed(order)
    mine = [s for s in again.spools if s.item == "NDB-20" and s.pieces]
    assert all(s.spool_length_m == pytest.approx(s.pieces[0].length_m) for s in mine)


def test_a_boat_more_buys_her_parts_and_no_other(first: tuple[Case, Order, bytes]) -> None:
    _, order, previous = first
    late = Boat(entry_no="099", cones=(55, 35))
    c = case([late, *FLEET])  # rows move: boats are matched by entry number
    again = order_for(c, bought(everything(order, cut=True), previous))
    shackles = [line for line in again.lines if line.item == "SHB-3.25t"]
    assert [(line.supplier, line.needed + line.spare) for line in shackles] == [
        ("in hand", Decimal(9)),
        ("Quay Iron", Decimal(2)),
    ]
    ready = [s for s in again.spools if s.item == "NDB-20" and len(s.pieces) == 1 and s.offcut_m == 0]
    assert {s.pieces[0].row for s in ready} == {1, 2, 3, 4}
    assert sum(again.boat_totals.values()) == again.total


def test_a_boat_fewer_leaves_parts_over_and_says_so(first: tuple[Case, Order, bytes]) -> None:
    _, order, previous = first
    c = case(FLEET[:3])
    again = order_for(c, bought(everything(order, cut=False), previous))
    assert packs(again) == 0
    told = {one.item: one.sentence for one in again.left_over}
    assert told["SHB-3.25t"] == "forged bow shackle, screw pin, WLL 3.25 t: 2 pieces left over."
    assert again.problems == ()
    assert again.total == Decimal("0.00")


def test_a_piece_cut_for_one_boat_serves_another_of_the_same_length(
    first: tuple[Case, Order, bytes],
) -> None:
    _, order, previous = first
    c = case([replace(FLEET[0], entry_no="200"), *FLEET[1:]])
    again = order_for(c, bought(everything(order, cut=True), previous))
    assert packs(again) == 0


def test_some_bought_leaves_the_rest_to_buy(first: tuple[Case, Order, bytes]) -> None:
    c, order, previous = first
    again = order_for(c, bought("item,quantity\nSHB-3.25t,4\nTHREAD-SEW,1200 m\n", previous))
    lines = {(line.item, line.supplier): line for line in again.lines}
    assert lines["SHB-3.25t", "in hand"].needed == 4
    assert lines["SHB-3.25t", "Quay Iron"].packs == 5
    assert lines["THREAD-SEW", "in hand"].needed + lines["THREAD-SEW", "in hand"].spare == 1200
    assert needed(again) == needed(order)


def test_remnants_come_on_top_of_what_was_bought(first: tuple[Case, Order, bytes]) -> None:
    _, order, previous = first
    list_ = Delivery(everything(order, cut=False).encode(), "bought.csv", previous)
    both = stock_in_hand([list_], Stocktake(b"item,length\nNDB-16,40 m\n", "shelf.csv", 0), KNOWN)
    assert 40_000 in both.lengths_mm["NDB-16"]
    assert len(both.lengths_mm["NDB-16"]) > 1


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("XYZ-1,1,,,", "not in the catalogue"),
        ("NDB-20,,,,", "no packs and no quantity"),
        ("NDB-20,-1,100 m,,", "-1"),
        ("NDB-20,1,100 m,,2", "2 cut of 1"),
        ("NDB-20,99,100 m,,99", "of those in the cut list"),
        ("NDB-14,1,,,", "no pack size"),
        ("SHB-1.5t,3,1,,1", "1 cut of forged"),
    ],
)
def test_a_bad_row_is_named(first: tuple[Case, Order, bytes], line: str, words: str) -> None:
    with pytest.raises(CatalogueError, match=words) as caught:
        bought(f"item,packs,pack_size,unit,cut\n{line}\n", first[2])
    assert "bought.csv, line 2" in str(caught.value)


@pytest.mark.parametrize(
    "data", [b"", b"[]", b"{}", b'{"schema": 2, "lines": [], "spools": []}', b"[" * 100_000]
)
def test_what_is_no_order_is_refused(data: bytes) -> None:
    with pytest.raises(CatalogueError, match=r"order\.json"):
        parse_previous(data, "order.json")


def test_a_bad_remnant_is_named() -> None:
    with pytest.raises(CatalogueError, match=r"remnants\.csv, line 3"):
        parse_remnants(b"item,length\nNDB-16,40 m\nSHB-1t,4 m\n", "remnants.csv", KNOWN)
