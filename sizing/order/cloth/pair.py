"""A piece and the same piece turned head to tail, with what each needs of the other on the cloth."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from shapely.affinity import rotate
from shapely.geometry import Polygon

from sizing.drogue.cone import ConePattern
from sizing.model import FloatArray
from sizing.order.cloth.outline import covering_polygon
from sizing.order.cloth.profile import Profile, clearance_m, lower_edge, upper_edge

_QUARTER_STEPS: Final = 16
_ROUND_UP: Final = 1.0 / math.cos(math.pi / (4 * _QUARTER_STEPS)) + 1e-9
"""Makes the polygon of a rounded corner reach the true round."""


def _across(polygon: Polygon) -> Polygon:
    """Swap along and across."""
    return shapely.transform(polygon, lambda points: points[:, ::-1])


@dataclass(frozen=True)
class Pair:
    """Index 0 is the piece as turned, 1 the same turned by 180 degrees; along the cloth is x. m."""

    left_m: tuple[float, float]
    right_m: tuple[float, float]
    bottom_m: tuple[float, float]
    top_m: tuple[float, float]
    upper: tuple[Profile, Profile]  # widened by the gap
    lower: tuple[Profile, Profile]
    pitch_m: float  # nearest the same piece can follow itself along the cloth

    @property
    def length_m(self) -> float:
        """Length of one piece along the cloth."""
        return self.right_m[0] - self.left_m[0]

    @property
    def depth_m(self) -> float:
        """Width of one piece across the cloth."""
        return self.top_m[0] - self.bottom_m[0]

    def clearances_m(self, below: int, above: int, shift_m: FloatArray, period_m: float) -> FloatArray:
        """Least distance up from one piece to another, and to its copies at every period along; m."""
        first = math.floor((self.left_m[below] - self.right_m[above] - float(shift_m.max())) / period_m)
        last = math.ceil((self.right_m[below] - self.left_m[above] - float(shift_m.min())) / period_m)
        copies = shift_m[..., None] + period_m * np.arange(first - 1, last + 2)
        met = np.full(copies.shape, -np.inf)
        # the gap widens the lower piece, so a copy just past the extents may still count
        reach = self.length_m + 0.1
        near = np.abs(copies - (self.left_m[below] - self.left_m[above])) <= reach
        met[near] = clearance_m(self.upper[below], self.lower[above], copies[near])
        return np.asarray(met.max(axis=-1))


def head_to_tail(pattern: ConePattern, turn_deg: int, gap_m: float) -> Pair:
    """Return the pair of a pattern turned by so many degrees, pieces to lie a gap apart. m."""
    first = rotate(covering_polygon(pattern), turn_deg, origin=(0.0, 0.0))
    both = (first, rotate(first, 180, origin=(0.0, 0.0)))
    wide = [piece.buffer(gap_m * _ROUND_UP, quad_segs=_QUARTER_STEPS) if gap_m else piece for piece in both]
    bounds = [piece.bounds for piece in both]
    pitch = clearance_m(upper_edge(_across(wide[0])), lower_edge(_across(both[0])), np.zeros(1))
    return Pair(
        left_m=(bounds[0][0], bounds[1][0]),
        right_m=(bounds[0][2], bounds[1][2]),
        bottom_m=(bounds[0][1], bounds[1][1]),
        top_m=(bounds[0][3], bounds[1][3]),
        upper=(upper_edge(wide[0]), upper_edge(wide[1])),
        lower=(lower_edge(both[0]), lower_edge(both[1])),
        pitch_m=float(pitch[0]),
    )
