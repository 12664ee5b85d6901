"""Sketches of the drogue in use: the room it asks for, how it is stowed, and how she lies to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from sitegen.drawings.freehand import (
    arrow,
    bezier,
    cautions,
    curve_path,
    draw_coned_line,
    draw_profile,
    draw_sea,
    pointer,
    tilted,
)
from sitegen.drawings.hulls import Hull, HullShape, draw_hull, draw_outline
from sitegen.drawings.lettering import Words
from sitegen.drawings.measures import end_weight, level_dimension, upright_dimension
from sitegen.drawings.sheet import SKETCH, Point, Sheet
from sizing.spoken import said, spoken


@dataclass(frozen=True)
class SideView:
    """What the side view names: her hull, and three measures of her rig (m, count, kg)."""

    hull: Hull
    lead_length_m: float
    cones: int
    end_weight_kg: float


def draw_side_view(prefix: str, view: SideView) -> str:
    """Return an illustration of the boat stern to the seas with the line sinking astern; not to scale."""
    cones = f"{view.cones:,} cone{'s' if view.cones != 1 else ''}"
    sheet = Sheet(
        prefix,
        SKETCH,
        "Lying to the drogue, from the side; not to scale",
        f"A boat lies with her stern to a wave that comes from astern. From her stern the lead line of "
        f"{spoken(view.lead_length_m, 'length')} and the line with {cones} slope down into the water, "
        f"the end weight of "
        f"{spoken(view.end_weight_kg, 'mass')} deepest.",
    )
    surface = (
        "M0 132C60 136 106 127 146 108C184 90 204 64 236 60C262 57 270 88 292 102C308 112 324 116 340 114"
    )
    draw_sea(sheet, surface, 264.0)
    line: tuple[Point, Point, Point, Point] = ((149.0, 101.0), (205.0, 118.0), (262.0, 166.0), (306.0, 218.0))
    draw_profile(sheet, tilted(148.0, 112.0, 108.0, -11.0), view.hull)
    sheet.path("M0 132C60 136 106 127 146 108", "a", 1.6)
    draw_coned_line(sheet, line, 0.36, 0.96, 13)
    end_weight(sheet, 306.0, 218.0, upright=True)
    arrow(sheet, 330.0, 36.0, 268.0, 36.0)
    sheet.text(330.0, 26.0, "seas from astern", anchor="end")
    lead: Words = ("lead line ", said(view.lead_length_m, "length"))
    labels: tuple[tuple[Words, float, float], ...] = ((lead, 172.0, 0.2), (cones, 202.0, 0.62))
    for words, y, t in labels:
        (x, at), _ = bezier(line, t)
        sheet.text(16.0, y, words)
        pointer(sheet, 142.0, y - 5.0, x - 5.0, at + 4.0)
    sheet.text(16.0, 232.0, ("end weight ", said(view.end_weight_kg, "mass")))
    pointer(sheet, 152.0, 228.0, 298.0, 228.0)
    sheet.text(16.0, 256.0, "Illustration, not to scale.", tone="muted", size=12.0)
    sheet.height = 264.0
    return sheet.svg()


def draw_stowed(prefix: str) -> str:
    """Return a sketch of the drogue in its bag, ready to run."""
    sheet = Sheet(
        prefix,
        SKETCH,
        "Stowed in its bag, ready to run",
        "An open bag stands in the cockpit. The boat's end of the line lies at the bottom, the cones "
        "above it, the end "
        "weight on top. The bridle leads out of the bag, over everything, to the strong points aft.",
    )
    sheet.path("M0 196L262 196L262 96L286 96L296 196L340 196", "ink", 1.5)
    sheet.path("M262 196L262 96L286 96L296 196Z", "ink", 1.5, area="wash")
    sheet.path("M62 192Q52 188 54 176L66 84H186L198 176Q200 188 190 192Z", "ink", 1.6, area="sea")
    sheet.path("M66 84Q126 76 186 84Q126 93 66 84Z", "ink", 1.2, area="paper")
    flakes = ""
    for i in range(4):
        y = 180.0 - 18.0 * i
        left, right = 70.0 + 1.5 * i, 182.0 - 1.5 * i
        flakes += f"M{left} {y}H{right}C{right + 7} {y} {right + 7} {y - 9} {right} {y - 9}H{left}"
        flakes += f"C{left - 7} {y - 9} {left - 7} {y - 18} {left + 1.5} {y - 18}" if i < 3 else ""
    sheet.path(flakes, "ink", 1.4)
    ticks = ""
    for i in (2, 3):
        for y in (180.0 - 18.0 * i, 171.0 - 18.0 * i):
            ticks += "".join(f"M{82 + 18 * k} {y - 3.4:.1f}v6.8l6 -3.4z" for k in range(6))
    sheet.path(ticks, "a", 0.9, area="paper")
    end_weight(sheet, 112.0, 99.0)
    bridle: tuple[Point, Point, Point, Point] = (
        (184.0, 180.0),
        (214.0, 150.0),
        (196.0, 40.0),
        (288.0, 112.0),
    )
    sheet.path(curve_path(bridle), "b", 2.2)
    sheet.path("M184 184C220 154 200 50 290 124", "b", 2.2)
    for x, y in ((288.0, 112.0), (290.0, 124.0)):
        sheet.circle(x, y, 3.4, "ink", 1.4, area="paper")
    sheet.text(14.0, 26.0, "weight and last cones on top")
    pointer(sheet, 96.0, 32.0, 122.0, 94.0)
    sheet.text(326.0, 52.0, "bridle made fast, outside all", anchor="end")
    pointer(sheet, 250.0, 58.0, 240.0, 86.0)
    sheet.text(14.0, 216.0, "boat's end of the line at the bottom")
    pointer(sheet, 100.0, 204.0, 100.0, 182.0)
    cautions(sheet, 246.0, ("Bag made fast and within reach; nothing on top of it.",))
    return sheet.svg()


_SHAPES: Final[Mapping[Hull, HullShape]] = {
    "monohull": HullShape("monohull", 12.0, 3.9, 3.0),
    "catamaran": HullShape("catamaran", 12.0, 6.6, 5.9),
    "motor monohull": HullShape("motor monohull", 12.0, 4.3, 4.0),
    "motor catamaran": HullShape("motor catamaran", 12.0, 6.2, 5.6),
}
"""A boat of each hull, as drawn where no measure of hers is shown."""


def draw_lying(prefix: str, hull: Hull) -> str:
    """Return a sketch from above of the boat lying to the drogue and yawing."""
    shape = _SHAPES[hull]
    sheet = Sheet(
        prefix,
        SKETCH,
        "Lying to the drogue, from above",
        "Wave crests come from astern. The boat yaws about ten degrees to either side, in broken lines. "
        "Two bridle legs meet at the lead line; when she yaws, one leg takes nearly all the load.",
    )
    sheet.rect(0.0, 0.0, 340.0, 196.0, None, area="sea")
    for i in range(4):
        x = 196.0 + 46.0 * i
        sheet.path(f"M{x} 8C{x - 16} 60 {x - 16} 132 {x} 188", "paper", 2.4)
    scale = 104.0 / shape.loa_m
    for turn in (-10.0, 10.0):
        turned = tilted(126.0, 98.0, scale, turn)
        draw_outline(sheet, shape, lambda a, b, turned=turned: turned(-a, b))  # type: ignore[misc]
    draw_hull(sheet, shape, lambda a, b: (126.0 - scale * a, 98.0 + scale * b))
    half = shape.transom_width_m / 2.0 * scale
    for side in (-half, half):
        sheet.line(126.0, 98.0 + side, 200.0, 98.0, "ink", 2.0)
        sheet.circle(126.0, 98.0 + side, 3.4, "ink", 1.4, area="paper")
    draw_coned_line(sheet, ((200.0, 98.0), (240.0, 98.0), (290.0, 98.0), (336.0, 98.0)), 0.35, 0.97, 10)
    sheet.circle(200.0, 98.0, 3.0, "ink", 1.4, area="paper")
    arrow(sheet, 330.0, 34.0, 276.0, 34.0)
    sheet.text(330.0, 24.0, "seas from astern", anchor="end")
    sheet.text(14.0, 24.0, "yaws about 10° each way")
    pointer(sheet, 40.0, 30.0, 30.0, 80.0)
    sheet.text(14.0, 184.0, "guard against chafe here")
    pointer(sheet, 108.0, 170.0, 130.0, 98.0 + half)
    sheet.text(330.0, 150.0, "one leg may take all", anchor="end")
    pointer(sheet, 232.0, 136.0, 172.0, 98.0 + half * 0.4)
    cautions(
        sheet, 222.0, ("Look at the chafe guards whenever it is safe to.", "Lines under load take fingers.")
    )
    return sheet.svg()


@dataclass(frozen=True)
class RoomView:
    """Room as drawn: her hull, clear water downwind in nautical miles, and her whole gear (m)."""

    hull: Hull
    clear_miles: str
    all_out_m: float


def draw_room(prefix: str, view: RoomView) -> str:
    """Return the first question: clear water downwind, and water deeper than the whole gear is long."""
    depth = said(view.all_out_m, "length")
    sheet = Sheet(
        prefix,
        SKETCH,
        "Room downwind, and depth; not to scale",
        f"She lies stern to the wind and drifts toward a shore. Clear water downwind for a day, "
        f"{view.clear_miles} nautical miles. The water is deeper than her whole gear, "
        f"{spoken(view.all_out_m, 'length')}.",
    )
    sheet.path("M0 84H284L306 60L326 66L340 50V214H0Z", None, area="sea")
    sheet.path("M340 46L326 62L306 56L282 84L252 124L200 170L120 200L0 204V224H340Z", "ink", 1.5, area="wash")
    sheet.line(0.0, 84.0, 282.0, 84.0, "a", 1.6)
    draw_profile(sheet, lambda a, b: (104.0 - 70.0 * a, 84.0 + 70.0 * b), view.hull)
    line: tuple[Point, Point, Point, Point] = ((102.0, 78.0), (78.0, 92.0), (58.0, 124.0), (48.0, 158.0))
    draw_coned_line(sheet, line, 0.4, 0.95, 9, 3.6)
    end_weight(sheet, 48.0, 158.0, upright=True)
    arrow(sheet, 14.0, 30.0, 74.0, 30.0)
    sheet.text(14.0, 20.0, "wind")
    level_dimension(sheet, 174.0, 282.0, 34.0, None, from_y=80.0)
    sheet.text(228.0, 16.0, f"{view.clear_miles} nautical miles", anchor="middle", bold=True)
    sheet.text(228.0, 52.0, "a day, and current", anchor="middle", size=12.0)
    upright_dimension(sheet, 22.0, 84.0, 204.0, from_x=40.0)
    sheet.text(74.0, 150.0, ("deeper than ", depth), bold=True)
    sheet.text(74.0, 168.0, "all along the drift", size=12.0)  # clear of the rising ground
    cautions(sheet, 244.0, ("Less room than that: do not set it. Gain room now.",))
    return sheet.svg()
