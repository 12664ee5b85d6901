"""The blank price book is read as it is, and gives sums once it has prices."""

from __future__ import annotations

from decimal import Decimal

from sizing.order.consumables import common_sizes
from sizing.order.price_template import price_template
from sizing.order.prices import PriceBook, parse_prices
from sizing.order.purchase import build_order
from tests.sizing.order.fleet_builder import Boat, case
from tests.sizing.order.price_books import KNOWN


def read(data: bytes) -> PriceBook:
    return parse_prices(data, "prices.csv", KNOWN)


def test_the_blank_book_has_every_item_in_every_common_size_and_no_price() -> None:
    book = read(price_template(KNOWN))
    assert list(book.offers) == list(KNOWN) == list(book.unpriced)
    assert not book.notes
    for item, offers in book.offers.items():
        sizes = common_sizes().get(KNOWN[item].kind, ((Decimal(1), None),))
        assert [(offer.pack_size, offer.step) for offer in offers] == list(sizes)
        assert {offer.description for offer in offers} == {KNOWN[item].description}


def test_with_its_prices_filled_in_the_order_has_a_sum() -> None:
    c = case([Boat()])

    def ordered(data: bytes) -> Decimal:
        order = build_order(
            c.fleet, c.requirements, c.plans, c.policy, c.catalogue, read(data), time_limit_s=5.0
        )
        assert all(line.packs for line in order.lines)
        priced = data != blank
        whole = [one for one in order.problems if "gives no price for" in one.sentence]
        assert priced == (not whole)
        return order.total or Decimal(0)

    blank = price_template(KNOWN)
    head, *rows = blank.decode("utf-8-sig").splitlines()
    assert all(",,,,,," in row for row in rows)
    # what is cut to length is left unpriced, and so is not compared
    filled = [head, *(row.replace(",,,,,,,", ",12.50,EUR,,,,,") for row in rows)]
    packs = ordered(("\n".join(filled) + "\n").encode()) / Decimal("12.50")
    assert packs == int(packs) > 0
    assert ordered(blank) == 0
