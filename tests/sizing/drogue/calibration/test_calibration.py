"""The one fitted value, what the model then predicts, and that the kept tables are what is computed."""

from __future__ import annotations

import math
from dataclasses import asdict, astuple, replace
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from sizing.catalogue import load_catalogue
from sizing.drogue.calibration import (
    CALIBRATION_POUNDS,
    POUNDS,
    calibration_rigs,
    fitted_slope_rad,
    predict,
    predictions,
    rope_effect_table,
    rope_effects,
)
from sizing.drogue.calibration.tables import write
from sizing.drogue.strike import DEFAULT_SLOPE_RAD, strike, strike_strict
from sizing.drogue.strike.sampled import SAMPLED, line_m
from tests.sizing.drogue.fleets import POUND_FORCE_N


def test_the_slope_in_use_is_the_fitted_one_to_a_hundredth_of_a_degree() -> None:
    assert math.degrees(DEFAULT_SLOPE_RAD) == pytest.approx(math.degrees(fitted_slope_rad()), abs=0.01)


def test_the_fit_meets_the_published_load_at_7500_lb() -> None:
    """CG87 6.2: the largest load is equal to displacement at 7,500 lb; by scipy's root finder."""
    _, boat = calibration_rigs((CALIBRATION_POUNDS,))

    def excess(slope_rad: float) -> float:
        sloped = replace(boat, slope_rad=np.array([slope_rad]))
        return float(strike_strict(sloped).peak_load_n[0]) / (7_500 * POUND_FORCE_N) - 1.0

    assert fitted_slope_rad() == pytest.approx(float(brentq(excess, 0.0, 1.0, xtol=1e-7)), abs=1e-5)


def test_the_calibration_rig_is_that_of_the_published_rule_and_nominal_inputs() -> None:
    """Rule of the fit: rope of the catalogue by F / 0.60 alone, every other input at its nominal value."""
    needed, boat = calibration_rigs((CALIBRATION_POUNDS,))
    ropes = load_catalogue().ropes
    enough = ropes.minimum_strength_n >= 7_500 * POUND_FORCE_N / 0.60
    assert int(needed.lead_rope[0]) == int(np.flatnonzero(enough)[0])
    assert boat.lead_ea_n[0] == ropes.ea_n[needed.lead_rope[0]]
    nominal = {sampled.name: sampled.nominal for sampled in SAMPLED}
    assert boat.cone_drag_coefficient[0] == nominal["cone drag coefficient"] == 1.2
    assert boat.slack_m[0] == pytest.approx(nominal["slack"] * line_m(boat)[0])
    assert nominal["slack"] == 0.025
    assert boat.crest_speed_m_s[0] == pytest.approx(39 * 0.3048)  # CG87 6.2
    assert boat.slope_rad[0] == DEFAULT_SLOPE_RAD


def test_predictions_are_kept_as_they_are_computed() -> None:
    kept = predictions()
    assert [round(p.displacement_lb) for p in kept] == list(POUNDS)
    for old, new in zip(kept, predict(), strict=True):
        assert astuple(old) == pytest.approx(astuple(new), rel=2e-4, abs=1e-6), old.displacement_lb


def test_effects_of_the_rope_are_kept_as_they_are_computed() -> None:
    kept = rope_effect_table()
    for old, new in zip(kept, rope_effects(), strict=True):
        assert astuple(old) == pytest.approx(astuple(new), rel=2e-4, abs=2e-5, nan_ok=True), old


def test_the_tables_hold_what_was_written(tmp_path: Path) -> None:
    for rows, name in ((predictions(), "predictions.json"), (rope_effect_table(), "rope_effect.json")):
        write(rows, tmp_path / name)  # type: ignore[type-var]
        folder = Path(__file__).resolve().parents[4] / "sizing" / "drogue" / "calibration"
        assert (tmp_path / name).read_text() == (folder / name).read_text()


def test_a_prediction_is_the_strike_on_that_boat() -> None:
    _, boats = calibration_rigs((60_000,))
    kept = next(p for p in predictions() if p.displacement_lb == 60_000)
    assert kept.single_n == pytest.approx(strike(boats).peak_load_n[0], rel=1e-4)
    assert kept.published_n == pytest.approx(36_000 * POUND_FORCE_N, rel=1e-4)  # CG87 6.2
    assert kept.inside
    assert not predictions()[-1].inside


def test_softer_rope_asks_for_a_steeper_face_and_predicts_more_at_60000_lb() -> None:
    """Less is left to the rope and more to the wave, whose push goes with the mass: monotone both ways."""
    by_load = {
        loaded: [e for e in rope_effect_table() if e.loaded == loaded] for loaded in (0.6, 0.675, 0.75)
    }
    for effects in by_load.values():
        assert [e.stiffness for e in effects] == [0.7, 1.0, 1.4, 2.0]
        slopes = np.array([e.slope_rad for e in effects])
        fitted = ~np.isnan(slopes)
        assert (np.diff(slopes[fitted]) < 0.0).all()
        assert (np.diff([e.share_60000 for e in effects]) < 0.0).all()
        assert all(
            e.share_7500 == pytest.approx(1.0, abs=1e-3) for e in effects if not math.isnan(e.slope_rad)
        )
        assert all(e.share_7500 > 1.0 for e in effects if math.isnan(e.slope_rad))
    own = next(e for e in by_load[0.6] if e.stiffness == 1.0)
    assert own.slope_rad == pytest.approx(DEFAULT_SLOPE_RAD, abs=2e-4)
    single = {p.displacement_lb: p.single_n / p.published_n for p in predictions()}
    assert asdict(own)["share_60000"] == pytest.approx(single[60_000], abs=1e-3)
