"""Statuses, refusals, exactness, the ledger, and invariants of the strike."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from sizing.drogue.strike import (
    DEFAULT_SETTINGS,
    HEADS,
    HELD_TIMES_S,
    STATUS_TEXT,
    Status,
    StrikeResult,
    StrikeRigs,
    rigs,
    strike,
    strike_history,
    strike_strict,
)
from sizing.drogue.strike.run import march_rows
from sizing.errors import ComputationError
from tests.sizing.drogue.strike.boats import TRIAL_LB, required_columns, required_fleet, required_rig

FLEET_LB = tuple(np.geomspace(3_000, 80_000, 23))


def same_bits(one: StrikeResult, other: StrikeResult) -> bool:
    """Whether two results agree in every bit of every figure."""
    return all(
        np.array_equal(getattr(one, f.name), getattr(other, f.name), equal_nan=True)
        for f in fields(StrikeResult)
        if f.name != "errors"
    )


def picked(result: StrikeResult, which: NDArray[np.int64]) -> StrikeResult:
    """The result of some of the boats."""
    columns: dict[str, Any] = {
        f.name: getattr(result, f.name)[which] for f in fields(StrikeResult) if f.name != "errors"
    }
    return StrikeResult(errors=tuple(result.errors[i] for i in which), **columns)


def test_figures_do_not_depend_on_threads_batch_or_order() -> None:
    fleet = required_fleet(FLEET_LB)
    whole = strike(fleet, settings=replace(DEFAULT_SETTINGS, threads=1))
    assert same_bits(whole, strike(fleet, settings=replace(DEFAULT_SETTINGS, threads=2)))
    assert same_bits(whole, strike(fleet, settings=replace(DEFAULT_SETTINGS, threads=5)))
    order = np.random.default_rng(3).permutation(len(fleet))
    assert same_bits(picked(whole, order), strike(fleet.take(order)))
    for i in (0, 11, 22):
        assert same_bits(picked(whole, np.array([i])), strike(fleet.take(slice(i, i + 1))))


def odd_rigs(n: int, seed: int) -> StrikeRigs:
    """Rigs far from the required one: few or many cones, weak or stiff line, slack, short or no bridle."""
    rng = np.random.default_rng(seed)
    cones = rng.integers(0, 60, (n, 3)).astype(float)
    cones[:, 0] += 1.0
    pitch = rng.uniform(0.3, 0.8, n)
    ea = 10 ** rng.uniform(4.8, 6.5, n)
    return rigs(
        displacement_kg=10 ** rng.uniform(3.0, 4.8, n),
        slope_rad=rng.uniform(0.1, 0.55, n),
        crest_speed_m_s=rng.uniform(8.0, 16.0, n),
        cone_drag_coefficient=rng.uniform(1.0, 1.4, n),
        slack_m=rng.uniform(0.0, 5.0, n) * (rng.random(n) < 0.5),
        bridle_length_m=rng.uniform(0.0, 12.0, n) * (rng.random(n) < 0.7),
        bridle_ea_n=2 * ea,
        bridle_mass_kg_per_m=0.4,
        lead_length_m=rng.uniform(4.0, 90.0, n),
        lead_ea_n=ea,
        lead_mass_kg_per_m=0.2,
        section_length_m=cones * pitch[:, None] + rng.uniform(0.0, 1.2, (n, 1)),
        section_cones=cones,
        section_ea_n=ea[:, None] * rng.uniform(0.3, 1.0, (n, 3)),
        section_mass_kg_per_m=0.2,
        cone_pitch_m=pitch,
        end_weight_kg=rng.uniform(0.0, 30.0, n) * (rng.random(n) < 0.9),
    )


def test_early_end_changes_no_peak() -> None:
    """The criterion is argued, not proven, so it is held against full runs, bit for bit."""
    odd = odd_rigs(400, 11)
    early = strike(odd)
    full = strike(odd, settings=replace(DEFAULT_SETTINGS, early_end=False, end_time_s=25.0))
    both = (early.status == Status.PASSED) & (full.status == Status.PASSED)
    assert both.sum() > 200
    assert np.array_equal(early.peak_load_n[both], full.peak_load_n[both])
    assert np.array_equal(early.head_peak_n[both], full.head_peak_n[both], equal_nan=True)
    assert early.end_time_s[both].mean() < 0.5 * full.end_time_s[both].mean()


def test_halving_the_step_moves_no_peak_by_half_a_percent() -> None:
    odd = odd_rigs(300, 12)
    coarse = strike(odd).peak_load_n
    fine = strike(odd, settings=replace(DEFAULT_SETTINGS, step_fraction=0.45)).peak_load_n
    assert fine == pytest.approx(coarse, rel=5e-3)
    required = required_fleet()
    assert strike(
        required, settings=replace(DEFAULT_SETTINGS, step_fraction=0.1)
    ).peak_load_n == pytest.approx(strike(required).peak_load_n, rel=5e-4)


def test_finer_nodes_on_the_bare_line_move_the_peak_by_less_than_a_fifth_of_a_percent() -> None:
    fleet = required_fleet()
    fine = strike(fleet, settings=replace(DEFAULT_SETTINGS, bare_spacing_m=1.0)).peak_load_n
    assert fine == pytest.approx(strike(fleet).peak_load_n, rel=2e-3)


@pytest.mark.parametrize(("cones_per_node", "error"), [(2, 5e-4), (4, 5e-4)])
def test_lumping_costs_what_is_stated(cones_per_node: int, error: float) -> None:
    fleet = required_fleet()
    lumped = strike(fleet, settings=replace(DEFAULT_SETTINGS, cones_per_node=cones_per_node)).peak_load_n
    assert lumped == pytest.approx(strike(fleet).peak_load_n, rel=error)


def test_energy_ledger_closes_within_a_percent() -> None:
    """Conservation of energy: what the wave gives is motion, stretch or heat."""
    for rig in (required_fleet(FLEET_LB), odd_rigs(300, 13)):
        result = strike(rig)
        assert result.computed.all()
        assert np.abs(result.closure).max() < 0.01
        given = result.kinetic_start_j + result.slope_work_j + result.crest_work_j
        spent = result.kinetic_end_j + result.elastic_end_j + result.cone_loss_j + result.line_loss_j
        assert spent == pytest.approx(given, rel=0.01)
        assert (result.cone_loss_j > 0.0).all()
        assert (result.line_loss_j >= 0.0).all()


def test_keeping_the_ledger_changes_no_other_figure() -> None:
    """The pass that counts losses as it goes is the other one, bit for bit."""
    for boats in (required_fleet(FLEET_LB), odd_rigs(100, 17)):
        usable = np.ones(len(boats), dtype=np.bool_)
        kept, bare = (march_rows(boats.rows(), usable, DEFAULT_SETTINGS, ledger=on) for on in (True, False))
        for name in kept.dtype.names or ():
            if not name.endswith("_j"):
                assert kept[name].tobytes() == bare[name].tobytes(), name
        assert np.isfinite(kept["cone_loss_j"]).all()


def test_a_joint_between_equal_ropes_changes_nothing() -> None:
    """Cutting one section into three of the same rope is the same line."""
    columns = required_columns(10_000)
    one = dict(columns)
    total = float(columns["section_cones"].sum())
    length = float(columns["section_length_m"].sum())
    one |= {
        "section_cones": [[total, 0.0, 0.0]],
        "section_length_m": [[length, 0.0, 0.0]],
        "section_ea_n": [[300e3, 0.0, 0.0]],
        "section_mass_kg_per_m": [[0.2, 0.0, 0.0]],
    }
    three = columns | {"section_ea_n": 300e3, "section_mass_kg_per_m": 0.2}
    whole, cut = strike(rigs(**one)), strike(rigs(**three))
    assert cut.peak_load_n[0] == pytest.approx(whole.peak_load_n[0], rel=1e-9)
    assert set(whole.boat(0).head_peak_n) == {"bridle", "lead", "section 1"}
    assert set(cut.boat(0).head_peak_n) == set(HEADS)


@given(
    displacement_lb=st.floats(4_000, 60_000),
    scale=st.floats(0.5, 2.0),
)
def test_loads_scale_when_every_mass_stiffness_and_area_does(displacement_lb: float, scale: float) -> None:
    """Similarity: the equations are homogeneous in masses, EA and drag areas at fixed lengths and speeds."""
    columns = required_columns(displacement_lb) | {"hull_drag_coefficient": 0.0, "end_drag_coefficient": 0.0}
    scaled = dict(columns)
    for name in (
        "displacement_kg",
        "bridle_ea_n",
        "bridle_mass_kg_per_m",
        "lead_ea_n",
        "lead_mass_kg_per_m",
        "section_ea_n",
        "section_mass_kg_per_m",
        "cone_mouth_area_m2",
        "end_weight_kg",
    ):
        scaled[name] = columns[name] * scale
    one, other = strike(rigs(**columns)), strike(rigs(**scaled, cone_entrained_mass_kg=1.5 * scale))
    assert other.peak_load_n[0] == pytest.approx(scale * one.peak_load_n[0], rel=1e-6)


def test_slack_raises_the_peak_and_delays_it() -> None:
    slack = np.array([0.0, 0.5, 1.0, 2.0, 5.0])
    result = strike(required_rig(7_500, slack_m=slack))
    assert (np.diff(result.peak_load_n) > 0.0).all()
    assert (np.diff(result.peak_time_s) > 0.0).all()


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("displacement_kg", np.nan),
        ("displacement_kg", -3000.0),
        ("displacement_kg", 1e9),
        ("crest_speed_m_s", np.inf),
        ("crest_speed_m_s", 2.0),
        ("slope_rad", 1.5),
        ("lead_ea_n", 0.0),
        ("lead_length_m", -1.0),
        ("cone_pitch_m", 0.0),
        ("cone_entrained_mass_kg", 0.0),
        ("cone_drag_coefficient", -1.2),
        ("slack_m", -0.1),
        ("bridle_ea_n", np.nan),
        ("end_weight_kg", -1.0),
    ],
)
def test_an_impossible_figure_fails_its_boat_and_no_other(name: str, value: float) -> None:
    fleet = required_fleet()
    column = getattr(fleet, name).copy()
    column[2] = value
    labels = ["Ant", "Bee", "Cicada", "Dor", "Emmet"]
    result = strike(replace(fleet, **{name: column}), labels)
    error = result.errors[2]
    assert error is not None
    assert "Cicada" in str(error)
    assert name in str(error)
    assert result.status[2] == Status.REFUSED
    assert np.isnan(result.peak_load_n[2])
    with pytest.raises(ComputationError, match="Cicada"):
        result.boat(2)
    others = np.array([0, 1, 3, 4])
    assert same_bits(picked(result, others), picked(strike(fleet), others))
    with pytest.raises(ComputationError, match=name):
        strike_strict(replace(fleet, **{name: column}), labels)


def test_nothing_to_drag_is_refused() -> None:
    rig = required_rig(7_500, section_cones=0.0, section_length_m=0.0)
    with pytest.raises(ComputationError, match="boat 1: section_cones and element_diameter_m are both 0"):
        strike_strict(rig)
    with pytest.raises(ComputationError, match="section_length_m of section 1"):
        strike_strict(required_rig(7_500, section_length_m=1.0))
    with pytest.raises(ComputationError, match="whole number of cones"):
        strike_strict(required_rig(7_500, section_cones=10.5))


def test_every_input_is_bounded_by_the_registry() -> None:
    """Whatever one column holds, the outcome is a finite peak or a refusal that names the boat."""
    for f in fields(StrikeRigs):
        for value in (np.nan, np.inf, -np.inf, -1.0, 0.0, 1e300, 1e-300):
            result = strike(
                required_rig(7_500, **{f.name: value}), settings=replace(DEFAULT_SETTINGS, end_time_s=5.0)
            )
            if result.computed[0]:
                assert np.isfinite(result.peak_load_n[0]), f.name
                assert result.peak_load_n[0] > 0.0, f.name
            else:
                assert isinstance(result.errors[0], ComputationError), f.name


def test_a_rig_that_needs_too_small_a_step_is_refused() -> None:
    rig = required_rig(7_500, section_ea_n=9e9, section_mass_kg_per_m=1e-3, cone_entrained_mass_kg=1e-3)
    result = strike(rig, settings=replace(DEFAULT_SETTINGS, end_time_s=1e4))
    assert result.status[0] == Status.TOO_STIFF
    assert "step" in str(result.errors[0])


def test_a_feeble_drogue_lets_the_boat_run_ahead_and_says_so() -> None:
    cones = np.array([[3.0, 0.0, 0.0]])
    result = strike(
        required_rig(30_000, section_cones=cones, section_length_m=cones * 0.508 + 0.6 * (cones > 0))
    )
    assert result.status[0] == Status.CARRIED
    assert np.isfinite(result.boat(0).peak_load_n)


def test_single_element_and_cones_of_equal_drag_give_like_loads() -> None:
    """CG87 6.1: a 4 ft drogue, or a series drogue of equal drag; the cone takes up its water all at once."""
    columns = required_columns(7_500)
    cone = {name: value for name, value in columns.items() if not name.startswith("section_")} | {
        "element_diameter_m": 4 * 0.3048,
        "lead_length_m": 70.0,
    }
    result = strike(rigs(**cone))
    series = strike(required_rig(7_500))
    assert set(result.boat(0).head_peak_n) == {"bridle", "lead"}
    assert 0.8 < result.peak_load_n[0] / series.peak_load_n[0] < 2.5


def test_history_and_envelope_agree_with_the_summary() -> None:
    boat, history = strike_history(required_fleet(), 2, interval_s=0.002)
    assert boat.peak_load_n == strike(required_fleet()).peak_load_n[2]
    assert history.bridle_load_n.max() == pytest.approx(boat.peak_load_n, rel=1e-4)
    assert history.time_s[history.bridle_load_n.argmax()] == pytest.approx(boat.peak_time_s, abs=0.01)
    assert history.envelope_n[0] == boat.peak_load_n
    assert history.station_m[0] == 0.0
    assert (np.diff(history.station_m) > 0.0).all()
    assert boat.head_peak_n["section 3"] in history.envelope_n
    assert len(history.station_m) == len(history.envelope_n)


def test_speed_run_and_time_on_the_crest_are_those_of_the_history() -> None:
    """The run is the integral of the speed; the wave has passed when it has run 3 + 6 m past the boat."""
    fleet = required_fleet()
    result = strike(fleet)
    for i in range(len(fleet)):
        _, history = strike_history(fleet, i, interval_s=0.002)
        time, speed = history.time_s, history.boat_speed_m_s
        crest = fleet.crest_speed_m_s[i]
        steps = np.diff(np.concatenate([[0.0], time]))
        run = np.cumsum(0.5 * (np.concatenate([[crest], speed[:-1]]) + speed) * steps)
        assert result.held_speed_m_s[i] == pytest.approx(np.interp(HELD_TIMES_S, time, speed), abs=5e-3)
        assert result.held_run_m[i] == pytest.approx(np.interp(HELD_TIMES_S, time, run), abs=0.02)
        assert result.crest_time_s[i] == pytest.approx(np.interp(9.0, crest * time - run, time), abs=0.01)


def test_an_early_end_leaves_the_boat_watched_as_long_as_asked() -> None:
    odd = odd_rigs(100, 17)
    early = strike(odd)
    full = strike(odd, settings=replace(DEFAULT_SETTINGS, early_end=False, end_time_s=25.0))
    for name in ("held_speed_m_s", "held_run_m", "crest_time_s"):
        both = early.status == full.status
        assert both.sum() > 90
        assert np.array_equal(getattr(early, name)[both], getattr(full, name)[both], equal_nan=True), name
    passed = early.status == Status.PASSED
    assert (early.end_time_s[passed] >= HELD_TIMES_S[-1]).all()
    assert np.isfinite(early.held_speed_m_s[passed]).all()
    assert np.isnan(early.crest_time_s[early.status == Status.CARRIED]).all()
    short = strike(odd, settings=replace(DEFAULT_SETTINGS, watched_s=0.0))
    assert np.array_equal(short.peak_load_n, early.peak_load_n)
    assert short.end_time_s.sum() < early.end_time_s.sum()


def test_every_status_has_its_sentence() -> None:
    assert set(STATUS_TEXT) == set(Status)


def test_unknown_and_missing_inputs_are_refused() -> None:
    with pytest.raises(TypeError, match="no strike input is called displacement"):
        rigs(displacement=3000.0)
    with pytest.raises(TypeError, match="displacement_kg must be given"):
        rigs(lead_length_m=20.0)


def test_trial_fleet_has_differing_node_counts() -> None:
    assert len(set(strike(required_fleet()).segments)) == len(TRIAL_LB)
