"""Cloth for cones: patterns nested on the cloth, true-scale drawings of layout and pattern, tapes from rolls.

`nest` lays cones out; the drawing functions take its `ClothLayout` or a pattern and hand back a whole file.
"""

from __future__ import annotations

from sizing.order.cloth.dxf import layout_dxf, pattern_dxf
from sizing.order.cloth.lattices import Grain
from sizing.order.cloth.nesting import ClothLayout, Placement, nest
from sizing.order.cloth.pdf import layout_pdf, pattern_sheet_pdf
from sizing.order.cloth.svg import layout_svg
from sizing.order.cloth.tapes import TapeCuts, tape_cutting_list
from sizing.order.cloth.tiles import Paper

__all__ = [
    "ClothLayout",
    "Grain",
    "Paper",
    "Placement",
    "TapeCuts",
    "layout_dxf",
    "layout_pdf",
    "layout_svg",
    "nest",
    "pattern_dxf",
    "pattern_sheet_pdf",
    "tape_cutting_list",
]
