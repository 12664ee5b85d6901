"""The wave strike on required rigs: against the published design load, and the strengthening it asks for."""

from __future__ import annotations

import re

import numpy as np
import pytest

from sizing.catalogue import load_catalogue
from sizing.drogue.ride_fleet import ride_required, wind_force_n
from sizing.drogue.size import size_fleet
from sizing.drogue.strengthen import strike_required
from sizing.drogue.strike_fleet import StrikePlan, required_rigs, required_strengths, strike_columns
from sizing.model import FleetColumns
from sizing.policy import Policy, SizingRules
from tests.sizing.drogue.fleets import fleet_of

CATALOGUE = load_catalogue()
LB = 0.45359237  # NIST SP 811
LBF = 4.4482216152605  # NIST SP 811
ONCE = StrikePlan(samples=0, histories=False)


def fleet(*pounds: float) -> FleetColumns:
    return fleet_of(np.array(pounds) * LB)


def test_peaks_of_required_rigs_lie_by_the_published_design_load() -> None:
    """CG87 6.2: 7,500 lbf at 7,500 lb, 36,000 lbf at 60,000 lb; the slope is fitted at the first alone."""
    _, strike = strike_required(fleet(7_500, 60_000), Policy(), CATALOGUE, ONCE)
    assert strike.peak_n[0] == pytest.approx(7_500 * LBF, rel=0.10)
    assert strike.peak_n[1] == pytest.approx(36_000 * LBF, rel=0.10)


def test_tension_falls_along_the_line() -> None:
    _, strike = strike_required(fleet(20_000), Policy(), CATALOGUE, ONCE)
    heads = strike.head_peak_n[0]
    heads = heads[~np.isnan(heads)]
    assert heads[0] == pytest.approx(strike.peak_n[0], rel=0.01)
    assert (np.diff(heads[1:]) < 0).all()


def test_every_part_of_a_required_rig_holds_its_own_strike() -> None:
    pounds = [4_000, 7_500, 12_000, 20_000, 35_000, 60_000, 90_000]
    needed, strike = strike_required(fleet(*pounds), Policy(), CATALOGUE, ONCE)
    strengths = required_strengths(needed, Policy(), CATALOGUE).by_part
    assert (strike.peak_n <= strengths["bridle leg"]).all()
    for place, part in enumerate(("lead line", "section 1", "section 2", "section 3")):
        there = ~np.isnan(strike.head_peak_n[:, place])
        assert (strike.head_peak_n[there, place] <= strengths[part][there]).all()


def test_where_the_strike_exceeds_the_steady_rule_the_rig_is_strengthened() -> None:
    """At 0.75 of breaking strength (the most CG87 6.3 allows) wet and spliced rope has 2 % over the load."""
    loose = Policy(
        sizing=SizingRules(strength_use=0.75), reasons={"sizing.strength_use": "to provoke the strike"}
    )
    boats = fleet(*range(3_000, 9_000, 150))
    steady = size_fleet(boats, loose, CATALOGUE)
    before = strike_columns(
        required_rigs(steady, loose, CATALOGUE), required_strengths(steady, loose, CATALOGUE),
        [str(i) for i in range(40)], loose, ONCE,
    )  # fmt: skip
    weak = before.peak_n > required_strengths(steady, loose, CATALOGUE).by_part["bridle leg"]
    assert weak.any()
    strong, after = strike_required(boats, loose, CATALOGUE, ONCE)
    assert (after.peak_n <= required_strengths(strong, loose, CATALOGUE).by_part["bridle leg"]).all()
    assert (strong.lead_rope[weak] > steady.lead_rope[weak]).all()
    assert (strong.cones == steady.cones).all()


def test_the_spread_of_a_strike() -> None:
    """Drag, slope, speed, weight and slack varied: the middle is near the single strike."""
    _, strike = strike_required(fleet(3_000, 20_000), Policy(), CATALOGUE, StrikePlan(64, histories=False))
    assert not strike.not_sampled
    assert (strike.p90_n > strike.median_n).all()
    assert strike.samples == 64
    assert (strike.peak_quantiles_n[:, 0] < strike.median_n).all()
    assert (strike.peak_quantiles_n[:, -1] > strike.p90_n).all()
    assert strike.median_n == pytest.approx(strike.peak_n, rel=0.15)
    total = sum(share for share in strike.sensitivity.values())
    assert total == pytest.approx(np.ones(2))
    assert np.isnan(strike.share_above["section 3"][0])  # the small boat has no third section
    assert ((strike.share_above["lead line"] >= 0) & (strike.share_above["lead line"] <= 1)).all()


def test_no_spread_is_given_where_some_of_the_waves_did_not_pass() -> None:
    """A run that ends because she runs ahead of the crest has no peak to count among the others."""
    heavy = fleet_of(np.array([20_000.0, 60_000.0]))
    _, strike = strike_required(heavy, Policy(), CATALOGUE, StrikePlan(64, histories=False))
    assert np.isfinite(strike.peak_n).all()
    assert list(strike.not_sampled) == [1]
    assert re.match(r"in [1-9]\d* of 64 varied strikes the wave did not pass", strike.not_sampled[1])
    assert np.isnan(strike.p90_n[1])
    assert np.isnan(strike.share_above["lead line"][1])
    assert np.isfinite(strike.p90_n[0])


@pytest.mark.parametrize("offset", ["0.1 m", "0.2 m", "0.6 m", "2 m"])
def test_the_first_cone_may_lie_nearer_the_end_than_half_a_pitch(offset: str) -> None:
    """Every offset the policy allows is struck: from 0.1 m, with a pitch of 0.508 m."""
    policy = Policy(sizing=SizingRules(first_cone_offset=offset))
    _, strike = strike_required(fleet(7_500, 30_000), policy, CATALOGUE, ONCE)
    assert not strike.not_computed
    _, usual = strike_required(fleet(7_500, 30_000), Policy(), CATALOGUE, ONCE)
    assert strike.peak_n == pytest.approx(usual.peak_n, rel=0.01)


def test_a_boat_that_was_not_sized_has_no_strike_and_says_why() -> None:
    boats = fleet_of(np.array([8_000.0, np.nan]))
    needed, strike = strike_required(boats, Policy(), CATALOGUE, StrikePlan(16))
    assert list(needed.not_computed) == [1]
    assert strike.not_computed[1] == needed.not_computed[1]
    assert np.isnan(strike.peak_n[1])
    assert np.isfinite(strike.peak_n[0])
    assert 0 in strike.history
    assert 1 not in strike.history


def test_the_same_strikes_from_any_batch() -> None:
    together = strike_required(fleet(5_000, 9_000, 30_000), Policy(), CATALOGUE, StrikePlan(16))[1]
    alone = strike_required(fleet(9_000), Policy(), CATALOGUE, StrikePlan(16))[1]
    assert together.peak_n[1] == alone.peak_n[0]
    assert together.p90_n[1] == alone.p90_n[0]


def test_wind_force_by_hand() -> None:
    """0.5 x 1.225 x 1.0 x 15 x 20^2 = 3675 N."""
    assert wind_force_n(20.0, 15.0) == pytest.approx(3675.0)


def test_riding_loads_are_far_below_the_design_load() -> None:
    """CG87 6.3: storm working load about a tenth of the line's strength; one cycle a wave of 9 s."""
    needed = size_fleet(fleet(7_500, 20_000, 60_000), Policy(), CATALOGUE)
    ride = ride_required(needed, Policy(), CATALOGUE, ["a", "b", "c"])
    assert not ride.not_computed
    assert (ride.greatest_n < 0.5 * needed.design_load_n).all()
    assert (ride.least_n <= ride.mean_n).all()
    assert (ride.mean_n <= ride.greatest_n).all()
    assert ride.cycles_per_hour == pytest.approx(np.full(3, 3600 / 9.0))
    assert ride.storm_hours == pytest.approx(np.full(3, 10_000 / 400))
