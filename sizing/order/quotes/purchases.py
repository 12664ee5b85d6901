"""The ways in which an item can be bought at quoted prices, each the cheapest of some set of suppliers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import chain, combinations
from typing import Final, cast

from sizing.model import OrderLine
from sizing.order.buying import buy_counts
from sizing.order.items import CUT_KINDS, Item, Unit
from sizing.order.length_stock import Stocked, Wanted
from sizing.order.lengths import buy_lengths
from sizing.order.money import FLEET_ACCOUNT
from sizing.order.quotes.asked import Need
from sizing.order.quotes.reply import Quote

ALL_SETS: Final = 4
"""Suppliers of one item of whom every set is tried; of more each alone, every two, and all together."""


@dataclass(frozen=True)
class BoughtLine:
    """So many packs of what one supplier quoted; of what is cut to length one pack is the length wanted."""

    quote: Quote
    pack_size: Decimal
    packs: int
    price: Decimal
    note: str

    @property
    def supplier(self) -> str:
        """Whom it is bought of."""
        return self.quote.pack.supplier

    @property
    def amount(self) -> Decimal:
        """What the line costs, without VAT."""
        return self.price * self.packs


@dataclass(frozen=True)
class Purchase:
    """All that is bought of one item."""

    need: Need
    lines: tuple[BoughtLine, ...]

    @property
    def cost(self) -> Decimal:
        """What it costs, without carriage and VAT."""
        return sum((line.amount for line in self.lines), Decimal(0))

    @property
    def by_supplier(self) -> Mapping[str, Decimal]:
        """What of it goes to each supplier."""
        found: dict[str, Decimal] = {}
        for line in self.lines:
            found[line.supplier] = found.get(line.supplier, Decimal(0)) + line.amount
        return found


def purchases_of(
    need: Need, quotes: Sequence[Quote], end_loss_mm: int, time_limit_s: float
) -> tuple[Purchase, ...]:
    """Return the cheapest purchase of one item for each set of suppliers, each purchase once.

    Whole packs, least orders and single lengths are kept as in the order itself; a set of suppliers whose
    packs do not hold the longest piece gives none. `time_limit_s` is for all of them.
    """
    suppliers = sorted({quote.pack.supplier for quote in quotes})
    sets = list(_sets(suppliers))
    found: dict[tuple[tuple[str, Decimal, int], ...], Purchase] = {}
    for chosen in sets:
        own = [quote for quote in quotes if quote.pack.supplier in chosen]
        lines = _cheapest(need, own, end_loss_mm, time_limit_s / len(sets))
        if lines:
            key = tuple(sorted((line.supplier, line.pack_size, line.packs) for line in lines))
            found.setdefault(key, Purchase(need, lines))
    return tuple(found.values())


def _sets(suppliers: Sequence[str]) -> Iterator[tuple[str, ...]]:
    sizes = range(1, len(suppliers) + 1) if len(suppliers) <= ALL_SETS else (1, 2, len(suppliers))
    return chain.from_iterable(combinations(suppliers, size) for size in sizes)


def _cheapest(
    need: Need, quotes: Sequence[Quote], end_loss_mm: int, limit_s: float
) -> tuple[BoughtLine, ...]:
    item = Item(need.item, need.kind, need.description, cast("Unit", need.unit), "")
    offers = tuple(quote.pack.offer(quote.price) for quote in quotes)
    if need.kind in CUT_KINDS:
        wanted = [Wanted(FLEET_ACCOUNT, "", mm, count) for mm, count in need.pieces]
        bought = buy_lengths(item, wanted, Stocked(offers, (), end_loss_mm, limit_s))
        lines = () if bought.problems else bought.lines
    else:
        lines = buy_counts(item, {}, need.amount, offers, Decimal(0))
    return tuple(_line(line, quotes) for line in lines)


def _line(line: OrderLine, quotes: Sequence[Quote]) -> BoughtLine:
    """A line of an order with the quote it is bought by."""
    own = [quote for quote in quotes if quote.pack.supplier == line.supplier]
    size, price = line.pack_size or Decimal(1), line.pack_price or Decimal(0)
    whole = [one for one in own if (one.pack.step, one.pack.pack_size, one.price) == (None, size, price)]
    quote = whole[0] if whole else next(one for one in own if one.pack.step is not None)
    return BoughtLine(quote, size, line.packs or 0, price, line.note)
