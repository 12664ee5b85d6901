"""Windage from astern and drift as a range, against figures measured and printed elsewhere.

What was read: rates of search-and-rescue leeway as transcribed in public code (the list of "Review of
Leeway", CG-D-08-99, 1999, Table 8-1, and that of SAROPS, 2010), not the reports themselves; a yacht-design
textbook's worked example and the ORC VPP documentation as others quote them.
"""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from pydantic import ValidationError

from sizing.catalogue import load_catalogue
from sizing.drogue import windage
from sizing.drogue.size import size_fleet
from sizing.fields import CHOICES
from sizing.model import FloatArray, RequirementColumns
from sizing.policy import DriftRules, Policy
from tests.sizing.drogue.fleets import fleet_of

CATALOGUE = load_catalogue()
POLICY = Policy()
MASSES_KG = np.array([3_500.0, 5_000.0, 8_000.0, 12_000.0, 18_000.0, 27_200.0])  # the published range
LENGTHS_M = np.array([8.5, 9.8, 11.5, 13.0, 15.0, 17.0])  # of cruising boats of these masses [assumed]
KNOT = 1852.0 / 3600.0  # exact [SP 811]
MONO = np.array([CHOICES["boat_type"].index("sailing monohull")], dtype=np.int8)


def sized(policy: Policy = POLICY, kind: str = "sailing monohull") -> RequirementColumns:
    return size_fleet(fleet_of(MASSES_KG, boat_type=kind, numbers={"loa_m": LENGTHS_M}), policy, CATALOGUE)


def area(rules: DriftRules = POLICY.drift, place: float = windage.MIDDLE, given: float = math.nan) -> float:
    return float(windage.air_drag_areas_m2(one(given), one(12.0), one(math.nan), MONO, rules, place)[0])


def one(value: float) -> FloatArray:
    return np.array([value])


def test_a_textbook_s_example_lies_between_the_ends() -> None:
    """40 ft yacht: hull 0.5 on beam 3.71 x forward freeboard 1.39 m, mast 1.0 on 0.139 x 16 m, stays 1.2 on
    8 mm x 76.7 m and 10 mm x 23.9 m [PYD, quoted; mast height assumed]; all of it in the wind at 10 m.
    """
    book = 0.5 * 3.71 * 1.39 + 1.0 * 0.139 * 16.0 + 1.2 * (0.008 * 76.7 + 0.010 * 23.9)
    boat = one(math.nan), one(12.19), one(3.71), MONO, POLICY.drift
    low, high = (float(windage.air_drag_areas_m2(*boat, place)[0]) for place in (windage.LOW, windage.HIGH))
    assert low < book < high


def test_middle_area_by_hand() -> None:
    """12 m: beam 3.84, height 0.1475 x 12 = 1.77, so 6.797 m2 of hull and 0.03 x 144 = 4.32 of rig."""
    at_half_height = (0.885 / 10.0) ** (2 * 0.12)
    assert area() == pytest.approx(0.59 * 6.797 * at_half_height + 0.845 * 4.32, rel=1e-3)


def test_an_area_that_was_entered_is_kept_and_only_its_coefficient_estimated() -> None:
    used = windage.windage_used_m2(one(18.0), one(12.0), one(math.nan), MONO)
    assert used == pytest.approx([18.0])
    assert area(given=18.0) == pytest.approx(2.0 * area(given=9.0))
    for place in (windage.LOW, windage.MIDDLE, windage.HIGH):
        assert 0.3 < area(given=1.0, place=place) < 1.06  # never above the coefficient of bare spars


def test_a_blank_type_or_length_gives_no_figure() -> None:
    blank = np.array([-1], dtype=np.int8)
    for length, kind in ((12.0, blank), (math.nan, MONO)):
        assert np.isnan(windage.air_drag_areas_m2(one(18.0), one(length), one(4.0), kind, POLICY.drift, 0.5))


@pytest.mark.parametrize("kind", CHOICES["boat_type"])
def test_drift_is_a_range_about_its_middle(kind: str) -> None:
    needed = sized(kind=kind)
    assert (needed.drift_low_mps < needed.drift_speed_mps).all()
    assert (needed.drift_speed_mps < needed.drift_high_mps).all()
    assert (needed.drift_high_mps < 2.5 * needed.drift_low_mps).all()


def test_no_drift_is_as_fast_as_was_once_told() -> None:
    """Seamen found 3.4 to 5.4 kn in 50 kn of wind high: all of the area then had a coefficient of 1."""
    needed = sized()
    assert (needed.drift_speed_mps < 3.6 * KNOT).all()
    assert (needed.drift_speed_mps > 1.0 * KNOT).all()


def test_drift_on_a_drogue_is_of_the_order_of_measured_leeway() -> None:
    """Sailing monohulls without a drogue: 3.0 and 4.0 % of the wind by keel (1999), 2.7 to 6.7 % by how they
    lie (2010); a life raft with its drogue 1.91 %. Beam-on or hove-to is another state than end-on to a
    drogue of 1 to 2 m2, so only the order can be compared. Ours stand at the upper end: they err high.
    """
    share = sized().drift_speed_mps / sized().wind_speed_mps
    assert (share > 0.0191).all()
    assert (share < 0.0667).all()


def test_the_high_end_takes_every_figure_at_its_worst() -> None:
    high = sized().drift_high_mps
    for change in (
        {"hull_drag_high": 0.8}, {"rig_drag_high": 1.3}, {"wind_exponent_low": 0.05},
        {"cone_drag_spread": 0.3}, {"wind_speed": "60 kn"},
    ):  # fmt: skip
        other = sized(Policy.model_validate({"drift": change}))
        assert (other.drift_high_mps > high).all(), change


def test_the_same_range_comes_of_any_coefficient_of_the_cones() -> None:
    less = Policy.model_validate({"sizing": {"drag_coefficient": 1.0}})
    assert (sized(less).drift_high_mps > sized().drift_high_mps).all()


def test_low_above_high_is_refused() -> None:
    with pytest.raises(ValidationError, match="write the lower one as low"):
        DriftRules(hull_drag_low=0.9)


def test_every_boat_type_has_a_shape_with_its_ends_in_order() -> None:
    assert set(windage.SHAPES) == set(CHOICES["boat_type"])
    for shape in windage.SHAPES.values():
        assert shape.height.low < shape.height.high
        assert shape.rig.low < shape.rig.high


def test_figures_of_one_boat_do_not_depend_on_the_fleet() -> None:
    whole = sized()
    alone = size_fleet(fleet_of(MASSES_KG[3:4], numbers={"loa_m": LENGTHS_M[3:4]}), POLICY, CATALOGUE)
    for name in ("drift_low_mps", "drift_speed_mps", "drift_high_mps", "air_drag_area_m2"):
        assert getattr(alone, name)[0] == getattr(whole, name)[3]
    assert {f.name for f in dataclasses.fields(whole)} >= {"drift_low_mps", "drift_high_mps"}
