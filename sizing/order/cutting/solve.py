"""The cheapest method that reaches the bound: rules, repacking, all patterns, column generation and dive.

The search runs over purchases (how many spools of each kind), not over plans. The bound is the cheapest
purchase that no cut rules out; a plan that packs into it is optimal. So: take that purchase, try to pack
into it by ever stronger means; if the linear program shows that nothing can, its dual values are a new
cut, and the next purchase is taken.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sizing.order.cutting.bounds import PurchaseCut, starting_cuts
from sizing.order.cutting.clock import Deadline
from sizing.order.cutting.columns import Master, dive, dual_cut, generate
from sizing.order.cutting.first_fit import fill_bins, first_fit_decreasing, fullest_pattern, squeeze
from sizing.order.cutting.grid import Instance, Ints, Packing, uses_of
from sizing.order.cutting.patterns import FEW_COLUMNS, Columns, all_columns, pack_all_patterns
from sizing.order.cutting.purchase import (
    Key,
    Purchase,
    SearchTooLargeError,
    cheapest_purchase,
    key_of,
    simple_bound,
)

QUICK_STEPS = 300
LONG_STEPS = 3_000
DIVES = 24
DIVE_BLUR = 0.5
PURCHASES = 12
REFUTATIONS = 60
SHORT = 1e-6
SEED = 20_240_229

NOTHING = "nothing to cut"
FIRST_FIT = "first-fit decreasing"
FULLEST_FILL = "fullest fill"
IMPROVED = "fullest fill and local improvement"
ALL_PATTERNS = "integer program over all patterns"
DIVE = "column generation and dive"
DIVE_IMPROVED = "column generation, dive and local improvement"


@dataclass(frozen=True)
class Outcome:
    """Best packing found (None: no complete one), the proven bound, and how each was reached."""

    packing: Packing | None
    bound: Key  # (cost or length, number of spools at that cost)
    method: str
    exact: bool  # the bound rests on whole-number arithmetic alone
    proven_short: bool  # the stock provably does not suffice


def search(instance: Instance, deadline: Deadline) -> Outcome:
    """Least (cost, spools) packing of an instance, as far as the limits of effort and time allow."""
    return _Search(instance, deadline).run()


class _Search:
    def __init__(self, instance: Instance, deadline: Deadline) -> None:
        self.instance = instance
        self.deadline = deadline
        self.shelf = instance.limits[instance.bought :]
        self.cuts: list[PurchaseCut] = starting_cuts(instance)
        self.packing: Packing | None = None
        self.best: Key | None = None
        self.method = FIRST_FIT
        self.master: Master | None = None
        self.program_run = False
        self.program_proof: Key | None = None

    def run(self) -> Outcome:
        packing, _ = first_fit_decreasing(self.instance)
        self._offer(packing, FIRST_FIT)
        bound: Key | None
        try:
            self._try_purchases()
            bound = self._bound()
        except SearchTooLargeError:
            bound = (simple_bound(self.instance, self.cuts), 0)
        exact = True
        if self.program_proof is not None and bound is not None and bound < self.program_proof:
            bound, exact = self.program_proof, False
        return Outcome(self.packing, bound or (0, 0), self.method, exact, bound is None)

    def _try_purchases(self) -> None:
        tried: set[Purchase] = set()
        refuted = 0
        while len(tried) < PURCHASES and refuted < REFUTATIONS and not self.deadline.passed():
            purchase = cheapest_purchase(self.instance, self.cuts, self.best, tried)
            if purchase is None:
                return
            if self._pack(purchase, DIVES if not tried else 1):
                return
            if self.program_proof is not None:
                return
            if all(cut.holds(purchase) for cut in self.cuts):
                tried.add(purchase)
            else:
                refuted += 1

    def _bound(self) -> Key | None:
        """Least (cost, spools) not ruled out; None when everything is."""
        purchase = cheapest_purchase(self.instance, self.cuts, self.best)
        return self.best if purchase is None else key_of(self.instance, purchase)

    def _offer(self, packing: Packing | None, method: str) -> bool:
        """Keep a complete packing if it is better than the best so far."""
        if packing is None:
            return False
        key = self.instance.spent(uses_of(self.instance, packing))
        if self.best is not None and key >= self.best:
            return False
        self.packing, self.best, self.method = packing, key, method
        return True

    def _pack(self, purchase: Purchase, dives: int) -> bool:
        """Try to pack into a purchase: rule, repacking, proof that it cannot be, integer program, dives.

        True when it was packed. A proof that it cannot be appears as a new cut.
        """
        limits = np.array([*purchase, *self.shelf], dtype=np.int64)
        rng = np.random.default_rng(SEED)
        packing, over = self._fill(limits)
        if not over.any():
            return self._offer(packing, FULLEST_FILL)
        packing, over = squeeze(self.instance, packing, over, limits, QUICK_STEPS, rng, self.deadline)
        if not over.any():
            return self._offer(packing, IMPROVED)
        if self._ruled_out(purchase, limits):
            return False
        columns = all_columns(self.instance)
        if columns is not None and len(columns) <= FEW_COLUMNS and self._integer_program(purchase, columns):
            return True
        if self.program_proof is None and self._dives(limits, dives, rng):
            return True
        return columns is not None and len(columns) > FEW_COLUMNS and self._integer_program(purchase, columns)

    def _fill(self, limits: Ints) -> tuple[Packing, Ints]:
        """Fullest fill with small bins first and with large bins first, whichever leaves less."""
        instance = self.instance
        small = sorted(range(instance.bins), key=lambda b: (instance.capacities[b], b))
        results = []
        for order in (small, small[::-1]):
            sequence = [(b, int(limits[b])) for b in order]
            results.append(fill_bins(instance, instance.demand, sequence, fullest_pattern()))
        return min(results, key=lambda result: int(np.dot(result[1], instance.widths)))

    def _ruled_out(self, purchase: Purchase, limits: Ints) -> bool:
        """True when the linear program gives a cut that the purchase breaks."""
        instance = self.instance
        if self.master is None:
            self.master = Master(instance)
            if self.packing is not None:
                self.master.add_packing(self.packing)
            self._least_cost_cut(purchase)
            if not all(cut.holds(purchase) for cut in self.cuts):
                return True
        self.master.set_costs(np.zeros(instance.bins), 1.0)
        self.master.set_task(instance.demand, limits)
        _, _, duals, short, settled = generate(self.master, self.deadline, enough=SHORT)
        if settled and short > SHORT:
            self.cuts.append(dual_cut(self.master, duals))
        return not all(cut.holds(purchase) for cut in self.cuts)

    def _least_cost_cut(self, purchase: Purchase) -> None:
        """Cut from the linear program of least cost; stops early when it cannot raise the bound."""
        master, instance = self.master, self.instance
        if master is None:
            return
        unit = float(max(instance.weights)) or 1.0
        master.set_costs(np.array(instance.weights) / unit, 1_000.0)
        enough = key_of(instance, purchase)[0] / unit
        _, _, duals, _, settled = generate(master, self.deadline, enough=enough)
        if settled:
            self.cuts.append(dual_cut(master, duals))

    def _integer_program(self, purchase: Purchase, columns: Columns) -> bool:
        """Solve over all patterns, once; True when a plan as good as the bound was found."""
        if self.program_run:
            return False
        self.program_run = True
        bound = key_of(self.instance, purchase)
        packing, proven = pack_all_patterns(self.instance, columns, bound, self.deadline)
        self._offer(packing, ALL_PATTERNS)
        if proven:
            self.program_proof = self.best
        return self.best is not None and self.best <= bound

    def _dives(self, limits: Ints, dives: int, rng: np.random.Generator) -> bool:
        master, instance = self.master, self.instance
        if master is None:
            return False
        for number in range(dives):
            if self.deadline.passed():
                return False
            master.set_costs(np.array(instance.capacities) / master.scale, 1_000.0)
            blur = DIVE_BLUR if number else 0.0
            packing, over = dive(master, limits, blur, rng, self.deadline)
            if not over.any():
                return self._offer(packing, DIVE)
            packing, over = squeeze(instance, packing, over, limits, LONG_STEPS, rng, self.deadline)
            if not over.any():
                return self._offer(packing, DIVE_IMPROVED)
        return False
