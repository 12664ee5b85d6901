"""What boats owe adds up to what came and what is ordered, to the cent, whatever came and whoever agreed."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import date
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from sizing.fields import CHOICES
from sizing.model import CONSENT, Order, Payment, Supply
from sizing.order.amend import Delivery, stock_in_hand
from sizing.order.consent import order_with_consent
from sizing.order.ledger_sheet import accounts_of, ledger_sheet
from sizing.order.stock import ClubStock
from sizing.order.write_json import json_bytes
from tests.sizing.order.fleet_builder import Boat, Case, case
from tests.sizing.order.price_books import KNOWN, book
from tests.sizing.order.test_consent import TODAY, ordered, whole_delivery

FLEET = [Boat(entry_no=f"{i:03}", boat_name=f"Boat {i}", cones=(40 + i, 31 + i), leg_cut_m=7.0 + i)
         for i in range(4)]  # fmt: skip
WAYS = ("", *CHOICES["gear_supply"])
ZERO = Decimal("0.00")


def paid(entry_no: str, amount: str, kind: str = "payment", currency: str = "EUR") -> Payment:
    assert kind in ("payment", "refund")
    return Payment(entry_no, "", "refund" if kind == "refund" else "payment", Decimal(amount), currency,
                   date(2026, 11, 20), "A. Bell")  # fmt: skip


def part_of(order: Order, of: Case, packs: list[int]) -> Delivery:
    """So many packs of each line that is bought, at the most what was ordered."""
    lines = [line for line in order.lines if line.pack_price is not None and line.packs]
    rows = ["item,packs,pack_size,unit,supplier"]
    for line, count in zip(lines, packs, strict=False):
        if got := min(count, line.packs or 0):
            rows.append(f"{line.item},{got},{line.pack_size},{line.unit},{line.supplier}")
    return Delivery("\n".join(rows).encode(), "delivery.csv", json_bytes(order, of.fleet))


def closes(order: Order, stock: ClubStock) -> None:
    came = sum((one.cost for one in stock.costs if one.cost is not None), ZERO)
    assert order.total is not None
    assert order.charges.received == came
    assert order.charges.total == came + order.total
    assert sum((charge.owes for charge in order.charges.owed.values()), ZERO) == order.charges.total
    assert all(charge.parts >= 0 and charge.waste >= 0 for charge in order.charges.owed.values())


@given(
    first=st.lists(st.sampled_from(WAYS), min_size=4, max_size=4),
    then=st.lists(st.sampled_from(WAYS), min_size=4, max_size=4),
    packs=st.lists(st.integers(0, 3), min_size=20, max_size=20),
)
def test_what_is_owed_adds_up_to_what_came_and_what_is_ordered(
    first: list[str], then: list[str], packs: list[int]
) -> None:
    of = case(FLEET)
    order = ordered(of, first)
    closes(order, ClubStock())
    stock = stock_in_hand([part_of(order, of, packs)], None, KNOWN)
    closes(ordered(of, then, stock), stock)


def test_without_deliveries_a_boat_owes_her_share_of_the_order() -> None:
    order = ordered(case(FLEET), [CONSENT, "", CONSENT, "hire or borrow"])
    owed = {key: charge.owes for key, charge in order.charges.owed.items() if key}
    assert owed == {"000": order.boat_totals[0], "002": order.boat_totals[2]}


def test_what_came_does_not_become_free() -> None:
    of = case(FLEET)
    before = ordered(of, [CONSENT] * 4)
    after = ordered(of, [CONSENT] * 4, stock_in_hand([whole_delivery(before, of)], None, KNOWN))
    assert after.total == 0
    assert after.charges.total == before.total
    assert {k: c.owes for k, c in after.charges.owed.items()} == {
        k: c.owes for k, c in before.charges.owed.items()
    }


def test_a_boat_that_joins_later_pays_for_what_she_takes_and_the_first_get_money_back() -> None:
    of = case(FLEET)
    alone = ordered(of, [CONSENT, "", "", ""])
    stock = stock_in_hand([whole_delivery(alone, of)], None, KNOWN)
    both = ordered(of, [CONSENT, CONSENT, "", ""], stock)
    assert both.charges.owed["000"].owes < alone.charges.owed["000"].owes
    was = alone.charges.owed["000"].owes
    account = accounts_of(both, of.fleet, [paid("000", str(was))])[0]
    assert account.left == both.charges.owed["000"].owes - was < 0


def test_a_boat_that_left_or_declined_still_owes_what_came_for_her() -> None:
    of = case(FLEET)
    order = ordered(of, [CONSENT, CONSENT, "", ""])
    stock = stock_in_hand([whole_delivery(order, of)], None, KNOWN)
    gone = case(FLEET[1:])
    later = order_with_consent(
        gone.fleet, gone.requirements, gone.plans, [Supply("declined"), Supply(), Supply()], gone.policy,
        gone.catalogue, book(), time_limit_s=2.0, stock=stock, today=TODAY,
    )  # fmt: skip
    closes(later, stock)
    rows = table(later, gone, [])
    assert rows["000"]["note"] == "not on the list any more"
    cents = Decimal("0.01") * len(order.lines)  # those left over of an item may fall on another boat
    assert abs(Decimal(rows["000"]["to_pay"]) - order.charges.owed["000"].owes) <= cents
    assert rows["001"]["note"] == "parts came for her before she said so"


def test_the_ledger_says_what_was_agreed_paid_and_is_left() -> None:
    of = case(FLEET)
    order = ordered(of, [CONSENT, CONSENT, "", "declined"])
    agreed = Supply(CONSENT, date(2026, 11, 9), "A. Bell", "officer", Decimal("900.00"), "EUR")
    order = replace(order, supplies=(agreed, *order.supplies[1:]))
    owes = order.charges.owed["000"].owes
    rows = table(order, of, [paid("000", "100.00"), paid("000", "30.00", "refund"), paid("001", "9999.00"),
                             paid("003", "5.00", currency="USD")])  # fmt: skip
    hers = rows["000"]
    assert hers["note"] == ("more than she agreed to" if owes > 900 else "")
    assert (hers["agreed_price"], hers["said_by"], hers["source"]) == ("900.00", "A. Bell", "officer")
    assert Decimal(hers["parts"]) + Decimal(hers["waste"]) == Decimal(hers["owes"]) == owes
    assert (hers["paid"], hers["refunded"], Decimal(hers["to_pay"])) == ("100.00", "30.00", owes - 70)
    assert Decimal(rows["001"]["to_refund"]) == 9999 - order.charges.owed["001"].owes
    assert rows["002"]["would_cost"]
    assert rows["003"]["note"] == "payment of USD 5.00 on 2026-11-20 is not counted"
    assert sum(Decimal(row["owes"]) for row in rows.values()) == order.total


def table(order: Order, of: Case, payments: list[Payment]) -> dict[str, dict[str, str]]:
    text = ledger_sheet(order, of.fleet, payments).csv().decode("utf-8-sig")
    return {row["entry_no"]: row for row in csv.DictReader(io.StringIO(text))}
