"""The integer program over a purchase of many goods: packs, lengths by the metre, the choices of runs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import reduce
from math import ceil, gcd
from typing import Final

import highspy
import numpy as np

from sizing.order.cutting.bounds import PurchaseCut
from sizing.order.cutting.clock import Deadline
from sizing.order.cutting.highs import QuietHighs
from sizing.order.cutting.together_problem import Bought, Choice, Problem, max_demand

NODE_LIMIT: Final = 20_000
LEAST_NODES: Final = 10
WORK: Final = 4_000
"""Nodes times columns at which a program of many goods ends: a limit that no clock has a say in."""
ROUNDING: Final = 1e-4
"""What a bound may lie below a whole number of the smallest coin and still be taken for it."""

Terms = dict[int, float]


@dataclass(frozen=True)
class Plan:
    """One solution of the program: packs of each goods, choices, lengths by the metre, and the bound."""

    packs: tuple[tuple[int, ...], ...]
    choice: Choice
    by_length: Mapping[tuple[int, int], Bought]
    bound: int

    def taken(self, g: int) -> dict[int, int]:
        """How many pieces of each length of one goods are bought by the metre."""
        found: dict[int, int] = defaultdict(int)
        for (goods, _), bought in self.by_length.items():
            if goods == g:
                for length, n in bought.pieces.items():
                    found[length] += n
        return found


class PurchaseProgram:
    """Least cost over purchases that no cut rules out; cuts are added as they are found."""

    def __init__(self, problem: Problem, rel_gap: float = 0.0) -> None:
        self.problem = problem
        self.model = QuietHighs()
        self.unit = reduce(gcd, _costs(problem), 0) or 1
        self.choices: dict[tuple[int, int], int] = {}
        self.packs: dict[tuple[int, int], int] = {}
        self.steps: dict[tuple[int, int], int] = {}
        self.pieces: dict[tuple[int, int, int], int] = {}
        self.fixed: list[dict[int, int]] = [defaultdict(int) for _ in problem.goods]
        self.runs_on: list[list[tuple[int, int, int]]] = [[] for _ in problem.goods]
        self.extra = 0
        self._add_choices()
        for g in range(len(problem.goods)):
            self._add_goods(g)
        nodes = (
            NODE_LIMIT
            if len(problem.goods) == 1
            else max(LEAST_NODES, WORK // max(1, self.model.getNumCol()))
        )
        for option, value in (("mip_rel_gap", rel_gap), ("mip_abs_gap", 0.5), ("mip_max_nodes", nodes)):
            self.model.setOptionValue(option, value)

    def solved(self, deadline: Deadline) -> Plan | None:
        """The cheapest plan that no cut rules out, with the proven bound; None where none was found."""
        self.model.setOptionValue("time_limit", max(deadline.left_s(), 0.1))
        self.model.run()
        info = self.model.getInfo()
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return None
        values = [round(value) for value in self.model.getSolution().col_value]
        bound = ceil(info.mip_dual_bound - ROUNDING) * self.unit + self.extra
        packs = tuple(
            tuple(values[self.packs[g, b]] for b in range(len(goods.packs)))
            for g, goods in enumerate(self.problem.goods)
        )
        choice = tuple(
            tuple(values[self.choices[r, c]] for c in range(len(run.choices)))
            if len(run.choices) > 1 else (run.alike,)
            for r, run in enumerate(self.problem.runs)
        )  # fmt: skip
        by_length = {
            (g, j): Bought(values[at], {
                length: values[column] for (g_, j_, length), column in self.pieces.items()
                if (g_, j_) == (g, j) and values[column]
            })
            for (g, j), at in self.steps.items() if values[at]
        }  # fmt: skip
        return Plan(packs, choice, by_length, bound)

    def cut(self, g: int, cut: PurchaseCut, kinds: Iterable[int], lengths_mm: Iterable[int]) -> None:
        """Rule out purchases whose packs cannot hold the value of what is cut from them.

        `kinds` are the packs that the cut speaks of, `lengths_mm` the pieces its values are those of.
        """
        value = defaultdict(int, zip(lengths_mm, cut.values, strict=True))
        scale = float(max((*cut.worth, *cut.values, 1)))
        terms: Terms = {self.packs[g, b]: z / scale for b, z in zip(kinds, cut.worth, strict=True) if z}
        for (goods, _, length), column in self.pieces.items():
            if goods == g and value[length]:
                terms[column] = value[length] / scale
        asked = sum(value[length] * n for length, n in self.fixed[g].items()) - cut.shelf
        for column, length, n in self.runs_on[g]:
            if value[length]:
                terms[column] = terms.get(column, 0.0) - value[length] * n / scale
        self._row(terms, asked / scale, highspy.kHighsInf)

    def costs_at_least(self, g: int, least: int, plan: Plan) -> None:
        """Say what the packs of one goods cost as long as nothing less is cut from them than in a plan.

        If all runs that are on the goods stay there and no more is bought by the metre, they cost `least`:
        more pieces never cost less.
        """
        whole = least / self.unit
        terms: Terms = {
            self.packs[g, b]: pack.cost / self.unit for b, pack in enumerate(self.problem.goods[g].packs)
        }
        floor = whole
        on = {
            self.choices[r, c]: n
            for r, counts in enumerate(plan.choice)
            for c, n in enumerate(counts)
            if n and (r, c) in self.choices
        }
        for column, _, _ in self.runs_on[g]:
            if now := on.get(column, 0):
                fewer = self._column(0, 1)
                self._row({column: 1.0, fewer: float(now)}, float(now), highspy.kHighsInf)
                terms[fewer] = whole
        for (goods, j, length), column in self.pieces.items():
            if goods != g:
                continue
            bought = plan.by_length.get((g, j))
            now = bought.pieces.get(length, 0) if bought else 0
            most = max_demand(self.problem, g)[length]
            if now < most:
                more = self._column(0, 1)
                self._row({column: 1.0, more: float(now - most)}, -highspy.kHighsInf, float(now))
                terms[more] = whole
        self._row(terms, floor, highspy.kHighsInf)

    def _add_choices(self) -> None:
        for r, run in enumerate(self.problem.runs):
            if len(run.choices) == 1:
                ((g, cost),) = run.choices
                self.fixed[g][run.length_mm] += run.quantity * run.alike
                self.extra += cost * run.alike
                continue
            for c, (g, cost) in enumerate(run.choices):
                column = self.choices[r, c] = self._column(0, run.alike, cost)
                self.runs_on[g].append((column, run.length_mm, run.quantity))
            each = {self.choices[r, c]: 1.0 for c in range(len(run.choices))}
            self._row(each, float(run.alike), float(run.alike))

    def _add_goods(self, g: int) -> None:
        goods, demand = self.problem.goods[g], max_demand(self.problem, g)
        most = sum(demand.values())
        for b, pack in enumerate(goods.packs):
            column = self.packs[g, b] = self._column(0, max(most, pack.least), pack.cost)
            if pack.least > 1:
                any_ = self._column(0, 1)
                self._row({column: 1.0, any_: -float(pack.least)}, 0.0, highspy.kHighsInf)
                self._row({column: 1.0, any_: -float(max(most, pack.least))}, -highspy.kHighsInf, 0.0)
        whole_mm = sum(length * n for length, n in demand.items()) + goods.loss_mm
        for j, offer in enumerate(goods.by_length):
            longest = max(-(-whole_mm // offer.step_mm), -(-offer.least_mm // offer.step_mm))
            steps = self.steps[g, j] = self._column(0, longest, offer.cost)
            any_ = self._column(0, 1)
            metre = 1000.0
            terms: Terms = {steps: -offer.step_mm / metre, any_: goods.loss_mm / metre}
            for length, n in demand.items():
                column = self.pieces[g, j, length] = self._column(0, n)
                terms[column] = length / metre
                self._row({column: 1.0, any_: -float(n)}, -highspy.kHighsInf, 0.0)
            self._row(terms, -highspy.kHighsInf, 0.0)
            self._row({steps: 1.0, any_: -float(longest)}, -highspy.kHighsInf, 0.0)
            least = -(-offer.least_mm // offer.step_mm)
            self._row({steps: 1.0, any_: -float(least)}, 0.0, highspy.kHighsInf)
        if goods.by_length:
            longest_mm = max((pack.length_mm - goods.loss_mm for pack in goods.packs), default=0)
            longest_mm = max((longest_mm, *(mm - goods.loss_mm for mm in goods.shelf_mm)))
            for length in demand:
                terms = {self.pieces[g, j, length]: 1.0 for j in range(len(goods.by_length))}
                for column, mm, n in self.runs_on[g]:
                    if mm == length:
                        terms[column] = -float(n)
                wanted = float(self.fixed[g][length])
                self._row(terms, wanted if length > longest_mm else -highspy.kHighsInf, wanted)

    def _column(self, low: int, high: int, cost: int = 0) -> int:
        at = int(self.model.getNumCol())
        self.model.addCol(cost / self.unit, float(low), float(high), 0, [], [])
        self.model.changeColIntegrality(at, highspy.HighsVarType.kInteger)
        return at

    def _row(self, terms: Terms, low: float, high: float) -> None:
        columns = np.array(list(terms), dtype=np.int32)
        self.model.addRow(low, high, len(columns), columns, np.array(list(terms.values())))


def _costs(problem: Problem) -> list[int]:
    costs = [pack.cost for goods in problem.goods for pack in goods.packs]
    costs += [offer.cost for goods in problem.goods for offer in goods.by_length]
    return costs + [cost for run in problem.runs if len(run.choices) > 1 for _, cost in run.choices]
