"""Shapes of the sketches: a boat from the side, the sea, cones along a curved line."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Final

from sitegen.drawings.element import d, number
from sitegen.drawings.hulls import Hull
from sitegen.drawings.lettering import wrapped
from sitegen.drawings.measures import cone_tick
from sitegen.drawings.sheet import Point, Sheet

_PAIR: Final = re.compile(r"(-?[0-9.]+) (-?[0-9.]+)")


def trace(path: str, place: Callable[[float, float], Point]) -> str:
    """Return path data (absolute M, L, C, Q and Z only) with every point put in its place.

    >>> trace("M0 0L1 2Z", lambda x, y: (10 + x, 10 + y))
    'M10 10L11 12Z'
    """

    def moved(match: re.Match[str]) -> str:
        x, y = place(float(match[1]), float(match[2]))
        return f"{number(round(x, 1))} {number(round(y, 1))}"

    return _PAIR.sub(moved, path)


def tilted(x: float, y: float, size: float, degrees: float) -> Callable[[float, float], Point]:
    """Return a placing: 1 becomes `size`, turned clockwise by `degrees`, with the origin at (x, y)."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return lambda a, b: (x + size * (a * cos - b * sin), y + size * (a * sin + b * cos))


def draw_profile(sheet: Sheet, place: Callable[[float, float], Point], hull: Hull) -> None:
    """Draw a boat from the side, bow to the left: unit length, origin where the transom meets the water."""
    with sheet.group(part=f"side of {hull}"):
        _profile(sheet, place, motor="motor" in hull, two_hulls="catamaran" in hull)


def _profile(sheet: Sheet, place: Callable[[float, float], Point], *, motor: bool, two_hulls: bool) -> None:
    if two_hulls:
        _catamaran_profile(sheet, place, motor=motor)
        return
    if not motor:
        sheet.path(trace("M-0.42 0.05L-0.45 0.2L-0.6 0.2L-0.58 0.06", place), "ink", 1.2, area="wash")
        sheet.path(trace("M-0.06 0.02L-0.07 0.15L-0.13 0.15L-0.14 0.04", place), "ink", 1.2, area="wash")
    sheet.path(
        trace(
            "M0.02 -0.12L-0.03 0.02C-0.2 0.06 -0.4 0.08 -0.55 0.075C-0.75 0.07 -0.88 0.03 -0.94 -0.02"
            "L-1 -0.17C-0.8 -0.13 -0.3 -0.1 0.02 -0.12Z",
            place,
        ),
        "ink",
        1.5,
        area="wash",
    )
    if motor:
        sheet.path(trace("M-0.2 -0.115L-0.2 -0.24L-0.5 -0.25L-0.62 -0.13", place), "ink", 1.2, area="paper")
        sheet.path(trace("M-0.26 -0.19L-0.48 -0.2", place), "muted", 2.4)
    else:
        sheet.path(
            trace("M-0.3 -0.115L-0.34 -0.165L-0.62 -0.185L-0.7 -0.14", place), "ink", 1.2, area="paper"
        )
        sheet.path(trace("M-0.55 -0.18L-0.55 -0.62", place), "ink", 1.6)
        sheet.path(trace("M-0.55 -0.24L-0.2 -0.26", place), "ink", 1.6)


def _catamaran_profile(sheet: Sheet, place: Callable[[float, float], Point], *, motor: bool) -> None:
    """Two shallow hulls one behind the other, the bridge deck between them, a long low house."""
    sheet.path(trace("M-0.06 0.01L-0.07 0.1L-0.12 0.1L-0.13 0.02", place), "ink", 1.2, area="wash")
    sheet.path(trace("M-0.1 -0.14L-0.16 -0.25L-0.6 -0.25L-0.72 -0.15", place), "ink", 1.2, area="paper")
    sheet.path(trace("M-0.2 -0.2L-0.6 -0.2", place), "muted", 2.4)
    sheet.path(
        trace(
            "M0.03 -0.03L0 0.015C-0.2 0.04 -0.6 0.045 -0.8 0.035C-0.9 0.03 -0.97 0 -0.98 -0.03"
            "L-1 -0.17C-0.8 -0.15 -0.3 -0.14 -0.08 -0.13L-0.02 -0.05Z",
            place,
        ),
        "ink",
        1.5,
        area="wash",
    )
    sheet.path(trace("M-0.12 -0.05L-0.7 -0.06", place), "muted", 1.2)
    if not motor:
        sheet.path(trace("M-0.55 -0.24L-0.55 -0.66", place), "ink", 1.6)
        sheet.path(trace("M-0.55 -0.3L-0.2 -0.32", place), "ink", 1.6)


def bezier(points: tuple[Point, Point, Point, Point], t: float) -> tuple[Point, Point]:
    """Return place and unit direction on a cubic curve at `t` between 0 and 1."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = points
    u = 1.0 - t
    x = u**3 * x0 + 3 * u * u * t * x1 + 3 * u * t * t * x2 + t**3 * x3
    y = u**3 * y0 + 3 * u * u * t * y1 + 3 * u * t * t * y2 + t**3 * y3
    dx = 3 * (u * u * (x1 - x0) + 2 * u * t * (x2 - x1) + t * t * (x3 - x2))
    dy = 3 * (u * u * (y1 - y0) + 2 * u * t * (y2 - y1) + t * t * (y3 - y2))
    length = math.hypot(dx, dy)
    return (x, y), (dx / length, dy / length)


def curve_path(points: tuple[Point, Point, Point, Point]) -> str:
    """Return path data of a cubic curve."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = points
    return d("M", x0, y0, "C", x1, y1, x2, y2, x3, y3)


def draw_coned_line(
    sheet: Sheet,
    points: tuple[Point, Point, Point, Point],
    first: float,
    last: float,
    cones: int,
    size: float = 4.2,
) -> None:
    """Draw a line along a curve with small cones between two of its places, mouths toward its start."""
    sheet.path(curve_path(points), "ink", 1.6)
    ticks = []
    for i in range(cones):
        place, direction = bezier(points, first + (last - first) * i / max(cones - 1, 1))
        ticks.append(cone_tick(place, direction, size, size * 1.5))
    sheet.path("".join(ticks), "a", 0.9, area="sea")


def draw_sea(sheet: Sheet, surface: str, bottom: float) -> None:
    """Draw the sea below a surface that runs over the whole sheet, given as path data."""
    sheet.path(d(surface, "L", sheet.width, bottom, "L0", bottom, "Z"), None, area="sea")
    sheet.path(surface, "a", 1.6)


def pointer(sheet: Sheet, x1: float, y1: float, x2: float, y2: float) -> None:
    """Draw a fine leader from words to the thing meant, ending in a small dot."""
    sheet.line(x1, y1, x2, y2, "muted", 0.8)
    sheet.circle(x2, y2, 1.8, None, area="muted")


def arrow(sheet: Sheet, x1: float, y1: float, x2: float, y2: float) -> None:
    """Draw an arrow."""
    length = math.hypot(x2 - x1, y2 - y1)
    ux, uy = (x2 - x1) / length, (y2 - y1) / length
    head = d("M", x2 - 7 * ux - 4 * uy, y2 - 7 * uy + 4 * ux, "L", x2, y2)
    head += d("L", x2 - 7 * ux + 4 * uy, y2 - 7 * uy - 4 * ux)
    sheet.path(d("M", x1, y1, "L", x2, y2, head), "ink", 1.4)


def cautions(sheet: Sheet, y: float, words: tuple[str, ...]) -> None:
    """Add cautions below a sketch, each with a warning sign, and set the sheet's height."""
    for caution in words:
        rows = wrapped(caution, sheet.font, sheet.width - 46.0)
        sheet.path(d("M14", y + 3, "L21", y - 10, "L28", y + 3, "Z"), "b", 1.4, area="paper")
        sheet.path(d("M21", y - 5, "V", y - 1.5, "M21", y + 0.8, "V", y + 1), "b", 1.5)
        y = sheet.lines(36.0, y + 2.0, rows) + 5.0
    sheet.height = y - 8.0
