"""What stands on the two drawings: cones on the cloth, and one cone by itself."""

from __future__ import annotations

from itertools import islice
from typing import Final

import numpy as np

from sizing.drogue.cone import ConePattern
from sizing.errors import OutputError
from sizing.order.cloth.drawing import (
    CHECK_BAR_MM,
    MM,
    Drawing,
    Figure,
    Words,
    check_bar,
    cone_figure,
    joined,
    straight,
)
from sizing.order.cloth.nesting import ClothLayout, Placement
from sizing.order.cloth.outline import covering_polygon, mouth_m, placed, small_end_m

DRAWN_LIMIT: Final = 20_000
_STRIP_MM: Final = 60.0
_BORDER_MM: Final = 10.0


def layout_drawing(layout: ClothLayout, tapes: int = 3, most: int | None = None) -> Drawing:
    """Return the cloth with its cones on it, its corner at (0, 0); notes and bar lie below. mm.

    Where there are more than `most`, whole repeats of the layout up to that number are drawn, one repeat at
    least, and a note says how it goes on; the cloth's far end is then left open.
    """
    drawn = drawn_count(layout, most)
    if drawn > DRAWN_LIMIT:
        raise OutputError(
            "cloth layout",
            f"{drawn:,} cones",
            f"at most {DRAWN_LIMIT:,} in one drawing",
            "draw the layout in parts, one for each roll",
        )
    places = tuple(islice(layout.placements(), drawn))
    length, width = MM * layout.length_m, MM * layout.cloth_width_m
    if drawn < layout.count:
        length = MM * (_far_end_m(layout, places) + layout.knife_gap_m)
    margin = MM * layout.selvedge_margin_m
    cloth = Figure(
        (
            straight(
                "CLOTH",
                (length, 0.0),
                (0.0, 0.0),
                (0.0, width),
                (length, width),
                closed=drawn == layout.count,
            ),
            *(straight("CLOTH", (0.0, y), (length, y)) for y in (margin, width - margin) if margin),
        )
    )
    notes = [
        f"{layout.count} cones, mouth {MM * mouth_m(layout.pattern):.1f} mm, on cloth {width:.0f} mm wide",
        f"{layout.length_m:.3f} m of cloth, {100.0 * layout.utilisation:.1f} % of it cones",
        f"grain {layout.grain} the cloth; gap {MM * layout.knife_gap_m:g} mm; "
        f"selvedge margin {margin:g} mm; all lengths in mm, true scale",
    ]
    if drawn < layout.count:
        notes.append(
            f"drawn: the first {drawn} cones; the same {layout.cones_per_period} repeat every "
            f"{layout.period_m:.4f} m up to {layout.length_m:.3f} m for {layout.count} cones"
        )
    bar = check_bar(10.0, -15.0)
    x = 10.0 + CHECK_BAR_MM / 2.0 if length < 400.0 else 260.0
    first = -25.0 if length < 400.0 else -12.0
    words = tuple(Words("LABELS", note, x, first - 9.0 * k, 5.0) for k, note in enumerate(notes))
    wide = max(length, x + 150.0)
    return Drawing(
        f"Cloth layout, {layout.count} cones",
        (-_BORDER_MM, -_STRIP_MM),
        (wide + _BORDER_MM, width + _BORDER_MM),
        joined(cloth, bar, Figure((), words)),
        cone_figure(layout.pattern, tapes),
        places,
    )


def drawn_count(layout: ClothLayout, most: int | None) -> int:
    """Return how many cones are drawn: all, or whole repeats up to `most` and one at least."""
    if most is None or layout.count <= most:
        return layout.count
    each = layout.cones_per_period
    return min(layout.count, max(most // each, 1) * each)


def _far_end_m(layout: ClothLayout, places: tuple[Placement, ...]) -> float:
    """How far along the cloth any of these cones reaches; m."""
    ring = np.asarray(covering_polygon(layout.pattern).exterior.coords)
    corners = np.column_stack((ring, np.zeros(len(ring))))
    reach = {
        turn: float(placed(corners, 0.0, 0.0, turn)[:, 0].max()) for turn in {p.turn_deg for p in places}
    }
    return max(place.x_m + reach[place.turn_deg] for place in places)


def pattern_drawing(pattern: ConePattern, tapes: int = 3, told: str = "") -> Drawing:
    """Return one cone, the sector's centre at (0, 0) and its axis up, with the bar below it. mm.

    `told` says on the piece whose it is, and of when.
    """
    figure = cone_figure(pattern, tapes, told)
    low_x, low_y, high_x, high_y = (MM * np.array(covering_polygon(pattern).bounds)).tolist()
    middle = (low_x + high_x) / 2.0
    bar = check_bar(middle - CHECK_BAR_MM / 2.0, low_y - 14.0)
    half = max(high_x - low_x, CHECK_BAR_MM) / 2.0 + _BORDER_MM
    return Drawing(
        f"Cone pattern, mouth {MM * mouth_m(pattern):.1f} mm, small end {MM * small_end_m(pattern):.1f} mm",
        (middle - half, low_y - 24.0),
        (middle + half, high_y + _BORDER_MM),
        bar,
        figure,
        (Placement(0.0, 0.0, 0),),
    )
