"""Details of the making: a tape through the rope's cover, one cone on its line, one leg of the bridle."""

from __future__ import annotations

from dataclasses import dataclass

from sitegen.drawings.element import d
from sitegen.drawings.lettering import Words
from sitegen.drawings.measures import level_dimension, thimble
from sitegen.drawings.palette import stroke
from sitegen.drawings.sheet import SKETCH, Sheet
from sizing.spoken import said, spoken
from sizing.units import Shown, both, show


@dataclass(frozen=True)
class TapeDetail:
    """How tapes pass through the line: strands of the cover over each, tapes a cone, cut length (m)."""

    strands: tuple[int, int]
    tapes: int
    tape_cut_m: float


@dataclass(frozen=True)
class ConeSpacing:
    """One cone on its line (m); `slack_m` and `knot_gap_m` are (least, most)."""

    pitch_m: float
    mouth_m: float
    small_end_m: float
    slant_m: float
    slack_m: tuple[float, float]
    knot_gap_m: tuple[float, float]


@dataclass(frozen=True)
class BridleLeg:
    """One leg of the bridle (m): finished from thimble to thimble, as cut, and its sleeve."""

    leg_m: float
    cut_m: float
    diameter_m: float
    sleeve_m: float


def span(low: float, high: float) -> Shown:
    """Return a range of small lengths in both systems.

    >>> span(0.0508, 0.0762)
    Shown(metric='50.8 to 76.2 mm', us='2 to 3 in')
    """
    a, b = show(low, "small_length"), show(high, "small_length")
    return Shown(f"{a.metric.split()[0]} to {b.metric}", f"{a.us.split()[0]} to {b.us}")


def draw_tape_detail(prefix: str, detail: TapeDetail) -> str:
    """Return one tape under the cover's strands, its stopper knot, and where tapes lie round the rope."""
    low, high = detail.strands
    words = ["no", "one", "two", "three", "four", "five", "six"]
    strands = f"{words[low]} or {words[high]} strands"
    sheet = Sheet(
        prefix,
        SKETCH,
        "A tape through the cover of the line",
        f"The tape passes under {strands} of the cover, at about 45 degrees to the rope, never "
        f"through the core. A "
        f"figure-eight knot stops its tail. The {detail.tapes} tapes enter at equal distances round "
        f"the rope. Not to scale.",
    )
    _braid(sheet, 14.0, 326.0, 96.0, 30.0)
    # The tape: over the cover, under the strands (drawn over it), out again to its knot.
    tape = "M96 24L112 40L204 132L214 142"
    for role, width in (("b", 13.0), ("paper", 10.4)):
        sheet.path(tape, "b" if role == "b" else "paper", width)
    for i in range(high):
        x, y = 140.0 + 12.5 * i, 75.0 + 12.5 * i
        strand = f"M{x - 15.0} {y + 15.0}L{x + 15.0} {y - 15.0}"
        sheet.path(strand, "ink", 9.6, part="strand")
        sheet.path(strand, "wash", 7.4)
    knot = "M214 142C232 160 254 148 244 136C234 124 214 156 226 166C238 176 254 164 240 150L262 178"
    for role, width in (("b", 11.0), ("paper", 8.4)):
        sheet.path(knot, "b" if role == "b" else "paper", width, part="knot" if role == "b" else None)
    sheet.text(120.0, 32.0, "to the cone")
    sheet.text(334.0, 52.0, strands, anchor="end")
    sheet.path("M204 50L160 70", "muted", 0.8)
    sheet.text(14.0, 58.0, "about 45°")
    sheet.path("M76 54L101 34", "muted", 0.8)
    sheet.text(14.0, 166.0, "figure-eight stopper")
    sheet.path("M150 162L214 158", "muted", 0.8)
    _round_rope(sheet, 74.0, 240.0, 42.0, detail.tapes)
    sheet.lines(
        140.0,
        210.0,
        [f"{words[detail.tapes]} tapes, equally", "spaced round the rope", "cover", "core: never pierced"],
        leading=1.45,
    )
    sheet.path("M136 243L113 243", "muted", 0.8)
    sheet.path("M136 262L84 248", "muted", 0.8)
    sheet.height = 304.0
    sheet.text(
        14.0,
        sheet.height,
        ("each tape cut ", show(detail.tape_cut_m, "small_length"), "; not to scale"),
        tone="muted",
        size=12.0,
    )
    sheet.height += 10.0
    return sheet.svg()


def _braid(sheet: Sheet, left: float, right: float, middle: float, half: float) -> None:
    """Draw a length of braided rope from the side."""
    sheet.rect(left, middle - half, right - left, 2 * half, None, area="wash")
    step, rise = 12.5, 2.0 * half
    strands = ""
    x = left - rise
    while x < right:
        for a, b in ((x, x + rise), (x + rise, x)):
            # Each strand from the lower to the upper edge, cut at the ends of the drawn length.
            (xa, ya), (xb, yb) = sorted([(a, middle + half), (b, middle + half - rise)])
            slope = (yb - ya) / (xb - xa)
            if xb <= left or xa >= right:
                continue
            if xa < left:
                xa, ya = left, ya + slope * (left - xa)
            if xb > right:
                xb, yb = right, yb - slope * (xb - right)
            strands += d("M", xa, ya, "l", xb - xa, yb - ya)
        x += step
    sheet.path(strands, "rule", 1.2)
    for y in (middle - half, middle + half):
        sheet.line(left, y, right, y, "ink", 1.4)


def _round_rope(sheet: Sheet, x: float, y: float, r: float, tapes: int) -> None:
    """Draw the rope's section: cover, core, and each tape between them."""
    sheet.circle(x, y, r, "ink", 1.4, area="wash")
    sheet.circle(x, y, r * 0.66, "muted", 1.0, area="sea")
    for i in range(tapes):
        turn = f"rotate({360 / tapes * i:.0f} {x:.0f} {y:.0f})"
        sheet.add(
            "path",
            d=f"M{x - 27:.0f} {y - r - 8:.0f}Q{x - 14:.0f} {y - r * 0.8:.0f} {x:.0f} {y - r * 0.8:.0f}"
            f"T{x + 27:.0f} {y - r - 8:.0f}",
            transform=turn,
            class_=stroke("b"),
            stroke_width=3.0,
            data_part="tape-round",
        )


def draw_cone_spacing(prefix: str, spacing: ConeSpacing) -> str:
    """Return two cones on the taut line to scale, with the distances at which their tapes are knotted."""
    s = spacing
    sheet = Sheet(
        prefix,
        SKETCH,
        "Cones on the line, line taut",
        f"Cones stand {both(s.pitch_m, 'small_length')} apart, mouth to mouth. With the line taut the "
        f"tapes at the mouth "
        f"have {span(*s.slack_m).metric} ({span(*s.slack_m).us}) of slack; from the small end to its "
        f"knots are "
        f"{span(*s.knot_gap_m).metric} ({span(*s.knot_gap_m).us}).",
    )
    length = s.pitch_m + s.slant_m + 1.1 * s.mouth_m + s.knot_gap_m[1]
    scale = min(312.0 / length, 90.0 / s.mouth_m)
    half = s.mouth_m / 2.0 * scale
    centre = 62.0 + half
    first = 14.0 + 1.0 * s.mouth_m * scale
    sheet.line(4.0, centre, 336.0, centre, "ink", 3.0)
    for mouth in (first, first + s.pitch_m * scale):
        tail = s.small_end_m / 2.0 * scale
        small = mouth + (s.slant_m**2 - (s.mouth_m / 2 - s.small_end_m / 2) ** 2) ** 0.5 * scale
        ahead = mouth - 0.85 * s.mouth_m * scale
        behind = small + (s.knot_gap_m[0] + s.knot_gap_m[1]) / 2.0 * scale
        sag = half * 0.4
        sheet.path(
            f"M{mouth:.1f} {centre - half:.1f}Q{(mouth + ahead) / 2:.1f} "
            f"{centre - half / 2 - sag:.1f} {ahead:.1f} {centre:.1f}"
            f"Q{(mouth + ahead) / 2:.1f} {centre + half / 2 + sag:.1f} {mouth:.1f} {centre + half:.1f}"
            f"M{small:.1f} {centre - tail:.1f}L{behind:.1f} {centre:.1f}L{small:.1f} {centre + tail:.1f}",
            "b",
            1.6,
        )
        sheet.path(
            f"M{mouth:.1f} {centre - half:.1f}L{small:.1f} {centre - tail:.1f}V{centre + tail:.1f}"
            f"L{mouth:.1f} {centre + half:.1f}Q{mouth - half * 0.25:.1f} {centre:.1f} {mouth:.1f} "
            f"{centre - half:.1f}Z",
            "a",
            1.4,
            area="sea",
            part="cone-detail",
        )
        for knot in (ahead, behind):
            sheet.circle(knot, centre, 3.0, "b", 1.4, area="paper", part="knot")
    pitch: Words = ("mouth to mouth ", show(s.pitch_m, "small_length"))
    level_dimension(
        sheet,
        first,
        first + s.pitch_m * scale,
        centre - half - 16.0,
        pitch,
        from_y=centre - half,
        part="pitch-detail",
    )
    sheet.text(14.0, 20.0, "toward the boat", tone="muted", size=12.0)
    sheet.path("M134 16H112M117 12L112 16L117 20", "muted", 1.0)
    y = centre + half + 26.0
    for words in (
        ("mouth: tapes slack by ", span(*s.slack_m)),
        ("small end to knots: ", span(*s.knot_gap_m)),
        ("mouth ", show(s.mouth_m, "small_length"), ", slant ", show(s.slant_m, "small_length")),
    ):
        sheet.text(14.0, y, words)
        y += 19.0
    sheet.text(14.0, y, "To scale; rings: tapes pass the cover here.", tone="muted", size=12.0)
    sheet.height = y + 10.0
    return sheet.svg()


def draw_bridle_leg(prefix: str, leg: BridleLeg) -> str:
    """Return one leg of the bridle with its two spliced eyes and the sleeve against chafe."""
    sheet = Sheet(
        prefix,
        SKETCH,
        "One leg of the bridle",
        f"Rope of {both(leg.diameter_m, 'small_length')} with a thimble spliced into each end, "
        f"{spoken(leg.leg_m, 'length')} from thimble to thimble, cut {spoken(leg.cut_m, 'length')}; both "
        f"legs alike. "
        f"A sleeve covers the first {spoken(leg.sleeve_m, 'length')} from the eye at the boat. Not to scale.",
    )
    y = 70.0
    sheet.line(60.0, y, 280.0, y, "ink", 5.0)
    for x, flip in ((42.0, False), (298.0, True)):
        sheet.path(
            f"M{x + (-28 if flip else 28)} {y - 5}L{x + (-72 if flip else 72)} {y}"
            f"L{x + (-28 if flip else 28)} {y + 5}Z",
            "ink",
            1.0,
            area="ink",
        )
        thimble(sheet, x, y, 17.0, flip)
        thimble(sheet, x, y, 11.0, flip)
    sheet.rect(62.0, y - 7.0, 96.0, 14.0, "c", 1.4, hatch=sheet.pattern("diagonal", "c"), round_=3.0)
    finished: Words = ("finished ", said(leg.leg_m, "length"))
    level_dimension(sheet, 31.0, 309.0, 32.0, finished, from_y=y - 16.0)
    for x, words in ((20.0, "to the boat"), (320.0, "to the lead line")):
        sheet.text(x, y + 44.0, words, anchor="start" if x < 100 else "end", tone="muted", size=12.0)
    sheet.text(
        62.0, y + 26.0, ("sleeve, the first ", said(leg.sleeve_m, "length"), " from the eye"), size=12.0
    )
    sheet.text(
        14.0,
        y + 66.0,
        ("rope ", show(leg.diameter_m, "small_length"), ", each leg cut ", said(leg.cut_m, "length")),
    )
    sheet.text(14.0, y + 85.0, "Both legs alike; reinforced thimbles.")
    sheet.height = y + 96.0
    return sheet.svg()
