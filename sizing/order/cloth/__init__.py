"""Cloth for cones: patterns nested on the cloth, tapes from rolls; and true-scale drawings of both.

`nest` lays cones out. The drawings take its `ClothLayout` or a pattern and hand back a whole file: they are
in `svg`, `pdf` and `dxf`, and are not brought in here, since an order is worked out without drawing anything.
"""

from __future__ import annotations

from sizing.order.cloth.lattices import Grain
from sizing.order.cloth.nesting import ClothLayout, Placement, nest
from sizing.order.cloth.tapes import TapeCuts, tape_cutting_list

__all__ = ["ClothLayout", "Grain", "Placement", "TapeCuts", "nest", "tape_cutting_list"]
