"""Marks every scaled drawing shares: dimension lines, scale bars, cones, weights, thimbles, break marks."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from sitegen.drawings.element import d
from sitegen.drawings.lettering import Words, words_width
from sitegen.drawings.palette import Role, stroke
from sitegen.drawings.sheet import Point, Sheet
from sizing.units import show, si_factor

_TICK: Final = 3.5
_SLANT: Final = f"l{2 * _TICK} {-2 * _TICK}"
"""The stroke through the end of a dimension line."""


def level_dimension(
    sheet: Sheet,
    x1: float,
    x2: float,
    y: float,
    words: Words | None,
    *,
    from_y: float | None = None,
    below: bool = False,
    part: str | None = None,
) -> None:
    """Add a level dimension line at `y`, with extension lines from `from_y` and its words centred on it."""
    gap = 0.0 if from_y is None else math.copysign(3.0, y - from_y)
    marks = ""
    for x in (x1, x2):
        if from_y is not None:
            marks += d("M", x, from_y + gap, "V", y + gap)
        marks += d("M", x - _TICK, y + _TICK, _SLANT)
    sheet.path(marks, "muted", 0.8)
    sheet.line(x1, y, x2, y, "muted", 0.8, part=part)
    if words is not None:
        size = sheet.font - 1.0
        half = words_width(words, size) / 2.0
        centre = min(max((x1 + x2) / 2.0, half + 3.0), sheet.width - half - 3.0)
        sheet.text(centre, y + size + 4.0 if below else y - 6.0, words, anchor="middle", size=size, halo=True)


def upright_dimension(
    sheet: Sheet, x: float, y1: float, y2: float, *, from_x: float, part: str | None = None
) -> None:
    """Add an upright dimension line at `x`, with extension lines from `from_x`."""
    gap = math.copysign(3.0, x - from_x)
    marks = ""
    for y in (y1, y2):
        marks += d("M", from_x + gap, y, "H", x + gap)
        marks += d("M", x - _TICK, y + _TICK, _SLANT)
    sheet.path(marks, "muted", 0.8)
    sheet.line(x, y1, x, y2, "muted", 0.8, part=part)


def scale_bar(sheet: Sheet, x: float, y: float, per_metre: float, longest: float) -> None:
    """Add a level scale bar of a round length in the reader's units, at most `longest` wide."""
    size = sheet.font - 2.0
    for system, unit in (("u-metric", "metre"), ("u-us", "foot")):
        factor = si_factor(unit)
        if unit == "foot" and longest / per_metre < factor:
            factor = si_factor("inch")
        most = longest / per_metre / factor
        power = 10.0 ** math.floor(math.log10(most))
        length = max(m * power for m in (1.0, 2.0, 5.0) if m * power <= most * (1.0 + 1e-9)) * factor
        width = length * per_metre
        shown = show(length, "length" if length >= 0.3 else "small_length")
        with sheet.group(class_=system, part="scale"):
            sheet.rect(x, y, width / 2.0, 4.0, "ink", 0.8, area="ink")
            sheet.rect(x + width / 2.0, y, width / 2.0, 4.0, "ink", 0.8, area="paper")
            sheet.text(
                x + width + 7.0,
                y + 2.0 + size * 0.36,
                shown.metric if system == "u-metric" else shown.us,
                size=size,
                tone="muted",
            )


def cone_tick(mouth: Point, aft: Point, half: float, length: float) -> str:
    """Return path data of one small cone: mouth at `mouth`, small end toward the direction `aft`."""
    (x, y), (dx, dy) = mouth, aft
    return d("M", x - dy * half, y + dx * half, cone_shape(aft, half, length))


def cone_shape(aft: Point, half: float, length: float) -> str:
    """Return path data of a small cone from one corner of its mouth."""
    dx, dy = aft
    across = d("l", 2 * dy * half, -2 * dx * half).replace("l0 ", "v")
    if across.endswith(" 0"):
        across = d("h", 2 * dy * half)
    return d(across, "l", dx * length - dy * half, dy * length + dx * half, "z")


def cone_row(mouths: Sequence[Point], aft: Point, half: float, length: float) -> str:
    """Return path data of small cones alike, as `cone_tick` for each; every cone is a step from the last.

    >>> cone_row([(9.0, 5.0), (6.0, 5.0)], (1.0, 0.0), 2.0, 1.5)
    'M9 7v-4l1.5 2zm-3 0v-4l1.5 2z'
    """
    (dx, dy) = aft
    shape = cone_shape(aft, half, length)
    # Whole hundredths, so that rounding does not add up along the row.
    corners = [(round((x - dy * half) * 100.0), round((y + dx * half) * 100.0)) for x, y in mouths]
    steps = (f"m{(c - a) / 100:g} {(d - b) / 100:g}{shape}" for (a, b), (c, d) in pairwise(corners))
    x, y = corners[0]
    return f"M{x / 100:g} {y / 100:g}{shape}" + "".join(steps)


def cone_detail(
    sheet: Sheet, x: float, y: float, mouth: float, small: float, slant: float, role: Role = "a"
) -> None:
    """Add one cone from the side, its mouth at `x` and to the left, on a line along `y`; in drawing units."""
    half, tail = mouth / 2.0, small / 2.0
    length = math.sqrt(max(slant**2 - (half - tail) ** 2, 0.0))
    lead, trail = 0.9 * mouth, 1.2 * small
    right = x + length
    tapes = d("M", x, y - half, "L", x - lead, y, "L", x, y + half)
    tapes += d("M", right, y - tail, "L", right + trail, y, "L", right, y + tail)
    sheet.path(tapes, "muted", 0.8)
    cone = d("M", x, y - half, "L", right, y - tail, "V", y + tail, "L", x, y + half)
    cone += d("Q", x - mouth * 0.12, y, x, y - half, "Z")
    sheet.path(cone, role, 1.2, area="sea", part="cone-detail")


def end_weight(sheet: Sheet, x: float, y: float, upright: bool = False) -> None:
    """Add the end weight: a short length of chain, as three links, drawn beginning at (x, y)."""
    for i in range(3):
        dx, dy = (0.0, 8.0 * i + 5.0) if upright else (8.0 * i + 5.0, 0.0)
        long, short = 5.2, 2.6 if i % 2 == 0 else 1.0
        rx, ry = (short, long) if upright else (long, short)
        sheet.add(
            "ellipse",
            cx=x + dx,
            cy=y + dy,
            rx=rx,
            ry=ry,
            class_=stroke("ink"),
            stroke_width=1.6,
            data_part="weight",
        )


def thimble(sheet: Sheet, x: float, y: float, size: float, flip: bool = False) -> None:
    """Add an eye spliced round a thimble, its point to the right, or to the left when `flip` is set."""
    s = -size if flip else size
    eye = d("M", x + 1.6 * s, y, "C", x + 0.6 * s, y - size, x - s, y - size, x - s, y)
    sheet.path(d(eye, "S", x + 0.6 * s, y + size, x + 1.6 * s, y, "Z"), "ink", 1.4, area="paper")


def break_mark(sheet: Sheet, x: float, y: float, size: float = 8.0) -> None:
    """Add the mark that says a line goes on beyond the drawing."""
    sheet.path(d("M", x - 2, y - size, "l4", size * 0.7, "l-5", size * 0.6, "l4", size * 0.7), "muted", 1.0)
