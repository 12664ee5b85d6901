"""The fit and the predictions computed; `tables` keeps what came out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import numpy as np

from sizing.drogue.calibration.standard_boats import CALIBRATION_POUNDS, POUNDS, calibration_rigs
from sizing.drogue.calibration.tables import Prediction, RopeEffect
from sizing.drogue.strike import StrikeRigs, ensembles, parts, strike_strict
from sizing.drogue.strike.model import FloatArray
from sizing.policy import SizingRules

STIFFNESS: Final = (0.7, 1.0, 1.4, 2.0)
"""Of rope, over the table's: the ends of the sampled range, and between."""
LOADED: Final = (0.60, 0.675, 0.75)
"""Share of a rope's strength that the design load takes: the published 60 to 75 % [CG87 6.3]."""
EFFECT_POUNDS: Final = (CALIBRATION_POUNDS, 20_000, 60_000)
STEEPEST_RAD: Final = 1.0
HALVINGS: Final = 24


def fitted_slope_rad() -> float:
    """Slope (rad) at which the calibration rig meets the published load at 7,500 lb. [CG87 6.2]"""
    needed, boats = calibration_rigs((CALIBRATION_POUNDS,))
    return float(slopes_rad(boats, needed.design_load_n)[0])


def slopes_rad(boats: StrikeRigs, load_n: FloatArray) -> FloatArray:
    """Slope (rad, 0 to 1) at which each boat's peak equals her load, by halving; NaN where none does. (n,)"""

    def peak_n(slope: FloatArray) -> FloatArray:
        return strike_strict(replace(boats, slope_rad=slope)).peak_load_n

    flat, steep = np.zeros(len(boats)), np.full(len(boats), STEEPEST_RAD)
    held = (peak_n(flat) <= load_n) & (peak_n(steep) >= load_n)
    for _ in range(HALVINGS):
        middle = 0.5 * (flat + steep)
        above = peak_n(middle) > load_n
        flat, steep = np.where(above, flat, middle), np.where(above, middle, steep)
    return np.where(held, 0.5 * (flat + steep), np.nan)


def predict() -> tuple[Prediction, ...]:
    """Single and varied strikes on the calibration rigs of standard boats, beside the published loads."""
    needed, boats = calibration_rigs(POUNDS)
    load = needed.design_load_n
    single = strike_strict(boats)
    varied = ensembles(boats, parts(load[:, None]))
    return tuple(
        Prediction(
            displacement_lb=float(pounds),
            published_n=float(load[i]),
            single_n=float(single.peak_load_n[i]),
            median_n=float(varied.median_n[i]),
            p90_n=float(varied.p90_n[i]),
            share_above=float(varied.share_above[i, 0]),
            crest_s=float(single.crest_time_s[i]),
            inside=int(needed.range_mark[i]) == 0,
        )
        for i, pounds in enumerate(POUNDS)
    )


def rope_effects() -> Iterator[RopeEffect]:
    """The slope refitted, and what it predicts, for other rope than the program's own.

    Stiffness and mass change as those of rope that the load takes a greater share of: at 0.75 of the
    strength instead of 0.60 a rope has 0.60 / 0.75 of both. Where the peak is above the published load on a
    flat face already, no slope fits, and the predictions are those of a flat face.
    """
    needed, boats = calibration_rigs(EFFECT_POUNDS)
    load = needed.design_load_n
    own = SizingRules().strength_use
    for loaded in LOADED:
        for stiffness in STIFFNESS:
            other = _with_rope(boats, stiffness * own / loaded, own / loaded)
            slope = float(slopes_rad(other.take(slice(0, 1)), load[:1])[0])
            sloped = replace(other, slope_rad=np.full(len(load), np.nan_to_num(slope)))
            shares = strike_strict(sloped).peak_load_n / load
            yield RopeEffect(stiffness, loaded, slope, *(float(share) for share in shares))


def _with_rope(boats: StrikeRigs, stiffness: float, mass: float) -> StrikeRigs:
    return replace(
        boats,
        bridle_ea_n=boats.bridle_ea_n * stiffness,
        lead_ea_n=boats.lead_ea_n * stiffness,
        section_ea_n=boats.section_ea_n * stiffness,
        bridle_mass_kg_per_m=boats.bridle_mass_kg_per_m * mass,
        lead_mass_kg_per_m=boats.lead_mass_kg_per_m * mass,
        section_mass_kg_per_m=boats.section_mass_kg_per_m * mass,
    )
