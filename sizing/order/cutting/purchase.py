"""The cheapest purchase that satisfies every cut: an exact search over counts of few stock kinds."""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from functools import reduce
from math import gcd

from sizing.order.cutting.bounds import PurchaseCut
from sizing.order.cutting.grid import Instance

NODE_LIMIT = 300_000

Purchase = tuple[int, ...]
Key = tuple[int, int]  # (cost or length, number of spools)


class SearchTooLargeError(Exception):
    """The search passed its node limit; caught in the solver, never shown to a user."""


def key_of(instance: Instance, purchase: Purchase) -> Key:
    """(cost or length, spools) of a purchase."""
    return sum(n * w for n, w in zip(purchase, instance.weights, strict=False)), sum(purchase)


def cheapest_purchase(
    instance: Instance,
    cuts: list[PurchaseCut],
    below: Key | None = None,
    excluded: AbstractSet[Purchase] = frozenset(),
) -> Purchase | None:
    """Least (cost, spools) over purchases that satisfy all cuts, or None; only those less than `below`.

    Cuts enter one at a time, the most violated next, so that the search works on few of them.
    """
    active = cuts[:1]
    while True:
        found = _Search(instance, active, excluded).run(below)
        if found is None:
            return None
        broken = [cut for cut in cuts if not cut.holds(found)]
        if not broken:
            return found
        active.append(max(broken, key=lambda cut: _shortfall(cut, found)))


def _shortfall(cut: PurchaseCut, purchase: Purchase) -> float:
    held = sum(z * n for z, n in zip(cut.worth, purchase, strict=True))
    return (cut.needed - held) / max(1, cut.needed)


def simple_bound(instance: Instance, cuts: list[PurchaseCut]) -> int:
    """Bound on cost alone, one cut at a time: max over cuts of min over kinds of ceil(needed w / worth).

    In units of the prices' common divisor, so that it is rounded up to a cost that can occur.
    """
    unit = reduce(gcd, instance.weights[: instance.bought], 0) or 1
    bound = 0
    for cut in cuts:
        rates = [
            -(-cut.needed * (w // unit) // z) * unit
            for z, w in zip(cut.worth, instance.weights, strict=False)
            if z > 0
        ]
        if cut.needed > 0 and rates:
            bound = max(bound, min(rates))
    return bound


class _Search:
    """Depth first over the kinds, best value for length first; pruned by exact bounds on cost and count."""

    def __init__(self, instance: Instance, cuts: list[PurchaseCut], excluded: AbstractSet[Purchase]) -> None:
        self.kinds = sorted(
            range(instance.bought),
            key=lambda b: (instance.weights[b] / instance.capacities[b], -instance.capacities[b], b),
        )
        # in units of the prices' common divisor, so that bounds round up to a cost that can occur
        unit = reduce(gcd, instance.weights[: instance.bought], 0) or 1
        self.unit = unit
        self.weights = [instance.weights[b] // unit for b in self.kinds]
        self.limits = [instance.limits[b] for b in self.kinds]
        self.worth = [[cut.worth[b] for b in self.kinds] for cut in cuts]
        self.needed = [cut.needed for cut in cuts]
        self.excluded = excluded
        self.nodes = 0
        self.best: Key | None = None
        self.found: Purchase | None = None

    def run(self, below: Key | None) -> Purchase | None:
        self.best = None if below is None else (-(-below[0] // self.unit), below[1])
        self._descend(0, self.needed, (), (0, 0))
        return self.found

    def _rest(self, depth: int, needed: list[int]) -> Key | None:
        """Least (cost, count) the kinds from depth on can meet the rest with, or None if they cannot."""
        cost = count = 0
        for worth, rest in zip(self.worth, needed, strict=True):
            if rest <= 0:
                continue
            useful = [(w, z) for w, z in zip(self.weights[depth:], worth[depth:], strict=True) if z > 0]
            held = sum(z * n for z, n in zip(worth[depth:], self.limits[depth:], strict=True))
            if held < rest:
                return None
            cost = max(cost, min(-(-rest * w // z) for w, z in useful))
            count = max(count, -(-rest // max(z for _, z in useful)))
        return cost, count

    def _descend(self, depth: int, needed: list[int], taken: tuple[int, ...], spent: Key) -> None:
        self.nodes += 1
        if self.nodes > NODE_LIMIT:
            raise SearchTooLargeError
        rest = self._rest(depth, needed)
        if rest is None:
            return
        if self.best is not None and (spent[0] + rest[0], spent[1] + rest[1]) >= self.best:
            return
        if depth == len(self.kinds):
            purchase = [0] * depth
            for b, n in zip(self.kinds, taken, strict=True):
                purchase[b] = n
            if tuple(purchase) not in self.excluded:
                self.best, self.found = spent, tuple(purchase)
            return
        enough = 0
        for worth, lack in zip(self.worth, needed, strict=True):
            if lack > 0 and worth[depth] > 0:
                enough = max(enough, -(-lack // worth[depth]))
        # more than enough is worth a look only when smaller purchases have been ruled out by name
        most = min(self.limits[depth], enough + len(self.excluded))
        least = max(0, enough) if depth + 1 == len(self.kinds) else 0
        for n in range(most, least - 1, -1):
            left = [lack - n * worth[depth] for worth, lack in zip(self.worth, needed, strict=True)]
            self._descend(depth + 1, left, (*taken, n), (spent[0] + n * self.weights[depth], spent[1] + n))
