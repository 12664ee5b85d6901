"""A boat's page says what she owes in all, with what came before; or what her parts would cost."""

from __future__ import annotations

from sitegen.shares import Shares
from sizing.model import CONSENT
from sizing.order.amend import stock_in_hand
from tests.sizing.order.fleet_builder import case
from tests.sizing.order.price_books import KNOWN
from tests.sizing.order.test_consent import FLEET, ordered, whole_delivery


def test_a_share_is_that_of_the_order_and_adds_up_from_its_lines() -> None:
    of = case(FLEET)
    order = ordered(of, [CONSENT, CONSENT, "", "declined"])
    shares = [Shares(order, of.fleet).of(row) for row in range(4)]
    assert [share.owed for share in shares] == [order.boat_totals[0], order.boat_totals[1], None, None]
    assert shares[2].amount == order.would_be.boat_totals[2]
    assert all(share.amount == sum(line.amount or 0 for line in share.lines) for share in shares)


def test_what_came_is_owed_still_and_once_declined_beside_what_it_would_cost() -> None:
    of = case(FLEET)
    before = ordered(of, [CONSENT, CONSENT, "", ""])
    stock = stock_in_hand([whole_delivery(before, of)], None, KNOWN)
    order = ordered(of, ["declined", CONSENT, "", ""], stock)
    first, second = (Shares(order, of.fleet).of(row) for row in (0, 1))
    assert order.total == 0
    assert second.amount == second.owed == sum(line.amount or 0 for line in second.lines)
    assert first.owed
    assert abs((first.owed + (second.owed or 0)) - (before.total or 0)) <= (before.boat_totals.get(-1) or 0)
