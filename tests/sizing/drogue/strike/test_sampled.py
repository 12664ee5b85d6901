"""What is sampled: the declared ranges are those that the rows are drawn from."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest

from sizing.drogue.strike import SAMPLED, Plan, StrikeRigs, rigs, with_nominal_slack
from sizing.drogue.strike.assumptions import CONSTANTS, constants
from sizing.drogue.strike.rig import about
from sizing.drogue.strike.sampled import line_m, sample_rows
from tests.sizing.drogue.strike.boats import required_columns, required_fleet

POINTS = Plan(samples=1024).points()
BY_NAME = {sampled.name: sampled for sampled in SAMPLED}


def test_the_ranges_are_those_of_the_engineering_basis() -> None:
    """Its rule on uncertainty; a second statement of it, not a check from outside."""
    declared = {s.name: (s.low, s.high, s.nominal, s.distribution) for s in SAMPLED}
    three = np.radians(3.0)
    assert declared == {
        "cone drag coefficient": (1.0, 1.4, 1.2, "uniform"),
        "face slope": (-three, three, 0.0, "uniform"),
        "crest speed": (0.8, 1.0, 1.0, "uniform"),
        "displacement": (0.9, 1.1, 1.0, "uniform"),
        "slack": (0.0, 0.05, 0.025, "uniform"),
        "rope stiffness": (0.7, 2.0, 1.0, "log-uniform"),
    }


@pytest.mark.parametrize("sampled", SAMPLED, ids=lambda s: s.name)
def test_each_input_is_told_and_enters_columns_that_exist(sampled: object) -> None:
    s = next(s for s in SAMPLED if s is sampled)
    assert s.low <= s.nominal <= s.high
    assert set(s.columns) <= {f.name for f in fields(StrikeRigs)}
    assert s.source.startswith("[")
    assert s.meaning
    assert s.told
    ends = s.at(np.array([0.0, 1.0]))
    assert ends == pytest.approx([s.low, s.high])


def test_samples_stay_in_their_ranges_and_fill_them() -> None:
    fleet = required_fleet()
    rows, own = sample_rows(fleet, POINTS), fleet.rows()[:, None]
    seen = {
        "cone drag coefficient": rows["cone_drag_coefficient"],
        "face slope": rows["slope_rad"] - own["slope_rad"],
        "crest speed": rows["crest_speed_m_s"] / own["crest_speed_m_s"],
        "displacement": rows["displacement_kg"] / own["displacement_kg"],
        "slack": rows["slack_m"] / line_m(fleet)[:, None],
        "rope stiffness": rows["lead_ea_n"] / own["lead_ea_n"],
    }
    assert set(seen) == set(BY_NAME)
    for name, values in seen.items():
        s = BY_NAME[name]
        width = s.high - s.low
        assert values.min() >= s.low - 1e-12, name
        assert values.max() <= s.high + 1e-12, name
        assert np.ptp(values) > 0.99 * width, name
        middle = np.sqrt(s.low * s.high) if s.distribution == "log-uniform" else 0.5 * (s.low + s.high)
        assert np.median(values) == pytest.approx(middle, abs=0.01 * width), name


def test_all_rope_is_stiffened_alike_and_nothing_else_is_touched() -> None:
    fleet = required_fleet()
    rows, own = sample_rows(fleet, POINTS), fleet.rows()[:, None]
    factor = rows["lead_ea_n"] / own["lead_ea_n"]
    assert rows["bridle_ea_n"] / own["bridle_ea_n"] == pytest.approx(factor)
    assert rows["section_ea_n"] / own["section_ea_n"] == pytest.approx(
        np.repeat(factor[..., None], 3, axis=2)
    )
    touched = {column for s in SAMPLED for column in s.columns}
    for name in set(fleet.rows().dtype.names or ()) - touched:
        assert (rows[name] == own[name]).all(), name


def test_slack_of_the_samples_does_not_add_to_that_of_a_single_strike() -> None:
    fleet = with_nominal_slack(required_fleet())
    assert (sample_rows(fleet, POINTS)["slack_m"] == sample_rows(required_fleet(), POINTS)["slack_m"]).all()
    assert fleet.slack_m == pytest.approx(0.025 * line_m(fleet))


def test_a_single_device_is_varied_as_cones_are() -> None:
    columns = {n: v for n, v in required_columns(7_500).items() if not n.startswith("section_")}
    rows = sample_rows(rigs(**columns, element_diameter_m=1.2), POINTS)
    assert (rows["element_drag_coefficient"] == rows["cone_drag_coefficient"]).all()


def test_every_assumed_input_is_told() -> None:
    """An input that rests on an assumption can not be left out of what pages print."""
    told = {sampled for s in SAMPLED for sampled in s.columns} | set(CONSTANTS)
    resting = {
        f.name
        for f in fields(StrikeRigs)
        if about(f).tag.startswith(("assumed", "calibrated", "HOERNER")) and about(f).default
    }
    assert resting <= told
    for constant in constants():
        assert constant.value > 0.0, constant.name
        assert constant.meaning, constant.name
        assert len(constant.source) > 2, constant.name
