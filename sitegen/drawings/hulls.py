"""Outlines of boats seen from above, at any scale."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal, TypeAlias

from sitegen.drawings.element import number
from sitegen.drawings.sheet import Point, Sheet

Hull: TypeAlias = Literal["monohull", "catamaran", "motor monohull", "motor catamaran"]
Place: TypeAlias = Callable[[float, float], Point]

# A sheet that says only "multihull" does not say how many hulls: two are drawn, and the words say multihull.
HULL_OF_BOAT_TYPE: Final[Mapping[str, Hull]] = MappingProxyType(
    {
        "sailing monohull": "monohull",
        "sailing multihull": "catamaran",
        "motor monohull": "motor monohull",
        "motor multihull": "motor catamaran",
    }
)


@dataclass(frozen=True)
class HullShape:
    """A boat's measures as drawn: length, greatest beam, width of the transom between the attachments (m)."""

    hull: Hull
    loa_m: float
    beam_m: float
    transom_width_m: float

    @property
    def drawn_beam_m(self) -> float:
        """The beam as drawn: never narrower than the transom."""
        return max(self.beam_m, self.transom_width_m)


def draw_hull(sheet: Sheet, shape: HullShape, place: Place) -> None:
    """Draw the boat from above; `place` puts (m forward of the transom, m to starboard) on the sheet."""
    length, half, stern = shape.loa_m, shape.drawn_beam_m / 2.0, shape.transom_width_m / 2.0
    with sheet.group(part="boat"):
        if shape.hull == "monohull":
            _body(sheet, place, length, 0.0, stern, half, full=0.42)
            _deck_house(sheet, place, 0.34 * length, 0.62 * length, 0.45 * half)
            cockpit = _box(place, 0.06 * length, 0.27 * length, 0.5 * min(stern, half))
            sheet.path(cockpit, "muted", 0.8)
        elif shape.hull == "motor monohull":
            _body(sheet, place, length, 0.0, stern, half, full=0.62)
            _deck_house(sheet, place, 0.22 * length, 0.68 * length, 0.6 * half)
        else:
            hull_half = 0.17 * half
            inboard = 0.86 * length if shape.hull == "motor catamaran" else 0.66 * length
            centre = half - hull_half
            sheet.path(_box(place, 0.14 * length, inboard, centre), "ink", 1.0, area="wash")
            for side in (-1.0, 1.0):
                _body(sheet, place, length, side * centre, 0.75 * hull_half, hull_half, full=0.45)
            _deck_house(sheet, place, 0.3 * length, 0.58 * length, 0.55 * half)


def draw_outline(sheet: Sheet, shape: HullShape, place: Place) -> None:
    """Draw the outline of her hull or hulls alone, in broken lines."""
    half, stern = shape.drawn_beam_m / 2.0, shape.transom_width_m / 2.0
    if "catamaran" not in shape.hull:
        full = 0.62 if "motor" in shape.hull else 0.42
        _body(sheet, place, shape.loa_m, 0.0, stern, half, full, ghost=True)
        return
    hull_half = 0.17 * half
    for side in (-1.0, 1.0):
        centre = side * (half - hull_half)
        _body(sheet, place, shape.loa_m, centre, 0.75 * hull_half, hull_half, full=0.45, ghost=True)


def _body(
    sheet: Sheet,
    place: Place,
    length: float,
    centre: float,
    stern: float,
    half: float,
    full: float,
    *,
    ghost: bool = False,
) -> None:
    """One hull: transom, a side that grows to its greatest beam at `full` of the length, a fine bow."""
    rise = half - stern

    def at(along: float, out: float) -> str:
        x, y = place(along * length, centre + out)
        return f"{number(x)} {number(y)}"

    sides = []
    for side in (1.0, -1.0):
        sides.append(
            f"C{at(full * 0.35, side * (stern + 0.7 * rise))} {at(full * 0.7, side * half)} "
            f"{at(full, side * half)}"
            f"C{at(full + (1 - full) * 0.4, side * half)} "
            f"{at(full + (1 - full) * 0.8, side * half * 0.45)} {at(1, 0)}"
        )
    start_a, start_b = at(0.0, stern), at(0.0, -stern)
    whole = f"M{start_b}L{start_a}{sides[0]}M{start_b}{sides[1]}"
    if ghost:
        sheet.path(whole, "muted", 1.0, dash="4 3")
    else:
        sheet.path(whole, "ink", 1.2, area="wash")


def _box(place: Place, aft: float, fore: float, half: float) -> str:
    return _closed([place(aft, -half), place(fore, -half), place(fore, half), place(aft, half)])


def _closed(corners: list[Point]) -> str:
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in corners) + "Z"


def _deck_house(sheet: Sheet, place: Place, aft: float, fore: float, half: float) -> None:
    points = [
        (aft, -half),
        (aft, half),
        (fore - 0.2 * (fore - aft), half * 0.9),
        (fore, half * 0.45),
        (fore, -half * 0.45),
        (fore - 0.2 * (fore - aft), -half * 0.9),
    ]
    sheet.path(_closed([place(*p) for p in points]), "muted", 0.8, area="paper")
