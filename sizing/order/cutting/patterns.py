"""All maximal patterns, and the integer programs over them: exact where there are few."""

from __future__ import annotations

from collections.abc import Sequence

import highspy
import numpy as np
from numpy.typing import NDArray

from sizing.order.cutting.clock import Deadline
from sizing.order.cutting.grid import Bundle, Instance, Ints, Packing, tidy
from sizing.order.cutting.highs import QuietHighs
from sizing.order.cutting.purchase import Key

PATTERN_LIMIT = 3_000
WIDTH_LIMIT = 40
FEW_COLUMNS = 400  # so few that an integer program over them all is quick
NODE_LIMIT = 2_000
FEWEST_NODE_LIMIT = 200

Columns = list[tuple[int, tuple[int, ...]]]  # (bin, pieces of each width)


def maximal_patterns(widths: Ints, demand: Ints, capacity: int, limit: int) -> list[tuple[int, ...]] | None:
    """Every pattern to which no further wanted piece can be added; None when there are more than `limit`.

    >>> maximal_patterns(np.array([5, 3]), np.array([9, 9]), 11, 10)
    [(2, 0), (1, 2), (0, 3)]
    """
    lengths, wanted = widths.tolist(), demand.tolist()
    found: list[tuple[int, ...]] = []
    counts = [0] * len(lengths)
    visited = 0

    def descend(index: int, room: int, least_missing: int) -> bool:
        nonlocal visited
        visited += 1
        if visited > 60 * limit:
            return False
        if index == len(lengths):
            if room < least_missing and any(counts):
                found.append(tuple(counts))
            return len(found) <= limit
        width = lengths[index]
        most = min(wanted[index], room // width)
        for n in range(most, -1, -1):
            missing = min(least_missing, width) if n < wanted[index] else least_missing
            counts[index] = n
            # what stays below this level can fill at most `tail`, so a wide gap can never be closed
            if n < most and room - n * width - tails[index + 1] >= width:
                break
            if not descend(index + 1, room - n * width, missing):
                counts[index] = 0
                return False
        counts[index] = 0
        return True

    tails = [0] * (len(lengths) + 1)
    for index in range(len(lengths) - 1, -1, -1):
        tails[index] = tails[index + 1] + lengths[index] * wanted[index]
    complete = descend(0, capacity, capacity + 1)
    return found if complete else None


def all_columns(instance: Instance) -> Columns | None:
    """(bin, pattern) for every maximal pattern of every bin; None when there are too many."""
    if len(instance.widths) > WIDTH_LIMIT:
        return None
    columns: Columns = []
    for b, capacity in enumerate(instance.capacities):
        patterns = maximal_patterns(instance.widths, instance.demand, capacity, PATTERN_LIMIT - len(columns))
        if patterns is None:
            return None
        columns += [(b, pattern) for pattern in patterns]
    return columns


def pack_all_patterns(
    instance: Instance, columns: Columns, bound: Key, deadline: Deadline
) -> tuple[Packing | None, bool]:
    """Least (cost, spools) over whole numbers of all patterns; returns the packing and whether it is proven.

    Two integer programs: least cost, then least number of spools at that cost. `bound` is a proven bound
    and ends the search when met. Stops at a node limit, so the outcome does not depend on the clock
    unless the time limit cuts in.
    """
    spend = np.array([instance.weights[b] for b, _ in columns], dtype=np.float64)
    count = np.array([float(b < instance.bought) for b, _ in columns])
    first = _program(instance, columns, spend, (spend, bound[0], np.inf), deadline)
    if first is None:
        return None, False
    amounts, proven = first
    least = round(float(spend @ amounts))
    second = _program(instance, columns, count, (spend, bound[0], least), deadline)
    if second is not None:
        amounts, proven = second[0], proven and second[1]
    else:
        proven = False
    return trimmed(instance, columns, amounts), proven


def pack_fewest_patterns(
    instance: Instance, columns: Columns, uses: Ints, deadline: Deadline
) -> Packing | None:
    """Packing into at most `uses` bins of each kind with few patterns, or None when none was found.

    Least sum of y_p subject to x_p <= most_p y_p, every piece cut, bins not overdrawn; y_p is 1 where
    pattern p is used. Stops after a fixed number of nodes, so it is not a proof.
    """
    size = len(columns)
    # more of one pattern than this would only cut pieces nobody asked for
    most = [
        min(-(-d // n) for d, n in zip(instance.demand.tolist(), pattern, strict=True) if n)
        for _, pattern in columns
    ]
    model = _Program(instance, columns, uses.tolist(), np.array([*most, *([1] * size)], dtype=np.float64))
    model.setOptionValue("mip_max_nodes", FEWEST_NODE_LIMIT)
    for p in range(size):
        pair = np.array([p, size + p], dtype=np.int32)
        model.addRow(-highspy.kHighsInf, 0.0, 2, pair, np.array([1.0, -float(most[p])]))
    amounts = model.solved(np.repeat([0.0, 1.0], size), deadline)
    return None if amounts is None else trimmed(instance, columns, amounts)


def _program(
    instance: Instance,
    columns: Columns,
    objective: np.ndarray,
    row: tuple[np.ndarray, float, float],
    deadline: Deadline,
) -> tuple[Ints, bool] | None:
    """One integer program; (amounts, proven) or None when HiGHS found no solution."""
    model = _Program(instance, columns, instance.limits, np.full(len(columns), highspy.kHighsInf))
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_abs_gap", 0.5)
    model.setOptionValue("mip_max_nodes", NODE_LIMIT)
    weights, low, high = row
    uses = np.flatnonzero(weights).astype(np.int32)
    model.addRow(float(low), min(float(high), highspy.kHighsInf), len(uses), uses, weights[uses])
    amounts = model.solved(objective, deadline)
    if amounts is None:
        return None
    return amounts, model.getModelStatus() == highspy.HighsModelStatus.kOptimal


class _Program(QuietHighs):
    """Whole numbers of each pattern, and of what else `most` gives a bound: every piece cut, bins kept."""

    def __init__(
        self, instance: Instance, columns: Columns, limits: Sequence[int], most: NDArray[np.float64]
    ) -> None:
        super().__init__()
        self._patterns = np.array([pattern for _, pattern in columns], dtype=np.float64)
        self._demand = instance.demand
        size = len(most)
        self.addVars(size, np.zeros(size), most)
        whole = np.full(size, int(highspy.HighsVarType.kInteger), np.uint8)
        self.changeColsIntegrality(size, np.arange(size, dtype=np.int32), whole)
        for index, wanted in enumerate(instance.demand.tolist()):
            uses = np.flatnonzero(self._patterns[:, index]).astype(np.int32)
            self.addRow(float(wanted), highspy.kHighsInf, len(uses), uses, self._patterns[uses, index])
        bins = np.array([b for b, _ in columns])
        for b, limit in enumerate(limits):
            uses = np.flatnonzero(bins == b).astype(np.int32)
            self.addRow(0.0, float(limit), len(uses), uses, np.ones(len(uses)))

    def solved(self, objective: NDArray[np.float64], deadline: Deadline) -> Ints | None:
        """How often each pattern is cut at least cost, None when no solution was found."""
        self.changeColsCost(len(objective), np.arange(len(objective), dtype=np.int32), objective)
        self.setOptionValue("time_limit", deadline.left_s())
        self.run()
        if self.getInfo().primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return None
        values = self.getSolution().col_value[: len(self._patterns)]
        amounts = np.rint(np.array(values)).astype(np.int64)
        return None if (self._patterns.T @ amounts < self._demand).any() else amounts


def trimmed(instance: Instance, columns: Columns, amounts: Ints) -> Packing:
    """Take out the pieces cut beyond demand, so that exactly what is asked is cut."""
    surplus = -instance.demand.copy()
    for (_, pattern), n in zip(columns, amounts.tolist(), strict=True):
        surplus += n * np.array(pattern)
    packing: Packing = []
    for (b, pattern), n in zip(columns, amounts.tolist(), strict=True):
        left = n
        while left > 0:
            take = np.minimum(pattern, surplus)
            cut = take > 0
            times = min([left, *(surplus[cut] // take[cut]).tolist()])
            packing.append(Bundle(b, tuple((np.array(pattern) - take).tolist()), times))
            surplus -= times * take
            left -= times
    return tidy(packing)
