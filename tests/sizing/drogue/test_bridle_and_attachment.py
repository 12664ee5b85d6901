"""Bridle geometry, and what attachments are known to hold."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.catalogue import load_catalogue
from sizing.drogue import attachment, bridle, single_element

HALF = bridle.half_angle_rad(2.5)


def test_half_angle_of_the_usual_bridle() -> None:
    # Common practice, no source: leg 2.5 x width; asin(0.2) = 11.54 deg by hand.
    assert math.degrees(HALF) == pytest.approx(11.537, abs=1e-3)
    assert bridle.leg_m(3.0, 2.5) == pytest.approx(7.5)


@given(st.floats(0.501, 10.0))
def test_the_most_of_one_leg_is_the_top_of_its_curve(ratio: float) -> None:
    """Against the curve over yaw itself, swept finely."""
    yaw = np.linspace(0.0, bridle.half_angle_rad(ratio), 2001)
    swept = bridle.leg_curve(1.0, yaw, bridle.half_angle_rad(ratio))[0].max()
    most = bridle.most_leg_share(np.array([ratio]), np.array([1.0]))[0]
    assert most == pytest.approx(swept, rel=1e-5)


def test_legs_that_do_not_meet_have_no_load() -> None:
    assert np.isnan(bridle.most_leg_share(np.array([1.0, 0.9]), np.array([2.0, 2.0]))).all()


def test_straight_pull() -> None:
    # By hand: 1 / (2 cos 11.54 deg) = 0.510.
    assert bridle.straight_leg_load_n(1.0, HALF) == pytest.approx(0.510, abs=5e-4)


def test_leg_loads_in_yaw() -> None:
    # By hand, F sin(theta + p) / sin 2 theta: 70 % of F at 4.4 deg, 94 % at 10 deg, all at 11.54 deg.
    yaw = np.radians([0.0, 4.4, 10.0, math.degrees(HALF), 20.0])
    loaded, other = bridle.leg_curve(1.0, yaw, HALF)
    assert loaded == pytest.approx([0.510, 0.70, 0.937, 1.0, 1.0], abs=2e-3)
    assert other[[0, 3, 4]] == pytest.approx([0.510, 0.0, 0.0], abs=5e-4)
    assert math.degrees(bridle.yaw_at_share_rad(0.70, HALF)) == pytest.approx(4.39, abs=0.01)


@given(st.floats(1.0, 6.0), st.floats(-1.0, 1.0), st.floats(1e2, 1e6))
def test_both_legs_together_balance_the_pull(ratio: float, share: float, load: float) -> None:
    half = bridle.half_angle_rad(ratio)
    yaw = share * half
    loaded, other = (leg[0] for leg in bridle.leg_curve(load, np.array([yaw]), half))
    # Forces along and across the line of pull, drawn from the triangle of forces.
    assert loaded * math.cos(half - abs(yaw)) + other * math.cos(half + abs(yaw)) == pytest.approx(load)
    assert loaded * math.sin(half - abs(yaw)) == pytest.approx(
        other * math.sin(half + abs(yaw)), abs=1e-9 * load
    )


@given(st.floats(0.0, 1.5), st.floats(1e2, 1e6), st.floats(0.1, 10.0))
def test_leg_loads_scale_with_the_pull_and_not_with_the_side(yaw: float, load: float, scale: float) -> None:
    one = bridle.leg_curve(load, np.array([yaw]), HALF)
    mirrored = bridle.leg_curve(load * scale, np.array([-yaw]), HALF)
    assert [leg[0] * scale for leg in one] == pytest.approx([leg[0] for leg in mirrored])


@pytest.mark.parametrize("share", [0.4, 1.01])
def test_a_share_no_yaw_gives_has_no_yaw(share: float) -> None:
    assert math.isnan(bridle.yaw_at_share_rad(share, HALF))


@pytest.mark.parametrize(
    ("size_mm", "pitch_mm", "area_mm2"),
    [
        (8, 1.25, 36.6),
        (10, 1.5, 58.0),
        (12, 1.75, 84.3),
        (14, 2.0, 115.0),
        (16, 2.0, 157.0),
        (20, 2.5, 245.0),
    ],
)
def test_stress_area_formula_gives_the_standard_table(
    size_mm: float, pitch_mm: float, area_mm2: float
) -> None:
    # ISO 898-1, nominal stress areas, printed to three figures.
    area = attachment.stress_area_m2(size_mm / 1e3, pitch_mm / 1e3) * 1e6
    assert area == pytest.approx(area_mm2, abs=0.5 if area_mm2 > 100.0 else 0.05)


def test_bolt_load_in_tension_is_the_standard_one() -> None:
    # ISO 898-1, minimum ultimate tensile load of M16 class 8.8: 125 kN; in shear it holds 0.6 of it.
    assert attachment.bolt_group_shear_n(1.0, 157e-6, 800e6, 0.6) / 0.6 == pytest.approx(125e3, rel=6e-3)


@pytest.mark.parametrize(
    ("tensile_mpa", "factor"),
    # EN 1993-1-8 Table 3.4 as quoted, thread in the shear plane: 0.6 for 4.6, 5.6 and 8.8; 0.5 for 4.8, 5.8,
    # 6.8 and 10.9. Of two grades of one strength the weaker in shear. A4-70 and A4-80: 0.6, from memory.
    [(400, 0.5), (500, 0.5), (600, 0.5), (700, 0.6), (800, 0.6), (1000, 0.5), (1200, 0.5)],
)
def test_shear_factor_is_that_of_the_grade(tensile_mpa: float, factor: float) -> None:
    grades = load_catalogue().bolt_grades
    assert attachment.shear_factor(grades, np.array([tensile_mpa * 1e6])) == pytest.approx([factor])


def test_bolts_of_unknown_strength_have_no_shear_factor() -> None:
    assert np.isnan(attachment.shear_factor(load_catalogue().bolt_grades, np.array([math.nan, 850e6]))).all()


def test_bolts_of_10_9_hold_a_sixth_less_than_was_taken() -> None:
    """Review: 0.6 was taken for every grade. M12 of 10.9: 0.5 x 1000 MPa x 84.3 mm2 = 42.2 kN, not 50.6."""
    factor = attachment.shear_factor(load_catalogue().bolt_grades, np.array([1000e6]))
    assert attachment.bolt_group_shear_n(1.0, 84.3e-6, 1000e6, float(factor[0])) == pytest.approx(42.15e3)


def test_bolt_group_by_hand() -> None:
    # 4 x 0.6 x 700 MPa x 84.3 mm2 = 141.6 kN for four M12 A4-70.
    bolts = load_catalogue().bolts
    area = attachment.catalogued_stress_area_m2(bolts, np.array([0.012, 0.011, math.nan]))
    assert attachment.bolt_group_shear_n(4.0, float(area[0]), 700e6, 0.6) == pytest.approx(141.6e3, rel=1e-3)
    assert np.isnan(area[1:]).all()


def test_aft_mooring_point_agrees_with_a_builder_s_manual() -> None:
    # An owner's manual published by a builder states 24.9 kN for anchoring forward, 17.4 kN for mooring aft.
    # ISO 15084, from memory: forward P = 4.3 Lc - 5.4 kN, which gives Lc; aft P = 3.0 Lc - 3.8 kN.
    length = (24.9 + 5.4) / 4.3
    assert attachment.iso_15084_aft_n(length, length) == pytest.approx(17.4e3, abs=100.0)


def test_builder_fitted_is_never_taken_for_more_than_the_standard_asks() -> None:
    hull = np.array([12.0, 12.0, 25.0, 12.0])
    waterline = np.array([10.0, 10.0, 22.0, math.nan])
    mass = np.array([8_000.0, 2_000.0, 60_000.0, 8_000.0])
    # Third: ISO 15084 applies to hulls up to 24 m. Second: it asks no more than the loaded boat's weight.
    expected = [29.2e3, 2_000.0 * 9.80665, math.nan, math.nan]
    assert attachment.builder_fitted_n(hull, waterline, mass) == pytest.approx(expected, nan_ok=True)


def test_a_single_device_is_judged_by_area_and_from_the_bow_by_more_diameter() -> None:
    # CG87 6.1: from the bow 2 to 3 times the diameter.
    needed = single_element.required_device_diameter_m(np.array([1.2, 1.2]), np.array([False, True]), 3.0)
    assert needed == pytest.approx([1.2, 3.6])
    assert single_element.area_ratio(1.8, 1.2) == pytest.approx(2.25)
    assert single_element.series_area_m2(90.0, 0.0126) == pytest.approx(1.134)
