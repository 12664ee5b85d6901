"""The one fitted value, and what the model then predicts."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sizing.drogue.strike import DEFAULT_SLOPE_RAD, strike
from sizing.drogue.strike.calibrate import calibrated_slope_rad
from sizing.errors import ComputationError
from tests.sizing.drogue.strike.boats import (
    CALIBRATION_LB,
    LBF,
    PREDICTION_LB,
    TRIAL_LB,
    design_load_n,
    required_fleet,
    required_rig,
)


def test_default_slope_is_the_one_that_gives_the_published_load_at_7500_lb() -> None:
    """CG87 6.2: 7,500 lbf at 7,500 lb; rope loaded to 0.675, the middle of CG87 6.3's 60 to 75 %."""
    slope = calibrated_slope_rad(required_rig(CALIBRATION_LB), 7_500 * LBF)
    assert math.degrees(slope) == pytest.approx(math.degrees(DEFAULT_SLOPE_RAD), abs=0.1)


@pytest.mark.parametrize("loaded", [0.675, 0.75])
def test_60000_lb_is_predicted_within_a_tenth(loaded: float) -> None:
    """CG87 6.2: 36,000 lbf at 60,000 lb, not used in the fit."""
    slope = calibrated_slope_rad(required_rig(CALIBRATION_LB, loaded), 7_500 * LBF)
    peak = strike(required_rig(PREDICTION_LB, loaded, slope_rad=slope)).peak_load_n[0]
    assert peak == pytest.approx(36_000 * LBF, rel=0.10)


def test_whole_range_stays_near_the_trial_computation() -> None:
    """A trial computation of this project, not an outside truth: 1.02, 1.01, 0.99, 0.97, 0.96 of the load."""
    peaks = strike(required_fleet()).peak_load_n
    shares = peaks / np.array([design_load_n(lb) for lb in TRIAL_LB])
    assert shares == pytest.approx([1.02, 1.01, 0.99, 0.97, 0.96], abs=0.035)


def test_a_load_out_of_reach_is_refused() -> None:
    """No slope between flat and 1 rad makes a yacht's strike a hundredfold."""
    with pytest.raises(ComputationError, match="slope calibration"):
        calibrated_slope_rad(required_rig(CALIBRATION_LB), 100 * 7_500 * LBF)
