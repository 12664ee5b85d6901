"""The best pattern for given piece values: an exact bounded knapsack over every capacity at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.order.cutting.grid import Ints


@dataclass(frozen=True)
class BestFill:
    """Greatest total value for every capacity, and the pattern that has it."""

    value: Ints
    _items: list[tuple[int, int, int]]  # (width index, pieces taken together, their length)
    _took: NDArray[np.bool_]
    _kinds: int

    def pattern(self, capacity: int) -> Ints:
        """Pieces of each width in a best pattern of this capacity."""
        counts = np.zeros(self._kinds, dtype=np.int64)
        room = capacity
        for row in range(len(self._items) - 1, -1, -1):
            if self._took[row, room]:
                index, together, length = self._items[row]
                counts[index] += together
                room -= length
        return counts


def best_fill(widths: Ints, copies: Ints, values: Ints, capacity: int) -> BestFill:
    """Solve max sum(values x) subject to sum(widths x) <= c, 0 <= x <= copies, for every c up to capacity.

    Dynamic programming over whole capacities in 64-bit integers: no rounding anywhere. Copies are split in
    powers of two, so time grows with capacity x widths x log(copies).

    >>> fill = best_fill(np.array([5, 3]), np.array([1, 4]), np.array([5, 3]), 11)
    >>> int(fill.value[11]), fill.pattern(11).tolist()
    (11, [1, 2])
    """
    items: list[tuple[int, int, int]] = []
    gains: list[int] = []
    for index, (width, most, value) in enumerate(
        zip(widths.tolist(), copies.tolist(), values.tolist(), strict=True)
    ):
        left = min(most, capacity // width) if value > 0 else 0
        together = 1
        while left > 0:
            together = min(together, left)
            items.append((index, together, together * width))
            gains.append(together * value)
            left -= together
            together *= 2
    best = np.zeros(capacity + 1, dtype=np.int64)
    took = np.zeros((len(items), capacity + 1), dtype=np.bool_)
    for row, ((_, _, length), gain) in enumerate(zip(items, gains, strict=True)):
        trial = best[: capacity + 1 - length] + gain
        target = best[length:]
        np.greater(trial, target, out=took[row, length:])
        np.maximum(trial, target, out=target)
    return BestFill(best, items, took, len(widths))
