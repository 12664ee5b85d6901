"""Last touches that leave cost and number of spools as they are: the shelf used up, patterns made alike."""

from __future__ import annotations

import numpy as np

from sizing.order.cutting.clock import Deadline
from sizing.order.cutting.first_fit import fullest_pattern, spread
from sizing.order.cutting.grid import Bundle, Instance, Ints, Packing, tidy, uses_of
from sizing.order.cutting.patterns import FEW_COLUMNS, all_columns, pack_fewest_patterns

ROOM_FACTORS = (1.0, 1.5, 2.0, 3.0, 5.0)
REPEATS = 48


def use_shelf(instance: Instance, packing: Packing) -> Packing:
    """Move pieces from bought spools into room left on remnants, until none fits any more.

    Longest remnant room first, longest piece first. Cost and spools can only fall.
    """
    if instance.bought == instance.bins:
        return packing
    bins = spread(packing)
    used = uses_of(instance, packing)
    for b in range(instance.bought, instance.bins):
        idle = instance.limits[b] - int(used[b])
        bins += [(b, np.zeros(len(instance.widths), dtype=np.int64)) for _ in range(idle)]
    bought = [counts for b, counts in bins if b < instance.bought]
    shelf = [(instance.capacities[b], counts) for b, counts in bins if b >= instance.bought]
    shelf.sort(key=lambda item: -(item[0] - int(np.dot(item[1], instance.widths))))
    for capacity, counts in shelf:
        room = capacity - int(np.dot(counts, instance.widths))
        for index, width in enumerate(instance.widths.tolist()):
            for source in bought:
                while width <= room and source[index] > 0:
                    source[index] -= 1
                    counts[index] += 1
                    room -= width
    return tidy([Bundle(b, tuple(counts.tolist()), 1) for b, counts in bins])


def fewer_patterns(instance: Instance, packing: Packing, deadline: Deadline) -> Packing:
    """The same bins cut by fewer distinct patterns, if a bounded effort finds such a packing.

    First a few sequential attempts: each looks for the pattern that can be repeated most often while its
    offcut stays within a factor of the mean offcut that may still be left [practice: sequential heuristic].
    Then, where all patterns are few, an integer program with a node limit. The number of patterns is not
    proven least.
    """
    best = packing
    if int(instance.demand.max()) < 2 or len(best) == 1 or deadline.passed():
        return best
    uses = uses_of(instance, packing)
    trials = [_repeated(instance, uses, factor) for factor in ROOM_FACTORS]
    columns = all_columns(instance)
    if columns is not None and len(columns) <= FEW_COLUMNS:
        trials.append(pack_fewest_patterns(instance, columns, uses, deadline))
    for trial in trials:
        if trial is not None and len(trial) < len(best):
            best = trial
    return best


def _repeated(instance: Instance, spare: Ints, factor: float) -> Packing | None:
    filler = fullest_pattern()
    left, spare = instance.demand.copy(), spare.copy()
    result: Packing = []
    for b in sorted(range(instance.bins), key=lambda b: (-instance.capacities[b], b)):
        while spare[b] > 0 and left.any():
            bundle = _most_repeated(
                instance, b, int(spare[b]), left, _mean_room(instance, spare, left) * factor
            )
            if bundle is None:
                counts = filler(instance.widths, left, instance.capacities[b])
                if not counts.any():
                    break
                bundle = Bundle(b, tuple(counts.tolist()), 1)
            result.append(bundle)
            left -= bundle.times * np.array(bundle.counts)
            spare[b] -= bundle.times
    return None if left.any() else tidy(result)


def _mean_room(instance: Instance, spare: Ints, left: Ints) -> float:
    room = int(np.dot(spare, instance.capacities)) - int(np.dot(left, instance.widths))
    return room / max(1, int(spare.sum()))


def _most_repeated(instance: Instance, b: int, spare: int, left: Ints, room: float) -> Bundle | None:
    """The pattern with offcut <= room that can be cut most often, tried from many times down to once."""
    filler = fullest_pattern(force_longest=False)
    capacity = instance.capacities[b]
    repeats = {spare, 1}
    for n, width in zip(left.tolist(), instance.widths.tolist(), strict=True):
        repeats.update(n // k for k in range(1, min(n, capacity // width) + 1))
    tried = sorted((n for n in repeats if 0 < n <= spare), reverse=True)
    for times in tried[:: max(1, len(tried) // REPEATS)]:
        counts = filler(instance.widths, left // times, capacity)
        if capacity - int(np.dot(counts, instance.widths)) <= room:
            return Bundle(b, tuple(counts.tolist()), times)
    return None
