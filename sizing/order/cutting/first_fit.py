"""Packings by rule: first-fit-decreasing, the fullest fill of bin after bin, a few bins packed anew."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np

from sizing.order.cutting.clock import Deadline
from sizing.order.cutting.grid import Bundle, Instance, Ints, Packing, tidy, uses_of
from sizing.order.cutting.knapsack import best_fill

BIN_LIMIT = 400

Filler = Callable[[Ints, Ints, int], Ints]  # (widths, left, capacity) -> pieces of each width


def greedy_pattern(widths: Ints, left: Ints, capacity: int) -> Ints:
    """Longest first, as many of each as fit: the next bin of first-fit-decreasing."""
    counts = np.zeros(len(widths), dtype=np.int64)
    room = capacity
    for index in np.flatnonzero((left > 0) & (widths <= capacity)).tolist():
        width = int(widths[index])
        if width <= room:
            counts[index] = min(int(left[index]), room // width)
            room -= int(counts[index]) * width
    return counts


def fullest_pattern(bonus: Ints | None = None, force_longest: bool = True) -> Filler:
    """Filler that leaves the least offcut; among equals the fewest pieces, or the greatest bonus.

    Long pieces are the hard ones to place later, so by default the longest that fits goes in first.
    """

    def fill(widths: Ints, left: Ints, capacity: int) -> Ints:
        counts = np.zeros(len(widths), dtype=np.int64)
        fits = np.flatnonzero((left > 0) & (widths <= capacity))
        if not len(fits):
            return counts
        room, spare = capacity, left[fits].copy()
        if force_longest:
            counts[fits[0]] = 1
            spare[0] -= 1
            room -= int(widths[fits[0]])
        scale = int(spare.sum()) + 2 if bonus is None else int((bonus[fits] * spare).sum()) + 2
        extra = -1 if bonus is None else bonus[fits]
        counts[fits] += best_fill(widths[fits], spare, widths[fits] * scale + extra, room).pattern(room)
        return counts

    return fill


def fill_bins(
    instance: Instance, left: Ints, sequence: Iterable[tuple[int, int]], filler: Filler
) -> tuple[Packing, Ints]:
    """Fill bins in the order (bin, how many) given; returns the packing and what is left over.

    Filling bin by bin with `greedy_pattern` gives exactly what first-fit-decreasing gives piece by piece.
    A pattern is repeated while what is left allows it.
    """
    left = left.copy()
    packing: Packing = []
    for b, available in sequence:
        spare = available
        while spare > 0 and left.any():
            counts = filler(instance.widths, left, instance.capacities[b])
            used = counts > 0
            if not used.any():
                break
            times = min(spare, int((left[used] // counts[used]).min()))
            packing.append(Bundle(b, tuple(counts.tolist()), times))
            left -= times * counts
            spare -= times
    return packing, left


def downsized(instance: Instance, packing: Packing) -> Packing:
    """Each bought bin exchanged for the cheapest kind that still holds its pieces and is still to be had."""
    spare = list(instance.limits)
    for bundle in packing:
        spare[bundle.bin] -= bundle.times
    result: Packing = []
    for bundle in packing:
        length = int(np.dot(instance.widths, bundle.counts))
        best = bundle.bin
        if best < instance.bought:
            for b in range(instance.bought):
                if (
                    instance.capacities[b] >= length
                    and instance.weights[b] < instance.weights[best]
                    and spare[b] >= bundle.times
                ):
                    best = b
            spare[bundle.bin] += bundle.times
            spare[best] -= bundle.times
        result.append(Bundle(best, bundle.counts, bundle.times))
    return tidy(result)


def sequences(instance: Instance) -> list[list[tuple[int, int]]]:
    """Orders in which to open bins: remnants, shortest first; then each bought kind in the lead once."""
    shelf = [(b, instance.limits[b]) for b in range(instance.bought, instance.bins)]
    kinds = sorted(
        range(instance.bought),
        key=lambda b: (instance.weights[b] / instance.capacities[b], -instance.capacities[b], b),
    )
    leads = [[lead, *(b for b in kinds if b != lead)] for lead in kinds] or [[]]
    return [[*shelf, *((b, instance.limits[b]) for b in order)] for order in leads]


def first_fit_decreasing(instance: Instance) -> tuple[Packing | None, Packing]:
    """Cheapest complete packing over all orders of opening, and the one that leaves least uncut.

    The first is None when no order places every piece.
    """
    best: tuple[tuple[int, int], Packing] | None = None
    fallback: tuple[int, Packing] | None = None
    for sequence in sequences(instance):
        packing, left = fill_bins(instance, instance.demand, sequence, greedy_pattern)
        packing = downsized(instance, packing)
        over = int(np.dot(left, instance.widths))
        if fallback is None or over < fallback[0]:
            fallback = (over, packing)
        key = instance.spent(uses_of(instance, packing))
        if over == 0 and (best is None or key < best[0]):
            best = (key, packing)
    return (best[1] if best else None), (fallback[1] if fallback else [])


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
