"""Two parts of the rig enlarged: the bridle at the stern, and the outer end with its last cones."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitegen.drawings.element import d
from sitegen.drawings.lettering import words_width
from sitegen.drawings.measures import (
    break_mark,
    cone_detail,
    end_weight,
    level_dimension,
    scale_bar,
    thimble,
    upright_dimension,
)
from sitegen.drawings.sheet import SKETCH, Sheet
from sizing.spoken import said, spoken
from sizing.units import both, show

_LEFT, _WIDTH = 10.0, SKETCH.width - 20.0


@dataclass(frozen=True)
class BridlePart:
    """The bridle as drawn (m): width between the attachments, and one finished leg."""

    transom_width_m: float
    leg_m: float
    diameter_m: float


@dataclass(frozen=True)
class EndPart:
    """The outer end as drawn (m)."""

    cones: int
    mouth_m: float
    small_end_m: float
    slant_m: float
    pitch_m: float
    end_gap_m: float


def draw_bridle(prefix: str, bridle: BridlePart) -> str:
    """Return the bridle at the stern enlarged, to its own scale."""
    sheet = Sheet(
        prefix,
        SKETCH,
        "The bridle at the stern, enlarged, to scale",
        f"Two legs of {spoken(bridle.leg_m, 'length')}, rope of {both(bridle.diameter_m, 'small_length')}, "
        f"run from strong points {both(bridle.transom_width_m, 'length')} apart to the lead line's thimble.",
    )
    x, width, size = _LEFT, _WIDTH, sheet.font - 1.0
    sheet.text(x, 16.0, "Bridle, enlarged", bold=True)
    reach = math.sqrt(bridle.leg_m**2 - (bridle.transom_width_m / 2.0) ** 2)
    room_x, room_y = width - 84.0, 130.0
    per_metre = min(room_x / reach, room_y / bridle.transom_width_m)
    half = bridle.transom_width_m / 2.0 * per_metre
    stern, centre = x + 38.0, 62.0 + max(half, 30.0)
    apex = stern + reach * per_metre
    sheet.path(
        d("M", stern - 16, centre - half - 8, "H", stern, "V", centre + half + 8, "H", stern - 16),
        "ink",
        1.3,
        area="wash",
    )
    sheet.path(d("M", stern, centre, "H", apex), "muted", 0.6, dash="6 3 1 3")
    for side in (-half, half):
        sheet.line(stern, centre + side, apex, centre, "ink", 2.2, part="bridle-detail")
        sheet.circle(stern, centre + side, 4.0, "ink", 1.3, area="paper")
    sheet.line(apex, centre, x + width - 14.0, centre, "ink", 3.0)
    thimble(sheet, apex, centre, 5.0)
    break_mark(sheet, x + width - 12.0, centre)
    upright_dimension(
        sheet, stern - 26.0, centre - half, centre + half, from_x=stern - 16.0, part="transom-detail"
    )
    between = ("between strong points ", show(bridle.transom_width_m, "length"))
    sheet.text(x, centre - max(half, 30.0) - 19.0, between, size=size)
    leg = ("each leg ", said(bridle.leg_m, "length"))
    leg_x = min(stern + 0.55 * reach * per_metre, x + width - words_width(leg, size) - 4.0)
    sheet.text(leg_x, centre - max(half, 30.0) * 0.6 - 8.0, leg, size=size)
    sheet.text(
        leg_x,
        centre + max(half, 30.0) * 0.6 + size + 8.0,
        ("rope ", show(bridle.diameter_m, "small_length")),
        size=size,
    )
    angle = math.asin(bridle.transom_width_m / 2.0 / bridle.leg_m)
    bottom = centre + max(half, 30.0) + 26.0
    scale_bar(sheet, x, bottom, per_metre, 80.0)
    sheet.text(
        x + width, bottom + 6.0, ("half angle ", show(angle, "angle")), anchor="end", tone="muted", size=size
    )
    sheet.height = bottom + 20.0
    return sheet.svg()


def draw_outer_end(prefix: str, end: EndPart) -> str:
    """Return the last cones and the end weight enlarged, to their own scale."""
    sheet = Sheet(
        prefix,
        SKETCH,
        "The outer end, enlarged, to scale",
        f"Cones with a mouth of {both(end.mouth_m, 'small_length')} stand "
        f"{both(end.pitch_m, 'small_length')} apart, mouth to mouth. From the mouth of the last to the end "
        f"thimble are {both(end.end_gap_m, 'small_length')}; there hangs the end weight.",
    )
    x, width, size = _LEFT, _WIDTH, sheet.font - 1.0
    shown = max(1, min(2, end.cones))
    sheet.text(x, 16.0, "Outer end, enlarged", bold=True)
    room = width - 62.0
    length = end.end_gap_m + (shown - 0.35) * end.pitch_m
    per_metre = min(room / length, 60.0 / end.mouth_m)
    half = end.mouth_m / 2.0 * per_metre
    end_x = x + width - 34.0
    centre = 64.0 + half
    start = end_x - length * per_metre
    sheet.line(start, centre, end_x, centre, "ink", 2.2)
    break_mark(sheet, start, centre)
    mouths = [end_x - (end.end_gap_m + i * end.pitch_m) * per_metre for i in range(shown)]
    for mouth in mouths:
        cone_detail(sheet, mouth, centre, 2.0 * half, end.small_end_m * per_metre, end.slant_m * per_metre)
    thimble(sheet, end_x - 2.0, centre, 5.0, flip=True)
    end_weight(sheet, end_x + 3.0, centre)
    above, below = centre - half - 14.0, centre + half + 14.0
    if shown > 1:
        level_dimension(
            sheet,
            mouths[1],
            mouths[0],
            above,
            ("mouth to mouth ", show(end.pitch_m, "small_length")),
            from_y=centre - half,
            part="pitch-detail",
        )
    level_dimension(
        sheet,
        mouths[0],
        end_x,
        below,
        ("to end thimble ", show(end.end_gap_m, "small_length")),
        from_y=centre + half,
        below=True,
        part="gap-detail",
    )
    mouth_words = ("cone mouth ", show(end.mouth_m, "small_length"))
    bottom = below + size * 2.0 + 8.0
    sheet.text(x + width, bottom + 6.0, mouth_words, anchor="end", tone="muted", size=size)
    scale_bar(sheet, x, bottom, per_metre, 80.0)
    sheet.height = bottom + 20.0
    return sheet.svg()
