"""Only consent is ordered; what the others would pay is worked out beside it, and sums close."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.fields import CHOICES
from sizing.intake import read_fleet
from sizing.model import CONSENT, Order, Supply
from sizing.order.amend import Delivery, stock_in_hand
from sizing.order.consent import is_bought_for, order_with_consent
from sizing.order.consent_sheet import consent_sheet, consent_words, to_ask
from sizing.order.kits import kits_for
from sizing.order.money import allocate, boat_totals
from sizing.order.sheets import Names, order_sheet
from sizing.order.stock import ClubStock
from sizing.order.write_json import json_bytes
from sizing.policy import OrderRules, Policy
from sizing.supplies import supplies_of
from tests.sizing.order.fleet_builder import Boat, Case, case
from tests.sizing.order.price_books import KNOWN, book

TODAY = date(2026, 11, 25)
FLEET = [Boat(entry_no=f"{i:03}", cones=(40 + i, 31 + i), leg_cut_m=7.0 + i) for i in range(4)]
WITHOUT_ASKING = Policy(order=OrderRules(ask_first=False))
HEADER = (
    "Entry No,Boat name,Type,LOA,Transom width,Displacement,Device,Gear supply,Gear supply date,"
    "Gear supply by,Notes"
)
WAYS = ("", *CHOICES["gear_supply"])


def ordered(of: Case, words: Sequence[str], stock: ClubStock | None = None) -> Order:
    return order_with_consent(
        of.fleet, of.requirements, of.plans, [Supply(word) for word in words], of.policy, of.catalogue,
        book(), time_limit_s=2.0, stock=stock, today=TODAY,
    )  # fmt: skip


def whole_delivery(order: Order, of: Case) -> Delivery:
    """All of an order, as its own table tells it."""
    return Delivery(order_sheet(order).csv(), "order.csv", json_bytes(order, of.fleet))


def listed(*rows: tuple[str, str]) -> tuple[Supply, ...]:
    """What an entry list says of boats without any device, by their cell of gear supply and their notes."""
    lines = [
        f"{at:03},Boat {at},sailing monohull,11.6 m,2.9 m,8400 kg,none,{cell},,,{note}"
        for at, (cell, note) in enumerate(rows, 1)
    ]
    read = read_fleet("\n".join([HEADER, *lines]).encode(), "fleet.csv", today=TODAY)
    assert not read.rejected, [row.errors for row in read.rejected]
    return supplies_of(read.fleet)


@pytest.mark.parametrize("ask_first", [True, False])
@pytest.mark.parametrize("text", ['"on order from sailmaker, NOT in bulk order"', "will hire", "borrow"])
def test_nothing_is_ordered_for_a_boat_that_says_it_gets_its_gear_another_way(
    text: str, *, ask_first: bool
) -> None:
    """In the column, and in the notes beside a device of “none”."""
    assert [is_bought_for(one, ask_first=ask_first) for one in listed((text, ""), ("", text))] == [False] * 2


def test_none_aboard_orders_nothing_before_somebody_says_so() -> None:
    (said,) = listed(("", ""))
    assert not is_bought_for(said, ask_first=Policy().order.ask_first)
    assert is_bought_for(said, ask_first=WITHOUT_ASKING.order.ask_first)


def test_only_consent_is_ordered_and_the_rest_would_be() -> None:
    of = case(FLEET)
    order = ordered(of, [CONSENT, "", "hire or borrow", "declined"])
    assert {piece.row for piece in order.pieces} == {0}
    assert {row for line in order.lines for row in line.boats} == {0}
    assert {piece.row for spool in order.spools for piece in spool.pieces} <= {0, -1}
    assert [kit.row for kit in kits_for(order, of.fleet, of.requirements, of.plans, of.policy)] == [0]
    assert order.would_be.rows == (1, 2, 3)
    assert to_ask(order) == (1,)
    whole = ordered(of, [CONSENT] * 4)
    assert dict(order.would_be.boat_totals) == {row: whole.boat_totals[row] for row in (1, 2, 3)}
    assert order.would_be.total == sum(whole.boat_totals[row] for row in (1, 2, 3))


def test_the_order_says_whom_it_buys_for() -> None:
    order = ordered(case(FLEET), [CONSENT, "", "", "declined"])
    would = f"{order.would_be.total:,.2f} EUR"
    assert consent_words(order) == (
        "Only boats that agreed to it are in the order: 1. 3 boats need parts and are not in it; it would be "
        f"{would}; of 2 nobody has said how they get them."
    )
    asked_nobody = ordered(case(FLEET, WITHOUT_ASKING), ["", "", CONSENT, "has it"])
    assert consent_words(asked_nobody).startswith(
        "This rally orders without asking: 3 boats in the order, of which 2 never said that they want it."
    )


def test_the_table_of_consent_closes_with_the_order() -> None:
    of = case(FLEET)
    order = ordered(of, [CONSENT, "", CONSENT, "own purchase"])
    rows = list(csv.DictReader(io.StringIO(consent_sheet(order, Names(of.fleet)).csv().decode("utf-8-sig"))))
    assert [row["ordered"] for row in rows] == ["yes", "no", "yes", "no"]
    assert [row["gear_supply"] for row in rows][1] == "not said yet"
    spares = order.boat_totals.get(-1, Decimal(0))
    assert sum(Decimal(row["share"]) for row in rows if row["share"]) + spares == order.total
    assert sum(Decimal(row["would_cost"]) for row in rows if row["would_cost"]) == order.would_be.total


@given(words=st.lists(st.sampled_from(WAYS), min_size=4, max_size=4), ask_first=st.booleans())
def test_shares_add_up_to_the_order_to_the_cent_whoever_agreed(words: list[str], *, ask_first: bool) -> None:
    of = case(FLEET, Policy() if ask_first else WITHOUT_ASKING)
    order = ordered(of, words)
    assert order.total is not None
    assert sum(order.boat_totals.values(), Decimal(0)) == order.total
    assert boat_totals(allocate(order.lines)) == dict(order.boat_totals)
    bought = {row for row, word in enumerate(words) if word == CONSENT or (not word and not ask_first)}
    assert {piece.row for piece in order.pieces} == bought
    assert set(order.would_be.rows) == set(range(4)) - bought


def test_what_came_for_a_boat_that_then_declines_is_there_for_others() -> None:
    """She still needs it by her entry: it was not fitted aboard, and it is not bought again for the next."""
    of = case(FLEET)
    first = ordered(of, [CONSENT, "", "", ""])
    delivery = whole_delivery(first, of)
    stock = stock_in_hand([delivery], None, KNOWN)
    declined = ordered(of, ["declined", "", "", ""], stock)
    assert not [one for one in declined.problems if "taken as aboard" in one.sentence]
    then = Delivery(b"item,packs\n", "nothing.csv", json_bytes(declined, of.fleet))
    later = stock_in_hand([delivery, then], None, KNOWN)
    assert (later.lengths_mm, dict(later.sums)) == (stock.lengths_mm, dict(stock.sums))


def test_what_came_for_a_boat_that_says_she_has_it_and_shows_it_is_aboard() -> None:
    of = case(FLEET)
    first = ordered(of, [CONSENT, "", "", ""])
    delivery = whole_delivery(first, of)
    fitted = case([replace(FLEET[0], groups=()), *FLEET[1:]])
    order = ordered(fitted, ["has it", "", "", ""], stock_in_hand([delivery], None, KNOWN))
    assert [one for one in order.problems if "taken as aboard" in one.sentence]


def test_of_list_and_what_was_recorded_the_later_day_counts() -> None:
    row = "001,Boat,sailing monohull,11.6 m,2.9 m,8400 kg,none,declined,2026-11-10,her skipper,"
    fleet = read_fleet(f"{HEADER}\n{row}\n".encode(), "fleet.csv", today=TODAY).fleet
    earlier, later = (Supply(CONSENT, date(2026, 11, day), "A. Bell", "officer") for day in (9, 10))
    assert supplies_of(fleet, {"001": earlier})[0].word == "declined"
    assert supplies_of(fleet, {"001": later})[0] == later
    assert supplies_of(fleet)[0] == Supply("declined", date(2026, 11, 10), "her skipper", "sheet")


def test_a_day_to_come_is_told_by_row_and_column_and_is_no_day() -> None:
    row = "001,Boat,sailing monohull,11.6 m,2.9 m,8400 kg,none,declined,2027-11-10,her skipper,"
    fleet = read_fleet(f"{HEADER}\n{row}\n".encode(), "fleet.csv", today=TODAY).fleet
    (told,) = (one for one in fleet.remarks_of(0, "warning") if "2027-11-10" in one)
    assert told.startswith("gear_supply_date")
    assert "counts for nothing" in told
    assert supplies_of(fleet)[0] == Supply("declined", None, "her skipper", "sheet")
