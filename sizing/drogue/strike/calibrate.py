"""Fit the one calibrated value, the slope of the wave face, to a known design load."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.optimize import brentq

from sizing.drogue.strike.rig import StrikeRigs
from sizing.drogue.strike.run import DEFAULT_SETTINGS, Settings, strike_strict
from sizing.errors import ComputationError

STEEPEST_RAD = 1.0


def calibrated_slope_rad(
    boat: StrikeRigs, design_load_n: float, settings: Settings = DEFAULT_SETTINGS
) -> float:
    """Slope (rad, 0 to 1) at which this one boat's peak bridle load equals ``design_load_n`` [CG87 6.2]."""

    def excess(slope_rad: float) -> float:
        sloped = replace(boat, slope_rad=np.array([slope_rad]))
        return float(strike_strict(sloped, settings=settings).peak_load_n[0]) / design_load_n - 1.0

    flat, steep = excess(0.0), excess(STEEPEST_RAD)
    if not flat <= 0.0 <= steep:
        raise ComputationError(
            "slope calibration",
            f"the peak runs from {1 + flat:.2f} to {1 + steep:.2f} of the design load",
            "a range that holds 1",
            "check the rig and the design load",
        )
    return float(brentq(excess, 0.0, STEEPEST_RAD, xtol=1e-6))
