"""The fleet's order: sums, traces, money, problems."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.model import Order
from sizing.order.consolidate import consolidate, counted
from sizing.order.items import CUT_KINDS, metres
from sizing.order.lead_times import dated, day_of_need
from sizing.order.money import FLEET_ACCOUNT, allocate
from sizing.order.prices import PriceBook
from sizing.order.purchase import build_order
from sizing.order.stock import ClubStock, parse_remnants
from sizing.policy import Policy
from sizing.words import long_date
from tests.sizing.order.fleet_builder import Boat, Case, case
from tests.sizing.order.price_books import KNOWN, PLAIN, book

FLEET = [
    Boat(entry_no=f"{i:03}", boat_name=f"Boat {i}", cones=(40 + i, 30 + 2 * i), leg_cut_m=6.0 + 0.13 * i)
    for i in range(7)
] + [
    Boat(entry_no="100", groups=("cones", "extension"), cones_to_make=22),
    Boat(entry_no="101", groups=()),
    Boat(entry_no="102", groups=("bridle", "shackles"), cones_to_make=0),
]  # fmt: skip


def order_for(c: Case, prices: PriceBook | None, stock: ClubStock | None = None) -> Order:
    return build_order(
        c.fleet, c.requirements, c.plans, c.policy, c.catalogue, prices,
        departure=date(2027, 6, 1), time_limit_s=5.0, stock=stock, today=date(2027, 5, 1),
    )  # fmt: skip


@pytest.fixture(scope="module")
def order() -> Order:
    return order_for(case(FLEET), book())


def needed_by_item(order: Order) -> dict[str, Decimal]:
    total: dict[str, Decimal] = {}
    for line in order.lines:
        total[line.item] = total.get(line.item, Decimal(0)) + line.needed
    return total


def test_what_the_boats_need_is_what_the_lines_hold_exactly(order: Order) -> None:
    pieces: dict[str, Decimal] = {}
    for piece in order.pieces:
        if piece.kind == "cone":
            continue
        amount = Decimal(piece.quantity) if piece.length_m is None else metres(piece.length_m, piece.quantity)
        pieces[piece.item] = pieces.get(piece.item, Decimal(0)) + amount
    needed = needed_by_item(order)
    assert {item: needed[item] for item in pieces} == pieces
    assert needed.keys() - pieces.keys() == {"RIP-1.5"}


def test_every_line_is_traceable_and_its_boats_add_up(order: Order) -> None:
    for line in order.lines:
        assert sum(line.boats.values(), Decimal(0)) == line.needed
        assert line.boats or line.spare
        assert all(line.item in {p.item for p in order.pieces if p.row == row} for row in line.boats)


def test_whole_packs_cover_what_is_needed_and_spare(order: Order) -> None:
    for line in order.lines:
        assert line.packs is not None
        assert line.pack_size is not None
        assert line.packs * line.pack_size >= line.needed + line.spare


def test_every_piece_that_is_cut_is_on_a_spool_once(order: Order) -> None:
    wanted: Counter[tuple[str, int, str, float]] = Counter()
    for piece in order.pieces:
        if piece.kind in CUT_KINDS:
            assert piece.length_m is not None
            wanted[piece.item, piece.row, piece.purpose, piece.length_m] += piece.quantity
    cut: Counter[tuple[str, int, str, float]] = Counter()
    for spool in order.spools:
        for part in spool.pieces:
            if part.row != FLEET_ACCOUNT:
                cut[spool.item, part.row, part.purpose, part.length_m] += 1
        used = sum(part.length_m for part in spool.pieces) + spool.offcut_m
        assert used <= spool.spool_length_m + 1e-9
    assert cut == wanted


def test_spools_cut_are_the_spools_bought(order: Order) -> None:
    for item in {spool.item for spool in order.spools}:
        bought: Counter[Decimal] = Counter()
        for line in order.lines:
            if line.item == item and line.pack_size is not None and line.packs is not None:
                bought[line.pack_size] += line.packs
        cut = Counter(Decimal(str(s.spool_length_m)).quantize(Decimal("0.001")) for s in order.spools
                      if s.item == item)  # fmt: skip
        assert cut == bought
        numbers = [spool.spool_no for spool in order.spools if spool.item == item]
        assert numbers == list(range(1, len(numbers) + 1))


def test_money_adds_up_to_the_cent(order: Order) -> None:
    assert order.total == sum((line.amount for line in order.lines if line.amount), Decimal(0))
    for line in order.lines:
        assert line.pack_price is not None
        assert line.packs is not None
        assert line.amount == line.pack_price * line.packs
    assert sum(order.boat_totals.values()) == order.total
    assert all(total == total.quantize(Decimal("0.01")) for total in order.boat_totals.values())
    for item, shares in allocate(order.lines).items():
        lines = [line for line in order.lines if line.item == item]
        assert sum(shares.values()) == sum((line.amount for line in lines if line.amount), Decimal(0))


def test_a_boat_without_parts_pays_nothing(order: Order) -> None:
    assert 8 not in order.boat_totals
    assert order.boat_totals.keys() == {row for row in range(10) if row != 8}


def test_spares_follow_the_policy(order: Order) -> None:
    cones = sum(piece.quantity for piece in order.pieces if piece.kind == "cone")
    spare_cones = -(-cones * 5 // 100)
    spare = {line.item: Decimal(0) for line in order.lines}
    for line in order.lines:
        spare[line.item] += line.spare
    assert spare["TAPE-16"] == 3 * spare_cones * Decimal("0.762")
    assert spare["THREAD-SEW"] == 4 * spare_cones
    for item in ("THM-16", "THM-20", "SHB-1.5t"):
        assert spare[item] == -(-int(needed_by_item(order)[item]) * 5 // 100)
    assert spare["NDB-20"] == 0


def test_counted_items_are_bought_at_least_cost(order: Order) -> None:
    """Against every purchase there is of two pack sizes, least orders kept."""
    need = needed_by_item(order)["THM-20"] + sum(
        (line.spare for line in order.lines if line.item == "THM-20"), Decimal(0)
    )
    costs = [
        n * Decimal("101.01") + m * Decimal("17.30")
        for n, m in product(range(20), range(60))
        if (n == 0 or n >= 4) and 25 * n + 4 * m >= need
    ]
    amount = sum((line.amount for line in order.lines if line.item == "THM-20" and line.amount), Decimal(0))
    assert amount == min(costs)


def test_the_least_order_of_a_spool_is_kept() -> None:
    text = PLAIN.replace("NDB-20,,rope,m,100,318.35,EUR,Quay Ropes,10,\n", "")
    one = order_for(case([Boat()]), book(text))
    line = next(line for line in one.lines if line.item == "NDB-20")
    assert (line.packs, line.pack_size) == (2, Decimal("220.000"))
    assert [len(spool.pieces) for spool in one.spools if spool.item == "NDB-20"] == [4, 0]
    both = order_for(case([Boat()]), book())
    assert next(line.pack_size for line in both.lines if line.item == "NDB-20") == Decimal("100.000")


def test_without_a_price_book_there_is_no_cost_and_it_is_said() -> None:
    order = order_for(case(FLEET), None)
    assert order.total is None
    assert order.boat_totals == {}
    assert order.currency == ""
    assert all(line.amount is None and line.packs for line in order.lines)
    assert all("No price is known." in line.note for line in order.lines)


def test_a_piece_longer_than_every_spool_is_told_and_the_rest_stands() -> None:
    order = order_for(case([Boat(entry_no="1"), Boat(entry_no="2", lead_cut_m=300.0)]), book())
    problem = next(p for p in order.problems if p.row == 1)
    assert problem.item == "NDB-20"
    assert "300 m in one piece" in problem.sentence
    assert "219.9 m" in problem.sentence
    left = next(line for line in order.lines if line.packs is None)
    assert (left.needed, left.amount, dict(left.boats)) == (Decimal("300.000"), None, {1: Decimal("300.000")})
    assert sum(order.boat_totals.values()) == order.total
    assert any(line.item == "NDB-20" and line.packs for line in order.lines)


def test_a_long_piece_is_cut_from_an_unpriced_spool_if_that_is_long_enough() -> None:
    text = PLAIN + "NDB-20,,rope,m,400,,,Big Ropes,,\n"
    order = order_for(case([Boat(entry_no="1"), Boat(entry_no="2", lead_cut_m=300.0)]), book(text))
    line = next(line for line in order.lines if line.pack_size == 400)
    assert (line.packs, line.amount) == (1, None)
    assert not [p for p in order.problems if p.row == 1]


def test_items_without_price_or_row_are_told_and_ordered() -> None:
    text = PLAIN.replace("SHB-1.5t,,shackle,piece,1,11.11,EUR", "SHB-1.5t,,shackle,piece,1,,")
    text = (
        "\n".join(line for line in text.splitlines() if not line.startswith("LABEL"))
        + "\nXYZ-9,,,,3,1.00,EUR,,,\n"
    )
    order = order_for(case(FLEET), book(text))
    told = {problem.item: problem.sentence for problem in order.problems if problem.row is None}
    assert "gives no price" in told["SHB-1.5t"]
    assert "has no row" in told["LABEL-BAG"]
    assert any("XYZ-9" in problem.sentence for problem in order.problems)
    for item in ("SHB-1.5t", "LABEL-BAG"):
        assert next(line for line in order.lines if line.item == item).amount is None
    assert sum(order.boat_totals.values()) == order.total


def test_a_pack_without_price_beside_priced_ones_is_not_compared_and_told() -> None:
    order = order_for(case([Boat()]), book(PLAIN + "NDB-16,,rope,m,25,,,Cheap Ropes,,\n"))
    assert "line 27" in next(p.sentence for p in order.problems if p.item == "NDB-16")
    assert {line.pack_size for line in order.lines if line.item == "NDB-16"} == {Decimal("100.000")}


def test_late_lead_times_are_told_against_departure_and_milestones() -> None:
    policy = Policy.model_validate(
        {"rally": {"milestones": [{"name": "Build weekend", "due": date(2027, 5, 8)}]}}
    )
    text = PLAIN.replace("NDB-20,,rope,m,100,318.35,EUR,Quay Ropes,10,\n", "")
    order = order_for(case([Boat()], policy), book(text))
    late = next(p for p in order.problems if "after departure" in p.sentence)
    assert late.item == "NDB-20"
    rope = next(line for line in order.lines if line.item == "NDB-16")
    assert "Supplier's last day: 17 May 2027, " in rope.note
    assert "“Build weekend”" in rope.note


def test_parts_are_needed_by_the_day_they_are_made_up() -> None:
    milestones = [
        {"name": "entry list closed", "due": date(2027, 1, 4)},
        {"name": "bulk order placed", "due": date(2027, 1, 8), "closes": "orders"},
        {"name": "splicing weekend", "due": date(2027, 3, 13), "closes": "work"},
    ]
    policy = Policy.model_validate({"rally": {"milestones": milestones}})
    order = order_for(case([Boat()], policy), book(PLAIN))
    rope = next(line for line in order.lines if line.item == "NDB-16")
    assert rope.lead_days is not None
    last = date(2027, 3, 13) - timedelta(days=5 + rope.lead_days)
    assert f"Supplier's last day: {long_date(last)}, to have it by 8 March 2027." in rope.note
    assert "bulk order placed" not in rope.note
    assert "entry list closed" not in rope.note, "nothing ordered later can be there by then"


def test_remnants_are_used_before_anything_is_bought() -> None:
    shelf = parse_remnants(b"item,length,quantity\nNDB-16,30 m,1\nNDB-20,131 ft,2\n", "remnants.csv", KNOWN)
    c = case([Boat()])
    order = order_for(c, book(), shelf)
    assert [line.supplier for line in order.lines if line.item == "NDB-16"] == ["in hand"]
    hand = next(line for line in order.lines if line.item == "NDB-20")
    assert hand.supplier == "in hand"
    assert hand.amount == Decimal("0.00")
    assert sum(order.boat_totals.values()) == order.total
    full = order_for(c, book())
    assert full.total is not None
    assert order.total is not None
    assert order.total < full.total
    assert needed_by_item(order) == needed_by_item(full)


def test_the_same_input_gives_the_same_order() -> None:
    assert order_for(case(FLEET), book()) == order_for(case(FLEET), book())


def test_progress_is_told_up_to_the_end() -> None:
    c = case([Boat()])
    told: list[tuple[int, int]] = []
    build_order(
        c.fleet, c.requirements, c.plans, c.policy, c.catalogue, None, departure=None, time_limit_s=5.0,
        progress=lambda _what, done, total: told.append((done, total)),
    )  # fmt: skip
    shares = [done / total for done, total in told]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0


@given(
    st.lists(
        st.builds(
            Boat,
            cones=st.tuples(st.integers(5, 90), st.integers(5, 90)),
            leg_cut_m=st.floats(2.0, 30.0),
            lead_cut_m=st.floats(8.0, 120.0),
            heavy=st.booleans(),
            end_weight_kg=st.floats(5.0, 40.0),
            stowed_volume_m3=st.floats(0.02, 0.6),
        ),
        min_size=1,
        max_size=6,
    ),
    st.booleans(),
)
def test_any_fleet_adds_up(boats: list[Boat], priced: bool) -> None:
    boats = [Boat(**{**boat.__dict__, "entry_no": str(at)}) for at, boat in enumerate(boats)]
    order = order_for(case(boats), book() if priced else None)
    for line in order.lines:
        assert sum(line.boats.values(), Decimal(0)) == line.needed
    pieces = dict.fromkeys(KNOWN, Decimal(0))
    for piece in order.pieces:
        if piece.kind != "cone":
            amount = (
                Decimal(piece.quantity) if piece.length_m is None else metres(piece.length_m, piece.quantity)
            )
            pieces[piece.item] += amount
    for item, needed in needed_by_item(order).items():
        assert KNOWN[item].kind == "cloth" or needed == pieces[item]
    if priced:
        assert sum(order.boat_totals.values()) == order.total


def test_counted_is_by_length_where_there_is_one() -> None:
    c = case([Boat()])
    order = order_for(c, None)
    jobs = {job.item.id: job for job in consolidate(order.pieces, c.policy, KNOWN)}
    assert counted(jobs["TWINE-WHIP"]) == {0: Decimal("30.000")}
    assert counted(jobs["SHB-1.5t"]) == {0: Decimal(1)}
    assert counted(jobs["SHB-3.25t"]) == {0: Decimal(2)}


def test_what_comes_within_the_margin_is_late_and_told() -> None:
    """Order-by dates had no margin: a parcel a day late was too late."""
    need = day_of_need(date(2027, 6, 1), (), 5.0)
    assert need is not None
    line = order_for(case([Boat()]), book()).lines[0]
    made = {
        lead: dated([replace(line, lead_days=lead, note="")], need, (), date(2027, 5, 1))
        for lead in (26, 27, 32)
    }
    assert [len(problems) for _, problems in made.values()] == [0, 1, 1]
    assert made[26][0][0].note == "Supplier's last day: 1 May 2027, to have it by 27 May 2027."
    assert made[27][1][0].sentence.endswith(
        "it comes on 2027-05-28, not 5 days before departure on 2027-06-01."
    )
    assert made[32][1][0].sentence.endswith("it comes on 2027-06-02, after departure on 2027-06-01.")
