"""What is bought of whom: the cheapest allowed split of an order over the suppliers that replied."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

import highspy
import numpy as np

from sizing.order.cutting.highs import QuietHighs
from sizing.order.money import CENT
from sizing.order.quotes.asked import Need, Round
from sizing.order.quotes.purchases import BoughtLine, Purchase, purchases_of
from sizing.order.quotes.reply import Quote, Reply

TIME_LIMIT_S: Final = 60.0
LEAST_TIME_S: Final = 0.5
_PREFERS_FEWER: Final = 0.01
"""Cents by which, of splits that cost the same, one of fewer suppliers is preferred."""


@dataclass(frozen=True)
class NotTaken:
    """A quote that may not be bought by, and why."""

    quote: Quote
    why: str


@dataclass(frozen=True)
class Alone:
    """What it would cost to buy of one supplier all that he can deliver, and the items he cannot."""

    cost: Decimal
    without: tuple[str, ...]


@dataclass(frozen=True)
class Split:
    """The purchase chosen.

    `ways` are all purchases that were compared, by item. `raised` is what a supplier's least order asks above
    what is bought of him; it counts as a cost. `nobody` are needs that no quote covers.
    """

    purchases: tuple[Purchase, ...]
    ways: Mapping[str, tuple[Purchase, ...]]
    carriage: Mapping[str, Decimal]
    raised: Mapping[str, Decimal]
    not_taken: tuple[NotTaken, ...]
    nobody: tuple[Need, ...]
    alone: Mapping[str, Alone]

    @property
    def lines(self) -> Mapping[str, tuple[BoughtLine, ...]]:
        """The lines of each supplier of whom something is bought, in the order of the needs."""
        found: dict[str, list[BoughtLine]] = {supplier: [] for supplier in self.carriage}
        for purchase in self.purchases:
            for line in purchase.lines:
                found[line.supplier].append(line)
        return {supplier: tuple(lines) for supplier, lines in found.items()}

    @property
    def cost(self) -> Decimal:
        """What all of it costs without VAT: goods, carriage, and what least orders add."""
        goods = sum((purchase.cost for purchase in self.purchases), Decimal(0))
        return goods + sum(self.carriage.values(), Decimal(0)) + sum(self.raised.values(), Decimal(0))


def choose(
    asked: Round,
    replies: Sequence[Reply],
    today: date,
    *,
    accepted: frozenset[str] = frozenset(),
    time_limit_s: float = TIME_LIMIT_S,
    tell: Callable[[str, int, int], None] = lambda _what, _done, _total: None,
) -> Split:
    """Return the cheapest split of what is asked over these replies.

    A quote counts if it is held today, comes by the day needed, and is of what was asked; where something
    else is offered, only for an item in `accepted`, whose certified strength is not below what is asked.
    Missing evidence is never a pass: without a day of delivery it is not taken where a day is needed.

    Of each item the cheapest purchase of every set of suppliers is worked out as in the order itself; one of
    each is chosen so that goods, carriage and what least orders add cost least, by a mixed-integer program.
    [derived; HiGHS]
    """
    allowed, not_taken = _allowed(asked, replies, today, accepted)
    ways: dict[str, tuple[Purchase, ...]] = {}
    for at, need in enumerate(asked.needs):
        tell(f"Comparing {need.description}", at, len(asked.needs))
        own = [quote for quote in allowed if quote.pack.item == need.item]
        limit = max(LEAST_TIME_S, time_limit_s / len(asked.needs))
        ways[need.item] = purchases_of(need, own, asked.end_loss_mm, limit) if own else ()
    tell("Comparing", len(asked.needs), len(asked.needs))
    open_needs = [need for need in asked.needs if ways[need.item]]
    chosen = _program([ways[need.item] for need in open_needs], replies)
    spent = _spent(chosen)
    terms = {reply.supplier: reply for reply in replies}
    return Split(
        purchases=tuple(chosen),
        ways=ways,
        carriage={supplier: terms[supplier].carriage for supplier in spent},
        raised={one: more for one in spent if (more := terms[one].least_order - spent[one]) > 0},
        not_taken=tuple(not_taken),
        nobody=tuple(need for need in asked.needs if not ways[need.item]),
        alone={reply.supplier: _alone(reply, asked, ways) for reply in replies},
    )


def _allowed(
    asked: Round, replies: Sequence[Reply], today: date, accepted: frozenset[str]
) -> tuple[list[Quote], list[NotTaken]]:
    strengths = {need.item: need.strength_kn for need in asked.needs}
    allowed, not_taken = [], []
    for reply in replies:
        for quote in reply.quotes:
            item, why = quote.pack.item, ""
            least = strengths.get(item)
            if reply.held_until is not None and reply.held_until < today:
                why = f"the price held until {reply.held_until}"
            elif asked.needed_by is not None and quote.delivered is None:
                why = f"no day of delivery is given, and it is needed by {asked.needed_by}"
            elif asked.needed_by is not None and quote.delivered and quote.delivered > asked.needed_by:
                why = f"it comes on {quote.delivered}, and is needed by {asked.needed_by}"
            elif quote.strength_kn is not None and least is not None and quote.strength_kn < least:
                why = f"it holds {quote.strength_kn:f} kN, and {least} kN is asked"
            elif quote.instead and item not in accepted:
                why = f"“{quote.instead}” is offered instead: it counts once an officer accepts it"
            elif quote.instead and least is not None and quote.strength_kn is None:
                why = f"“{quote.instead}” is offered instead without its certified strength"
            if why:
                not_taken.append(NotTaken(quote, why))
            else:
                allowed.append(quote)
    return allowed, not_taken


def _alone(reply: Reply, asked: Round, ways: Mapping[str, tuple[Purchase, ...]]) -> Alone:
    own = {
        item: min((way.cost for way in found if set(way.by_supplier) == {reply.supplier}), default=None)
        for item, found in ways.items()
    }
    goods = sum((cost for cost in own.values() if cost is not None), Decimal(0))
    without = tuple(need.item for need in asked.needs if own[need.item] is None)
    return Alone(max(goods, reply.least_order) + reply.carriage if goods else Decimal(0), without)


def _spent(purchases: Sequence[Purchase]) -> dict[str, Decimal]:
    """What goes to each supplier, suppliers in the order of their names."""
    found: dict[str, Decimal] = {}
    for purchase in purchases:
        for supplier, amount in purchase.by_supplier.items():
            found[supplier] = found.get(supplier, Decimal(0)) + amount
    return dict(sorted(found.items()))


def _program(ways: Sequence[Sequence[Purchase]], replies: Sequence[Reply]) -> list[Purchase]:
    """One purchase of each item: min goods + carriage of whoever is used + what least orders add.

    x = 1 for the purchase chosen of each item, y_s = 1 where supplier s is used, and t_s covers what is
    bought of him below his least order: sum(amounts x) + t_s >= least_s y_s. In cents.
    """
    if not ways:
        return []
    model = QuietHighs()
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_abs_gap", 1e-6)

    def column(cost: float, high: float, *, whole: bool) -> int:
        at = int(model.getNumCol())
        model.addCol(cost, 0.0, high, 0, [], [])
        if whole:
            model.changeColIntegrality(at, highspy.HighsVarType.kInteger)
        return at

    def row(terms: Mapping[int, float], low: float, high: float) -> None:
        model.addRow(
            low, high, len(terms), np.array(list(terms), dtype=np.int32), np.array(list(terms.values()))
        )

    x = [[column(float(way.cost / CENT), 1.0, whole=True) for way in found] for found in ways]
    for places in x:
        row(dict.fromkeys(places, 1.0), 1.0, 1.0)
    for reply in replies:
        used = column(float(reply.carriage / CENT) + _PREFERS_FEWER, 1.0, whole=True)
        below = column(1.0, highspy.kHighsInf, whole=False)
        amounts = {below: 1.0, used: -float(reply.least_order / CENT)}
        for places, found in zip(x, ways, strict=True):
            his = {at: way.by_supplier for at, way in zip(places, found, strict=True)}
            his = {at: spent for at, spent in his.items() if reply.supplier in spent}
            if his:
                row({**dict.fromkeys(his, 1.0), used: -1.0}, -highspy.kHighsInf, 0.0)
            amounts |= {at: float(spent[reply.supplier] / CENT) for at, spent in his.items()}
        row(amounts, 0.0, highspy.kHighsInf)
    model.run()
    values = model.getSolution().col_value
    return [found[max(range(len(places)), key=lambda n: values[places[n]])]
            for places, found in zip(x, ways, strict=True)]  # fmt: skip
