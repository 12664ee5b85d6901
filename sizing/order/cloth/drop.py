"""Pieces laid one above the other on a strip that repeats along the cloth: the search and its polishing.

A lattice is a period along the cloth and the pieces in one period. Pieces are laid in turn, each as low as
the pieces under it allow, so nothing can overlap; the search chooses which way round and how far along.
Rows of chevrons, head-to-tail rows, bricks and shifted columns are all lattices of this kind.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from sizing.order.cloth.pair import Pair

_PLACES: Final = 5
_SHIFTED_PIECES: Final = 24
"""More pieces than this in a period are not shifted one by one: the gain no longer pays for the time."""


@dataclass(frozen=True)
class Lattice:
    """Pieces in one period: `ways` 0 as turned, 1 head to tail; places in m from the strip's lower edge."""

    period_m: float
    ways: tuple[int, ...]
    along_m: tuple[float, ...]
    up_m: tuple[float, ...]

    @property
    def metres_each(self) -> float:
        """Cloth a piece takes in the long run; m."""
        return self.period_m / len(self.ways)


def search(pair: Pair, period_m: float, width_m: float, offsets: int, beam: int) -> Lattice | None:
    """Return the lattice of most pieces that a beam search finds at one period; None if not one fits.

    The best `beam` part-filled strips are kept at each step: those with the lowest mean height at which the
    next piece could lie. Places along are whole steps of period / offsets. m. [derived]
    """
    steps = np.arange(offsets)
    shift = np.asarray(steps * (period_m / offsets), dtype=np.float64)
    table = np.array(
        [[pair.clearances_m(below, above, shift, period_m) for above in (0, 1)] for below in (0, 1)]
    )
    top = np.array(pair.top_m)[:, None]
    heights = np.repeat(-np.array(pair.bottom_m)[:, None], offsets, axis=1)[None]
    laid: list[tuple[tuple[int, int], ...]] = [()]
    while True:
        lower = (heights <= np.roll(heights, 1, axis=2)) & (heights <= np.roll(heights, -1, axis=2))
        fits = lower & (heights + top <= width_m)
        if not laid[0]:
            fits[:, :, 1:] = False
        state, way, place = np.nonzero(fits)
        if not len(state):
            break
        at = heights[state, way, place]
        lowest = np.lexsort((place, way, at, state))  # the lowest few places of each strip
        rank = np.arange(len(lowest)) - np.searchsorted(state[lowest], state[lowest])
        keep = lowest[rank < 2 * _PLACES]
        state, way, place, at = state[keep], way[keep], place[keep], at[keep]
        moved = (steps - place[:, None]) % offsets
        raised = np.take_along_axis(table[way], moved[:, None, :], axis=2) + at[:, None, None]
        after = np.maximum(heights[state], raised)
        score = np.round(after.min(axis=1).mean(axis=1), 9)
        _, first = np.unique(score, return_index=True)  # equal scores are the same strip, mirrored or moved
        best = first[:beam]
        heights = after[best]
        laid = [(*laid[state[i]], (int(way[i]), int(place[i]))) for i in best]
    if not laid[0]:
        return None
    ways = tuple(way for way, _ in laid[0])
    return dropped(pair, period_m, ways, [float(shift[place]) for _, place in laid[0]])


def dropped(pair: Pair, period_m: float, ways: Sequence[int], along_m: Sequence[float]) -> Lattice:
    """Return the lattice in which each piece lies as low as those before it allow. m. [derived]"""
    up: list[float] = []
    for j, way in enumerate(ways):
        height = -pair.bottom_m[way]
        for below in (0, 1):
            under = [i for i in range(j) if ways[i] == below]
            if under:
                shift = np.array([along_m[j] - along_m[i] for i in under])
                clear = pair.clearances_m(below, way, shift, period_m)
                height = max(height, float((clear + np.array([up[i] for i in under])).max()))
        up.append(height)
    return Lattice(period_m, tuple(ways), tuple(along_m), tuple(up))


def reach_m(pair: Pair, lattice: Lattice) -> float:
    """Return how far up the strip the pieces reach; m."""
    return max(up + pair.top_m[way] for way, up in zip(lattice.ways, lattice.up_m, strict=True))


def polish(pair: Pair, lattice: Lattice, width_m: float, rounds: int = 2) -> Lattice:
    """Return the lattice with its pieces shifted to lie lower, and its period then made as short as fits.

    Shifts of each piece in turn are halved from a two-hundredth of the period; the period is halved towards
    the shortest at which the width still holds. The result is never longer than what was given. m. [derived]
    """
    best = lattice
    for _ in range(rounds if len(lattice.ways) <= _SHIFTED_PIECES else 1):
        step = best.period_m / 200.0
        while step > best.period_m / 2000.0 and len(lattice.ways) <= _SHIFTED_PIECES:
            best = _shifted(pair, best, step)
            step /= 2.0
        best = _shortened(pair, best, width_m)
    return best


def _shifted(pair: Pair, lattice: Lattice, step_m: float) -> Lattice:
    best, reach = lattice, reach_m(pair, lattice)
    for j in range(1, len(lattice.ways)):
        for move in (-step_m, step_m):
            along = list(best.along_m)
            along[j:] = [place + move for place in along[j:]]  # those above come along
            trial = dropped(pair, best.period_m, best.ways, along)
            trial_reach = reach_m(pair, trial)
            if trial_reach < reach - 1e-9:
                best, reach = trial, trial_reach
    return best


def _shortened(pair: Pair, lattice: Lattice, width_m: float) -> Lattice:
    best = lattice
    short, long = max(pair.pitch_m, 0.97 * lattice.period_m), lattice.period_m
    while long - short > 1e-5:
        middle = (short + long) / 2.0
        scale = middle / lattice.period_m
        trial = dropped(pair, middle, lattice.ways, [place * scale for place in lattice.along_m])
        if reach_m(pair, trial) <= width_m:
            best, long = trial, middle
        else:
            short = middle
    return replace(best, along_m=tuple(place % best.period_m for place in best.along_m))
