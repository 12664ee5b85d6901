"""Held, not only strong: how a rig holds a boat in the strike, against the rig she needs.

Too little drogue pulls less, so strength alone would reward it. What tells is how fast she still runs, how
far the crest takes her with it, and how long she stays on it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from sizing.drogue.strike import HELD_TIMES_S, REFERENCE_CREST_SPEED_M_S
from sizing.model import FloatArray, HoldColumns, IntArray

HOLD_MEASURES: Final[tuple[str, ...]] = (
    *(f"speed after {time:g} s" for time in HELD_TIMES_S),
    *(f"distance run after {time:g} s" for time in HELD_TIMES_S),
    "time on the crest",
)
"""What is compared; times count from the moment the crest takes her at its own speed."""


@dataclass(frozen=True)
class HoldComparison:
    """How far gear stays behind what is needed, (n,).

    `excess` is the worst of HOLD_MEASURES, as a share above the required rig's: at most the policy's share,
    a tenth [assumed], meets; infinite where the wave carries her along; NaN where either is not known.
    `worst` is that measure's place in HOLD_MEASURES, -1 where there is none.
    """

    excess: FloatArray
    worst: IntArray


def compare_hold(aboard: HoldColumns, required: HoldColumns) -> HoldComparison:
    """Compare how gear holds each boat with how the rig she needs does; columns (n,).

    Distances and time on the crest by their ratio; speeds by their difference over the crest's own speed, at
    which she was thrown, since a boat that is held may soon lie still or run back. A speed counts while the
    wave still drives her: once it has passed, a soft line throws her back, and to be thrown back less is no
    fault. Less is better throughout. [CG87 6.1; derived]
    """
    distance = aboard.distance_m / required.distance_m - 1.0
    speed = (aboard.speed_mps - required.speed_mps) / REFERENCE_CREST_SPEED_M_S
    crest = aboard.crest_s / required.crest_s - 1.0
    known = ~np.isnan(np.column_stack([speed, distance, crest])).any(axis=1)
    driven = aboard.crest_s[:, None] >= np.array(HELD_TIMES_S)
    measures = np.column_stack([np.where(driven, speed, -np.inf), distance, crest])
    lost = aboard.carried & ~required.carried & np.isfinite(required.crest_s)
    excess = np.where(known, measures.max(axis=1), np.where(lost, np.inf, np.nan))
    worst = np.where(known, measures.argmax(axis=1), -1)
    return HoldComparison(excess, np.where(lost, len(HOLD_MEASURES) - 1, worst))
