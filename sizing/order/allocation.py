"""What each boat pays of each item, to the cent."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal

from sizing.model import OrderLine
from sizing.order.money import FLEET_ACCOUNT, share_out


def allocate(lines: Iterable[OrderLine]) -> Mapping[str, Mapping[int, Decimal]]:
    """Return item -> boat row -> her share of what the item costs; every item adds up to its lines exactly.

    An item's whole amount, spares and offcuts with it, is shared in proportion to what the boats need of it,
    wherever their pieces are cut from, so that nobody pays more for a piece that fell on a dear spool; cents
    left over go by largest remainder. Lines without a price have no share. An item no boat needs goes to the
    account FLEET_ACCOUNT ("fleet spares"). [derived]
    """
    amounts: dict[str, Decimal] = {}
    needed: dict[str, dict[int, Decimal]] = {}
    for line in lines:
        weights = needed.setdefault(line.item, {})
        if line.amount is None:
            continue
        amounts[line.item] = amounts.get(line.item, Decimal("0.00")) + line.amount
        for row, quantity in line.boats.items():
            weights[row] = weights.get(row, Decimal(0)) + quantity
    return {
        item: share_out(amount, needed[item] or {FLEET_ACCOUNT: Decimal(1)})
        for item, amount in amounts.items()
    }


def boat_totals(shares: Mapping[str, Mapping[int, Decimal]]) -> dict[int, Decimal]:
    """Return what each boat pays in all, in the order of the fleet."""
    totals: dict[int, Decimal] = {}
    for item in shares.values():
        for row, amount in item.items():
            totals[row] = totals.get(row, Decimal("0.00")) + amount
    return dict(sorted(totals.items()))
