"""The whole rig from above, to scale."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from sitegen.drawings.element import d
from sitegen.drawings.hulls import HullShape, Place, draw_hull
from sitegen.drawings.lettering import BOLD, Part, Words, fitted, parts_of, spread, words_width, wrapped
from sitegen.drawings.measures import cone_row, end_weight, level_dimension, scale_bar, upright_dimension
from sitegen.drawings.sheet import Frame, Sheet, both_widths
from sizing.spoken import said, spoken
from sizing.units import both, show

_LEAST_GAP = 2.3
_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500)


@dataclass(frozen=True)
class RigSection:
    """One section of the cone line, as drawn."""

    diameter_m: float
    cones: int
    length_m: float


@dataclass(frozen=True)
class RigDrawing:
    """One boat's rig as drawn, in SI units. `sections[0]` is nearest the boat; the last ends at the weight.

    `beam_given` False says that no beam was entered and the boat is drawn as wide as her transom.
    `end_gap_m` is the line between the outermost cone and the end thimble.
    """

    boat_name: str
    shape: HullShape
    beam_given: bool
    bridle_leg_m: float
    bridle_diameter_m: float
    lead_length_m: float
    lead_diameter_m: float
    sections: tuple[RigSection, ...]
    cone_pitch_m: float
    end_gap_m: float
    end_weight_kg: float

    def __post_init__(self) -> None:
        if self.bridle_leg_m <= self.shape.transom_width_m / 2.0:
            raise ValueError("bridle legs shorter than half the transom do not meet")

    @property
    def cones(self) -> int:
        """How many cones the whole line has."""
        return sum(s.cones for s in self.sections)

    @property
    def bridle_reach_m(self) -> float:
        """How far aft of the transom the legs meet: sqrt(leg^2 - (w/2)^2) [derived]."""
        return math.sqrt(self.bridle_leg_m**2 - (self.shape.transom_width_m / 2.0) ** 2)

    @property
    def reach_m(self) -> float:
        """From the transom to the end thimble, all lines straight."""
        return self.bridle_reach_m + self.lead_length_m + sum(s.length_m for s in self.sections)

    def cone_places_m(self) -> list[float]:
        """Return how far aft of the transom every cone's mouth lies, the innermost first."""
        places: list[float] = []
        end = self.reach_m
        for i, section in reversed(list(enumerate(self.sections))):
            gap = self.end_gap_m if i == len(self.sections) - 1 else 0.0
            places += [end - gap - k * self.cone_pitch_m for k in range(section.cones)]
            end -= section.length_m
        return sorted(places)


def draw_rig_plan(prefix: str, rig: RigDrawing) -> str:
    """Return the rig from above to one true scale, for wide and for narrow screens."""
    return both_widths(
        lambda frame: _narrow(prefix, frame, rig) if frame.narrow else _wide(prefix, frame, rig)
    )


def _sheet(prefix: str, frame: Frame, rig: RigDrawing) -> Sheet:
    sections = "; ".join(
        f"section {i}: {spoken(s.length_m, 'length')} of {both(s.diameter_m, 'small_length')} line with "
        f"{s.cones:,} cones"
        for i, s in enumerate(rig.sections, 1)
    )
    return Sheet(
        prefix,
        frame,
        f"Rig of {rig.boat_name} from above, to scale",
        f"Behind a boat {both(rig.shape.loa_m, 'length')} long: two bridle legs of "
        f"{spoken(rig.bridle_leg_m, 'length')}, "
        f"lead line of {spoken(rig.lead_length_m, 'length')} "
        f"({both(rig.lead_diameter_m, 'small_length')}); {sections}; "
        f"end weight {spoken(rig.end_weight_kg, 'mass')}. "
        f"From transom to end {spoken(rig.reach_m, 'length', 'nearest')}.",
    )


def _columns(rig: RigDrawing) -> list[tuple[float, float, list[Words]]]:
    """Return (from m, to m, label) of boat, bridle, lead line and sections, aft of the transom."""
    at = rig.bridle_reach_m
    columns: list[tuple[float, float, list[Words]]] = [
        (-rig.shape.loa_m, 0.0, ["boat", show(rig.shape.loa_m, "length")]),
    ]
    legs: Words = ("2 × ", said(rig.bridle_leg_m, "length"))
    columns.append((0.0, at, ["bridle", show(rig.bridle_diameter_m, "small_length"), legs]))
    lead = rig.lead_length_m
    diameter = show(rig.lead_diameter_m, "small_length")
    columns.append((at, at + lead, ["lead line", diameter, said(lead, "length")]))
    at += rig.lead_length_m
    for i, s in enumerate(rig.sections, 1):
        name = f"section {i}" if len(rig.sections) > 1 else "cone line"
        cones = f"{s.cones:,} cone{'s' if s.cones != 1 else ''}"
        label: list[Words] = [name, show(s.diameter_m, "small_length"), said(s.length_m, "length"), cones]
        columns.append((at, at + s.length_m, label))
        at += s.length_m
    return columns


def _strip(sheet: Sheet, rig: RigDrawing, place: Place, per_metre: float) -> str:
    """Draw boat, bridle, line and cones to one scale; return what is to be said about the cones."""
    draw_hull(sheet, rig.shape, lambda forward, across: place(-forward, across))
    half = rig.shape.transom_width_m / 2.0
    apex = place(rig.bridle_reach_m, 0.0)
    for side in (-half, half):
        sheet.line(*place(0.0, side), *apex, "ink", 1.2, part="bridle")
    at = rig.bridle_reach_m
    sheet.line(*apex, *place(at + rig.lead_length_m, 0.0), "ink", 2.0, part="lead")
    at += rig.lead_length_m
    for section in rig.sections:
        sheet.line(*place(at, 0.0), *place(at + section.length_m, 0.0), "a", 1.2, part="section")
        at += section.length_m
    places = rig.cone_places_m()
    step = next((s for s in _STEPS if s * rig.cone_pitch_m * per_metre >= _LEAST_GAP), _STEPS[-1])
    drawn = places[::-1][::step]
    x0, y0 = place(0.0, 0.0)
    x1, y1 = place(1.0, 0.0)
    aft = ((x1 - x0) / per_metre, (y1 - y0) / per_metre)
    length = min(4.0, 0.7 * step * rig.cone_pitch_m * per_metre)
    if drawn:
        row = cone_row([place(p, 0.0) for p in drawn], aft, 3.2, length)
        sheet.path(row, None, area="a", part="cones")
    at = rig.bridle_reach_m + rig.lead_length_m
    for section in rig.sections:
        sheet.circle(*place(at, 0.0), 2.6, "ink", 1.2, area="paper", part="joint")
        at += section.length_m
    sheet.circle(*apex, 2.6, "ink", 1.2, area="paper", part="joint")
    end_weight(sheet, *place(rig.reach_m, 0.0), upright=abs(aft[1]) > 0.5)
    if step == 1:
        return "every cone drawn, enlarged"
    return f"one cone in {step} drawn, enlarged"


def _wide(prefix: str, frame: Frame, rig: RigDrawing) -> Sheet:
    sheet = _sheet(prefix, frame, rig)
    left, right = 16.0, frame.width - 44.0
    total = rig.shape.loa_m + rig.reach_m
    per_metre = min((right - left) / total, 200.0 / rig.shape.drawn_beam_m)
    half_beam = rig.shape.drawn_beam_m / 2.0 * per_metre
    sheet.text(left, 22.0, fitted(rig.boat_name, 16.0 * BOLD, 420.0), size=16.0, bold=True)
    centre = 58.0 + max(half_beam, 14.0)
    x_stern = left + rig.shape.loa_m * per_metre
    end_x = x_stern + rig.reach_m * per_metre
    cones = _strip(
        sheet, rig, lambda aft, across: (x_stern + aft * per_metre, centre + across * per_metre), per_metre
    )
    base = centre + max(half_beam, 10.0) + 16.0
    reach = ("transom to end ", said(rig.reach_m, "length", "nearest"))
    level_dimension(sheet, x_stern, end_x, 44.0, reach, from_y=centre - 24.0)
    bottom = _labels_below(sheet, rig, x_stern, per_metre, base, centre)
    scale_bar(sheet, left, bottom + 4.0, per_metre, 120.0)
    notes = wrapped(f"All to one scale; {cones}.{_beam_note(rig)}", 12.0, frame.width - left - 210.0)
    below = sheet.lines(left + 190.0, bottom + 10.0, notes, tone="muted", size=12.0)
    sheet.height = max(below - 8.0, bottom + 16.0)
    return sheet


def _labels_below(
    sheet: Sheet, rig: RigDrawing, x_stern: float, per_metre: float, base: float, centre: float
) -> float:
    """Draw one dimension line a part and its label in a column below; return the next free y."""
    columns = _columns(rig)
    size = sheet.font - 1.0
    weight: list[Words] = ["weight", said(rig.end_weight_kg, "mass")]
    widths = [
        max(words_width(row, size) for row in rows) + 10.0 for rows in [*(c[2] for c in columns), weight]
    ]
    end = x_stern + rig.reach_m * per_metre
    middles = [x_stern + (a + b) / 2.0 * per_metre for a, b, _ in columns] + [end + 16.0]
    places = spread(middles, widths, 4.0, sheet.width - 4.0)
    sheet.path(d("M", end + 16.0, centre + 8.0, "V", base, "L", places[-1], base + 16.0), "muted", 0.6)
    sheet.lines(places[-1], base + 30.0, weight, anchor="middle", size=size, bold_first=True, leading=1.25)
    for (a, b, rows), x, middle in zip(columns, places, middles, strict=False):
        x1, x2 = x_stern + a * per_metre, x_stern + b * per_metre
        level_dimension(sheet, x1, x2, base, None, from_y=centre + 6.0, part="dimension")
        sheet.path(d("M", middle, base, "L", x, base + 16.0), "muted", 0.6)
        sheet.lines(x, base + 30.0, rows, anchor="middle", size=size, bold_first=True, leading=1.25)
    return base + 30.0 + 4 * size * 1.25


def _narrow(prefix: str, frame: Frame, rig: RigDrawing) -> Sheet:
    sheet = _sheet(prefix, frame, rig)
    size = sheet.font - 1.0
    sheet.text(10.0, 20.0, fitted(rig.boat_name, 15.0 * BOLD, 320.0), size=15.0, bold=True)
    top, bottom = 40.0, 560.0
    total = rig.shape.loa_m + rig.reach_m
    per_metre = min((bottom - top) / total, 90.0 / rig.shape.drawn_beam_m)
    centre = 12.0 + max(rig.shape.drawn_beam_m / 2.0 * per_metre, 20.0)
    y_stern = top + rig.shape.loa_m * per_metre
    end_y = y_stern + rig.reach_m * per_metre
    cones = _strip(
        sheet, rig, lambda aft, across: (centre - across * per_metre, y_stern + aft * per_metre), per_metre
    )
    columns = _columns(rig)
    heights = [2.0 * size * 1.3 + 9.0 for _ in columns] + [size * 1.3 + 6.0]
    middles = [y_stern + (a + b) / 2.0 * per_metre for a, b, _ in columns] + [end_y + 14.0]
    places = spread(middles, heights, 26.0, max(end_y + 40.0, 26.0 + sum(heights)))
    x_dimension = centre + max(rig.shape.drawn_beam_m / 2.0 * per_metre, 10.0) + 14.0
    x_label = x_dimension + 26.0
    for (a, b, rows), y, middle in zip(columns, places, middles, strict=False):
        y1, y2 = y_stern + a * per_metre, y_stern + b * per_metre
        upright_dimension(sheet, x_dimension, y1, y2, from_x=centre + 6.0, part="dimension")
        sheet.line(x_dimension, middle, x_label - 6.0, y, "muted", 0.6)
        head, rest = _two_lines(rows)
        sheet.lines(x_label, y - 2.0, [head, rest], size=size, bold_first=True)
    sheet.line(centre + 12.0, end_y + 14.0, x_label - 6.0, places[-1], "muted", 0.6)
    sheet.text(
        x_label,
        places[-1] + size * 0.4,
        ("end weight ", said(rig.end_weight_kg, "mass")),
        size=size,
        bold=True,
    )
    y = max(end_y + 44.0, places[-1] + 24.0)
    sheet.text(10.0, y, ("From transom to end ", said(rig.reach_m, "length", "nearest"), "."), size=size)
    notes = wrapped(f"All to one scale; {cones}.{_beam_note(rig)}", size - 0.5, 320.0)
    y = sheet.lines(10.0, y + 17.0, notes, tone="muted", size=size - 0.5)
    scale_bar(sheet, 10.0, y - 4.0, per_metre, 120.0)
    sheet.height = y + 8.0
    return sheet


def _beam_note(rig: RigDrawing) -> str:
    return "" if rig.beam_given else " With no beam given she is drawn as wide as her transom."


def _two_lines(rows: Sequence[Words]) -> tuple[Words, Words]:
    """Put name and cones on one line and the measures on another."""
    head = list(parts_of(rows[0]))
    if len(rows) > 3:
        head += [" · ", *parts_of(rows[3])]
    rest: list[Part] = []
    for row in rows[1:3]:
        rest += [" · ", *parts_of(row)] if rest else parts_of(row)
    return head, rest
