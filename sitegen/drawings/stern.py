"""Sketches of the stern from above, by hull: how the drogue is launched, and how it is got back aboard."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sitegen.drawings.freehand import arrow, cautions, draw_coned_line, pointer
from sitegen.drawings.hulls import Hull
from sitegen.drawings.measures import end_weight
from sitegen.drawings.palette import Role
from sitegen.drawings.sheet import SKETCH, Point, Sheet

_STERN: Final = 132.0
_MIDDLE: Final = 112.0
_FLOOR: Final = 214.0
_Curve = tuple[Point, Point, Point, Point]


@dataclass(frozen=True)
class SternView:
    """What the sketches differ by: her hull, and whether a tackle hauls or a winch."""

    hull: Hull
    tackle: bool

    @property
    def two_hulls(self) -> bool:
        """Whether she is a catamaran."""
        return "catamaran" in self.hull

    @property
    def motor(self) -> bool:
        """Whether she has propellers to be named and no winch."""
        return "motor" in self.hull

    @property
    def quarter(self) -> float:
        """Half the distance between the strong points, as drawn."""
        return 62.0 if self.two_hulls else 46.0 if self.motor else 40.0

    @property
    def edge(self) -> float:
        """Where her deck ends aft on the middle line: a catamaran's beam lies forward of her sterns."""
        return _STERN - 24.0 if self.two_hulls else _STERN


def draw_launching(prefix: str, view: SternView) -> str:
    """Return the launch: everybody forward of the bag, weight first, legs outside all, propellers stopped."""
    sheet = _sheet(
        prefix,
        view,
        "Launching over the stern, from above",
        "People stay forward of the bag. The end weight is lowered first; the cones follow out of the bag. "
        f"Both legs lead outside everything{' and outside the rudders' if view.two_hulls else ''}.",
    )
    bag = view.edge - 16.0
    zone = sheet.pattern("diagonal", "b")
    sheet.path(
        f"M{bag - 12} {_MIDDLE - 16}L{_STERN + 56} {_MIDDLE - 30}V{_MIDDLE + 44}L{bag - 12} {_MIDDLE + 16}Z",
        "b", 1.2, hatch=zone, dash="5 3",
    )  # fmt: skip
    _legs(sheet, view, "ink", "leg", (34.0, 8.0), (_STERN + 40.0, 10.0), (bag + 8.0, 6.0))
    sheet.rect(bag - 10.0, _MIDDLE - 11.0, 20.0, 22.0, "ink", 1.5, area="paper", round_=3.0)
    line: _Curve = (
        (bag + 6.0, _MIDDLE), (_STERN + 34.0, _MIDDLE + 16.0), (250.0, _MIDDLE + 22.0),
        (304.0, _MIDDLE + 30.0),
    )  # fmt: skip
    draw_coned_line(sheet, line, 0.24, 0.93, 12)
    end_weight(sheet, 304.0, _MIDDLE + 30.0)
    for x, y in ((bag - 30.0, _MIDDLE + 4.0), (bag - 52.0, _MIDDLE - 12.0), (bag - 66.0, _MIDDLE + 14.0)):
        sheet.circle(x, y, 6.0, "ink", 1.4, area="paper", part="person")
    arrow(sheet, 84.0, 22.0, 26.0, 22.0)
    sheet.text(14.0, 12.0, "slow, dead before the sea", size=12.0)
    sheet.text(326.0, 40.0, "keep clear: running line", anchor="end")
    pointer(sheet, 250.0, 46.0, _STERN + 44.0, _MIDDLE - 22.0)
    outside = "legs outside rudders" if view.two_hulls else "legs outside all"
    sheet.text(326.0, 66.0, outside, anchor="end")
    pointer(sheet, 236.0, 72.0, _STERN + 22.0, _MIDDLE - view.quarter + 4.0)
    sheet.text(330.0, 172.0, "weight first", anchor="end")
    pointer(sheet, 300.0, 160.0, 310.0, _MIDDLE + 36.0)
    _propellers(sheet, view)
    cautions(
        sheet,
        _FLOOR + 28.0,
        ("All forward of the bag. No hand or foot in a bight.", "Never near a lee shore."),
    )
    return sheet.svg()


def draw_junction(prefix: str, view: SternView) -> str:
    """Return the first half of the recovery: the junction comes in by the recovery line."""
    hauls = "a tackle" if view.tackle else "a hauling line, through a snatch block, to a winch"
    sheet = _sheet(
        prefix,
        view,
        "Recovering, first: the junction comes in by the recovery line",
        f"A recovery line runs from the junction to her stern. A gripping loop holds it; {hauls} hauls on "
        "the loop. Both legs hang slack and stay made fast.",
    )
    junction = (286.0, _MIDDLE)
    _legs(sheet, view, "muted", "slack leg", (50.0, 22.0), (230.0, 40.0), (junction[0], 0.0))
    inboard = _haul_point(view)
    sheet.line(*junction, *inboard, "ink", 2.2, part="recovery line")
    sheet.line(*junction, 338.0, _MIDDLE, "ink", 2.2, part="lead line")
    sheet.circle(*junction, 3.2, "ink", 1.4, area="paper", part="junction")
    loop = (_STERN + 22.0, _on(inboard, junction, _STERN + 22.0))
    _hauling(sheet, view, inboard, loop)
    _numbers(
        sheet, ((1, loop[0] + 6.0, loop[1] + 22.0), (2, *_by_what_hauls(view)), (3, 222.0, _MIDDLE - 50.0))
    )
    sheet.text(334.0, 50.0, "junction", anchor="end")
    pointer(sheet, 306.0, 56.0, 288.0, _MIDDLE - 5.0)
    return _told(
        sheet,
        "1  gripping loop on the recovery line",
        "2  haul by the tackle" if view.tackle else "2  hauling line, snatch block, winch",
        "3  slack legs in, ends still made fast",
        beware=("Slack ropes find rudder and propeller.", "The line can load at any moment."),
    )


def draw_recovering(prefix: str, view: SternView) -> str:
    """Return the second half: a gripping loop between two cones, hauled one reach, then the line cleated."""
    hauls = "A tackle" if view.tackle else "A hauling line, through a snatch block, from a winch"
    sheet = _sheet(
        prefix,
        view,
        "Recovering, then: reach by reach, between the cones",
        f"The drogue line comes over the stern and is made fast to a cleat. {hauls} hauls on a gripping loop "
        "between two cones; then the line is cleated and the loop shifted out. No cone goes round a drum.",
    )
    cleat = (view.edge - 56.0, _MIDDLE + 20.0)
    line: _Curve = (
        cleat,
        (view.edge, _MIDDLE + 14.0),
        (_STERN + 60.0, _MIDDLE - 6.0),
        (338.0, _MIDDLE + 8.0),
    )
    draw_coned_line(sheet, line, 0.3, 0.97, 8, 5.5)
    sheet.path(
        f"M{cleat[0] - 12} {cleat[1] - 8}L{cleat[0] + 10} {cleat[1] + 6}M{cleat[0] - 10} {cleat[1] + 8}"
        f"L{cleat[0] + 6} {cleat[1] - 8}",
        "ink", 2.4, part="cleat",
    )  # fmt: skip
    loop = (_STERN + 49.0, _MIDDLE + 2.0)
    inboard = _haul_point(view)
    _hauling(sheet, view, inboard, loop)
    _numbers(
        sheet,
        (
            (1, loop[0] + 4.0, loop[1] - 24.0),
            (2, *_by_what_hauls(view)),
            (3, cleat[0] - 24.0, cleat[1] + 2.0),
        ),
    )
    return _told(
        sheet,
        "1  gripping loop, between two cones",
        "2  haul one reach by the tackle" if view.tackle else "2  haul one reach by the winch",
        "3  cleat the line, shift the loop outward",
        beware=("Fingers clear of loop, cleat and drum.", "Never hold it by a cone: it can load."),
    )


def _sheet(prefix: str, view: SternView, title: str, description: str) -> Sheet:
    """A sheet with the sea, and the after part of her hull from above, bow to the left."""
    whose = {
        "monohull": "a sailing monohull", "catamaran": "a sailing multihull",
        "motor monohull": "a motor monohull", "motor catamaran": "a motor multihull",
    }[view.hull]  # fmt: skip
    sheet = Sheet(prefix, SKETCH, title, f"The stern of {whose}, from above. {description}")
    sheet.rect(0.0, 20.0, 340.0, _FLOOR - 20.0, None, area="sea")
    with sheet.group(part=f"stern of {view.hull}"):
        if view.two_hulls:
            sheet.rect(0.0, _MIDDLE - 40.0, view.edge, 80.0, "ink", 1.2, area="wash")
            for side in (-1.0, 1.0):
                out, within = _MIDDLE + side * 68.0, _MIDDLE + side * 38.0
                sheet.path(
                    f"M0 {within}H{_STERN}V{out - side * 4}L{_STERN - 30} {out}H0", "ink", 1.5, area="wash"
                )
        else:
            half = 54.0 if view.motor else 48.0
            fore = half + (0.0 if view.motor else 14.0)
            sheet.path(
                f"M0 {_MIDDLE - fore}C60 {_MIDDLE - fore} 100 {_MIDDLE - half - 4} {_STERN} "
                f"{_MIDDLE - half + 6}"
                f"V{_MIDDLE + half - 6}C100 {_MIDDLE + half + 4} 60 {_MIDDLE + fore} 0 {_MIDDLE + fore}",
                "ink", 1.5, area="wash",
            )  # fmt: skip
        if view.motor:
            sheet.path(f"M0 {_MIDDLE - 30}H26V{_MIDDLE + 30}H0", "muted", 1.0, area="paper")
        for side in (-1.0, 1.0) if view.two_hulls or view.motor else (0.0,):
            away = 52.0 if view.two_hulls else 24.0
            y = _MIDDLE + side * away
            sheet.line(_STERN, y, _STERN + 15.0, y, "ink", 3.0, part="rudder")
    return sheet


def _legs(
    sheet: Sheet, view: SternView, role: Role, part: str, bend: Point, before: Point, end: Point
) -> None:
    """Both legs from their strong points: `bend` is off her strong point, the others' y off the middle."""
    for side in (-1.0, 1.0):
        y = _MIDDLE + side * view.quarter
        curve = (
            (_STERN + bend[0], y + side * bend[1]),
            *((x, _MIDDLE + side * off) for x, off in (before, end)),
        )
        sheet.path(f"M{_STERN} {y}C{' '.join(f'{at} {off}' for at, off in curve)}", role, 2.0, part=part)
        sheet.circle(_STERN, y, 3.4, "ink", 1.4, area="paper", part="strong point")


def _told(sheet: Sheet, *steps: str, beware: tuple[str, str]) -> str:
    """The finished sketch, with what its numbers stand for and what to beware of under it."""
    y = sheet.lines(14.0, _FLOOR + 20.0, list(steps), leading=1.5)
    cautions(sheet, y + 10.0, beware)
    return sheet.svg()


def _propellers(sheet: Sheet, view: SternView) -> None:
    """The words on the engine, and a propeller crossed out."""
    words = "all shafts stopped" if view.motor or view.two_hulls else "shaft stopped"
    x, y = 24.0, _FLOOR - 12.0
    for side in (-1.0, 1.0):
        sheet.path(
            f"M{x} {y}q{side * 9} -9 {side * 13} 0q{side * -4} 9 {side * -13} 0", "ink", 1.2, area="paper"
        )
    sheet.line(x - 12.0, y + 9.0, x + 12.0, y - 9.0, "b", 2.0)
    sheet.text(x + 22.0, y + 4.0, words)


def _haul_point(view: SternView) -> Point:
    """Where what hauls comes aboard: the middle of a catamaran's aft beam, else the quarter."""
    return (view.edge - 6.0, _MIDDLE) if view.two_hulls else (_STERN - 12.0, _MIDDLE - 24.0)


def _by_what_hauls(view: SternView) -> Point:
    """Where the number of what hauls stands: above a tackle, forward of a winch."""
    return (76.0, _haul_point(view)[1] - 21.0) if view.tackle else (34.0, _MIDDLE - 32.0)


def _on(a: Point, b: Point, x: float) -> float:
    """Height at `x` of the straight line from a to b."""
    return a[1] + (b[1] - a[1]) * (x - a[0]) / (b[0] - a[0])


def _hauling(sheet: Sheet, view: SternView, block: Point, loop: Point) -> None:
    """What hauls on the gripping loop: a tackle, or a hauling line through a snatch block to a winch."""
    for dx in (-4.0, 0.0, 4.0):
        sheet.path(f"M{loop[0] + dx - 2} {loop[1] - 6}l4 12", "b", 2.2, part="gripping loop")
    if view.tackle:
        with sheet.group(part="tackle"):
            fixed = (34.0, block[1])
            for step in (-4.5, -1.5, 1.5, 4.5):
                sheet.line(fixed[0], fixed[1] + step, block[0], block[1] + step, "b", 1.3)
            for x, y in (fixed, block):
                sheet.rect(x - 6.0, y - 8.0, 12.0, 16.0, "ink", 1.4, area="paper", round_=4.0)
            sheet.line(block[0] + 6.0, block[1], *loop, "b", 2.2)
        return
    winch = (62.0, _MIDDLE - 32.0)
    sheet.line(block[0], block[1], *loop, "b", 2.2, part="hauling line")
    sheet.line(winch[0] + 8.0, winch[1] - 4.0, block[0], block[1], "b", 2.2)
    for r in (15.0, 10.0, 4.0):
        sheet.circle(*winch, r, "ink", 1.4, area="paper", part="winch" if r == 15.0 else None)
    sheet.circle(*block, 5.5, "ink", 1.6, area="paper", part="snatch block")


def _numbers(sheet: Sheet, places: tuple[tuple[int, float, float], ...]) -> None:
    for number, x, y in places:
        sheet.circle(x, y, 9.0, "ink", 1.2, area="paper")
        sheet.text(x, y + 4.5, str(number), anchor="middle", bold=True)
