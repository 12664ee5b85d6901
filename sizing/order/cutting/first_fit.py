"""Packings by rule: first-fit-decreasing, and the fullest fill of one bin after another."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np

from sizing.order.cutting.grid import Bundle, Instance, Ints, Packing, tidy, uses_of
from sizing.order.cutting.knapsack import best_fill

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
