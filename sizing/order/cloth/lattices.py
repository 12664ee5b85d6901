"""The few best ways to cover a strip of cloth with one pattern, over all periods along the cloth."""

from __future__ import annotations

from functools import lru_cache
from typing import Final, Literal

import numpy as np

from sizing.drogue.cone import ConePattern
from sizing.order.cloth.drop import Lattice, polish, search
from sizing.order.cloth.pair import Pair, head_to_tail

Grain = Literal["along", "across"]
"""How the axis of the flat sector lies: along the cloth's length (the warp) or across it; always 0 or 180."""

TURNS: Final[dict[Grain, int]] = {"along": 270, "across": 0}
"""Anticlockwise turn of the pattern, whose axis points up, on a cloth that runs to the right; degrees."""

_LONGEST: Final = 2.2
_PERIODS: Final = 31
_FINE: Final = 9
_KEPT: Final = 3
_KEPT_PATTERNS: Final = 512
"""Patterns remembered with all they depend on: boats of a fleet ask for the same few again and again."""


@lru_cache(maxsize=_KEPT_PATTERNS)
def pair_for(pattern: ConePattern, grain: Grain, gap_m: float) -> Pair:
    """Return the pattern's head-to-tail pair as it lies on the cloth. m."""
    return head_to_tail(pattern, TURNS[grain], gap_m)


@lru_cache(maxsize=_KEPT_PATTERNS)
def best_lattices(
    pattern: ConePattern, grain: Grain, usable_width_m: float, gap_m: float
) -> tuple[Lattice, ...]:
    """Return the best lattices found, least cloth a piece first; empty if not one piece fits the width.

    Periods from the closest pitch of one row to 2.2 of it, in coarse steps, then finely round the best;
    the best are polished. Lattices of fewer pieces a period serve small counts, so a few are handed back. m.
    """
    pair = pair_for(pattern, grain, gap_m)
    if pair.depth_m > usable_width_m:
        return ()
    coarse = np.linspace(1.0, _LONGEST, _PERIODS)
    found = _at(pair, coarse, usable_width_m, offsets=72, beam=6)
    step = coarse[1] - coarse[0]
    fine: set[float] = set()
    for lattice in found[:_KEPT]:
        ratio = lattice.period_m / pair.pitch_m
        near = np.linspace(ratio - step, ratio + step, _FINE)
        fine.update(float(r) for r in near.round(6) if r >= 1.0)
    found = _ranked(found + _at(pair, np.array(sorted(fine)), usable_width_m, offsets=120, beam=16))
    polished = [polish(pair, lattice, usable_width_m) for lattice in found[:_KEPT]]
    return tuple(_ranked([*polished, *found[_KEPT:]])[: 2 * _KEPT])


def _at(pair: Pair, ratios: np.ndarray, width_m: float, offsets: int, beam: int) -> list[Lattice]:
    tried = (search(pair, pair.pitch_m * float(ratio), width_m, offsets, beam) for ratio in ratios)
    return _ranked([lattice for lattice in tried if lattice is not None])


def _ranked(lattices: list[Lattice]) -> list[Lattice]:
    return sorted(lattices, key=lambda lattice: (lattice.metres_each, lattice.period_m))
