"""Our own drawings of the making, as marks in a frame of one size: they stand beside the cards' steps.

A drawing is not to scale unless it says so; the cone's flat shape is that of the kit's own pattern.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from sizing.drogue.cone import ConePattern
from sizing.order.loft.ink import Drawn, Letters, Trace
from sizing.order.loft.lettering import Face, width_pt

WIDE_PT: Final = 150.0
HIGH_PT: Final = 84.0
_SMALL_PT: Final = 8.0
_CLOTH: Final = 0.93
_TAPE: Final = 0.72
_ROPE: Final = 0.86

Point = tuple[float, float]


@dataclass(frozen=True)
class Shown:
    """What the drawings are of: the flat cone, its tapes, and the words of the two slacks."""

    pattern: ConePattern
    tapes: int
    mouth_flat: str = ""


def picture(name: str, shown: Shown) -> tuple[Drawn, ...]:
    """Return a drawing in a frame from (0, 0) to (WIDE_PT, HIGH_PT); KeyError for an unknown name."""
    return tuple(_PICTURES[name](shown))


def _line(*points: Point, width: float = 0.7, dashed: bool = False, grey: float = 0.0) -> Trace:
    return Trace(points, width, None, dashed, grey)


def _area(points: Sequence[Point], fill: float, width: float = 0.9) -> Trace:
    return Trace(tuple(points), width, fill)


def _words(
    x: float, y: float, text: str, *, bold: bool = False, end: bool = False, middle: bool = False
) -> Letters:
    face: Face = "Helvetica-Bold" if bold else "Helvetica"
    wide = width_pt(text, face, _SMALL_PT)
    at = x - wide if end else x - wide / 2.0 if middle else x
    return Letters(at, y, text, face, _SMALL_PT)


def _arrow(start: Point, tip: Point, width: float = 0.9) -> Iterator[Drawn]:
    angle = math.atan2(tip[1] - start[1], tip[0] - start[0])
    yield _line(start, tip, width=width)
    for turn in (2.65, -2.65):
        barb = (tip[0] + 5.0 * math.cos(angle + turn), tip[1] + 5.0 * math.sin(angle + turn))
        yield _line(tip, barb, width=width)


def _round(x: float, y: float, r: float, squash: float = 1.0, count: int = 28) -> list[Point]:
    turns = [2.0 * math.pi * k / count for k in range(count)]
    return [(x + r * math.cos(a), y + r * squash * math.sin(a)) for a in turns]


class _Flat:
    """The kit's own flat cone, to one scale, its mouth up and the middle of the frame's width."""

    def __init__(self, pattern: ConePattern, x: float, foot: float, high: float, wide: float) -> None:
        self.pattern = pattern
        half = min(pattern.angle_rad / 2.0, math.pi / 2.0)
        low = pattern.inner_radius_m * math.cos(half)
        across = 2.0 * (pattern.cut_radius_m * math.sin(half) + pattern.seam_m)
        self.scale = min(high / (pattern.cut_radius_m - low), wide / across)
        self.x, self.foot, self.low = x, foot, low

    def at(self, radius: float, angle: float, aside: float = 0.0) -> Point:
        """A point on a radius, `aside` square to it; m and rad in, pt out."""
        x = radius * math.sin(angle) + aside * math.cos(angle)
        y = radius * math.cos(angle) - aside * math.sin(angle)
        return self.x + self.scale * x, self.foot + self.scale * (y - self.low)

    def arc(self, radius: float, start: float, end: float) -> list[Point]:
        return [self.at(radius, start + (end - start) * k / 24) for k in range(25)]

    def marks(self, tapes: int, *, lines: bool = True, tape: bool = False) -> Iterator[Drawn]:
        """Cut edge, stitch lines and tape lines, or the tapes themselves with their tails."""
        p, half = self.pattern, self.pattern.angle_rad / 2.0
        outer, inner, seam = p.cut_radius_m, p.inner_radius_m, p.seam_m
        edge = [*self.arc(outer, -half, half), self.at(outer, half, seam), self.at(inner, half, seam),
                *self.arc(inner, half, -half), self.at(inner, -half, -seam),
                self.at(outer, -half, -seam)]  # fmt: skip
        yield _area(edge, _CLOTH)
        if p.hem_m:
            yield _line(*self.arc(p.outer_radius_m, -half, half), width=0.5)
        for side in (-half, half):
            yield _line(self.at(p.inner_radius_m, side), self.at(p.outer_radius_m, side), dashed=True)
        for k in range(tapes):
            angle = p.angle_rad * ((k + 0.5) / tapes - 0.5)
            if tape:
                tail, broad = 0.25 * p.slant_m, 0.008
                ends = (p.inner_radius_m - tail, p.outer_radius_m + tail)
                sides = ((ends[0], -broad), (ends[1], -broad), (ends[1], broad), (ends[0], broad))
                yield _area([self.at(end, angle, aside) for end, aside in sides], _TAPE, 0.6)
            if lines:
                yield _line(
                    self.at(p.inner_radius_m, angle), self.at(p.outer_radius_m, angle), width=0.5, dashed=True
                )


def _print(shown: Shown) -> Iterator[Drawn]:
    yield _area([(12, 8), (72, 8), (72, 76), (12, 76)], 1.0)
    yield _line((22, 22), (62, 22), (62, 62), (22, 62), (22, 22), width=0.9)
    yield _area([(22, 12), (62, 12), (62, 19), (22, 19)], _CLOTH, 0.6)
    for k in range(9):
        yield _line((22 + 5 * k, 19), (22 + 5 * k, 16), width=0.4)
    yield _words(42, 40, "100 mm", middle=True)
    yield _words(82, 52, "both ways", bold=True)
    yield _words(82, 40, "with a ruler")


def _pattern(shown: Shown) -> Iterator[Drawn]:
    yield from _Flat(shown.pattern, 58.0, 10.0, 66.0, 108.0).marks(shown.tapes)
    yield from _arrow((128, 16), (128, 62))
    yield _words(132, 36, "grain")


def _cut(shown: Shown) -> Iterator[Drawn]:
    yield from _Flat(shown.pattern, 50.0, 8.0, 60.0, 90.0).marks(shown.tapes, lines=False)
    yield _area([(92, 58), (99, 52), (138, 72), (132, 80)], _TAPE)
    yield _area([(80, 46), (92, 58), (99, 52)], 1.0)
    yield _words(104, 32, "hot knife,")
    yield _words(104, 22, "one pull")


def _baste(shown: Shown) -> Iterator[Drawn]:
    yield from _Flat(shown.pattern, 70.0, 26.0, 42.0, 110.0).marks(shown.tapes, tape=True)
    yield _words(122, 72, "tails")
    yield _words(98, 14, "tails")
    yield _words(4, 4, "the side that will be outside is up")


def _tape_edges(y: float) -> Iterator[Drawn]:
    for side in (-6.0, 6.0):
        points = [(30.0 + 3.2 * k, y + side + (1.8 if k % 2 else -1.8)) for k in range(26)]
        yield _line(*points, width=0.8)
        for end in (30.0, 110.0):
            yield _line((end - 4.0, y + side - 2.4), (end + 4.0, y + side + 2.4), width=1.0)


def _edges(shown: Shown) -> Iterator[Drawn]:
    yield _area([(22, 18), (118, 18), (118, 78), (22, 78)], _CLOTH)
    yield _area([(4, 39), (142, 39), (142, 57), (4, 57)], _TAPE, 0.6)
    yield from _tape_edges(48.0)
    yield _line((22, 48), (118, 48), width=0.4, dashed=True)
    yield _words(70, 64, "both edges", middle=True, bold=True)
    yield _words(70, 25, "zigzag, or straight", middle=True)
    yield _words(4, 6, "back-tacked at both rims")


def _seam(shown: Shown) -> Iterator[Drawn]:
    edge = [(16, 70), (124, 78), (124, 8), (16, 32)]
    yield _area(edge, _CLOTH)
    yield _line((20, 64), (118, 70), width=1.2, dashed=True)
    yield _line((20, 67), (118, 74), width=0.8, dashed=True)
    for x in (50.0, 80.0, 86.0):
        yield _line((x, 65.8 + 0.06 * (x - 20)), (x, 72.4 + 0.08 * (x - 50)), width=1.0)
    yield _area([(10, 47), (20, 47), (20, 53), (10, 53)], _TAPE, 0.5)
    yield _area([(118, 40), (134, 40), (134, 47), (118, 47)], _TAPE, 0.5)
    yield _words(69, 52, "row 1 on the stitch line,", middle=True, bold=True)
    yield _words(69, 42, "row 2 nearer the raw edge", middle=True)
    yield _words(69, 28, "tapes inside", middle=True)


def _lap(shown: Shown) -> Iterator[Drawn]:
    yield _area([(10, 12), (92, 12), (92, 76), (10, 76)], _CLOTH)
    yield _area([(70, 8), (142, 8), (142, 72), (70, 72)], 0.98)
    for x in (73.0, 89.0):
        yield _line((x, 12), (x, 70), width=1.0, dashed=True)
    yield _words(12, 62, "lower piece")
    yield _words(96, 56, "upper")
    yield _words(96, 20, "both edges", bold=True)
    yield _words(96, 11, "stitched", bold=True)


def _cone(x: float, y: float, long: float, mouth: float, small: float) -> Iterator[Drawn]:
    """A cone from the side, its mouth to the left."""
    yield _area([(x, y - mouth), (x + long, y - small), (x + long, y + small), (x, y + mouth)], _CLOTH)
    yield _area(_round(x, y, mouth * 0.28, 1.0 / 0.28), 0.82)


def _turned(shown: Shown) -> Iterator[Drawn]:
    p = shown.pattern
    mouth = 26.0
    small = mouth * p.inner_radius_m / p.outer_radius_m
    yield from _cone(46.0, 42.0, 62.0, mouth, small)
    for top, end in ((20.0, 6.0), (2.0, 0.5), (-18.0, -6.0)):
        yield _line(
            (22, 42 + top * 1.25),
            (48, 42 + top),
            (108, 42 + end),
            (134, 42 + end * 1.2),
            width=3.0,
            grey=0.45,
        )
    yield _words(4, 5, "tapes outside, a tail at both ends")


def _gauge(shown: Shown) -> Iterator[Drawn]:
    yield _area([(8, 8), (142, 8), (142, 26), (8, 26)], 1.0)
    for x in (112.0, 120.0, 128.0):
        yield _line((x, 8), (x, 26), width=0.8, dashed=x != 120.0)
    yield _area([(8, 28), (119, 28), (84, 66), (43, 66)], _CLOTH)
    yield _words(63, 44, "laid flat", middle=True)
    yield _words(20, 14, shown.mouth_flat)
    yield _words(146, 70, "by two", bold=True, end=True)
    yield _words(146, 60, "people", bold=True, end=True)


def _tools(shown: Shown) -> Iterator[Drawn]:
    yield _area([(8, 66), (110, 63), (128, 66), (110, 69)], 0.9)
    yield _line((14, 66), (28, 66), width=2.0)
    yield _words(8, 54, "blunt needle")
    yield _area([(8, 40), (98, 38), (126, 42), (98, 46), (8, 44)], 1.0)
    yield _line((8, 42), (60, 42), width=0.5)
    yield _words(8, 28, "hollow needle, pusher")
    yield _line((8, 16), (112, 16), (124, 20), (118, 25), (110, 20), width=2.0)
    yield _words(8, 4, "latch hook")


def _rope(left: float, right: float, y: float, half: float) -> Iterator[Drawn]:
    """Braided rope from the side: its strands cross."""
    yield _area([(left, y - half), (right, y - half), (right, y + half), (left, y + half)], _ROPE)
    step = 7.0
    at = left - 2 * half
    while at < right:
        for lean in (1.0, -1.0):
            a = (at if lean > 0 else at + 2 * half, y - half)
            b = (at + 2 * half if lean > 0 else at, y + half)
            if left <= min(a[0], b[0]) and max(a[0], b[0]) <= right:
                yield _line(a, b, width=0.4)
        at += step


def _mark(shown: Shown) -> Iterator[Drawn]:
    yield from _rope(24.0, 146.0, 46.0, 4.0)
    yield _area(_round(14, 46, 10.0, 0.75), 1.0)
    for k, x in enumerate((52.0, 84.0, 116.0)):
        yield _line((x, 38), (x, 54), width=2.0)
        yield _words(x, 58, f"{k + 1}", middle=True, bold=True)
        y = 30.0 - 9.0 * k
        yield from _arrow((8, y), (x, y), 0.6)
    yield _words(4, 72, "every mark from this eye")


def _thread(shown: Shown) -> Iterator[Drawn]:
    yield from _rope(6.0, 146.0, 44.0, 3.5)
    yield _area(_round(140, 44, 9.0, 0.8), 1.0)
    for x in (34.0, 72.0):
        yield from _cone(x, 44.0, 30.0, 15.0, 5.5)
    yield from _arrow((40, 74), (8, 74))
    yield _words(46, 71, "mouths toward the boat")
    yield _words(4, 8, "open end")
    yield _words(146, 22, "closed eye", end=True)
    yield _line((6, 40), (0, 34), width=0.8)
    yield _line((6, 48), (0, 54), width=0.8)


def _strands(shown: Shown) -> Iterator[Drawn]:
    yield from _rope(4.0, 96.0, 44.0, 13.0)
    yield _line((22, 76), (38, 58), width=5.0, grey=0.35)
    yield _line((62, 31), (78, 12), width=5.0, grey=0.35)
    for k in range(4):
        x, y = 40.0 + 5.0 * k, 55.0 - 5.6 * k
        yield _line((x - 6, y - 6.5), (x + 6, y + 6.5), width=3.6)
        yield _line((x - 5.5, y - 6), (x + 5.5, y + 6), width=2.0, grey=1.0)
    yield _words(4, 20, "about 45°")
    yield _area(_round(122, 52, 19.0), _ROPE)
    yield _area(_round(122, 52, 12.0), 1.0)
    yield _words(122, 49, "core", middle=True)
    for k in range(shown.tapes):
        angle = math.pi / 2.0 + 2.0 * math.pi * k / shown.tapes
        x, y = 122.0 + 15.5 * math.cos(angle), 52.0 + 15.5 * math.sin(angle)
        dx, dy = -7.0 * math.sin(angle), 7.0 * math.cos(angle)
        yield _line((x - dx, y - dy), (x + dx, y + dy), width=3.0)
    yield _words(122, 22, "thirds round" if shown.tapes == 3 else "evenly round", middle=True)
    yield _words(122, 12, "never the core", middle=True, bold=True)


def _slack(shown: Shown) -> Iterator[Drawn]:
    yield _line((2, 46), (148, 46), width=3.0, grey=0.3)
    yield from _cone(56.0, 46.0, 42.0, 22.0, 7.0)
    for side in (1.0, -1.0):
        yield _line((56, 46 + side * 22), (40, 46 + side * 25), (22, 46 + side * 2), width=1.6)
        yield _line((98, 46 + side * 7), (124, 46 + side * 1), width=1.6)
    for x in (22.0, 124.0):
        yield _area(_round(x, 46, 3.2), 0.0)
    yield _words(2, 8, "50 to 75 mm slack", bold=True)
    yield _words(148, 18, "25 to 75 mm", end=True, bold=True)
    yield _words(2, 76, "to the boat")
    yield from _arrow((48, 79), (44, 79))


def _knot(shown: Shown) -> Iterator[Drawn]:
    turns = [2.0 * math.pi * k / 40 for k in range(41)]
    eight = [(76.0 + 32.0 * math.sin(a), 46.0 + 17.0 * math.sin(2.0 * a)) for a in turns]
    for width, grey in ((7.0, 0.0), (5.4, 0.8)):
        yield _line((6, 46), (30, 40), (44, 46), width=width, grey=grey)
        yield _line(*eight, width=width, grey=grey)
        yield _line((108, 46), (122, 52), (146, 46), width=width, grey=grey)
    yield _line((70, 40), (82, 52), width=5.4, grey=0.8)
    yield _words(76, 12, "figure of eight, pulled tight", middle=True)


_PICTURES: Final[Mapping[str, Callable[[Shown], Iterator[Drawn]]]] = {
    "print": _print, "pattern": _pattern, "cut": _cut, "baste": _baste, "edges": _edges, "seam": _seam,
    "lap": _lap, "turned": _turned, "gauge": _gauge, "tools": _tools, "mark": _mark, "thread": _thread,
    "strands": _strands, "slack": _slack, "knot": _knot,
}  # fmt: skip
