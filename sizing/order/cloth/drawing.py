"""A drawing in true millimetres, before it is SVG, PDF or DXF: lines on layers, words, repeated pieces."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from sizing.drogue.cone import ConePattern
from sizing.model import FloatArray
from sizing.order.cloth.nesting import Placement
from sizing.order.cloth.outline import (
    cut_line,
    fold_line,
    grain_arrow,
    lay_line,
    match_marks,
    mouth_m,
    require_pattern,
    small_end_m,
    stitch_lines,
    tape_lines,
)

Layer = Literal["CUT", "SEAM", "TAPE", "MARKS", "GRAIN", "LABELS", "CHECK", "CLOTH"]


@dataclass(frozen=True)
class Pen:
    """How a layer is drawn: width and dashes in mm, grey from 0 (black), DXF colour number."""

    width_mm: float
    dashes_mm: tuple[float, ...]
    grey: float
    dxf_colour: int


PENS: Final[dict[Layer, Pen]] = {
    "CUT": Pen(0.35, (), 0.0, 7),
    "SEAM": Pen(0.25, (4.0, 2.0), 0.0, 5),
    "TAPE": Pen(0.25, (8.0, 2.0, 1.0, 2.0), 0.0, 3),
    "MARKS": Pen(0.3, (), 0.0, 4),
    "GRAIN": Pen(0.25, (), 0.0, 1),
    "LABELS": Pen(0.18, (), 0.35, 8),
    "CHECK": Pen(0.35, (), 0.0, 6),
    "CLOTH": Pen(0.25, (1.0, 2.0), 0.35, 9),
}
CHECK_BAR_MM: Final = 100.0
CHECK_TEXT: Final = "measure this bar: 100 mm"
MM: Final = 1000.0


@dataclass(frozen=True)
class Stroke:
    """One line: rows x, y in mm and bulge, as in `outline.cut_line`."""

    layer: Layer
    corners: FloatArray
    closed: bool = False


@dataclass(frozen=True)
class Words:
    """Text with the middle of its foot at a place, turned anticlockwise; mm, degrees."""

    layer: Layer
    text: str
    x_mm: float
    y_mm: float
    height_mm: float
    turn_deg: float = 0.0


@dataclass(frozen=True)
class Figure:
    """Strokes and words that belong together."""

    strokes: tuple[Stroke, ...]
    words: tuple[Words, ...] = ()


@dataclass(frozen=True)
class Drawing:
    """What is drawn once, and one piece with its places; the sheet runs from `low` to `high`, y up, mm."""

    title: str
    low_mm: tuple[float, float]
    high_mm: tuple[float, float]
    fixed: Figure
    piece: Figure
    places: tuple[Placement, ...]

    @property
    def width_mm(self) -> float:
        """Width of the sheet."""
        return self.high_mm[0] - self.low_mm[0]

    @property
    def height_mm(self) -> float:
        """Height of the sheet."""
        return self.high_mm[1] - self.low_mm[1]


def straight(layer: Layer, *points: tuple[float, float], closed: bool = False) -> Stroke:
    """Return a stroke through points in mm, without arcs."""
    return Stroke(layer, np.array([(x, y, 0.0) for x, y in points]), closed)


def _mm(corners: FloatArray) -> FloatArray:
    return np.asarray(corners * np.array([MM, MM, 1.0]))


def cone_figure(pattern: ConePattern, tapes: int, told: str = "") -> Figure:
    """Return everything drawn on one piece, its sector's centre at (0, 0), in mm. `told`: whose, and when."""
    require_pattern(pattern)
    lines: dict[Layer, tuple[FloatArray, ...]] = {
        "SEAM": stitch_lines(pattern),
        "TAPE": tape_lines(pattern, tapes),
        "MARKS": (*match_marks(pattern), *fold_line(pattern), *lay_line(pattern)),
        "GRAIN": grain_arrow(pattern),
    }
    strokes = [Stroke("CUT", _mm(cut_line(pattern)), closed=True)]
    strokes += [Stroke(layer, _mm(line)) for layer, drawn in lines.items() for line in drawn]
    return Figure(tuple(strokes), tuple(_cone_words(pattern, tapes, told)))


def _cone_words(pattern: ConePattern, tapes: int, told: str) -> Iterable[Words]:
    slant, inner = MM * pattern.slant_m, MM * pattern.inner_radius_m
    height = min(5.0, 0.03 * slant)
    between = pattern.angle_rad * (1.0 / tapes if tapes > 1 else 0.3)
    half = pattern.angle_rad / 2.0
    hem = MM * pattern.hem_m
    rims = "hem at the mouth," if hem else "both rims cut hot,"
    for text, share, at in (
        ("mouth", 0.94, 0.5 * between),
        ("small end", 0.03, 0.0 if tapes % 2 == 0 else 0.5 * between),
        (
            f"mouth {MM * mouth_m(pattern):.1f}, small end {MM * small_end_m(pattern):.1f},",
            0.72,
            -0.5 * between,
        ),
        (f"slant {slant:.1f} mm; {rims}", 0.66, -0.5 * between),
        (
            (f"{hem:g} mm, past the arc; " if hem else "no hem; ") + f"seam {MM * pattern.seam_m:g} mm",
            0.60,
            -0.5 * between,
        ),
        ("outside each stitch line", 0.54, -0.5 * between),
    ):
        radius = inner + share * slant
        yield Words("LABELS", text, radius * math.sin(at), radius * math.cos(at), height, -math.degrees(at))
    for said, share in zip(told.split(", ", 1), (0.72, 0.66), strict=False):
        at, radius = 0.6 * between, inner + share * slant
        lesser = min(height, 1.1 * between * radius / max(len(said), 1))
        yield Words("LABELS", said, radius * math.sin(at), radius * math.cos(at), lesser, -math.degrees(at))
    named = [("centre of the tape", line) for line in tape_lines(pattern, tapes)]
    joined_by = "line on line" if pattern.lapped else "stitch line on stitch line"
    named += [(joined_by, line) for line in stitch_lines(pattern)]
    named += [("lay the other cut edge here", line) for line in lay_line(pattern)]
    for text, line in named:
        (x0, y0), (x1, y1) = (MM * line[:, :2]).tolist()
        x, y = 0.7 * x0 + 0.3 * x1, 0.7 * y0 + 0.3 * y1
        turn = math.atan((y1 - y0) / (x1 - x0)) if abs(x1 - x0) > 1e-9 else math.pi / 2.0
        lift = 0.4 * height
        x, y = x - lift * math.sin(turn), y + lift * math.cos(turn)
        yield Words("LABELS", text, x, y, 0.8 * height, math.degrees(turn))
    aside = MM * float(grain_arrow(pattern)[0][0, 0])
    foot = MM * float(grain_arrow(pattern)[0][0, 1])
    yield Words("LABELS", "grain", aside + 1.2 * height, foot + 0.15 * slant, height, 90.0)
    seam, middle = MM * pattern.seam_m, inner + 0.5 * slant
    for side in (-1.0, 1.0) if seam > 0.0 else ():
        x = side * (middle * math.sin(half) + 0.75 * seam * math.cos(half))
        y = middle * math.cos(half) - 0.75 * seam * math.sin(half)
        turn = side * (90.0 - math.degrees(half))
        yield Words("LABELS", "seam", x, y, min(height, 0.5 * seam), turn)


def check_bar(x_mm: float, y_mm: float, height_mm: float = 5.0) -> Figure:
    """Return a bar of exactly 100 mm with end ticks and the words that ask for it to be measured."""
    end = x_mm + CHECK_BAR_MM
    strokes = (
        straight("CHECK", (x_mm, y_mm), (end, y_mm)),
        *(straight("CHECK", (x, y_mm - 2.0), (x, y_mm + 2.0)) for x in (x_mm, end)),
    )
    words = Words("CHECK", CHECK_TEXT, x_mm + CHECK_BAR_MM / 2.0, y_mm + 2.0, height_mm)
    return Figure(strokes, (words,))


def joined(*figures: Figure) -> Figure:
    """Return several figures as one."""
    return Figure(
        tuple(stroke for figure in figures for stroke in figure.strokes),
        tuple(words for figure in figures for words in figure.words),
    )
