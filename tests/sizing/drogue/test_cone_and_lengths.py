"""The cone's flat pattern against an independent geometry library; lengths and marks along the line."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from sizing.drogue import labour, lengths, marks, stowage
from sizing.drogue.cone import ConePattern, cone_mass_kg, cone_pattern
from sizing.drogue.sections import section_lengths_m
from sizing.errors import ComputationError

FOOT_M, INCH_M = 0.3048, 0.0254  # exact [SP 811]


@st.composite
def patterns(draw: st.DrawFn) -> tuple[ConePattern, float, float, float]:
    mouth = draw(st.floats(0.08, 0.4))
    small = mouth * draw(st.floats(0.1, 0.9))
    slant = (mouth - small) / 2.0 * draw(st.floats(1.2, 20.0))
    return cone_pattern(mouth, small, slant, draw(st.floats(0.0, 0.02))), mouth, small, slant


@given(patterns())
def test_cloth_area_is_the_frustum_s_side_and_both_seam_strips(
    drawn: tuple[ConePattern, float, float, float],
) -> None:
    pattern, mouth, small, slant = drawn
    # Lateral area of a frustum: pi (r1 + r2) s.
    lateral = math.pi * (mouth + small) / 2.0 * slant
    assert pattern.area_m2 == pytest.approx(lateral + 2.0 * pattern.seam_m * slant)


@given(patterns())
def test_edges_of_the_pattern_close_round_both_ends(drawn: tuple[ConePattern, float, float, float]) -> None:
    pattern, mouth, small, slant = drawn
    assert pattern.angle_rad * pattern.outer_radius_m == pytest.approx(math.pi * mouth)
    assert pattern.angle_rad * pattern.inner_radius_m == pytest.approx(math.pi * small)
    assert pattern.slant_m == pytest.approx(slant)


def test_outline_encloses_that_area() -> None:
    pattern = cone_pattern(5 * INCH_M, 1.5 * INCH_M, 6 * INCH_M, 0.012)
    outline = shapely.Polygon(pattern.outline_m(arc_points=2000))
    assert outline.is_valid
    assert outline.area == pytest.approx(pattern.area_m2, rel=1e-5)


def test_default_cone_by_hand() -> None:
    # From memory: 5 in mouth, 1.5 in small end, 6 in slant. 2 pi x 1.75 / 6 = 105 deg,
    # radii 8.571 and 2.571 in.
    pattern = cone_pattern(5 * INCH_M, 1.5 * INCH_M, 6 * INCH_M, 0.0)
    assert math.degrees(pattern.angle_rad) == pytest.approx(105.0)
    radii = (pattern.outer_radius_m / INCH_M, pattern.inner_radius_m / INCH_M)
    assert radii == pytest.approx((8.571, 2.571), abs=1e-3)


@pytest.mark.parametrize(
    "cone", [(0.1, 0.1, 0.2), (0.1, 0.2, 0.2), (0.2, 0.1, 0.05), (0.2, 0.1, 0.01), (0.2, 0.0, 0.2)]
)
def test_figures_that_make_no_cone_are_refused(cone: tuple[float, float, float]) -> None:
    with pytest.raises(ComputationError, match="make no cone"):
        cone_pattern(*cone, 0.01)


def test_mass_of_one_cone_by_hand() -> None:
    # 0.05 m2 x 0.0509 kg/m2 + 3 tapes x 0.762 m x 0.008 kg/m.
    assert cone_mass_kg(0.05, 0.0509, 3, 0.762, 0.008) == pytest.approx(0.002545 + 0.018288)


def test_lengths_add_up_to_the_test_piece_that_the_pitch_was_taken_from() -> None:
    """The rule stated again: the pitch is CG87's 150 ft over 90 cones (4.1.1; 4.1.3: 45 in 75 ft)."""
    cone_line = lengths.cone_line_m(90.0, 20 * INCH_M, 0.0)
    assert cone_line == pytest.approx(150 * FOOT_M)
    assert lengths.whole_line_m(cone_line, 80 * FOOT_M) == pytest.approx(230 * FOOT_M)
    assert lengths.cone_line_m(45.0, 20 * INCH_M, 0.0) == pytest.approx(75 * FOOT_M)


def test_bridle_leg_is_cut_two_feet_longer() -> None:
    # Common practice, no source: 2 ft a leg for splicing.
    assert lengths.cut_length_m(7.5, 1 * FOOT_M) - 7.5 == pytest.approx(2 * FOOT_M)


sections = st.lists(st.integers(1, 40), min_size=1, max_size=3).map(
    lambda cones: np.array(cones + [0] * (3 - len(cones)))
)


@given(sections)
def test_sections_add_up_to_the_cone_line(held: np.ndarray) -> None:
    length = section_lengths_m(held[None, :], 0.508, 0.6096)[0]
    assert length.sum() == pytest.approx(lengths.cone_line_m(float(held.sum()), 0.508, 0.6096))
    assert ((length > 0.0) == (held > 0)).all()


@given(sections)
def test_marks_lie_a_pitch_apart_and_within_their_sections(held: np.ndarray) -> None:
    table = marks.cone_marks(held, 0.508, 0.6096)
    length = section_lengths_m(held[None, :], 0.508, 0.6096)[0]
    assert len(table) == held.sum()
    assert table.distance_m[0] == pytest.approx(0.6096)  # common practice, no source: 2 ft
    assert np.diff(table.distance_m) == pytest.approx(0.508)
    assert (np.bincount(table.section, minlength=3) == held).all()
    assert (np.diff(table.section) <= 0).all()
    inside = length[table.section]
    assert (table.in_section_m >= 0.508 / 2 - 1e-9).all()
    assert (table.in_section_m <= inside - 0.508 / 2 + 1e-9).all()


def test_marks_of_a_line_in_two_sections_by_hand() -> None:
    table = marks.cone_marks(np.array([2, 2, 0]), 0.5, 0.6)
    assert table.number.tolist() == [1, 2, 3, 4]
    assert table.section.tolist() == [1, 1, 0, 0]
    assert table.distance_m == pytest.approx([0.6, 1.1, 1.6, 2.1])
    # The outer section ends half a pitch past its second cone, at 1.35 m.
    assert table.in_section_m == pytest.approx([0.6, 1.1, 0.25, 0.75])


def test_fitting_time_is_the_usual_one() -> None:
    # Common practice, no source: about 12 minutes a cone; 100 cones are 20 hours.
    assert labour.labour_hours(100.0, 0.0, 0.0, 12.0, 45.0) == pytest.approx(20.0)
    assert labour.splices_required(1.0) == 9.0


def test_room_of_rope_by_hand() -> None:
    # Project assumption: rope fills half the room. 100 m of 20 mm is 31.4 litres of rope.
    assert stowage.rope_volume_m3(100.0, 0.020) == pytest.approx(2 * 0.0314159, rel=1e-5)
