"""Drawings as PDF at true scale: the cloth on a plotter's sheets, one cone on an office printer's."""

from __future__ import annotations

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
    joined,
)
from sizing.order.cloth.gauges import gauge_drawing
from sizing.order.cloth.nesting import ClothLayout
from sizing.order.cloth.outline import covering_polygon
from sizing.order.cloth.paint import Sheets
from sizing.order.cloth.sheets import layout_drawing, pattern_drawing
from sizing.order.cloth.tiles import (
    FOOTER_MM,
    MARGIN_MM,
    Paper,
    Tile,
    pattern_tiles,
    plotter_tiles,
    registration_marks,
)

_SHEET_LIMIT_MM: Final = 5000.0
_BORDER_MM: Final = 0.8
"""Round the pattern, so that no line is drawn half; a default cone then fits two sheets of A4 or Letter."""


def layout_pdf(layout: ClothLayout, tapes: int = 3, most: int | None = None) -> bytes:
    """Return the cloth layout as true-scale PDF sheets, each about 4 m of cloth, with crosses to join at.

    A sheet is as wide as the cloth and its notes: it is for a plotter or a print shop. Every sheet has a
    bar of 100 mm.
    """
    drawing = layout_drawing(layout, tapes, most)
    if drawing.height_mm > _SHEET_LIMIT_MM:
        raise OutputError(
            "cloth layout PDF",
            f"cloth {layout.cloth_width_m:g} m wide",
            f"a sheet of {_SHEET_LIMIT_MM:g} mm at most",
            "use the SVG or DXF drawing",
        )
    tiles = plotter_tiles(drawing.low_mm, drawing.high_mm)
    sheets, crosses = Sheets(drawing), registration_marks(tiles)
    for number, tile in enumerate(tiles):
        marks = [crosses]
        if number:
            marks.append(check_bar(tile.low_mm[0] + 120.0, -15.0))
        if len(tiles) > 1:
            text = f"sheet {number + 1} of {len(tiles)}: lay the crosses of neighbouring sheets on each other"
            marks.append(Figure((), (Words("LABELS", text, tile.low_mm[0] + 230.0, -48.0, 5.0),)))
        sheets.page((tile.width_mm, tile.height_mm), tile, (0.0, 0.0), marks)
    return sheets.finished()


def pattern_sheet_pdf(pattern: ConePattern, paper: Paper = "A4", tapes: int = 3, told: str = "") -> bytes:
    """Return one cone's pattern on sheets of paper to be printed at 100 % and joined, with a bar on each.

    After it come its gauges, to be cut out. `told` says whose it is, and of when. `paper` is "A4" or
    "Letter", upright or lying, whichever needs fewer sheets. Neighbours overlap by 10 mm; their crosses lie
    on each other when the sheets are joined.
    """
    drawing = pattern_drawing(pattern, tapes, told)
    low_x, low_y, high_x, high_y = (MM * np.array(covering_polygon(pattern).bounds)).tolist()
    low, high = (low_x - _BORDER_MM, low_y - _BORDER_MM), (high_x + _BORDER_MM, high_y + _BORDER_MM)
    cone = Drawing(drawing.title, low, high, Figure(()), drawing.piece, drawing.places)
    gauges = gauge_drawing(pattern, told)
    sheets = Sheets(cone)
    for shown in (cone, gauges):
        size, tiles = pattern_tiles(shown.low_mm, shown.high_mm, paper)
        crosses = registration_marks(tiles)
        for tile in tiles:
            footer = _footer(size, tile, tiles, f"{shown.title}, {paper}")
            sheets.page(size, tile, (MARGIN_MM, MARGIN_MM + FOOTER_MM), [crosses], footer, shown)
    return sheets.finished()


def _footer(size_mm: tuple[float, float], tile: Tile, tiles: tuple[Tile, ...], title: str) -> Figure:
    """The bar and what to do, below the window. Page's corner at (0, 0)."""
    names = {other.name for other in tiles}
    beside = {
        "right": Tile(tile.column + 1, tile.row, tile.low_mm, tile.high_mm).name,
        "below": Tile(tile.column, tile.row + 1, tile.low_mm, tile.high_mm).name,
    }
    joins = "".join(f"; joins {name} {side}" for side, name in beside.items() if name in names)
    bar = check_bar(MARGIN_MM + 1.0, MARGIN_MM + 3.0, 3.0)
    x = (MARGIN_MM + 1.0 + CHECK_BAR_MM + size_mm[0] - MARGIN_MM) / 2.0
    lines = (
        f"Sheet {tile.name} of {len(tiles)}{joins}",
        "print at 100 %, not fitted to the page",
        title,
    )
    words = tuple(
        Words("LABELS", line, x, MARGIN_MM + 10.0 - 4.2 * k, 2.4) for k, line in enumerate(lines)
    )  # fmt: skip
    return joined(bar, Figure((), words))
