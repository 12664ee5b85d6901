"""How a drawing is divided over sheets of paper, and the crosses by which the sheets are joined."""

from __future__ import annotations

import math
from dataclasses import dataclass
from string import ascii_uppercase
from typing import Final, Literal

from sizing.errors import OutputError
from sizing.order.cloth.drawing import Figure, Stroke, straight

Paper = Literal["A4", "Letter"]

PAPERS_MM: Final[dict[Paper, tuple[float, float]]] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height of a sheet standing upright [ISO 216; ANSI Y14.1]."""

MARGIN_MM: Final = 12.0
"""Left white on every side: more than office printers cannot reach [assumed]."""

FOOTER_MM: Final = 16.0
OVERLAP_MM: Final = 10.0
PLOTTER_STEP_MM: Final = 4000.0
PLOTTER_OVERLAP_MM: Final = 100.0
TILE_LIMIT: Final = 26 * 40
_CROSS_MM: Final = 4.0


@dataclass(frozen=True)
class Tile:
    """One window on a drawing; column and row count from the upper left."""

    column: int
    row: int
    low_mm: tuple[float, float]
    high_mm: tuple[float, float]

    @property
    def name(self) -> str:
        """Column as a letter, row as a number."""
        return f"{ascii_uppercase[self.column % 26]}{self.row + 1}"

    @property
    def width_mm(self) -> float:
        """Width of the window."""
        return self.high_mm[0] - self.low_mm[0]

    @property
    def height_mm(self) -> float:
        """Height of the window."""
        return self.high_mm[1] - self.low_mm[1]


def _parts(length_mm: float, window_mm: float, overlap_mm: float) -> int:
    """Windows that cover a length with their overlaps."""
    return 1 + max(0, math.ceil((length_mm - window_mm) / (window_mm - overlap_mm) - 1e-9))


def pattern_tiles(
    low_mm: tuple[float, float], high_mm: tuple[float, float], paper: Paper
) -> tuple[tuple[float, float], tuple[Tile, ...]]:
    """Return sheet size as it lies and the windows on it, fewest sheets first, upright where equal. mm."""
    if paper not in PAPERS_MM:
        raise OutputError("pattern sheet", f"paper {paper!r}", " or ".join(PAPERS_MM), "choose one of these")
    wanted = (high_mm[0] - low_mm[0], high_mm[1] - low_mm[1])
    upright = PAPERS_MM[paper]
    best: tuple[int, tuple[float, float], tuple[float, float], int, int] | None = None
    for size in (upright, (upright[1], upright[0])):
        window = (size[0] - 2 * MARGIN_MM, size[1] - 2 * MARGIN_MM - FOOTER_MM)
        columns, rows = (_parts(wanted[k], window[k], OVERLAP_MM) for k in (0, 1))
        if best is None or columns * rows < best[0]:
            best = (columns * rows, size, window, columns, rows)
    assert best is not None
    count, size, window, columns, rows = best
    if count > TILE_LIMIT or columns > len(ascii_uppercase):
        raise OutputError(
            "pattern sheet",
            f"a pattern of {wanted[0]:.0f} mm by {wanted[1]:.0f} mm",
            "a pattern that office paper can hold",
            "use the DXF drawing and a plotter",
        )
    covered = [n * (window[k] - OVERLAP_MM) + OVERLAP_MM for k, n in enumerate((columns, rows))]
    left = (low_mm[0] + high_mm[0] - covered[0]) / 2.0
    top = (low_mm[1] + high_mm[1] + covered[1]) / 2.0
    tiles = []
    for row in range(rows):
        for column in range(columns):
            x = left + column * (window[0] - OVERLAP_MM)
            y = top - row * (window[1] - OVERLAP_MM)
            tiles.append(Tile(column, row, (x, y - window[1]), (x + window[0], y)))
    return size, tuple(tiles)


def plotter_tiles(low_mm: tuple[float, float], high_mm: tuple[float, float]) -> tuple[Tile, ...]:
    """Return windows along the cloth of 4 m with 100 mm more at their ends, the last one shorter. mm."""
    count = _parts(high_mm[0] - low_mm[0], PLOTTER_STEP_MM + PLOTTER_OVERLAP_MM, PLOTTER_OVERLAP_MM)
    tiles = []
    for column in range(count):
        x = low_mm[0] + column * PLOTTER_STEP_MM
        end = min(x + PLOTTER_STEP_MM + PLOTTER_OVERLAP_MM, high_mm[0])
        tiles.append(Tile(column, 0, (x, low_mm[1]), (end, high_mm[1])))
    return tuple(tiles)


def registration_marks(tiles: tuple[Tile, ...]) -> Figure:
    """Return the crosses in every overlap, in the drawing's own place: both neighbours show the same. mm."""
    by_place = {(tile.column, tile.row): tile for tile in tiles}
    strokes = []
    for (column, row), tile in by_place.items():
        right, under = by_place.get((column + 1, row)), by_place.get((column, row + 1))
        for share in (0.2, 0.8):
            if right is not None:
                x = (right.low_mm[0] + tile.high_mm[0]) / 2.0
                strokes += _cross(x, tile.low_mm[1] + share * tile.height_mm)
            if under is not None:
                y = (tile.low_mm[1] + under.high_mm[1]) / 2.0
                strokes += _cross(tile.low_mm[0] + share * tile.width_mm, y)
    return Figure(tuple(strokes))


def _cross(x: float, y: float) -> list[Stroke]:
    arm, box = _CROSS_MM, _CROSS_MM / 2.0
    return [
        straight("CHECK", (x - arm, y), (x + arm, y)),
        straight("CHECK", (x, y - arm), (x, y + arm)),
        straight("CHECK", (x - box, y), (x, y + box), (x + box, y), (x, y - box), closed=True),
    ]
