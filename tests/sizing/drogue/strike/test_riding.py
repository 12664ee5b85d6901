"""Lying to the drogue in regular waves."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from sizing.drogue.strike import DEFAULT_SETTINGS, Status, ride
from tests.sizing.drogue.strike.boats import design_load_n, required_fleet, required_rig

STRENGTH = design_load_n(7_500) / 0.675


def test_in_a_ripple_the_load_is_the_wind_force() -> None:
    """Statics: without hull drag and waves to speak of, drogue drag equals the wind force."""
    result = ride(required_rig(7_500, hull_drag_coefficient=0.0), 0.1, 20.0, 3000.0, STRENGTH)
    assert result.mean_load_n[0] == pytest.approx(3000.0, rel=0.02)
    assert result.slack_share[0] == 0.0


def test_a_long_swell_loads_as_the_drag_law_at_the_relative_speed() -> None:
    """A boat held still by her drogue feels wind and the wave's own inertia force, m du/dt, and no more."""
    boat = required_rig(7_500, hull_drag_coefficient=0.0, displacement_kg=400.0)
    height, period, wind = 1.0, 25.0, 1500.0
    drag = 0.5 * 1025.0 * 1.2 * float(boat.cone_mouth_area_m2[0] * boat.section_cones.sum())
    result = ride(boat, height, period, wind, STRENGTH)
    surge_force = 400.0 * 1.05 * 2 * np.pi / period * np.pi * height / period
    assert result.greatest_load_n[0] < drag * (np.sqrt(wind / drag) + np.pi * height / period) ** 2
    assert result.greatest_load_n[0] == pytest.approx(wind + surge_force, rel=0.03)


def test_storm_working_load_is_of_the_published_order() -> None:
    """CG87 6.3: storm working load about 10 % of breaking strength; 3.3.4: about 10,000 cycles a storm."""
    result = ride(required_fleet(), 6.0, 9.0, [1000.0, 1500.0, 2500.0, 4000.0, 7000.0], _strengths())
    assert (result.status == Status.PASSED).all()
    assert (result.working_share > 0.03).all()
    assert (result.working_share < 0.25).all()
    assert (result.cycles_per_hour == 400.0).all()
    assert (result.hours_to_storm_cycles == 25.0).all()
    assert (result.greatest_load_n > result.least_load_n).all()
    assert ((result.slack_share >= 0.0) & (result.slack_share < 1.0)).all()


def _strengths() -> NDArray[np.float64]:
    return np.array([design_load_n(lb) / 0.675 for lb in (4_500, 7_500, 15_000, 30_000, 60_000)])


def test_higher_waves_load_more() -> None:
    boat = required_rig(np.float64(7_500))
    loads = [float(ride(boat, h, 9.0, 1500.0, STRENGTH).greatest_load_n[0]) for h in (2.0, 4.0, 6.0, 8.0)]
    assert loads == sorted(loads)


def test_batch_order_and_threads_change_nothing() -> None:
    fleet = required_fleet()
    wind = np.array([1000.0, 1500.0, 2500.0, 4000.0, 7000.0])
    whole = ride(fleet, 5.0, 8.0, wind, _strengths())
    back = ride(fleet.take(np.arange(5)[::-1]), 5.0, 8.0, wind[::-1], _strengths()[::-1])
    assert np.array_equal(whole.greatest_load_n, back.greatest_load_n[::-1])
    assert np.array_equal(whole.slack_share, back.slack_share[::-1])


@pytest.mark.parametrize(
    ("height", "period", "wind", "strength", "word"),
    [
        (np.nan, 9.0, 1500.0, 5e4, "wave_height_m"),
        (8.0, 0.0, 1500.0, 5e4, "wave_period_s"),
        (8.0, 9.0, -1.0, 5e4, "wind_force_n"),
        (8.0, 9.0, 1500.0, 0.0, "breaking_strength_n"),
        (8.0, 4.0, 1500.0, 5e4, "wave height over length"),
    ],
)
def test_an_impossible_sea_is_refused_for_its_boat_only(
    height: float, period: float, wind: float, strength: float, word: str
) -> None:
    fleet = required_fleet((7_500, 10_000))
    result = ride(fleet, [height, 5.0], [period, 9.0], [wind, 1500.0], [strength, 5e4], ["Ant", "Bee"])
    assert result.status.tolist() == [Status.REFUSED, Status.PASSED]
    assert "Ant" in str(result.errors[0])
    assert word in str(result.errors[0])
    assert np.isnan(result.greatest_load_n[0])
    assert np.isfinite(result.greatest_load_n[1])


def test_cones_taken_four_to_a_node_ride_as_one_by_one() -> None:
    """Against the same scheme with a node a cone, as the strike takes them."""
    seas = (6.0, 9.0, [1000.0, 1500.0, 2500.0, 4000.0, 7000.0], _strengths())
    coarse, fine = ride(required_fleet(), *seas), ride(required_fleet(), *seas, settings=DEFAULT_SETTINGS)
    assert coarse.greatest_load_n == pytest.approx(fine.greatest_load_n, rel=0.01)
    assert coarse.mean_load_n == pytest.approx(fine.mean_load_n, rel=0.01)
    assert coarse.slack_share == pytest.approx(fine.slack_share, abs=0.01)
