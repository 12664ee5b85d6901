"""The pattern's lines: areas and lengths against shapely and the cone they must sew up to."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from shapely.affinity import rotate
from shapely.geometry import LineString, Point

from sizing.drogue.cone import ConePattern
from sizing.errors import ComputationError
from sizing.order.cloth.outline import (
    covering_polygon,
    cut_line,
    enclosed_area_m2,
    grain_arrow,
    mouth_m,
    placed,
    require_pattern,
    small_end_m,
    stitch_lines,
    tape_lines,
)
from tests.sizing.order.cloth.pieces import cones, default_cone, polygon


def test_default_sector_is_the_handbook_development() -> None:
    """Radii r s / (r1 - r2) and angle 2 pi (r1 - r2) / s, worked by hand for 5 in, 1.5 in and 6 in."""
    corners = cut_line(default_cone())
    inch = 0.0254
    assert math.hypot(*corners[0, :2]) == pytest.approx(2.5 * 6.0 / 1.75 * inch)
    assert math.hypot(*corners[5, :2]) == pytest.approx(0.75 * 6.0 / 1.75 * inch)
    assert 4.0 * math.degrees(math.atan(abs(corners[0, 2]))) == pytest.approx(105.0 / 2.0)  # half the sector


@given(cones())
def test_cut_line_holds_the_area_of_sector_and_seam(pattern: ConePattern) -> None:
    radii = pattern.outer_radius_m**2 - pattern.inner_radius_m**2
    by_formula = 0.5 * pattern.angle_rad * radii + 2.0 * pattern.seam_m * pattern.slant_m
    assert abs(enclosed_area_m2(cut_line(pattern))) == pytest.approx(by_formula, rel=1e-9)
    assert polygon(pattern, 2000).area == pytest.approx(by_formula, rel=1e-5)


@given(cones())
def test_mouth_and_small_end_are_the_arcs_over_pi(pattern: ConePattern) -> None:
    """A cone's rim is as long as the arc it is sewn from."""
    points = pattern.outline_m(4000)
    rim, small = LineString(points[:4000]), LineString(points[4002:8002])
    assert mouth_m(pattern) == pytest.approx(rim.length / math.pi, rel=1e-6)
    assert small_end_m(pattern) == pytest.approx(small.length / math.pi, rel=1e-6)


@given(cones())
def test_covering_polygon_covers_and_hardly_more(pattern: ConePattern) -> None:
    cover, piece = covering_polygon(pattern), polygon(pattern, 3000)
    assert piece.difference(cover).area < 1e-9
    assert cover.hausdorff_distance(piece) < 1.5e-4


@given(cones())
def test_stitch_lines_come_together_and_the_strips_stay_outside(pattern: ConePattern) -> None:
    """Turned by the sector's angle, as rolled up, one stitch line lies on the other; all lies between."""
    lines = [LineString(line[:, :2]) for line in stitch_lines(pattern)]
    assert len(lines) == (2 if pattern.seam_m else 0)
    for line, other, sign in zip(lines, lines[::-1], (-1.0, 1.0), strict=False):
        rolled = rotate(line, sign * math.degrees(pattern.angle_rad), origin=(0.0, 0.0))
        assert rolled.hausdorff_distance(other) < 1e-9
        free = 8 if sign < 0 else 3  # corners of the cut line where its strip's free edge begins
        free_edge = LineString(cut_line(pattern)[free : free + 2, :2])
        assert free_edge.hausdorff_distance(line) == pytest.approx(pattern.seam_m)
    bare = replace(pattern, seam_m=0.0)
    strips = polygon(pattern, 3000).area - polygon(bare, 3000).area
    assert strips == pytest.approx(2.0 * pattern.seam_m * pattern.slant_m, rel=1e-4, abs=1e-12)


def test_three_tapes_lie_at_thirds_and_clear_of_the_seam() -> None:
    pattern = default_cone()
    angles = [math.degrees(math.atan2(line[1, 0], line[1, 1])) for line in tape_lines(pattern)]
    assert angles == pytest.approx([-35.0, 0.0, 35.0])  # thirds of 105 degrees
    assert all(math.dist(*line[:, :2]) == pytest.approx(pattern.slant_m) for line in tape_lines(pattern))


@given(cones())
def test_lines_lie_on_the_cloth_of_the_piece(pattern: ConePattern) -> None:
    cover = covering_polygon(pattern).buffer(1e-6)
    for line in (*tape_lines(pattern), *stitch_lines(pattern), *grain_arrow(pattern)):
        assert cover.covers(LineString(line[:, :2]))


def test_quarter_turns_are_turns() -> None:
    corners = cut_line(default_cone())
    for turn in (0, 90, 180, 270):
        moved = placed(corners, 0.3, -0.2, turn)
        first = Point(moved[1, 0] - 0.3, moved[1, 1] + 0.2)
        angle = math.radians(turn)
        outer = default_cone().outer_radius_m
        assert first.distance(Point(-outer * math.sin(angle), outer * math.cos(angle))) < 1e-12
        assert enclosed_area_m2(moved) == pytest.approx(enclosed_area_m2(corners))


@pytest.mark.parametrize(
    "change",
    [
        {"inner_radius_m": 0.3},
        {"inner_radius_m": -0.1},
        {"outer_radius_m": math.inf},
        {"angle_rad": 2.0 * math.pi},
        {"angle_rad": math.nan},
        {"seam_m": -0.001},
        {"hem_m": -0.001},
        {"angle_rad": 6.2, "seam_m": 0.012},  # the strips would lie on each other
    ],
)
def test_patterns_that_are_none_are_refused(change: dict[str, Any]) -> None:
    with pytest.raises(ComputationError) as caught:
        require_pattern(replace(default_cone(), **change))
    assert caught.value.where == "cone pattern"
    assert "policy" in caught.value.mend


@pytest.mark.parametrize("tapes", [0, 13, -1, True, 2.5])
def test_nonsense_numbers_of_tapes_are_refused(tapes: int) -> None:
    with pytest.raises(ComputationError, match="tapes_per_cone"):
        tape_lines(default_cone(), tapes)
