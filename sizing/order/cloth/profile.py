"""How near one outline can come to another along one direction, exactly, from their upper and lower edges."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from shapely.geometry import Polygon

from sizing.model import FloatArray

_STEP_M: Final = 1e-8
"""Half width of a jump where an edge is upright: far below any length that can be cut."""


@dataclass(frozen=True)
class Profile:
    """One edge of an outline as height over distance, piecewise straight; m."""

    at_m: FloatArray
    height_m: FloatArray


def _edge(polygon: Polygon, upper: bool) -> Profile:
    ring = np.asarray(polygon.exterior.coords)
    (x0, y0), (x1, y1) = ring[:-1].T, ring[1:].T
    corners = np.unique(ring[:, 0])
    at = np.unique(np.concatenate((corners - _STEP_M, corners, corners + _STEP_M)))
    at = at[(at >= corners[0]) & (at <= corners[-1])]
    crossed = (at[:, None] >= np.minimum(x0, x1)) & (at[:, None] <= np.maximum(x0, x1))
    upright = x0 == x1
    share = np.where(upright, 0.0, (at[:, None] - x0) / np.where(upright, 1.0, x1 - x0))
    here = y0 + share * (y1 - y0)
    there = np.where(upright, y1, here)
    if upper:
        return Profile(at, np.where(crossed, np.maximum(here, there), -np.inf).max(axis=1))
    return Profile(at, np.where(crossed, np.minimum(here, there), np.inf).min(axis=1))


def upper_edge(polygon: Polygon) -> Profile:
    """Return the highest point of a polygon over every distance along; m."""
    return _edge(polygon, True)


def lower_edge(polygon: Polygon) -> Profile:
    """Return the lowest point of a polygon over every distance along; m."""
    return _edge(polygon, False)


def clearance_m(below: Profile, above: Profile, shift_m: FloatArray) -> FloatArray:
    """Return how far up an outline must be moved to lie wholly above another, for each shift along.

    c(d) = max over x of below(x) - above(x - d); both are piecewise straight, so the maximum is at a corner
    of one of them. -inf where the two pass clear of each other. m; any shape. [derived]

    >>> square = Polygon([(0, 0), (1, 0), (1, 1), (0, 1)])
    >>> clearance_m(upper_edge(square), lower_edge(square), np.array([0.5, 2.0])).tolist()
    [1.0, -inf]
    """
    shift = np.asarray(shift_m, dtype=float)[..., None]
    under = np.interp(below.at_m - shift, above.at_m, above.height_m, left=np.inf, right=np.inf)
    over = np.interp(above.at_m + shift, below.at_m, below.height_m, left=-np.inf, right=-np.inf)
    return np.asarray(
        np.maximum((below.height_m - under).max(axis=-1), (over - above.height_m).max(axis=-1))
    )  # fmt: skip
