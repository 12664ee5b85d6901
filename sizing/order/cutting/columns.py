"""Column generation: the linear program over patterns, and exact pricing of new ones.

And from the linear program to whole bins: round down, take the rest off, re-price, repeat.
"""

from __future__ import annotations

import highspy
import numpy as np
from numpy.typing import NDArray

from sizing.order.cutting.bounds import PurchaseCut, purchase_cut
from sizing.order.cutting.clock import Deadline
from sizing.order.cutting.first_fit import fill_bins, fullest_pattern
from sizing.order.cutting.grid import Bundle, Instance, Ints, Packing
from sizing.order.cutting.highs import QuietHighs
from sizing.order.cutting.knapsack import best_fill

VALUE_SCALE = 10**9
EPSILON = 1e-7
SHORT_PENALTY = 1_000.0
PATTERNS_A_ROUND = 12
ROUND_LIMIT = 3_000
ROUNDS_A_STEP = 40
SHORT = 1e-6
NEARLY_WHOLE = 1e-6

Floats = NDArray[np.float64]


class Master:
    """Linear program: least sum of pattern costs so that demand is met and no kind of bin is overdrawn.

    Columns: one shortfall column per width, then patterns. Rows: one per width (>= demand), then one per
    bin (<= limit). The bases are kept, so every change is solved from where the last one stood.
    """

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self.size = len(instance.widths)
        self.rows = self.size + instance.bins
        self.scale = float(max(instance.capacities))
        self.patterns: list[tuple[int, Ints]] = []
        self._known: set[tuple[int, bytes]] = set()
        self._sparse: list[tuple[NDArray[np.intp], Ints]] = []
        self.model = QuietHighs()
        self.model.setOptionValue("presolve", "off")
        for wanted in instance.demand.tolist():
            self.model.addRow(float(wanted), highspy.kHighsInf, 0, [], [])
        for limit in instance.limits:
            self.model.addRow(0.0, float(limit), 0, [], [])
        for index in range(self.size):
            self.model.addCol(0.0, 0.0, highspy.kHighsInf, 1, [index], [1.0])
        self.demand = instance.demand.copy()
        self.costs = np.zeros(instance.bins)
        self.set_costs(np.array(instance.capacities) / self.scale, SHORT_PENALTY)

    def set_costs(self, bin_costs: Floats, short_penalty: float) -> None:
        """Cost of one pattern on each bin, and of one grid capacity of pieces left uncut."""
        self.costs = np.asarray(bin_costs, dtype=np.float64)
        penalty = short_penalty * self.instance.widths / self.scale
        prices = np.concatenate([penalty, [self.costs[b] for b, _ in self.patterns]])
        self.model.changeColsCost(len(prices), np.arange(len(prices), dtype=np.int32), prices)

    def set_task(self, demand: Ints, limits: Ints) -> None:
        """What is still to be cut and how many of each bin there still are."""
        self.demand = demand.copy()
        for index, wanted in enumerate(demand.tolist()):
            self.model.changeRowBounds(index, float(wanted), highspy.kHighsInf)
        for b, limit in enumerate(limits.tolist()):
            self.model.changeRowBounds(self.size + b, 0.0, float(limit))
        uppers = np.array([self._most(where, n) for where, n in self._sparse])
        if len(uppers):
            columns = np.arange(self.size, self.size + len(uppers), dtype=np.int32)
            self.model.changeColsBounds(len(uppers), columns, np.zeros(len(uppers)), uppers)

    def _most(self, where: NDArray[np.intp], n: Ints) -> float:
        """No limit on a pattern that fits the demand; none of one that does not.

        A finite limit would carry a dual value of its own, which pricing does not see.
        """
        return highspy.kHighsInf if (self.demand[where] >= n).all() else 0.0

    def add(self, b: int, counts: Ints) -> bool:
        """Add a pattern unless it is there already."""
        key = (b, counts.tobytes())
        if key in self._known or not counts.any():
            return False
        self._known.add(key)
        where = np.flatnonzero(counts)
        self.patterns.append((b, counts.copy()))
        self._sparse.append((where, counts[where]))
        index = np.append(where, self.size + b).astype(np.int32)
        values = np.append(counts[where], 1).astype(np.float64)
        most = self._most(where, counts[where])
        self.model.addCol(float(self.costs[b]), 0.0, most, len(index), index, values)
        return True

    def add_packing(self, packing: list[Bundle]) -> None:
        """Add every pattern of a packing."""
        for bundle in packing:
            self.add(bundle.bin, np.array(bundle.counts, dtype=np.int64))

    def run(self) -> tuple[float, Floats, Floats, float]:
        """(objective, pattern amounts, row duals, length left uncut in grid units)."""
        self.model.run()
        solution = self.model.getSolution()
        amounts = np.array(solution.col_value)
        short = float(amounts[: self.size] @ self.instance.widths)
        return (
            self.model.getInfo().objective_function_value,
            amounts[self.size :],
            np.array(solution.row_dual),
            short,
        )

    def whole_values(self, duals: Floats) -> Ints:
        """Dual values of the widths as whole numbers >= 0, rounded down on a fine scale."""
        top = max(float(duals[: self.size].max(initial=0.0)), 1e-9)
        return np.floor(np.maximum(duals[: self.size], 0.0) * (VALUE_SCALE / top)).astype(np.int64)

    def price(self, duals: Floats) -> int:
        """Add patterns of negative reduced cost, disjoint ones in one round; returns how many were added."""
        instance = self.instance
        values = self.whole_values(duals)
        top = max(float(duals[: self.size].max(initial=0.0)), 1e-9)
        allowed = self.costs - np.minimum(duals[self.size :], 0.0)
        copies = self.demand.copy()
        added = 0
        for _ in range(PATTERNS_A_ROUND):
            fill = best_fill(instance.widths, copies, values, max(instance.capacities))
            best: tuple[float, int] | None = None
            for b, capacity in enumerate(instance.capacities):
                gain = float(fill.value[capacity]) * top / VALUE_SCALE - float(allowed[b])
                if gain > EPSILON and (best is None or gain > best[0]):
                    best = (gain, b)
            if best is None:
                break
            counts = fill.pattern(instance.capacities[best[1]])
            added += self.add(best[1], counts)
            copies[counts > 0] = 0
        return added


def generate(
    master: Master, deadline: Deadline, rounds: int = ROUND_LIMIT, enough: float = -np.inf
) -> tuple[float, Floats, Floats, float, bool]:
    """Price and re-solve until no pattern helps, the objective is `enough`, or the rounds are used up.

    Returns what `Master.run` returns, and whether pricing ended because nothing helps.
    """
    objective, amounts, duals, short = master.run()
    for _ in range(rounds):
        if objective <= enough or deadline.passed():
            return objective, amounts, duals, short, False
        if master.price(duals) == 0:
            return objective, amounts, duals, short, True
        objective, amounts, duals, short = master.run()
    return objective, amounts, duals, short, False


def dual_cut(master: Master, duals: Floats) -> PurchaseCut:
    """The cut that the dual values give: proven whatever rounding they carry (see bounds)."""
    return purchase_cut(master.instance, master.whole_values(duals))


def dive(
    master: Master, limits: Ints, blur: float, rng: np.random.Generator, deadline: Deadline
) -> tuple[Packing, Ints]:
    """Pack the demand of the master's instance into at most `limits` bins of each kind.

    Each step solves the linear program for what is left, takes every pattern amount rounded down (or, when
    all are below one, one of the largest amount), and prices new patterns for the rest. As soon as the
    rest can be packed by the fullest-fill rule the dive is over. `blur` is the width of a random change to
    the amounts before the largest is chosen, so that a second dive takes another way; 0 for none.

    Returns the packing and what is left over; all zero on success.
    """
    instance = master.instance
    left, spare = instance.demand.copy(), limits.copy()
    packing: Packing = []
    while left.any() and not deadline.passed():
        rest, over = finish(instance, left, spare)
        if not over.any():
            return [*packing, *rest], over
        master.set_task(left, spare)
        amounts, short = _solve_rest(master, deadline)
        if short > SHORT:
            break
        taken = _choose(master, amounts, left, spare, blur, rng)
        if not taken:
            break
        for bundle in taken:
            left -= bundle.times * np.array(bundle.counts)
            spare[bundle.bin] -= bundle.times
        packing += taken
    rest, over = finish(instance, left, spare)
    return [*packing, *rest], over


def finish(instance: Instance, left: Ints, spare: Ints) -> tuple[Packing, Ints]:
    """Try to pack the rest by the fullest-fill rule, small bins first."""
    order = sorted(range(instance.bins), key=lambda b: (instance.capacities[b], b))
    return fill_bins(instance, left, [(b, int(spare[b])) for b in order], fullest_pattern())


def _solve_rest(master: Master, deadline: Deadline) -> tuple[Floats, float]:
    """Amounts for what is left; a few rounds of pricing, many only while something does not fit."""
    _, amounts, _, short, settled = generate(master, deadline, rounds=2)
    for _ in range(ROUNDS_A_STEP):
        if short <= SHORT or settled or deadline.passed():
            break
        _, amounts, _, short, settled = generate(master, deadline, rounds=4)
    return amounts, short


def _choose(
    master: Master, amounts: Floats, left: Ints, spare: Ints, blur: float, rng: np.random.Generator
) -> Packing:
    """Patterns to take now: all amounts rounded down, or one of the largest amount."""
    taken: Packing = []
    left, spare = left.copy(), spare.copy()
    for index in np.flatnonzero(amounts >= 1 - NEARLY_WHOLE).tolist():
        b, counts = master.patterns[index]
        used = counts > 0
        times = min(
            int(amounts[index] + NEARLY_WHOLE), int((left[used] // counts[used]).min()), int(spare[b])
        )
        if times > 0:
            taken.append(Bundle(b, tuple(counts.tolist()), times))
            left -= times * counts
            spare[b] -= times
    if taken:
        return taken
    score = amounts + blur * rng.random(len(amounts)) * (amounts > SHORT)
    for index in np.argsort(-score, kind="stable").tolist():
        b, counts = master.patterns[index]
        if amounts[index] > SHORT and spare[b] > 0 and (counts <= left).all():
            return [Bundle(b, tuple(counts.tolist()), 1)]
    return []
