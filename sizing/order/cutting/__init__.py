"""Cutting pieces from spools, rolls and remnants at least cost, with a proven bound; no piece is ever joined.

`plan_cuts` takes a `CutProblem` and hands back a `CutPlan`. Read `optimise` first, then `solve`.
"""

from __future__ import annotations

from sizing.order.cutting.optimise import plan_cuts
from sizing.order.cutting.plan import Cut, CutPlan, CutSpool, Uncut
from sizing.order.cutting.problem import CutProblem, Piece, Remnant, Stock, cut_length_mm

__all__ = [
    "Cut",
    "CutPlan",
    "CutProblem",
    "CutSpool",
    "Piece",
    "Remnant",
    "Stock",
    "Uncut",
    "cut_length_mm",
    "plan_cuts",
]
