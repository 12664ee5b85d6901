"""The flat pattern of one cone: the developed frustum, its seam allowance and the lines of its tapes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitegen.drawings.element import number
from sitegen.drawings.lettering import Words
from sitegen.drawings.measures import scale_bar
from sitegen.drawings.sheet import SKETCH, Point, Sheet
from sizing.units import both, show


@dataclass(frozen=True)
class ConePattern:
    """A cone's sizes and those of its development (m, rad): a sector of `angle_rad` between two radii."""

    mouth_m: float
    small_end_m: float
    slant_m: float
    outer_radius_m: float
    inner_radius_m: float
    angle_rad: float
    seam_m: float
    tapes: int = 3
    hem_m: float = 0.0


def draw_cone_pattern(prefix: str, pattern: ConePattern) -> str:
    """Return the pattern to scale with its measures."""
    p = pattern
    hem = f"{both(p.hem_m, 'small_length')} of hem outside the mouth" if p.hem_m else "no hem at either rim"
    sheet = Sheet(
        prefix,
        SKETCH,
        "Pattern of one cone, laid flat, to scale",
        f"A ring sector of {both(p.angle_rad, 'angle')} with outer radius "
        f"{both(p.outer_radius_m, 'small_length')} and inner radius {both(p.inner_radius_m, 'small_length')} "
        "between two stitch lines, which are laid on each other; "
        f"{both(p.seam_m, 'small_length')} of seam allowance outside each of them, {hem}; "
        f"{p.tapes} tapes at equal angles, from the mouth to the small end.",
    )
    half = p.angle_rad / 2.0
    corners = _outline(p)
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    top, bottom = min(0.0, *(y for _, y in corners)), max(y for _, y in corners)
    scale = min(270.0 / (right - left), 230.0 / (bottom - top))
    origin = (170.0 - (left + right) / 2.0 * scale, 34.0 - top * scale)

    def at(radius: float, angle: float, aside: float = 0.0) -> Point:
        x, y = _polar(radius, angle, aside)
        return origin[0] + x * scale, origin[1] + y * scale

    def text(point: Point) -> str:
        return f"{number(point[0])} {number(point[1])}"

    outer, inner = p.outer_radius_m, p.inner_radius_m
    turn = "1" if p.angle_rad > math.pi else "0"
    arc_out, arc_in = (f"A{number(r * scale)} {number(r * scale)} 0 {turn}" for r in (outer, inner))
    sheet.path(
        f"M{text(at(outer, -half))}{arc_out} 0 {text(at(outer, half))}L{text(at(inner, half))}"
        f"{arc_in} 1 {text(at(inner, -half))}Z",
        "a",
        1.8,
        area="sea",
        part="sector",
    )
    for end, seam in ((-half, -p.seam_m), (half, p.seam_m)):
        sheet.path(
            f"M{text(at(inner, end))}"
            f"L{text(at(inner, end, seam))}L{text(at(outer, end, seam))}L{text(at(outer, end))}",
            "a",
            1.2,
            dash="5 3",
            part="seam",
        )
    for i in range(p.tapes):
        angle = -half + (i + 0.5) * p.angle_rad / p.tapes
        sheet.line(*at(inner, angle), *at(outer, angle), "b", 3.0, "9 2", part="tape")
    for angle in (-half, half):
        sheet.line(*at(0.0, 0.0), *at(inner, angle), "muted", 0.8, "2 3")
    swing = min(0.55 * inner, 24.0 / scale)
    a, b = at(swing, -half), at(swing, half)
    sheet.path(
        f"M{text(a)}A{number(swing * scale)} {number(swing * scale)} 0 {turn} 0 {text(b)}", "muted", 0.9
    )
    sheet.circle(*at(0.0, 0.0), 2.0, "ink", 1.0, area="ink")
    letters = (
        ("A", at(0.0, 0.0), (0.0, -9.0)),
        ("B", at((inner + outer) / 2.0, -half), _away(-half)),
        ("C", at(inner + 13.0 / scale, p.angle_rad / 6.0), (0.0, 5.0)),
    )
    for letter, (x, y), (dx, dy) in letters:
        sheet.text(x + dx, y + dy, letter, anchor="middle", bold=True, halo=True)
    y = origin[1] + bottom * scale + 30.0
    rows: list[tuple[str, Words]] = [
        ("A", ("angle ", show(p.angle_rad, "angle"))),
        ("B", ("slant ", show(p.slant_m, "small_length"), ", outer radius ", show(outer, "small_length"))),
        ("C", ("inner radius ", show(inner, "small_length"))),
    ]
    for letter, words in rows:
        sheet.text(14.0, y, letter, bold=True)
        sheet.text(32.0, y, words)
        y += 18.0
    y = sheet.key(
        14.0,
        y + 4.0,
        312.0,
        [
            (
                lambda x, at_y: sheet.line(x, at_y, x + 22.0, at_y, "b", 3.0, "9 2"),
                f"tapes, {p.tapes} at equal angles",
            ),
            (
                lambda x, at_y: sheet.line(x, at_y, x + 22.0, at_y, "a", 1.2, "5 3"),
                ("seam, outside each stitch line ", show(p.seam_m, "small_length")),
            ),
        ],
    )
    y = sheet.lines(
        14.0,
        y + 6.0,
        [
            (
                "sewn: mouth ",
                show(p.mouth_m, "small_length"),
                ", small end ",
                show(p.small_end_m, "small_length"),
            )
        ],
        tone="muted",
        size=12.0,
    )
    scale_bar(sheet, 14.0, y, scale, 90.0)
    sheet.height = y + 16.0
    return sheet.svg()


def _polar(radius: float, angle: float, aside: float = 0.0) -> Point:
    """Return a point of the pattern: its axis points down, `aside` moves it square to the radius."""
    return (
        radius * math.sin(angle) + aside * math.cos(angle),
        radius * math.cos(angle) - aside * math.sin(angle),
    )


def _away(angle: float) -> Point:
    """Return a step off a radius at `angle`, to its outer side."""
    side = math.copysign(1.0, angle)
    return 14.0 * side * math.cos(angle), -14.0 * side * math.sin(angle) * 0.6 + 5.0


def _outline(p: ConePattern) -> list[Point]:
    half = p.angle_rad / 2.0
    angles = [-half + p.angle_rad * i / 72 for i in range(73)]
    points = [_polar(r, a) for r in (p.inner_radius_m, p.outer_radius_m) for a in angles]
    strips = [
        _polar(radius, side * half, side * p.seam_m)
        for radius in (p.inner_radius_m, p.outer_radius_m)
        for side in (-1.0, 1.0)
    ]
    return points + strips
