"""How good the wave strike is: the fit of its one calibrated value, and what it then predicts.

The slope of the wave's face is fitted so that the 7,500 lb boat meets the published design load with the
calibration rig: sized by the steady rule alone from the program's own catalogue, every other input nominal.
Everything else is a prediction and stands in `predictions.json` and `rope_effect.json` as it came out, good
or poor; `python -m sizing.drogue.calibration` writes both anew, and a test recomputes them.
"""

from __future__ import annotations

from sizing.drogue.calibration.predict import fitted_slope_rad, predict, rope_effects
from sizing.drogue.calibration.standard_boats import (
    CALIBRATION_POUNDS,
    POUNDS,
    calibration_rigs,
    standard_fleet,
)
from sizing.drogue.calibration.tables import Prediction, RopeEffect, predictions, rope_effect_table

__all__ = [
    "CALIBRATION_POUNDS",
    "POUNDS",
    "Prediction",
    "RopeEffect",
    "calibration_rigs",
    "fitted_slope_rad",
    "predict",
    "predictions",
    "rope_effect_table",
    "rope_effects",
    "standard_fleet",
]
