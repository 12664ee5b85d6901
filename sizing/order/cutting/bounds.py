"""Lower bounds that are proofs: cuts in the space of purchases, in whole numbers throughout.

Take any whole value v_i >= 0 for a piece of each width, and let Z_b be the greatest total value that one
bin of kind b can hold. Whatever the plan, its bins must hold every piece, so

    sum_b Z_b n_b  >=  sum_i v_i d_i

holds for the numbers n_b of bins used. Z_b comes from an exact knapsack, so the cut is valid for every v,
however v was found: lengths give the material bound, the values of Martello and Toth's L2 and of other
dual feasible functions give theirs, rounded dual values of the linear program give the bound of column
generation. The cheapest purchase that satisfies all cuts is the bound.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sizing.order.cutting.grid import Instance, Ints
from sizing.order.cutting.knapsack import best_fill

L2_THRESHOLDS = 24
STAIRS = (1, 2, 3, 4, 5, 6, 8, 10, 12)


@dataclass(frozen=True)
class PurchaseCut:
    """sum(worth[b] n[b] over bought kinds) >= needed, every remnant counted as used already.

    `values` are the piece values it was made from; the remnants hold `shelf` of the value asked for.
    """

    worth: tuple[int, ...]
    needed: int
    values: tuple[int, ...]
    shelf: int

    def holds(self, purchase: tuple[int, ...]) -> bool:
        """True when a purchase satisfies the cut."""
        return sum(z * n for z, n in zip(self.worth, purchase, strict=True)) >= self.needed


def purchase_cut(instance: Instance, values: Ints) -> PurchaseCut:
    """Cut from whole piece values: exact for any values >= 0. [derived: weak duality]"""
    fill = best_fill(instance.widths, instance.demand, values, max(instance.capacities))
    worth = [int(fill.value[capacity]) for capacity in instance.capacities]
    shelf = sum(
        z * n for z, n in zip(worth[instance.bought :], instance.limits[instance.bought :], strict=True)
    )
    asked = sum(v * d for v, d in zip(values.tolist(), instance.demand.tolist(), strict=True))
    return PurchaseCut(tuple(worth[: instance.bought]), asked - shelf, tuple(values.tolist()), shelf)


def starting_cuts(instance: Instance) -> list[PurchaseCut]:
    """Cuts by length, by L2-type thresholds and by stair functions, for each capacity of a bin.

    L2 type: v = C where width > C - t, width where t <= width <= C - t, 0 below t. Stairs: v =
    floor((s + 1) width / C), one less where that divides. [memory: Martello & Toth; Fekete & Schepers]
    """
    tried: set[bytes] = set()
    cuts: list[PurchaseCut] = []
    for values in _families(instance):
        key = values.tobytes()
        if key not in tried and values.any():
            tried.add(key)
            cuts.append(purchase_cut(instance, values))
    return cuts


def _families(instance: Instance) -> list[Ints]:
    widths = instance.widths
    found: list[Ints] = [widths]
    for capacity in sorted(set(instance.capacities[: instance.bought]), reverse=True):
        halves = np.unique(widths[2 * widths <= capacity])
        step = max(1, len(halves) // L2_THRESHOLDS)
        for threshold in (*halves[::step].tolist(), capacity // 2 + 1):
            values = np.where(widths > capacity - threshold, capacity, widths)
            found.append(np.where(widths < threshold, 0, values))
        for stairs in STAIRS:
            scaled = (stairs + 1) * widths
            found.append(np.maximum(0, (scaled - (scaled % capacity == 0)) // capacity))
    return found
