"""The cheapest whole packs that cover a need, over all packs and suppliers; proven by dynamic programming."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from math import gcd

import numpy as np

from sizing.errors import CatalogueError, ComputationError
from sizing.model import IntArray

STATE_LIMIT = 20_000_000
"""States of the table, pack kinds times units; beyond it the pack sizes are too odd to be compared."""

_NEVER = np.iinfo(np.int64).max // 4


@dataclass(frozen=True)
class PackOffer:
    """Packs of `size` units at `price` (cents, or units if unpriced), at least `minimum` or none."""

    size: int
    price: int
    minimum: int = 1

    def __post_init__(self) -> None:
        if self.size < 1 or self.price < 0 or self.minimum < 1:
            raise CatalogueError(
                "pack offer",
                f"size {self.size}, price {self.price}, least order {self.minimum}",
                "a size and a least order of 1 or more and a price of 0 or more",
                "correct the row of the price book",
            )


def cheapest_packs(need: int, offers: Sequence[PackOffer]) -> tuple[int, ...]:
    """Count of each offer that covers `need` at least cost, then with fewest packs.

    min sum(p_i n_i) with sum(s_i n_i) >= need and n_i = 0 or n_i >= m_i; n_i whole. Exact: a table over the
    need in the sizes' common divisor, one offer after another. A need too large for the table is first cut
    down by packs of the best price per unit, as many as every least-cost purchase must hold. [derived]

    Units: those of the sizes. Range: need >= 0, at least one offer unless need is 0.

    >>> cheapest_packs(130, [PackOffer(100, 9000), PackOffer(25, 2500)])
    (1, 2)
    """
    if need <= 0:
        return (0,) * len(offers)
    if not offers:
        raise CatalogueError(
            "packs", "no pack is offered", "at least one pack size", "add a row for the item"
        )
    unit = reduce(gcd, (offer.size for offer in offers))
    sizes = [offer.size // unit for offer in offers]
    left = -(-need // unit)
    best = _best_rate(offers, sizes)
    ahead = _packs_ahead(left, offers, sizes, best)
    left -= ahead * sizes[best]
    least = [offer.minimum if i != best or not ahead else 0 for i, offer in enumerate(offers)]
    counts = _table(left, sizes, [offer.price for offer in offers], least)
    counts[best] += ahead
    return tuple(counts)


def _best_rate(offers: Sequence[PackOffer], sizes: Sequence[int]) -> int:
    """Position of the offer with the least price per unit, of equal ones the largest pack."""
    best = 0
    for i, offer in enumerate(offers):
        mine, other = offer.price * sizes[best], offers[best].price * sizes[i]
        if mine < other or (mine == other and sizes[i] > sizes[best]):
            best = i
    return best


def _packs_ahead(left: int, offers: Sequence[PackOffer], sizes: Sequence[int], best: int) -> int:
    """Packs of the best rate that some least-cost purchase is sure to hold.

    Of any s_b packs of other kinds some add up to a multiple of s_b, so packs of the best rate replace them
    at no greater cost, nor, at equal cost, by more packs. Hence the others hold at most their least orders
    and s_b m_b packs more.
    """
    others = [i for i in range(len(offers)) if i != best]
    held = sum(offers[i].minimum * sizes[i] for i in others)
    held += sizes[best] * offers[best].minimum * max((sizes[i] for i in others), default=0)
    ahead = (left - held) // sizes[best]
    return int(ahead) if ahead >= offers[best].minimum else 0


def _table(need: int, sizes: Sequence[int], prices: Sequence[int], least: Sequence[int]) -> list[int]:
    """Fill the table offer by offer and read the counts back from its end."""
    if need <= 0:
        return [0] * len(sizes)
    if (need + 1) * len(sizes) > STATE_LIMIT:
        raise ComputationError(
            "packs",
            f"{need} units of {len(sizes)} pack sizes are too many to compare",
            f"at most {STATE_LIMIT} in all",
            "round the pack sizes in the price book to a coarser unit",
        )
    tie = need + sum(least) + 2  # more than the packs any sensible purchase holds
    costs = [price * tie + 1 for price in prices]
    if max(costs) * tie >= _NEVER:
        raise ComputationError(
            "packs", f"a price of {max(prices)} cents", "prices that can be compared exactly",
            "check the price column for a slip",
        )  # fmt: skip
    layers = [np.full(need + 1, _NEVER, dtype=np.int64)]
    layers[0][0] = 0
    for size, cost, minimum in zip(sizes, costs, least, strict=True):
        layers.append(np.minimum(layers[-1], _with_offer(layers[-1], size, cost, minimum)))
    counts = [0] * len(sizes)
    state = need
    for i in reversed(range(len(sizes))):
        counts[i], state = _taken(layers[i], int(layers[i + 1][state]), state, sizes[i], costs[i], least[i])
    return counts


def _with_offer(before: IntArray, size: int, cost: int, minimum: int) -> IntArray:
    """Least cost of every need when at least `minimum` packs of one offer are among the purchase."""
    need = len(before) - 1
    rows = -(-(need + 1) // size)
    grid = np.full((rows, size), _NEVER, dtype=np.int64)
    grid.reshape(-1)[: need + 1] = before
    steps = np.arange(rows, dtype=np.int64)[:, None] * cost
    # min over k >= minimum of before[j - k size] + k cost, as a running minimum down each residue class
    running = np.minimum.accumulate(grid - steps, axis=0)
    after = np.full_like(grid, _NEVER)
    if minimum < rows:
        after[minimum:] = running[: rows - minimum] + steps[minimum:]
    states = np.arange(need + 1, dtype=np.int64)
    alone = np.maximum(-(-states // size), minimum) * cost
    least: IntArray = np.minimum(after.reshape(-1)[: need + 1], alone)
    return least


def _taken(before: IntArray, value: int, state: int, size: int, cost: int, minimum: int) -> tuple[int, int]:
    """How many packs of one offer lead to `value` at `state`, and the state they leave."""
    if before[state] == value:
        return 0, state
    most = max(-(-state // size), minimum)
    for count in range(minimum, most + 1):
        rest = max(0, state - count * size)
        if before[rest] + count * cost == value:
            return count, rest
    raise ComputationError(
        "packs", "the table does not lead back to its own value", "a purchase for every value",
        "report the price book as a fault of the program",
    )  # fmt: skip
