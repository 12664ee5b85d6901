"""The lines of one cone's flat pattern: cut, stitch and tape lines and grain, as exact arcs and straights."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from shapely.geometry import Polygon

from sizing.drogue.cone import ConePattern
from sizing.errors import ComputationError
from sizing.model import FloatArray

CHORD_ERROR_M: Final = 5e-5
"""Most that the covering polygon stands out from a true arc: a twentieth of a millimetre [derived]."""


def require_pattern(pattern: ConePattern) -> None:
    """Refuse a pattern that no flat piece of cloth can have.

    Radii and angle are finite, 0 < inner < outer, 0 < angle < 2 pi, and the two seam strips stay clear of
    each other in the gap between the straight edges. [derived]
    """
    figures = (
        pattern.outer_radius_m, pattern.inner_radius_m, pattern.angle_rad, pattern.seam_m, pattern.hem_m
    )  # fmt: skip
    sound = (
        all(math.isfinite(figure) for figure in figures)
        and 0.0 < pattern.inner_radius_m < pattern.outer_radius_m
        and 0.0 < pattern.angle_rad < 2.0 * math.pi
        and pattern.seam_m >= 0.0
        and 0.0 <= pattern.hem_m < pattern.slant_m
    )
    gap_rad = 2.0 * math.pi - pattern.angle_rad
    if sound and gap_rad < math.pi:
        sound = pattern.inner_radius_m * math.tan(gap_rad / 2.0) > pattern.seam_m
    if not sound:
        raise ComputationError(
            "cone pattern",
            f"radii {pattern.outer_radius_m:g} m and {pattern.inner_radius_m:g} m, angle "
            f"{math.degrees(pattern.angle_rad):g}°, seam {pattern.seam_m:g} m",
            "an outer radius over the inner one, an angle under 360°, room for the seams between the edges",
            "correct cone_mouth, cone_small_end, cone_slant or seam_allowance in the policy",
        )


def mouth_m(pattern: ConePattern) -> float:
    """Return the mouth diameter a pattern sews up to: d = R a / pi. m. [derived]

    >>> round(mouth_m(ConePattern(0.217714, 0.065314, 1.832596, 0.012)), 4)
    0.127
    """
    return pattern.outer_radius_m * pattern.angle_rad / math.pi


def small_end_m(pattern: ConePattern) -> float:
    """Return the small end's diameter: d = r a / pi. m. [derived]

    >>> round(small_end_m(ConePattern(0.217714, 0.065314, 1.832596, 0.012)), 4)
    0.0381
    """
    return pattern.inner_radius_m * pattern.angle_rad / math.pi


def _unit(angle_rad: float) -> FloatArray:
    """Direction at an angle to the right of the pattern's axis, which points up."""
    return np.array([math.sin(angle_rad), math.cos(angle_rad)])


def cut_line(pattern: ConePattern) -> FloatArray:
    """Return the cut line's corners; columns x, y in m and the bulge of the edge that leaves the corner.

    bulge = tan(sweep / 4), 0 for a straight edge, positive for an arc that turns to the left. The sector's
    centre is at (0, 0) and its axis points up. Each arc is two halves, so that none is over a half circle.
    Runs clockwise without repeating the first corner. [derived]
    """
    half = pattern.angle_rad / 2.0
    bulge = math.tan(half / 4.0)
    rows: list[tuple[float, float, float]] = []
    for radius, angles, sign in (
        (pattern.cut_radius_m, (-half, 0.0, half), -1.0),
        (pattern.inner_radius_m, (half, 0.0, -half), 1.0),
    ):
        for angle, arc in zip(angles, (sign * bulge, sign * bulge, 0.0), strict=True):
            x, y = radius * _unit(angle)
            rows.append((float(x), float(y), arc))
        if pattern.seam_m > 0.0:
            end = angles[-1]
            for edge in (radius, pattern.cut_radius_m + pattern.inner_radius_m - radius):
                x, y = edge * _unit(end) + _outward(pattern, end)
                rows.append((float(x), float(y), 0.0))
    return np.array(rows)


def _outward(pattern: ConePattern, angle_rad: float) -> FloatArray:
    """Step from the straight edge at an angle to the free edge of its seam strip."""
    side = math.copysign(1.0, angle_rad)
    return np.array([side * math.cos(angle_rad), -side * math.sin(angle_rad)]) * pattern.seam_m


def _radial(pattern: ConePattern, angle_rad: float) -> FloatArray:
    """Straight line along the whole slant at an angle to the axis."""
    radii = np.array([pattern.inner_radius_m, pattern.outer_radius_m])
    return np.column_stack((radii[:, None] * _unit(angle_rad), np.zeros(2)))


def stitch_lines(pattern: ConePattern) -> tuple[FloatArray, ...]:
    """Return the two lines that are laid on each other and sewn: the sector's straight edges.

    The sector between them is the whole cone; the seam strips lie outside. Corner rows as in `cut_line`; none
    without a seam, where they are the cut edges. m. [derived]
    """
    half = pattern.angle_rad / 2.0
    return (_radial(pattern, -half), _radial(pattern, half)) if pattern.seam_m > 0.0 else ()


def match_marks(pattern: ConePattern) -> tuple[FloatArray, ...]:
    """Return short lines across both seam strips that meet when the edges are joined.

    One at a third of the slant from the small end, two at two thirds: no edge can be laid end for end.
    None without a seam. m. [practice]
    """
    half, step = pattern.angle_rad / 2.0, 0.02 * pattern.slant_m
    along = [pattern.slant_m / 3.0, 2.0 * pattern.slant_m / 3.0 - step, 2.0 * pattern.slant_m / 3.0 + step]
    return tuple(
        np.array([(*start, 0.0), (*(start + _outward(pattern, end)), 0.0)])
        for end in ((-half, half) if pattern.seam_m > 0.0 else ())
        for start in ((pattern.inner_radius_m + at) * _unit(end) for at in along)
    )


def fold_line(pattern: ConePattern) -> tuple[FloatArray, ...]:
    """Return the arc along which the hem of the mouth is folded; none without a hem. m. [derived]"""
    if not pattern.hem_m:
        return ()
    half = pattern.angle_rad / 2.0
    bulge = -math.tan(half / 4.0)
    ends = [pattern.outer_radius_m * _unit(angle) for angle in (-half, 0.0, half)]
    return (np.array([(x, y, arc) for (x, y), arc in zip(ends, (bulge, bulge, 0.0), strict=True)]),)


def lay_line(pattern: ConePattern) -> tuple[FloatArray, ...]:
    """Return the line on which the other cut edge is laid for a lapped seam; none for an open one.

    It runs beside the right stitch line, as far inside the sector as the other edge stands outside its own:
    so the two stitch lines, one of which is then covered, lie on each other. m. [derived]
    """
    if not pattern.lapped or not pattern.seam_m:
        return ()
    half, aside = pattern.angle_rad / 2.0, pattern.seam_m
    inward = -_outward(pattern, half)
    along = [
        math.sqrt(max(radius**2 - aside**2, 0.0))
        for radius in (pattern.inner_radius_m, pattern.outer_radius_m)
    ]
    return (np.array([(*(reach * _unit(half) + inward), 0.0) for reach in along]),)


def tape_lines(pattern: ConePattern, tapes: int = 3) -> tuple[FloatArray, ...]:
    """Return the lines on which the middles of the tapes lie, at equal steps round the cone.

    Angles a (k + 1/2) / n - a / 2 for k = 0 to n - 1, so three tapes lie at thirds, clear of the seam. m.
    [practice]

    >>> len(tape_lines(ConePattern(0.2, 0.06, 1.8, 0.012)))
    3
    """
    if isinstance(tapes, bool) or not isinstance(tapes, int) or not 1 <= tapes <= 12:
        raise ComputationError("tape lines", f"{tapes!r} tapes", "a whole number from 1 to 12",
                               "correct tapes_per_cone in the policy")  # fmt: skip
    return tuple(
        _radial(pattern, pattern.angle_rad * ((k + 0.5) / tapes - 0.5)) for k in range(tapes)
    )  # fmt: skip


def grain_arrow(pattern: ConePattern) -> tuple[FloatArray, ...]:
    """Return shaft and barbs of the grain arrow, beside and along the sector's axis. m. [assumed]"""
    length, barb = 0.4 * pattern.slant_m, 0.06 * pattern.slant_m
    aside = min(0.12 * pattern.slant_m, 0.1 * pattern.inner_radius_m * pattern.angle_rad)
    foot = pattern.inner_radius_m * math.cos(pattern.angle_rad / 12.0) + 0.45 * pattern.slant_m
    tip = np.array([aside, foot + length])
    ends = (np.array([aside, foot]), tip - np.array([barb / 2.0, barb]), tip + np.array([barb / 2.0, -barb]))
    return tuple(np.column_stack((np.array([end, tip]), np.zeros(2))) for end in ends)


def placed(corners: FloatArray, x_m: float, y_m: float, turn_deg: int) -> FloatArray:
    """Return corner rows turned anticlockwise by quarter turns and moved; bulges stay as they are.

    >>> placed(np.array([[0.0, 2.0, 0.5]]), 1.0, 0.0, 90).tolist()
    [[-1.0, 0.0, 0.5]]
    """
    cosine, sine = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[turn_deg // 90 % 4]
    moved = corners.copy()
    moved[:, 0] = cosine * corners[:, 0] - sine * corners[:, 1] + x_m
    moved[:, 1] = sine * corners[:, 0] + cosine * corners[:, 1] + y_m
    return moved


def enclosed_area_m2(corners: Sequence[Sequence[float]] | FloatArray) -> float:
    """Return the area inside a closed line of straights and arcs.

    Shoelace sum plus, for each arc, its segment r^2 (t - sin t) / 2 with t = 4 atan(bulge) and
    r = c (1 + b^2) / (4 b) on chord c. m2, positive when run anticlockwise. [derived]

    >>> enclosed_area_m2([(0.0, 0.0, 0.0), (2.0, 0.0, 0.0), (2.0, 1.0, 0.0), (0.0, 1.0, 0.0)])
    2.0
    """
    rows = np.asarray(corners, dtype=float)
    x, y, bulge = rows.T
    to_x, to_y = np.roll(x, -1), np.roll(y, -1)
    area = float(np.sum(x * to_y - to_x * y)) / 2.0
    for chord, b in zip(np.hypot(to_x - x, to_y - y), bulge, strict=True):
        if b:
            sweep = 4.0 * math.atan(b)
            radius = chord * (1.0 + b * b) / (4.0 * b)
            area += 0.5 * radius * radius * (sweep - math.sin(sweep))
    return area


def covering_polygon(pattern: ConePattern) -> Polygon:
    """Return a polygon that holds the whole pattern and stands out from it by 0.05 mm at most.

    The outer arc's polygon touches it from outside; the inner arc's chords lie in the hollow. Steps of
    2 acos(1 - e / R). Distances between such polygons are never more than between the patterns. [derived]
    """
    half = pattern.angle_rad / 2.0
    step = 2.0 * math.acos(1.0 - min(CHORD_ERROR_M / pattern.cut_radius_m, 0.1))
    angles = np.linspace(-half, half, max(math.ceil(pattern.angle_rad / step), 4) + 1)
    outward = pattern.cut_radius_m / math.cos((angles[1] - angles[0]) / 2.0)
    unit = np.column_stack((np.sin(angles), np.cos(angles)))
    outer, inner = outward * unit, pattern.inner_radius_m * unit[::-1]
    right, left = _outward(pattern, half), _outward(pattern, -half)
    right_strip = np.array([outer[-1] + right, inner[0] + right])
    left_strip = np.array([inner[-1] + left, outer[0] + left])
    ring = (outer, right_strip, inner, left_strip) if pattern.seam_m > 0.0 else (outer, inner)
    return Polygon(np.concatenate(ring))
