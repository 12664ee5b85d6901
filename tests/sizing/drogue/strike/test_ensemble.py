"""Uncertainty: reproducible, monotone where physics is, and honest about failures."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import qmc, rankdata

from sizing.drogue.strike import DEFAULT_SETTINGS, INPUTS, Plan, Status, ensembles, parts, run_samples, strike
from sizing.drogue.strike.ensemble import rank_influence, ranks
from tests.sizing.drogue.strike.boats import TRIAL_LB, design_load_n, required_fleet, required_rig

PLAN = Plan(samples=64)


class _Latin(Plan):
    """The same ranges sampled by another library's other scheme."""

    def points(self) -> NDArray[np.float64]:
        drawn = qmc.LatinHypercube(len(INPUTS), rng=np.random.default_rng(self.seed)).random(self.samples)
        return np.asarray(drawn, dtype=np.float64)


LOADS = np.array([design_load_n(lb) for lb in TRIAL_LB])


def test_figures_repeat_and_do_not_depend_on_company() -> None:
    fleet = required_fleet()
    what = parts(np.column_stack([LOADS, 1.2 * LOADS]))
    whole = ensembles(fleet, what, plan=PLAN)
    alone = ensembles(fleet.take(slice(3, 4)), what.take(slice(3, 4)), plan=PLAN)
    single = ensembles(fleet, what, plan=PLAN, settings=replace(DEFAULT_SETTINGS, threads=1))
    for name in ("median_n", "p90_n", "quantiles_n", "share_above", "influence", "explained"):
        assert np.array_equal(getattr(whole, name)[3:4], getattr(alone, name)), name
        assert np.array_equal(getattr(whole, name), getattr(single, name)), name


def test_statistics_are_those_of_the_samples() -> None:
    fleet = required_fleet()
    result = ensembles(fleet, parts(LOADS[:, None]), plan=PLAN)
    peaks = run_samples(fleet, PLAN)["peak_load_n"]
    assert result.median_n == pytest.approx(np.median(peaks, axis=1))
    assert result.p90_n == pytest.approx(np.percentile(peaks, 90, axis=1))
    assert result.share_above[:, 0] == pytest.approx((peaks > LOADS[:, None]).mean(axis=1))
    assert (result.p90_n > result.median_n).all()
    heads = run_samples(fleet, PLAN)["head_peak_n"]
    assert result.head_p90_n == pytest.approx(np.percentile(heads, 90, axis=1))
    assert result.head_p90_n[:, 0] == pytest.approx(result.p90_n)


def test_quantiles_stand_for_equal_shares_of_the_samples() -> None:
    fleet = required_fleet()
    result = ensembles(fleet, parts(LOADS[:, None]), plan=PLAN)
    peaks = run_samples(fleet, PLAN)["peak_load_n"]
    assert (np.diff(result.quantiles_n, axis=1) >= 0.0).all()
    for boat in range(len(fleet)):
        below = (peaks[boat] <= result.quantiles_n[boat][:, None]).mean(axis=1)
        assert below == pytest.approx((np.arange(50) + 0.5) / 50, abs=1.0 / PLAN.samples)


def test_more_samples_move_the_median_and_p90_little() -> None:
    """Convergence of the quasi-random sequence: 256 against 2,048 points."""
    boat, what = required_rig(15_000), parts(np.array([[1e5]]))
    few, many = (ensembles(boat, what, plan=Plan(samples=n)) for n in (256, 2048))
    assert few.median_n == pytest.approx(many.median_n, rel=0.01)
    assert few.p90_n == pytest.approx(many.p90_n, rel=0.01)


def test_latin_hypercube_tells_the_same_story() -> None:
    boat = required_rig(15_000)
    sobol, latin = (ensembles(boat, parts(np.array([[1e5]])), plan=plan) for plan in (Plan(), _Latin()))
    assert latin.median_n == pytest.approx(sobol.median_n, rel=0.02)
    assert latin.influence[0].argmax() == sobol.influence[0].argmax()


def test_every_input_raises_the_load_and_influences_sum_to_one() -> None:
    """More drag, slope, speed, mass, slack or stiffness all raise the peak of a drogue that holds."""
    result = ensembles(required_fleet(), parts(LOADS[:, None]))
    assert (result.direction == 1.0).all()
    assert result.influence.sum(axis=1) == pytest.approx(1.0)
    assert (result.explained > 0.9).all()
    assert INPUTS[result.influence[0].argmax()] == "rope stiffness"


def test_rank_influence_finds_known_weights() -> None:
    """A linear function of independent inputs: shares as the squares of its weights, R squared 1 nearly."""
    points = Plan(samples=1024).points()
    shares, signs, explained = rank_influence(points, points @ np.array([3.0, -2.0, 1.0, 0.0, 0.0, 0.0]))
    assert shares == pytest.approx([9 / 14, 4 / 14, 1 / 14, 0.0, 0.0, 0.0], abs=0.03)
    assert signs[:3].tolist() == [1.0, -1.0, 1.0]
    assert explained > 0.95


def test_ranks_are_those_of_scipy_ties_included() -> None:
    values = np.random.default_rng(3).integers(0, 40, 200).astype(np.float64)
    assert np.array_equal(ranks(values), rankdata(values))


def test_parts_carry_their_own_head_and_share() -> None:
    boat = required_rig(7_500)
    result = ensembles(
        boat, parts(np.array([[20e3, 20e3, 20e3]]), head=[0, 4, 0], share=[1.0, 1.0, 0.5]), plan=PLAN
    )
    whole, tail, half = result.share_above[0]
    assert whole == 1.0
    assert tail == 0.0
    assert 0.0 <= half < 1.0


def test_a_bad_boat_or_strength_fails_alone() -> None:
    fleet = required_fleet()
    weight = fleet.end_weight_kg.copy()
    weight[1] = np.nan
    strengths = LOADS[:, None].copy()
    strengths[3] = -1.0
    labels = list("ABCDE")
    result = ensembles(replace(fleet, end_weight_kg=weight), parts(strengths), labels, PLAN)
    assert result.boat_ok.tolist() == [True, False, True, False, True]
    assert "wave strike of B" in str(result.errors[1])
    assert "strength" in str(result.errors[3])
    assert np.isnan(result.median_n[[1, 3]]).all()
    assert np.isnan(result.quantiles_n[[1, 3]]).all()
    missing = ensembles(
        required_rig(7_500, section_cones=[[90, 0, 0]], section_length_m=[[46.0, 0, 0]]),
        parts(np.array([[1e5]]), head=[4]),
        plan=PLAN,
    )
    assert missing.status[0] == Status.REFUSED
    assert "head" in str(missing.errors[0])


def test_nominal_strike_lies_inside_its_samples() -> None:
    fleet = required_fleet()
    peaks = run_samples(fleet, PLAN)["peak_load_n"]
    nominal = strike(fleet).peak_load_n
    assert (peaks.min(axis=1) < nominal).all()
    assert (nominal < peaks.max(axis=1)).all()
