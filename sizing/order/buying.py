"""What is bought of one item: the lines, and the shares of the boats in them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import ROUND_CEILING, Decimal
from fractions import Fraction
from math import lcm

from sizing.model import CutSpool, CutSummary, OrderLine, OrderProblem
from sizing.order.consumables import common_pack_sizes
from sizing.order.items import STEP, Item
from sizing.order.money import CENT, FLEET_ACCOUNT
from sizing.order.packs import PackOffer, cheapest_packs
from sizing.order.prices import Offer, PriceBook
from sizing.order.takers import Takers

IN_HAND = "in hand"
"""Supplier of what the club has already; it costs nothing more."""

NOT_ORDERED = "Not ordered; the problems of the order say why."
NOT_PRICED = "No price is known."


@dataclass(frozen=True)
class Bought:
    """Everything about one item of the order."""

    lines: tuple[OrderLine, ...] = ()
    spools: tuple[CutSpool, ...] = ()
    summary: CutSummary | None = None
    problems: tuple[OrderProblem, ...] = ()


@dataclass
class Share:
    """What one line holds for each boat, and spare for all."""

    boats: dict[int, Decimal] = field(default_factory=dict)
    spare: Decimal = Decimal(0)

    @classmethod
    def of(cls, given: Iterable[tuple[int, Decimal]]) -> Share:
        """The share that so much for each boat, or for the fleet, adds up to."""
        share = cls()
        for row, amount in given:
            share.add(row, amount)
        return share

    def add(self, row: int, amount: Decimal) -> None:
        """Put `amount` on the account of one boat, or of the fleet."""
        if row == FLEET_ACCOUNT:
            self.spare += amount
        else:
            self.boats[row] = self.boats.get(row, Decimal(0)) + amount

    @property
    def needed(self) -> Decimal:
        """What the boats' shares add up to."""
        return sum(self.boats.values(), Decimal(0))


def offers_for(item: Item, prices: PriceBook | None) -> tuple[tuple[Offer, ...], tuple[OrderProblem, ...]]:
    """Return the offers of one item, priced ones alone where there are any, and what is to be said of them.

    An item the price book does not have is offered in the sizes its kind is commonly sold in, unpriced.
    """
    listed = prices.offers.get(item.id, ()) if prices else ()
    priced = tuple(offer for offer in listed if offer.pack_price is not None)
    problems: tuple[OrderProblem, ...] = ()
    if prices and not listed:
        sentence = (
            f"{prices.name} has no row for {item.description}; it is ordered in common pack sizes, unpriced."
        )
        problems = (OrderProblem(None, item.id, sentence),)
    elif prices and not priced:
        sentence = f"{prices.name} gives no price for {item.description}; the total is without it."
        problems = (OrderProblem(None, item.id, sentence),)
    elif prices and len(priced) < len(listed):
        lines = ", ".join(str(offer.line_no) for offer in listed if offer.pack_price is None)
        sentence = (
            f"{prices.name} gives no price in line {lines}; that pack of {item.description} is not compared."
        )
        problems = (OrderProblem(None, item.id, sentence),)
    if listed:
        return listed, problems
    sizes = common_pack_sizes().get(item.kind, (Decimal(1),))
    common = (Offer(item.id, item.description, item.unit, size, None, "", None, 1, 0) for size in sizes)
    return tuple(common), problems


def comparable(offers: Sequence[Offer]) -> tuple[Offer, ...]:
    """Return the priced offers if there are any, else all, largest pack first."""
    priced = [offer for offer in offers if offer.pack_price is not None]
    return tuple(sorted(priced or offers, key=lambda o: (-o.pack_size, o.supplier, o.line_no)))


def cents(offer: Offer) -> int | None:
    """Return an offer's price in whole cents."""
    return None if offer.pack_price is None else int(offer.pack_price / CENT)


def least_steps(offer: Offer) -> int:
    """Return the least packs of an offer, or the least steps of one that is cut to length."""
    if offer.step is None or offer.least is None:
        return offer.minimum_packs
    return int((offer.least / offer.step).to_integral_value(ROUND_CEILING))


def whole_prices(offers: Sequence[Offer]) -> list[int]:
    """Return the price of a pack, or of a step, of each offer in whole numbers of one coin small enough.

    Where none has a price it is the amount.
    """
    exact = [
        Fraction(cents(offer) or offer.pack_size) / Fraction(offer.pack_size)
        * Fraction(offer.step or offer.pack_size)
        for offer in offers
    ]  # fmt: skip
    coin = lcm(*(price.denominator for price in exact))
    return [int(price * coin) for price in exact]


def order_line(item: Item, offer: Offer, packs: int, share: Share) -> OrderLine:
    """One line of whole packs from one supplier."""
    step = STEP[item.unit]
    return OrderLine(
        item=item.id,
        description=item.description,
        unit=item.unit,
        needed=share.needed.quantize(step),
        spare=share.spare.quantize(step),
        pack_size=offer.pack_size,
        packs=packs,
        supplier=offer.supplier,
        pack_price=offer.pack_price,
        amount=offer.pack_price * packs if offer.pack_price is not None else None,
        lead_days=offer.lead_days,
        boats=dict(sorted(share.boats.items())),
        note=" ".join(filter(None, (offer.note, "" if offer.pack_price is not None else NOT_PRICED))),
    )


def in_hand_line(item: Item, share: Share, lengths: int | None, note: str = "") -> OrderLine:
    """One line of what the club has already; `lengths` counts the spools and remnants it comes from."""
    step = STEP[item.unit]
    needed, spare = share.needed.quantize(step), share.spare.quantize(step)
    return OrderLine(
        item=item.id, description=item.description, unit=item.unit, needed=needed, spare=spare,
        pack_size=None, packs=lengths, supplier=IN_HAND, pack_price=None, amount=Decimal("0.00"), lead_days=0,
        boats=dict(sorted(share.boats.items())), note=note,
    )  # fmt: skip


def not_bought_line(item: Item, boats: Mapping[int, Decimal], unit: str) -> OrderLine:
    """One line that lists what is needed and could not be ordered; a problem says why."""
    share = Share(dict(boats))
    line = in_hand_line(item, share, None, NOT_ORDERED)
    return replace(line, unit=unit, supplier="", amount=None, lead_days=None)


def buy_counts(
    item: Item, boats: Mapping[int, Decimal], spare: Decimal, offers: Sequence[Offer], stock: Decimal
) -> tuple[OrderLine, ...]:
    """Return the lines for an item bought by the sum: in hand first, then the cheapest packs."""
    step = STEP[item.unit]
    need = sum(boats.values(), spare)
    takers = Takers([*sorted(boats.items()), (FLEET_ACCOUNT, spare)])
    lines: list[OrderLine] = []
    if stock > 0 and need > 0:
        used = min(stock, need)
        lines.append(in_hand_line(item, Share.of(takers.take(used)), None))
        need -= used
    choice = comparable(offers)
    prices = whole_prices(choice)
    packs = cheapest_packs(
        int(need / step),
        [
            PackOffer(int((o.step or o.pack_size) / step), price, least_steps(o))
            for o, price in zip(choice, prices, strict=True)
        ],
    )
    for one, n in zip(choice, packs, strict=True):
        offer, count = (one, n) if one.step is None or not n else (one.cut_to(n), 1)
        if count:
            lines.append(order_line(item, offer, count, Share.of(takers.take(offer.pack_size * count))))
    return tuple(lines)
