"""Cones and design load against the published report, and how they follow displacement."""

from __future__ import annotations

import gsw  # type: ignore[import-untyped]
import numpy as np
import pytest
from fluids.core import Drag
from hypothesis import given
from hypothesis import strategies as st

from sizing.drogue import drag, loads, tow
from sizing.drogue.density import SEA_WATER_KG_M3
from sizing.drogue.end_weight import end_weight_kg
from sizing.policy import SizingRules
from tests.sizing.drogue.fleets import FOOT_M, POUND_FORCE_N, POUND_KG

CONE_MOUTH_M = 0.127  # CG87 4.1.1: 5 in
displacements = st.floats(300.0, 300_000.0)


def cones_at(pounds: float) -> float:
    return float(drag.cones_required(drag.required_mouth_area_m2(pounds * POUND_KG), CONE_MOUTH_M))


@pytest.mark.parametrize(
    ("pounds", "feet"),
    [(7_500.0, 4.0), (60_000.0, 5.5)],  # CG87 6.1
)
def test_equivalent_diameter_at_the_published_points(pounds: float, feet: float) -> None:
    assert drag.equivalent_diameter_m(pounds * POUND_KG) == pytest.approx(feet * FOOT_M)


@pytest.mark.parametrize(
    ("pounds", "cones"),
    [
        (7_500.0, 93),  # CG87 6.1: 4 ft over 5 in cones; the report's own test piece had 90 (4.1.1)
        (10_000.0, 101),  # common practice, no source: about 100
        (60_000.0, 175),  # CG87 6.1: 5.5 ft over 5 in cones
    ],
)
def test_cones_at_known_displacements(pounds: float, cones: int) -> None:
    assert cones_at(pounds) == cones


def test_a_whole_number_of_cones_is_not_rounded_up() -> None:
    area = 0.127 * 0.127 * np.pi / 4.0
    assert float(drag.cones_required(90.0 * area, 0.127)) == 90.0
    assert float(drag.cones_required(90.001 * area, 0.127)) == 91.0


@pytest.mark.parametrize(
    ("pounds", "pounds_force", "within"),
    [
        (7_500.0, 7_500.0, 1e-6),  # CG87 6.2: equal to displacement
        (60_000.0, 36_000.0, 1e-6),  # CG87 6.2: 60 % of displacement
        (20_000.0, 15_720.0, 5.0),  # read off the straight line in log-log of CG87 Figure 26
    ],
)
def test_design_load_at_known_displacements(pounds: float, pounds_force: float, within: float) -> None:
    load = loads.design_load_n(pounds * POUND_KG) / POUND_FORCE_N
    assert load == pytest.approx(pounds_force, abs=within)


def test_attachment_load_is_the_published_share_which_the_source_itself_rounds() -> None:
    """The rule stated again, no check from outside: CG87 6.4 rounds 70 % of 7,500 lbf (6.3) to 5,300."""
    load = loads.attachment_load_n(loads.design_load_n(7_500.0 * POUND_KG), 0.70) / POUND_FORCE_N
    assert load == pytest.approx(5_250.0)
    assert load == pytest.approx(5_300.0, abs=50.0)


def test_required_strength_takes_the_stricter_of_both_rules() -> None:
    # CG87 6.3: the design load is 60 to 75 % of minimum strength.
    assert float(loads.required_strength_n(60.0, 0.60, 0.765)) == pytest.approx(100.0)
    assert float(loads.required_strength_n(60.0, 0.75, 0.60)) == pytest.approx(100.0)
    assert float(loads.required_strength_n(60.0, 0.60, 0.50, strike_multiple=1.5)) == pytest.approx(180.0)


@pytest.mark.parametrize(
    ("pounds", "mark"), [(7_499.0, -1), (7_500.0, 0), (30_000.0, 0), (60_000.0, 0), (60_001.0, 1)]
)
def test_range_mark_has_both_published_ends_inside(pounds: float, mark: int) -> None:
    assert drag.range_mark(np.array([pounds * POUND_KG])).tolist() == [mark]


@pytest.mark.parametrize(
    ("pounds", "weight_lb"),
    # CG87 6.3: about 25 lb for smaller boats, 35 to 50 lb for large; the steps between are policy.
    [
        (3_000.0, 25.0),
        (7_500.0, 25.0),
        (18_750.0, 30.0),
        (30_000.0, 35.0),
        (45_000.0, 42.5),
        (60_000.0, 50.0),
    ],
)
def test_end_weight(pounds: float, weight_lb: float) -> None:
    weight = end_weight_kg(pounds * POUND_KG, 25 * POUND_KG, 35 * POUND_KG, 50 * POUND_KG)
    assert float(weight) == pytest.approx(weight_lb * POUND_KG)


def test_density_of_sea_water() -> None:
    # TEOS-10 through the gsw package: absolute salinity 35 g/kg, 15 degC, at the surface.
    assert SizingRules().water_density == SEA_WATER_KG_M3 == pytest.approx(gsw.rho(35.0, 15.0, 0.0), abs=1.0)


def test_drogue_drag_is_what_another_library_inverts() -> None:
    """The same formula the other way round: it catches a slip, and says nothing of the coefficient itself."""
    force = tow.drogue_drag_n(2.5, 90.0, 0.01267, 1.2, 1025.0)
    assert Drag(F=force, A=90.0 * 0.01267, V=2.5, rho=1025.0) == pytest.approx(1.2)


def test_ninety_cones_and_a_four_foot_drogue_drag_alike() -> None:
    # CG87 4.1.1 and 6.1: the 90-cone series drogue stands for the 4 ft one, nearly.
    series = tow.drogue_drag_n(3.0, 90.0, drag.mouth_area_m2(CONE_MOUTH_M), 1.2, 1025.0)
    single = tow.drogue_drag_n(3.0, 1.0, drag.mouth_area_m2(4.0 * FOOT_M), 1.2, 1025.0)
    assert series == pytest.approx(single, rel=0.03)


@given(displacements, displacements)
def test_more_displacement_never_needs_less(one: float, other: float) -> None:
    light, heavy = sorted((one, other))
    assert drag.equivalent_diameter_m(light) <= drag.equivalent_diameter_m(heavy)
    assert loads.design_load_n(light) <= loads.design_load_n(heavy)
    assert cones_at(light / POUND_KG) <= cones_at(heavy / POUND_KG)
    weights = [float(end_weight_kg(d, 11.0, 16.0, 23.0)) for d in (light, heavy)]
    assert weights[0] <= weights[1]


@given(st.lists(displacements, min_size=1, max_size=8))
def test_an_array_gives_the_same_as_each_boat_alone(values: list[float]) -> None:
    column = np.array(values)
    for formula in (drag.equivalent_diameter_m, drag.required_mouth_area_m2, loads.design_load_n):
        assert formula(column) == pytest.approx([formula(v) for v in values], rel=1e-14)
    assert end_weight_kg(column, 11.0, 16.0, 23.0) == pytest.approx(
        [float(end_weight_kg(v, 11.0, 16.0, 23.0)) for v in values]
    )


@given(displacements, st.floats(1.1, 4.0))
def test_both_laws_are_powers_of_displacement(displacement: float, factor: float) -> None:
    # Straight lines in log-log: a factor on displacement is the same factor on the result everywhere.
    for formula in (drag.equivalent_diameter_m, loads.design_load_n):
        here = formula(displacement * factor) / formula(displacement)
        there = formula(7_500.0 * POUND_KG * factor) / formula(7_500.0 * POUND_KG)
        assert here == pytest.approx(there)
