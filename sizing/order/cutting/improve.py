"""Local improvement: take a few bins apart and pack them again, fuller."""

from __future__ import annotations

import numpy as np

from sizing.order.cutting.clock import Deadline
from sizing.order.cutting.first_fit import fullest_pattern
from sizing.order.cutting.grid import Bundle, Instance, Ints, Packing, uses_of

BIN_LIMIT = 400


def spread(packing: Packing) -> list[tuple[int, Ints]]:
    """One (bin, counts) for every bin."""
    return [(x.bin, np.array(x.counts, dtype=np.int64)) for x in packing for _ in range(x.times)]


def squeeze(
    instance: Instance,
    packing: Packing,
    over: Ints,
    limits: Ints,
    steps: int,
    rng: np.random.Generator,
    deadline: Deadline,
) -> tuple[Packing, Ints]:
    """Fit the pieces left over into the same bins by repacking two to five bins at a time.

    A step is kept when the length left over does not grow. Bounded by a number of steps, not by the clock.
    Returns the packing and what is still left over.
    """
    bins = spread(packing)
    unused = limits - uses_of(instance, packing)
    for b in range(instance.bins):
        bins += [(b, np.zeros(len(over), dtype=np.int64))] * min(int(unused[b]), BIN_LIMIT + 1)
    if not bins or len(bins) > BIN_LIMIT:
        return packing, over
    for _ in range(steps):
        if not over.any() or deadline.passed():
            break
        many = min(len(bins), int(rng.integers(2, 6)))
        chosen = rng.choice(len(bins), size=many, replace=False).tolist()
        pool = over + np.sum([bins[index][1] for index in chosen], axis=0)
        bonus = rng.integers(0, 50, size=len(over))
        filler = fullest_pattern(bonus, force_longest=bool(rng.integers(0, 2)))
        fresh: list[Ints] = []
        for index in chosen:
            fresh.append(filler(instance.widths, pool, instance.capacities[bins[index][0]]))
            pool = pool - fresh[-1]
        if int(np.dot(pool, instance.widths)) <= int(np.dot(over, instance.widths)):
            for index, counts in zip(chosen, fresh, strict=True):
                bins[index] = (bins[index][0], counts)
            over = pool
    return [Bundle(b, tuple(n.tolist()), 1) for b, n in bins if n.any()], over
