"""From the linear program to whole bins: round down, take the rest off, re-price, repeat."""

from __future__ import annotations

import numpy as np

from sizing.order.cutting.clock import Deadline
from sizing.order.cutting.columns import Floats, Master, generate
from sizing.order.cutting.first_fit import fill_bins, fullest_pattern
from sizing.order.cutting.grid import Bundle, Instance, Ints, Packing

ROUNDS_A_STEP = 40
SHORT = 1e-6
NEARLY_WHOLE = 1e-6


def dive(
    master: Master, limits: Ints, blur: float, rng: np.random.Generator, deadline: Deadline
) -> tuple[Packing, Ints]:
    """Pack the demand of the master's instance into at most `limits` bins of each kind.

    Each step solves the linear program for what is left, takes every pattern amount rounded down (or, when
    all are below one, one of the largest amount), and prices new patterns for the rest. As soon as the
    rest can be packed by the fullest-fill rule the dive is over. `blur` is the width of a random change to
    the amounts before the largest is chosen, so that a second dive takes another way; 0 for none.

    Returns the packing and what is left over; all zero on success.
    """
    instance = master.instance
    left, spare = instance.demand.copy(), limits.copy()
    packing: Packing = []
    while left.any() and not deadline.passed():
        rest, over = finish(instance, left, spare)
        if not over.any():
            return [*packing, *rest], over
        master.set_task(left, spare)
        amounts, short = _solve_rest(master, deadline)
        if short > SHORT:
            break
        taken = _choose(master, amounts, left, spare, blur, rng)
        if not taken:
            break
        for bundle in taken:
            left -= bundle.times * np.array(bundle.counts)
            spare[bundle.bin] -= bundle.times
        packing += taken
    rest, over = finish(instance, left, spare)
    return [*packing, *rest], over


def finish(instance: Instance, left: Ints, spare: Ints) -> tuple[Packing, Ints]:
    """Try to pack the rest by the fullest-fill rule, small bins first."""
    order = sorted(range(instance.bins), key=lambda b: (instance.capacities[b], b))
    return fill_bins(instance, left, [(b, int(spare[b])) for b in order], fullest_pattern())


def _solve_rest(master: Master, deadline: Deadline) -> tuple[Floats, float]:
    """Amounts for what is left; a few rounds of pricing, many only while something does not fit."""
    _, amounts, _, short, settled = generate(master, deadline, rounds=2)
    for _ in range(ROUNDS_A_STEP):
        if short <= SHORT or settled or deadline.passed():
            break
        _, amounts, _, short, settled = generate(master, deadline, rounds=4)
    return amounts, short


def _choose(
    master: Master, amounts: Floats, left: Ints, spare: Ints, blur: float, rng: np.random.Generator
) -> Packing:
    """Patterns to take now: all amounts rounded down, or one of the largest amount."""
    taken: Packing = []
    left, spare = left.copy(), spare.copy()
    for index in np.flatnonzero(amounts >= 1 - NEARLY_WHOLE).tolist():
        b, counts = master.patterns[index]
        used = counts > 0
        times = min(
            int(amounts[index] + NEARLY_WHOLE), int((left[used] // counts[used]).min()), int(spare[b])
        )
        if times > 0:
            taken.append(Bundle(b, tuple(counts.tolist()), times))
            left -= times * counts
            spare[b] -= times
    if taken:
        return taken
    score = amounts + blur * rng.random(len(amounts)) * (amounts > SHORT)
    for index in np.argsort(-score, kind="stable").tolist():
        b, counts = master.patterns[index]
        if amounts[index] > SHORT and spare[b] > 0 and (counts <= left).all():
            return [Bundle(b, tuple(counts.tolist()), 1)]
    return []
