"""Fewest distinct patterns over given bins: an integer program, its effort bounded by nodes."""

from __future__ import annotations

import highspy
import numpy as np

from sizing.order.cutting.clock import Deadline
from sizing.order.cutting.grid import Instance, Ints, Packing
from sizing.order.cutting.highs import QuietHighs
from sizing.order.cutting.patterns import Columns, trimmed

NODE_LIMIT = 200


def pack_fewest_patterns(
    instance: Instance, columns: Columns, uses: Ints, deadline: Deadline
) -> Packing | None:
    """Packing into at most `uses` bins of each kind with few patterns, or None when none was found.

    Least sum of y_p subject to x_p <= most_p y_p, every piece cut, bins not overdrawn; y_p is 1 where
    pattern p is used. Stops after a fixed number of nodes, so it is not a proof.
    """
    size = len(columns)
    matrix = np.array([pattern for _, pattern in columns], dtype=np.float64)
    # more of one pattern than this would only cut pieces nobody asked for
    most = [
        min(-(-d // n) for d, n in zip(instance.demand.tolist(), pattern, strict=True) if n)
        for _, pattern in columns
    ]
    model = QuietHighs()
    model.setOptionValue("mip_max_nodes", NODE_LIMIT)
    model.setOptionValue("time_limit", deadline.left_s())
    every = np.arange(2 * size, dtype=np.int32)
    model.addVars(2 * size, np.zeros(2 * size), np.array([*most, *([1] * size)], dtype=np.float64))
    model.changeColsCost(2 * size, every, np.repeat([0.0, 1.0], size))
    model.changeColsIntegrality(
        2 * size, every, np.full(2 * size, int(highspy.HighsVarType.kInteger), np.uint8)
    )
    for index, wanted in enumerate(instance.demand.tolist()):
        where = np.flatnonzero(matrix[:, index]).astype(np.int32)
        model.addRow(float(wanted), highspy.kHighsInf, len(where), where, matrix[where, index])
    bins = np.array([b for b, _ in columns])
    for b, limit in enumerate(uses.tolist()):
        where = np.flatnonzero(bins == b).astype(np.int32)
        model.addRow(0.0, float(limit), len(where), where, np.ones(len(where)))
    for p in range(size):
        pair = np.array([p, size + p], dtype=np.int32)
        model.addRow(-highspy.kHighsInf, 0.0, 2, pair, np.array([1.0, -float(most[p])]))
    model.run()
    if model.getInfo().primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return None
    amounts = np.rint(np.array(model.getSolution().col_value[:size])).astype(np.int64)
    if (matrix.T @ amounts < instance.demand).any():
        return None
    return trimmed(instance, columns, amounts)
