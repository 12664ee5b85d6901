"""Axes of the plots: a mapping from SI figures to the sheet, and round ticks in either unit system."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType
from typing import Final

import numpy as np
import numpy.typing as npt

from sitegen.drawings.element import d
from sitegen.drawings.lettering import text_width
from sitegen.drawings.sheet import Sheet
from sizing.units import Shown, show, si_factor

# The units in which `sizing.units.show` gives a dimension: pint name and sign, metric then US.
_TICK_UNITS: Final[Mapping[str, tuple[tuple[str, str], tuple[str, str]]]] = MappingProxyType(
    {
        "force": (("kilonewton", "kN"), ("pound_force", "lbf")),
        "mass": (("kilogram", "kg"), ("pound", "lb")),
        "length": (("metre", "m"), ("foot", "ft")),
        "speed": (("metre/second", "m/s"), ("knot", "kn")),
        "wind": (("knot", "kn"), ("knot", "kn")),
        "time": (("second", "s"), ("second", "s")),
        "angle": (("degree", "°"), ("degree", "°")),
        "ratio": (("percent", "%"), ("percent", "%")),
    }
)
_SYSTEMS: Final = ("u-metric", "u-us")


@dataclass(frozen=True)
class Axis:
    """Where figures from `low` to `high` (SI) lie on the sheet: from `start` to `end`, straight or log."""

    low: float
    high: float
    start: float
    end: float
    log: bool = False

    def __post_init__(self) -> None:
        bounds = (self.low, self.high)
        if not (
            all(map(math.isfinite, bounds)) and self.low < self.high and (not self.log or self.low > 0.0)
        ):
            raise ValueError(f"an axis cannot run from {self.low} to {self.high}")

    def at(self, value: float) -> float:
        """Return the place of `value`; ValueError outside the axis, so that nothing leaves the drawing.

        >>> Axis(0.0, 10.0, 100.0, 200.0).at(2.5)
        125.0
        """
        slack = 1e-9 * (self.high - self.low)
        if not self.low - slack <= value <= self.high + slack:
            raise ValueError(f"{value} lies outside the axis from {self.low} to {self.high}")
        if self.log:
            share = math.log(value / self.low) / math.log(self.high / self.low)
        else:
            share = (value - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)


def curve_on(x: Axis, y: Axis, across: npt.ArrayLike, up: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Return the places of a curve's points on two straight axes; shape (n, 2). ValueError outside them."""
    columns = []
    for axis, values in ((x, np.asarray(across, dtype=np.float64)), (y, np.asarray(up, dtype=np.float64))):
        axis.at(float(values.min()))
        axis.at(float(values.max()))
        columns.append(axis.start + (values - axis.low) / (axis.high - axis.low) * (axis.end - axis.start))
    return np.column_stack(columns)


def round_ticks(low: float, high: float, at_most: int) -> list[float]:
    """Return at most `at_most` multiples of 1, 2 or 5 times a power of ten in [low, high].

    >>> round_ticks(0.0, 23.0, 6)
    [0.0, 5.0, 10.0, 15.0, 20.0]
    """
    power = math.floor(math.log10((high - low) / max(at_most, 1))) - 1
    for step in (m * 10.0**p for p in range(power, power + 4) for m in (1.0, 2.0, 5.0)):
        first = math.ceil(low / step - 1e-9)
        count = math.floor(high / step + 1e-9) - first + 1
        if count <= at_most:
            return [round((first + i) * step, 12) for i in range(count)]
    return []


def log_ticks(low: float, high: float, at_most: int) -> list[float]:
    """Return at most `at_most` round figures in [low, high] for a log axis.

    >>> log_ticks(3.0, 120.0, 6)
    [5.0, 10.0, 20.0, 50.0, 100.0]
    """
    powers = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    found: list[float] = []
    for steps in ((1,), (1, 3), (1, 2, 5), (1, 1.5, 2, 3, 5, 7)):
        ticks = [s * 10.0**p for p in powers for s in steps if low <= s * 10.0**p <= high]
        if len(ticks) <= at_most:
            found = ticks
    return found if len(found) > 1 else round_ticks(low, high, at_most)


def ticks_of(
    axis: Axis, dimension: str, at_most: int
) -> tuple[list[tuple[float, str]], list[tuple[float, str]]]:
    """Return ticks as (SI value, figure without unit), in metric and in US customary units."""
    systems = []
    for unit, _ in _TICK_UNITS[dimension]:
        factor = si_factor(unit)
        make = log_ticks if axis.log else round_ticks
        values = make(axis.low / factor, axis.high / factor, at_most)
        inside = [(min(max(v * factor, axis.low), axis.high), f"{v:,.10g}") for v in values]
        systems.append(inside)
    return systems[0], systems[1]


def axis_title(words: str, dimension: str) -> tuple[str | Shown, ...]:
    """Return an axis title with its unit in both systems.

    >>> axis_title("bridle load", "force")
    ('bridle load, ', Shown(metric='kN', us='lbf'))
    """
    (_, metric), (_, us) = _TICK_UNITS[dimension]
    return (f"{words}, ", Shown(metric, us))


def wind_words(wind_mps: float) -> Shown:
    """Return a wind speed in knots, in which forecasts give it everywhere."""
    knots = show(wind_mps, "speed").us
    return Shown(knots, knots)


def left_room(axis: Axis, dimension: str, size: float, at_most: int = 6) -> float:
    """Return the width the tick labels of an upright axis take."""
    metric, us = ticks_of(axis, dimension, at_most)
    return max((text_width(label, size) for _, label in [*metric, *us]), default=0.0) + 8.0


def draw_axes(
    sheet: Sheet, x: Axis, y: Axis, x_kind: tuple[str, str], y_kind: tuple[str, str] | None
) -> None:
    """Draw grid, ticks and titles; `x_kind` and `y_kind` are (title, dimension).

    Horizontal lines stand for the upright axis; its title stands above it, so that all text reads level.
    """
    size = sheet.font - 1.0
    same_x = len(set(_TICK_UNITS[x_kind[1]])) == 1
    left, right = sorted((x.start, x.end))
    top, bottom = sorted((y.start, y.end))
    room = abs(y.end - y.start)
    if y_kind is not None:
        _upright_ticks(sheet, y, y_kind[1], (left, right), max(2, min(6, int(room / 28.0))))
        sheet.text(4.0, top - 12.0, axis_title(*y_kind), tone="muted", size=size)
    x_ticks = ticks_of(x, x_kind[1], 8)
    for system, which in zip(_SYSTEMS, (0, 1), strict=True):
        if same_x and which:
            continue
        ticks = x_ticks[which]
        count = 8
        while len(ticks) > 2 and _crowded(sheet, x, ticks):
            count -= 1
            ticks = ticks_of(x, x_kind[1], count)[which]
        with sheet.group(class_=None if same_x else system):
            ends = "".join(d("M", x.at(value), bottom, "v4") for value, _ in ticks)
            sheet.path(ends, "muted")
            for value, label in ticks:
                middle, _ = _label_place(sheet, x, value, label)
                sheet.text(middle, bottom + 5.0 + size, label, anchor="middle", tone="muted", size=size)
    sheet.line(left, bottom, right, bottom, "muted")
    sheet.text(right, bottom + 8.0 + 2.35 * size, axis_title(*x_kind), anchor="end", tone="muted", size=size)


def _upright_ticks(sheet: Sheet, y: Axis, dimension: str, across: tuple[float, float], at_most: int) -> None:
    size = sheet.font - 1.0
    left, right = across
    same = len(set(_TICK_UNITS[dimension])) == 1
    for system, ticks in zip(_SYSTEMS, ticks_of(y, dimension, at_most), strict=True):
        if same and system == _SYSTEMS[1]:
            continue
        with sheet.group(class_=None if same else system):
            levels = "".join(d("M", left, y.at(value), "H", right) for value, _ in ticks)
            sheet.path(levels, "rule")
            for value, label in ticks:
                sheet.text(
                    left - 6.0, y.at(value) + size * 0.35, label, anchor="end", tone="muted", size=size
                )


def _label_place(sheet: Sheet, x: Axis, value: float, label: str) -> tuple[float, float]:
    """Return middle and half width of a level axis' tick label, kept on the sheet."""
    half = text_width(label, sheet.font - 1.0) / 2.0
    return min(max(x.at(value), half + 2.0), sheet.width - half - 2.0), half


def _crowded(sheet: Sheet, x: Axis, ticks: Sequence[tuple[float, str]]) -> bool:
    places = [_label_place(sheet, x, value, label) for value, label in ticks]
    return any(b - hb < a + ha + 8.0 for (a, ha), (b, hb) in pairwise(places))


def below_axis(sheet: Sheet) -> float:
    """Return the height taken by tick labels and title below a plot."""
    return 16.0 + 2.35 * (sheet.font - 1.0)


def thinned(points: npt.ArrayLike, tolerance: float = 0.15, at_most: int = 400) -> list[tuple[float, float]]:
    """Return the fewest points of a curve on the sheet that keep within `tolerance` of all of them.

    Points are dropped by Ramer's rule (farthest from the chord is kept); the tolerance grows until at most
    `at_most` are left. The highest and lowest points always stay.

    >>> thinned([(0.0, 0.0), (1.0, 1.0), (2.0, 2.0), (3.0, 0.0)])
    [(0.0, 0.0), (2.0, 2.0), (3.0, 0.0)]
    """
    xy = np.asarray(points, dtype=np.float64)
    always = {0, len(xy) - 1, int(np.argmin(xy[:, 1])), int(np.argmax(xy[:, 1]))}
    while len(kept := _ramer(xy, sorted(always), tolerance)) > at_most:
        tolerance *= 2.0
    return [(float(xy[i, 0]), float(xy[i, 1])) for i in kept]


def _ramer(xy: npt.NDArray[np.float64], fixed: Sequence[int], tolerance: float) -> list[int]:
    kept = set(fixed)
    stretches = list(pairwise(fixed))
    while stretches:
        first, last = stretches.pop()
        if last - first < 2:
            continue
        along = xy[last] - xy[first]
        away = xy[first + 1 : last] - xy[first]
        length = math.hypot(along[0], along[1])
        if length > 0.0:
            distance = np.abs(along[0] * away[:, 1] - along[1] * away[:, 0]) / length
        else:
            distance = np.hypot(away[:, 0], away[:, 1])
        farthest = int(np.argmax(distance))
        if distance[farthest] > tolerance:
            middle = first + 1 + farthest
            kept.add(middle)
            stretches += [(first, middle), (middle, last)]
    return sorted(kept)
