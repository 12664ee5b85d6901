"""Shares of a whole that add up to it exactly: money to the cent, lengths to the millimetre."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal

from sizing.errors import ComputationError
from sizing.model import OrderLine

CENT = Decimal("0.01")
FLEET_ACCOUNT = -1
"""Key of the account for what no boat can be charged with, beside the boats' rows."""


def share_out(whole: Decimal, weights: Mapping[int, Decimal], step: Decimal = CENT) -> dict[int, Decimal]:
    """Split `whole` in proportion to `weights` by the method of largest remainders.

    share_i = floor(whole w_i / sum(w) / step) step, and the steps left over go one each to the largest
    remainders, of equal ones to the lower key; so the shares add up to `whole` exactly. [derived]

    Units: those of `whole`. Range: whole >= 0, a multiple of `step`; weights >= 0 and not all zero.

    >>> share_out(Decimal("10.00"), {0: Decimal(1), 1: Decimal(1), 2: Decimal(1)})
    {0: Decimal('3.34'), 1: Decimal('3.33'), 2: Decimal('3.33')}
    """
    steps = whole / step
    total = sum(weights.values(), Decimal(0))
    if steps != int(steps) or steps < 0 or total <= 0 or any(weight < 0 for weight in weights.values()):
        raise ComputationError(
            "shares of a line",
            f"{whole} in steps of {step} over weights that add up to {total}",
            "a whole number of steps and weights above 0",
            "report the order as a fault of the program",
        )
    # whole numbers, so that nothing is lost to the precision of division
    scale = Decimal(10) ** max(0, *(-int(w.normalize().as_tuple().exponent) for w in weights.values()))
    whole_weights = {key: int(weight * scale) for key, weight in weights.items()}
    sum_weights = sum(whole_weights.values())
    parts = {key: divmod(int(steps) * weight, sum_weights) for key, weight in whole_weights.items()}
    left = int(steps) - sum(quotient for quotient, _ in parts.values())
    first = sorted(parts, key=lambda key: (-parts[key][1], key))[:left]
    lucky = set(first)
    return {key: (quotient + (key in lucky)) * step for key, (quotient, _) in parts.items()}


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
