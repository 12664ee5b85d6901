"""What each boat owes for what a season bought: what came, at its price when ordered, and what is ordered."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import ROUND_DOWN, Decimal
from typing import Final

from sizing.entry_key import entry_key
from sizing.model import Charge, Charges, Order, ReceivedCost
from sizing.order.buying import IN_HAND
from sizing.order.delivery import Received
from sizing.order.earlier_order import PreviousLine, PreviousOrder
from sizing.order.items import Item
from sizing.order.money import CENT, FLEET_ACCOUNT, share_out
from sizing.spreadsheet import from_text

FLEET: Final = ""
"""Key of the account for what no boat can be charged with."""
NOTHING: Final = Decimal("0.00")


def costs_of(rows: Iterable[Received], order: PreviousOrder) -> list[ReceivedCost]:
    """Return what came in a delivery and what it cost, by the order that was in force then."""
    needs: dict[str, dict[str, Decimal]] = {}
    for line in order.lines:
        for entry_no, amount in line.boats.items():
            hers = needs.setdefault(line.item, {})
            key = entry_key(from_text(entry_no))
            hers[key] = hers.get(key, Decimal(0)) + amount
    return [
        ReceivedCost(
            got.item.id,
            got.total,
            _cost(got, order.lines),
            order.currency,
            needs.get(got.instead_of or got.item.id, {}),
        )
        for got in rows
        if got.total
    ]


def _cost(got: Received, lines: Sequence[PreviousLine]) -> Decimal | None:
    """Packs at their own price; what is told by its sum at the best price of a unit."""
    if got.came is not None:
        return (got.came.price * got.packs).quantize(CENT)
    priced = [
        line
        for line in lines
        if line.item == got.item.id and line.supplier != IN_HAND and line.pack_price is not None
    ]
    same = [line for line in priced if got.packs and line.pack_size == got.pack_size]
    supplier = got.row.cell("supplier")
    named = [line for line in same if line.supplier == supplier] or same
    prices = [line.pack_price for line in named if line.pack_price is not None]
    if prices:
        return (min(prices) * got.packs).quantize(CENT)
    rates = [line.pack_price / line.pack_size for line in priced if line.pack_price and line.pack_size]
    return (min(rates) * got.total).quantize(CENT) if rates else None


def charges_of(
    order: Order, entries: Sequence[str], received: Sequence[ReceivedCost], known: Mapping[str, Item]
) -> Charges:
    """Return what every boat owes for what was received and is ordered, to the cent.

    share_b = c w_b / sum(w) for each item, c its cost over the season, w_b the most of it that boat b needed
    by any order that something of it came for, or needs now; cents by largest remainder. So a boat that comes
    later pays for what she takes of it, and those before get money back. A boat for which something came pays
    for it also where she no longer wants it. [derived]
    """
    notes: list[str] = []
    currency = order.currency or next((one.currency for one in received if one.currency), "")
    keys = [entry_key(entry) for entry in entries]
    cost: dict[str, Decimal] = {}
    bought: dict[str, Decimal] = {}
    weights: dict[str, dict[str, Decimal]] = {}
    came = NOTHING
    for one in received:
        if one.cost is None or one.currency != currency:
            what = "without a price" if one.cost is None else f"priced in {one.currency}, not in {currency},"
            notes.append(f"{one.quantity:f} of {one.item} came {what} and nobody is charged for it")
            continue
        came += one.cost
        cost[one.item] = cost.get(one.item, NOTHING) + one.cost
        bought[one.item] = bought.get(one.item, Decimal(0)) + one.quantity
        _raise_to(weights.setdefault(one.item, {}), one.needs)
    now: dict[str, dict[str, Decimal]] = {}
    for line in order.lines:
        needs = now.setdefault(line.item, {})
        for row, amount in line.boats.items():
            key = FLEET if row == FLEET_ACCOUNT else keys[row]
            needs[key] = needs.get(key, Decimal(0)) + amount
        if line.amount is not None:
            cost[line.item] = cost.get(line.item, NOTHING) + line.amount
            if line.pack_size is not None and line.packs and line.supplier != IN_HAND:
                bought[line.item] = bought.get(line.item, Decimal(0)) + line.pack_size * line.packs
    for item, needs in now.items():
        _raise_to(weights.setdefault(item, {}), needs)
    described = {item: known[item].description for item in cost if item in known}
    places = {key: at for at, key in enumerate(dict.fromkeys([*keys, *_everyone(weights)]))}
    by_item: dict[str, dict[str, Decimal]] = {}
    owed: dict[str, Charge] = {}
    for item, whole in cost.items():
        by_item[item] = _shares(whole, weights.get(item, {}), places)
        used = sum(weights.get(item, {}).values(), Decimal(0))
        whole_packs = bought.get(item, used)
        for key, share in by_item[item].items():
            parts = share if whole_packs <= used else share * used / whole_packs
            parts = parts.quantize(CENT, ROUND_DOWN)
            before = owed.get(key, Charge())
            owed[key] = Charge(before.parts + parts, before.waste + share - parts)
    return Charges(owed, by_item, came, sum(cost.values(), NOTHING), currency, tuple(notes), described)


def owed_by(order: Order, entry_no: str) -> Decimal | None:
    """Return what a boat owes in all, None where nothing was or is bought for her, or nothing has a price."""
    charge = order.charges.owed.get(entry_key(entry_no))
    return None if charge is None else charge.owes


def _raise_to(weights: dict[str, Decimal], needs: Mapping[str, Decimal]) -> None:
    for key, amount in needs.items():
        weights[key] = max(weights.get(key, Decimal(0)), amount)


def _everyone(weights: Mapping[str, Mapping[str, Decimal]]) -> list[str]:
    return sorted({key for needs in weights.values() for key in needs})


def _shares(whole: Decimal, weights: Mapping[str, Decimal], places: Mapping[str, int]) -> dict[str, Decimal]:
    names = {at: key for key, at in places.items()}
    hers = {places[key]: amount for key, amount in weights.items() if amount > 0}
    if not hers:
        return {FLEET: whole}
    return {names[at]: share for at, share in share_out(whole, hers).items()}
