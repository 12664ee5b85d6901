"""What is cut from which goods, and what is bought by the metre: one integer program over the purchase.

The search for one kind of goods goes over purchases (`solve`). Its cuts sum_b Z_b n_b >= sum_i v_i d_i are
proofs for any whole values v (`bounds`), and they hold as well where the demand d is still to be chosen. So
one small integer program holds the packs of every kind, the goods each run is cut from, and what is bought by
the metre; every cut is proven, and so is its bound. Where the packs it takes cannot hold what it cuts from
them, the linear program over patterns of these goods gives a further cut, and it is solved again.
[derived; Benders 1962]
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

import numpy as np

from sizing.order.cutting.bounds import PurchaseCut, purchase_cut, starting_cuts
from sizing.order.cutting.clock import Deadline
from sizing.order.cutting.columns import Master, generate
from sizing.order.cutting.grid import Instance, Ints, to_instance
from sizing.order.cutting.problem import CutProblem, Piece, Remnant, Stock
from sizing.order.cutting.purchase_program import Plan, PurchaseProgram
from sizing.order.cutting.together_problem import Packed, Problem, Solution, demand_of, max_demand

MOST_ROUNDS: Final = 200
ROUNDS_OF_MANY: Final = 12
"""Times that a program of many goods is solved: its limits are of effort, so that no clock has a say."""

CUTS_AT_ONCE: Final = 3
"""Of the cuts of one goods that a plan breaks, how many enter the program together."""
SHORT: Final = 1e-6

Packer = Callable[[int, Mapping[int, int]], Packed | None]
"""Packs so many pieces of each length (mm) into packs of one of the goods; None where that cannot be done."""

Key = tuple[int, tuple[tuple[int, int], ...]]


def solve_together(
    problem: Problem, packer: Packer, deadline: Deadline, rel_gap: float = 0.0
) -> Solution | None:
    """Return the least cost found with its proven bound; None where no solution was found at all.

    `rel_gap` is how near the bound, as a share of the cost, a solution is taken as it is.
    """
    return _Search(problem, packer, deadline, rel_gap).run()


class _Search:
    def __init__(self, problem: Problem, packer: Packer, deadline: Deadline, rel_gap: float) -> None:
        self.problem = problem
        self.rel_gap = rel_gap
        self.packer = packer
        self.deadline = deadline
        self.program = PurchaseProgram(problem, rel_gap)
        self.widest = [_instance(problem, g, max_demand(problem, g)) for g in range(len(problem.goods))]
        self.packed: dict[Key, Packed | None] = {}
        self.masters: dict[Key, Master] = {}
        self.best: Solution | None = None
        self.bound = 0
        self.waiting: list[list[PurchaseCut]] = [[] for _ in problem.goods]

    def run(self) -> Solution | None:
        for g, instance in enumerate(self.widest):
            if instance is not None:
                material, *self.waiting[g] = _first_cuts(instance)
                self._add(g, instance, material)
        rounds = MOST_ROUNDS if len(self.problem.goods) == 1 else ROUNDS_OF_MANY
        for round_ in range(rounds):
            plan = self.program.solved(self.deadline)
            if plan is None:
                break
            self.bound = max(self.bound, plan.bound)
            late = self.deadline.passed() or round_ == rounds - 1
            if not late and self._broken(plan):
                continue
            if self._done() or (not late and self._refuted(plan)):
                if self._done():
                    break
                continue
            self._offer(plan)
            if late or self._done() or not self._raised(plan):
                break
        if self.best is None:
            return None
        bound = min(self.bound, self.best.cost)
        return Solution(self.best.choice, self.best.by_length, self.best.cost, bound, self.deadline.hit)

    def _done(self) -> bool:
        return self.best is not None and self.best.cost * (1.0 - self.rel_gap) <= self.bound

    def _add(self, g: int, instance: Instance, cut: PurchaseCut) -> None:
        self.program.cut(g, cut, instance.stock_index, _lengths_mm(instance))

    def _rest(self, g: int, plan: Plan) -> dict[int, int]:
        """What of one of the goods is cut from packs and lengths in hand."""
        taken = plan.taken(g)
        rest = {mm: n - taken.get(mm, 0) for mm, n in demand_of(self.problem, g, plan.choice).items()}
        return {mm: n for mm, n in rest.items() if n > 0}

    def _broken(self, plan: Plan) -> bool:
        """Add of the cuts that wait those that the plan breaks most: with few the program stays small."""
        found = False
        for g, instance in enumerate(self.widest):
            rest = self._rest(g, plan)
            if instance is None or not rest:
                continue
            short = [(_shortfall(cut, instance, plan.packs[g], rest), at)
                     for at, cut in enumerate(self.waiting[g])]  # fmt: skip
            worst = sorted((one for one in short if one[0] > 0.0), reverse=True)[:CUTS_AT_ONCE]
            for _, at in worst:
                self._add(g, instance, self.waiting[g][at])
            for _, at in sorted(worst, key=lambda one: -one[1]):
                del self.waiting[g][at]
            found = found or bool(worst)
        return found

    def _refuted(self, plan: Plan) -> bool:
        """Add a cut for every goods whose packs provably do not hold what the plan cuts from them."""
        found = False
        for g, widest in enumerate(self.widest):
            rest = self._rest(g, plan)
            if widest is None or not rest:
                continue
            for values in self._values(g, rest, plan):
                cut = purchase_cut(widest, values)
                if _shortfall(cut, widest, plan.packs[g], rest) > 0.0:
                    self._add(g, widest, cut)
                    found = True
        return found

    def _values(self, g: int, rest: Mapping[int, int], plan: Plan) -> list[Ints]:
        """Values of the widest instance's lengths, from the linear program over patterns of the rest."""
        key = (g, tuple(rest.items()))
        instance = _instance(self.problem, g, rest)
        widest = self.widest[g]
        if instance is None or widest is None:
            return []
        found: list[Ints] = []
        if key not in self.masters:
            master = self.masters[key] = Master(instance)
            unit = float(max(instance.weights)) or 1.0
            master.set_costs(np.array(instance.weights) / unit, 1_000.0)
            _, _, duals, _, settled = generate(master, self.deadline)
            if settled:
                found.append(master.whole_values(duals))
        master = self.masters[key]
        limits = [plan.packs[g][b] for b in instance.stock_index]
        master.set_costs(np.zeros(instance.bins), 1.0)
        master.set_task(instance.demand, np.array([*limits, *instance.limits[instance.bought :]], np.int64))
        _, _, duals, short, settled = generate(master, self.deadline, enough=SHORT)
        if settled and short > SHORT:
            found.append(master.whole_values(duals))
        at = {mm: place for place, mm in enumerate(_lengths_mm(instance))}
        return [
            np.array([values[at[mm]] if mm in at else 0 for mm in _lengths_mm(widest)], dtype=np.int64)
            for values in found
        ]

    def _pack(self, g: int, rest: Mapping[int, int]) -> Packed | None:
        key = (g, tuple(rest.items()))
        if key not in self.packed:
            self.packed[key] = self.packer(g, rest) if rest else Packed(0, 0)
        return self.packed[key]

    def _offer(self, plan: Plan) -> None:
        """Keep the plan with what its packs truly cost, if it is better than the best so far."""
        cost = sum(
            each * n
            for run, counts in zip(self.problem.runs, plan.choice, strict=True)
            for (_, each), n in zip(run.choices, counts, strict=True)
        )
        for (g, j), bought in plan.by_length.items():
            cost += self.problem.goods[g].by_length[j].cost * bought.steps
        for g in range(len(self.problem.goods)):
            packed = self._pack(g, self._rest(g, plan))
            if packed is None:
                return
            cost += packed.cost
        if self.best is None or cost < self.best.cost:
            self.best = Solution(plan.choice, plan.by_length, cost, 0, time_ran_out=False)

    def _raised(self, plan: Plan) -> bool:
        """Say of every goods what its packs cost at least, where the program takes them for cheaper."""
        found = False
        for g, goods in enumerate(self.problem.goods):
            packed = self._pack(g, self._rest(g, plan))
            spent = sum(n * pack.cost for n, pack in zip(plan.packs[g], goods.packs, strict=True))
            if packed is not None and packed.bound > spent:
                self.program.costs_at_least(g, packed.bound, plan)
                found = True
        return found


def _lengths_mm(instance: Instance) -> list[int]:
    return [int(width) * instance.unit_mm for width in instance.widths]


def _shortfall(cut: PurchaseCut, widest: Instance, packs: tuple[int, ...], rest: Mapping[int, int]) -> float:
    """By what share of the value asked for packs fall short of a cut; 0 or less where they satisfy it."""
    held = sum(z * packs[b] for z, b in zip(cut.worth, widest.stock_index, strict=True))
    value = dict(zip(_lengths_mm(widest), cut.values, strict=True))
    asked = sum(value[mm] * n for mm, n in rest.items()) - cut.shelf
    return (asked - held) / max(1, asked)


def _first_cuts(instance: Instance) -> list[PurchaseCut]:
    """Those of the single search, and one for each length alone."""
    alone = np.eye(len(instance.widths), dtype=np.int64)
    return [*starting_cuts(instance), *(purchase_cut(instance, values) for values in alone)]


def _instance(problem: Problem, g: int, demand: Mapping[int, int]) -> Instance | None:
    """So many pieces of each length to be cut from one of the goods; None where no pack takes any of them."""
    goods = problem.goods[g]
    rooms = [pack.length_mm for pack in goods.packs] + list(goods.shelf_mm)
    pieces = [Piece(mm, "run", n) for mm, n in demand.items() if mm + goods.loss_mm <= max(rooms, default=0)]
    if not pieces:
        return None
    stock = tuple(Stock(str(b), pack.length_mm, pack.cost) for b, pack in enumerate(goods.packs))
    shelf = tuple(Remnant(str(at), mm) for at, mm in enumerate(goods.shelf_mm))
    return to_instance(CutProblem(tuple(pieces), stock, shelf, per_spool_mm=goods.loss_mm), pieces)
