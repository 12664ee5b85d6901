"""Cones go over the rope they are threaded on (rule 20), on every boat of a mixed fleet and aboard."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.catalogue import load_catalogue
from sizing.drogue.cone import cone_over_rope, least_small_end_m, pattern_of, small_end_over_rope_m
from sizing.drogue.rig import small_ends_m
from sizing.drogue.size import size_fleet
from sizing.drogue.working import requirement_of
from sizing.policy import Policy, SizingRules
from tests.sizing.drogue.fleets import POUND_KG, fleet_of

CATALOGUE = load_catalogue()
POLICY = Policy()
ROOM_M = 0.003  # over the rope [assumed], engineering basis, rule 20


def mixed_fleet(boats: int = 300) -> np.ndarray:
    """Displacements from 2 t to twice the published range, evenly in the logarithm."""
    return np.geomspace(2_000.0, 2.0 * 60_000.0 * POUND_KG, boats)


def test_no_boat_of_a_mixed_fleet_has_cones_that_do_not_go_over_their_rope() -> None:
    fleet = fleet_of(mixed_fleet())
    needed = size_fleet(fleet, POLICY, CATALOGUE)
    assert not needed.not_computed
    diameter = np.where(needed.section_rope >= 0, CATALOGUE.ropes.diameter_m[needed.section_rope], np.nan)
    old = (diameter + ROOM_M > POLICY.sizing.cone_small_end).any(axis=1)
    assert old.any(), "the fleet has no boat on which the policy's small end does not pass: widen it"
    for row in range(len(fleet)):
        for section in requirement_of(fleet, needed, POLICY, CATALOGUE, row).sections:
            if section.cones:
                assert section.small_end_m >= section.diameter_m + ROOM_M - 1e-9
    # A boat whose rope passes the policy's cone keeps it.
    small = small_ends_m(needed.section_rope, POLICY, CATALOGUE)
    assert np.nanmax(small[~old]) == pytest.approx(POLICY.sizing.cone_small_end)


@given(st.floats(0.004, 0.09), st.floats(0.08, 0.4))
def test_the_small_end_passes_the_rope_and_is_no_wider_than_it_must_be(rope_m: float, mouth_m: float) -> None:
    size = cone_over_rope(rope_m, mouth_m, POLICY.sizing)
    usual = 0.3 * mouth_m  # 1.5 in over 5 in [memory]
    assert size.mouth_m == pytest.approx(mouth_m, abs=1e-6)
    assert size.small_end_m >= rope_m + ROOM_M - 1e-6
    assert size.small_end_m <= max(usual, rope_m + ROOM_M + 0.005) + 1e-6


def test_the_wider_cone_keeps_mouth_and_slant() -> None:
    flat = pattern_of(cone_over_rope(0.0406, 0.127, POLICY.sizing), POLICY)
    assert flat.outer_radius_m * flat.angle_rad / np.pi == pytest.approx(0.127)
    assert flat.inner_radius_m * flat.angle_rad / np.pi == pytest.approx(0.045)  # 43.6 up to the next 5 mm
    assert flat.slant_m == pytest.approx(0.1524)


def test_a_rope_that_is_not_known_proves_nothing() -> None:
    """For gear aboard: NaN in, NaN out; a comparison with it is never true."""
    rope = np.array([0.020, np.nan, 0.040])
    least = least_small_end_m(rope, ROOM_M)
    assert least == pytest.approx([0.023, np.nan, 0.043], nan_ok=True)
    assert np.isnan(small_end_over_rope_m(rope, np.full(3, 0.0381), ROOM_M)[1])
    assert (np.full(3, 0.0381) >= least).tolist() == [True, False, False]


def test_a_policy_may_ask_for_more_room_but_not_for_none() -> None:
    wide = SizingRules(small_end_clearance=0.01)
    assert cone_over_rope(0.030, 0.127, wide).small_end_m == pytest.approx(0.040)
    assert cone_over_rope(0.028, 0.127, wide).small_end_m == pytest.approx(0.0381)
    with pytest.raises(ValueError, match="small_end_clearance"):
        SizingRules(small_end_clearance=0.0)


def test_a_rope_too_thick_for_the_policys_mouth_is_told() -> None:
    small_mouth = SizingRules(cone_mouth=0.08, cone_small_end=0.02, cone_slant=0.1)
    needed = size_fleet(fleet_of(150_000.0), Policy(sizing=small_mouth), CATALOGUE)
    assert "small end" in needed.not_computed[0]
    assert "cone_mouth" in needed.not_computed[0]
