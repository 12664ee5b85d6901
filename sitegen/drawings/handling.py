"""Sketches of the drogue in use: how she lies, how it is stowed, launched, ridden to and got back."""

from __future__ import annotations

import math
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
    trace,
)
from sitegen.drawings.lettering import Words
from sitegen.drawings.measures import end_weight
from sitegen.drawings.sheet import SKETCH, Point, Sheet, polyline
from sizing.units import both, show


@dataclass(frozen=True)
class SideView:
    """What the side view names: whether she is a motor boat, and three measures of her rig (m, count, kg)."""

    motor: bool
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
        f"{both(view.lead_length_m, 'length')} and the line with {cones} slope down into the water, "
        f"the end weight of "
        f"{both(view.end_weight_kg, 'mass')} deepest.",
    )
    surface = (
        "M0 132C60 136 106 127 146 108C184 90 204 64 236 60C262 57 270 88 292 102C308 112 324 116 340 114"
    )
    draw_sea(sheet, surface, 264.0)
    line: tuple[Point, Point, Point, Point] = ((149.0, 101.0), (205.0, 118.0), (262.0, 166.0), (306.0, 218.0))
    draw_profile(sheet, tilted(148.0, 112.0, 108.0, -11.0), view.motor)
    sheet.path("M0 132C60 136 106 127 146 108", "a", 1.6)
    draw_coned_line(sheet, line, 0.36, 0.96, 13)
    end_weight(sheet, 306.0, 218.0, upright=True)
    arrow(sheet, 330.0, 36.0, 268.0, 36.0)
    sheet.text(330.0, 26.0, "seas from astern", anchor="end")
    lead: Words = ("lead line ", show(view.lead_length_m, "length"))
    labels: tuple[tuple[Words, float, float], ...] = ((lead, 172.0, 0.2), (cones, 202.0, 0.62))
    for words, y, t in labels:
        (x, at), _ = bezier(line, t)
        sheet.text(16.0, y, words)
        pointer(sheet, 142.0, y - 5.0, x - 5.0, at + 4.0)
    sheet.text(16.0, 232.0, ("end weight ", show(view.end_weight_kg, "mass")))
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
        "weight on top. The bridle leads out of the bag, over everything, to its attachments on the transom.",
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


def draw_launching(prefix: str) -> str:
    """Return a sketch of the launch: boat slow, everybody clear of the running line."""
    sheet = Sheet(
        prefix,
        SKETCH,
        "Launching over the stern",
        "The boat moves slowly. The end weight goes over the stern first, the cones follow out of "
        "the bag one after "
        "another. A hatched area round the bag and the running line is kept clear of people.",
    )
    draw_sea(sheet, "M0 150C60 156 120 146 180 152C230 156 290 146 340 151", 232.0)
    sheet.path(
        "M0 92L96 92L96 132L160 132L166 86L182 86L172 172C120 186 60 190 0 190", "ink", 1.5, area="wash"
    )
    sheet.path("M98 70H190V126H98Z", "b", 1.2, hatch=sheet.pattern("diagonal", "b"), dash="5 3")
    sheet.path("M108 131L112 100H146L150 131Z", "ink", 1.5, area="paper")
    line: tuple[Point, Point, Point, Point] = ((128.0, 102.0), (168.0, 40.0), (214.0, 110.0), (286.0, 196.0))
    draw_coned_line(sheet, line, 0.06, 0.95, 15)
    end_weight(sheet, 286.0, 197.0, upright=True)
    arrow(sheet, 84.0, 24.0, 26.0, 24.0)
    sheet.text(14.0, 46.0, "boat slow")
    sheet.text(326.0, 30.0, "keep clear: running line", anchor="end")
    pointer(sheet, 216.0, 36.0, 182.0, 78.0)
    sheet.text(200.0, 222.0, "weight first", anchor="end")
    pointer(sheet, 206.0, 218.0, 278.0, 212.0)
    sheet.text(326.0, 102.0, "cones one by one", anchor="end")
    pointer(sheet, 262.0, 108.0, 240.0, 128.0)
    cautions(
        sheet,
        256.0,
        (
            "No hand or foot in a bight; nobody aft of the bag.",
            "Never near a lee shore. Practise in mild weather.",
        ),
    )
    return sheet.svg()


_FROM_ABOVE: Final = (
    "M0 -0.13L0 0.13C-0.2 0.18 -0.35 0.18 -0.48 0.17C-0.7 0.15 -0.9 0.06 -1 0"
    "C-0.9 -0.06 -0.7 -0.15 -0.48 -0.17C-0.35 -0.18 -0.2 -0.18 0 -0.13Z"
)


def draw_lying(prefix: str) -> str:
    """Return a sketch from above of the boat lying to the drogue and yawing."""
    sheet = Sheet(
        prefix,
        SKETCH,
        "Lying to the drogue, from above",
        "Wave crests come from astern. The boat yaws about ten degrees to either side, drawn in "
        "broken lines. Two bridle "
        "legs meet at the lead line; when she yaws, one leg takes nearly all the load.",
    )
    sheet.rect(0.0, 0.0, 340.0, 196.0, None, area="sea")
    for i in range(4):
        x = 196.0 + 46.0 * i
        sheet.path(f"M{x} 8C{x - 16} 60 {x - 16} 132 {x} 188", "paper", 2.4)
    stern = (126.0, 98.0)
    for turn in (-10.0, 10.0):
        sheet.path(trace(_FROM_ABOVE, tilted(*stern, 104.0, turn)), "muted", 1.0, dash="4 3")
    sheet.path(trace(_FROM_ABOVE, tilted(*stern, 104.0, 0.0)), "ink", 1.5, area="paper")
    sheet.path(
        trace("M-0.3 -0.07L-0.3 0.07L-0.62 0.05L-0.62 -0.05Z", tilted(*stern, 104.0, 0.0)), "muted", 0.9
    )
    for side in (-13.0, 13.0):
        sheet.line(126.0, 98.0 + side, 192.0, 98.0, "ink", 2.0)
        sheet.circle(126.0, 98.0 + side, 3.4, "ink", 1.4, area="paper")
    draw_coned_line(sheet, ((192.0, 98.0), (240.0, 98.0), (290.0, 98.0), (336.0, 98.0)), 0.35, 0.97, 10)
    sheet.circle(192.0, 98.0, 3.0, "ink", 1.4, area="paper")
    arrow(sheet, 330.0, 34.0, 276.0, 34.0)
    sheet.text(330.0, 24.0, "seas from astern", anchor="end")
    sheet.text(14.0, 24.0, "yaws about 10° each way")
    pointer(sheet, 40.0, 30.0, 30.0, 80.0)
    sheet.text(14.0, 184.0, "guard against chafe here")
    pointer(sheet, 108.0, 170.0, 126.0, 117.0)
    sheet.text(330.0, 150.0, "one leg may take all", anchor="end")
    pointer(sheet, 232.0, 136.0, 168.0, 109.0)
    cautions(
        sheet, 222.0, ("Look at the chafe guards whenever it is safe to.", "Lines under load take fingers.")
    )
    return sheet.svg()


def draw_recovering(prefix: str) -> str:
    """Return a sketch of the recovery: a hauling line from a winch, hitched on between two cones."""
    sheet = Sheet(
        prefix,
        SKETCH,
        "Recovering with a hauling line and a winch",
        "A hauling line runs from a winch to a hitch on the drogue line between two cones. The winch "
        "hauls; then the "
        "drogue line is made fast to a cleat, and the hitch is shifted outward. The cones never go "
        "round the winch.",
    )
    sheet.path("M0 44L196 44L206 168L0 168", "ink", 1.5, area="wash")
    sheet.rect(206.0, 30.0, 134.0, 152.0, None, area="sea")
    winch = (62.0, 76.0)
    for r in (22.0, 15.0, 6.0):
        sheet.circle(*winch, r, "ink", 1.4, area="paper")
    turns = [(angle, 16.0 + angle / 360.0) for angle in range(90, 1080, 30)]
    sheet.path(
        polyline(
            [
                (winch[0] + r * math.cos(math.radians(a)), winch[1] + r * math.sin(math.radians(a)))
                for a, r in turns
            ]
        ),
        "b",
        1.6,
    )
    hitch = (226.0, 118.0)
    sheet.path(f"M62 95L{hitch[0]} {hitch[1]}", "b", 2.2)
    line: tuple[Point, Point, Point, Point] = ((40.0, 142.0), (120.0, 150.0), (200.0, 108.0), (338.0, 128.0))
    draw_coned_line(sheet, line, 0.4, 0.97, 8, 5.5)
    sheet.path("M30 136L50 148M30 150Q40 142 50 134", "ink", 2.4)
    for dx in (-4.0, 0.0, 4.0):
        sheet.path(f"M{hitch[0] + dx - 2} {hitch[1] - 6}l4 12", "b", 2.2)
    for number_of, x, y in (
        ("1", hitch[0] + 8.0, hitch[1] - 24.0),
        ("2", winch[0] + 38.0, winch[1] - 4.0),
        ("3", 40.0, 122.0),
    ):
        sheet.circle(x, y, 9.0, "ink", 1.2, area="paper")
        sheet.text(x, y + 4.5, number_of, anchor="middle", bold=True)
    y = sheet.lines(
        14.0,
        204.0,
        [
            "1  hitch the hauling line on, between cones",
            "2  haul it in with the winch",
            "3  make the drogue line fast, shift the hitch out",
        ],
        leading=1.5,
    )
    cautions(
        sheet,
        y + 10.0,
        (
            "Wait until the sea has eased; the line can load again at any moment.",
            "Fingers clear of hitch, cleat and drum.",
        ),
    )
    return sheet.svg()
