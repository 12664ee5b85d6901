"""Cones to lay out, and where a layout puts them, rebuilt with shapely from the pattern's own points."""

from __future__ import annotations

import math

from hypothesis import assume
from hypothesis import strategies as st
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon

from sizing.drogue.cone import ConePattern, cone_pattern
from sizing.order.cloth import ClothLayout
from sizing.policy import OrderRules, SizingRules

DEFAULT_SIZES = SizingRules()
RULES = OrderRules()


def default_cone() -> ConePattern:
    """The cone of a policy without entries."""
    sizes = DEFAULT_SIZES
    return cone_pattern(sizes.cone_mouth, sizes.cone_small_end, sizes.cone_slant, RULES.seam_allowance)


def polygon(pattern: ConePattern, arc_points: int = 400) -> Polygon:
    """The pattern as the sizing draws it, with arcs in fine steps."""
    return Polygon(pattern.outline_m(arc_points))


def pieces(layout: ClothLayout) -> list[Polygon]:
    """Every cone of a layout where it lies on the cloth."""
    piece = polygon(layout.pattern, 500)
    return [
        translate(rotate(piece, place.turn_deg, origin=(0.0, 0.0)), place.x_m, place.y_m)
        for place in layout.placements()
    ]


@st.composite
def cones(draw: st.DrawFn) -> ConePattern:
    """Cones from blunt to pointed, with and without a seam; sectors of up to a three-quarter circle."""
    mouth = draw(st.floats(0.1, 0.35))
    small = mouth * draw(st.floats(0.1, 0.7))
    sine = draw(st.floats(0.12, 0.75))  # of half the cone's opening angle: sector angle = 2 pi sine
    seam = draw(st.sampled_from([0.0, 0.006, 0.012, 0.02]))
    pattern = cone_pattern(mouth, small, (mouth - small) / 2.0 / sine, seam)
    assert math.isclose(pattern.angle_rad, 2.0 * math.pi * sine)
    gap = 2.0 * math.pi - pattern.angle_rad  # between the straight edges, where both strips have to lie
    assume(gap >= math.pi or pattern.inner_radius_m * math.tan(gap / 2.0) > 1.05 * seam)
    return pattern
