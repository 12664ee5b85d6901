"""Rigs that meet the published requirement, for the tests and the benchmark.

Displacement, drogue size, design load and lead line after CG87 (6.1, 6.2, 4.1.1); rope after UFC 4-159-03
Table 6-8 (3 in circumference 33.6 kip, EA 3.54 x strength, strength as circumference^1.95 [derived from the
same table]). Bridle 2.5 x transom width, lead line 75 ft: common practice, no source. Transom width and
rope density: assumed.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from sizing.drogue.strike import StrikeRigs, rigs

LB, LBF, FT, IN, KIP = 0.45359237, 4.4482216152605, 0.3048, 0.0254, 4448.2216152605
CONE_AREA_M2 = math.pi * (5 * IN) ** 2 / 4
PITCH_M = 20 * IN
CALIBRATION_LB = 7_500
PREDICTION_LB = 60_000
TRIAL_LB = (4_500, 7_500, 15_000, 30_000, 60_000)


def design_load_n(displacement_lb: float) -> float:
    """CG87 6.2: 7,500 lbf at 7,500 lb, 36,000 lbf at 60,000 lb, straight in log-log."""
    power = math.log(36_000 / 7_500) / math.log(60_000 / 7_500)
    return 7_500 * LBF * math.pow(displacement_lb / 7_500, power)


def cones_needed(displacement_lb: float) -> int:
    """CG87 6.1: equivalent diameter 4 ft at 7,500 lb, 5.5 ft at 60,000 lb, straight in log-log."""
    power = math.log(5.5 / 4) / math.log(60_000 / 7_500)
    diameter = 4 * FT * math.pow(displacement_lb / 7_500, power)
    return math.ceil(math.pi * diameter**2 / 4 / CONE_AREA_M2)


def rope(strength_n: float) -> tuple[float, float, float]:
    """EA (N), mass (kg/m) and diameter (m) of double-braid nylon of a strength."""
    circumference = 3 * IN * (strength_n / (33.6 * KIP)) ** (1 / 1.95)
    diameter = circumference / math.pi
    return 3.54 * strength_n, 0.75 * 1140 * math.pi * diameter**2 / 4, diameter


def required_columns(displacement_lb: float, loaded: float = 0.675) -> dict[str, Any]:
    """Columns of a boat with the drogue she needs in three sections, ropes loaded to a share of strength.

    0.675 is the middle of the 60 to 75 % of CG87 6.3. No section is thinner than 10 mm (project rule).
    """
    strength = design_load_n(displacement_lb) / loaded
    cones = cones_needed(displacement_lb)
    ea, mass, _ = rope(strength)
    thinnest = 33.6 * KIP * (math.pi * 0.010 / (3 * IN)) ** 1.95
    left, counts, sections = cones, [], []
    for j in range(3):
        counts.append(cones // 3 + (1 if j < cones % 3 else 0))
        sections.append(rope(max(strength * left / cones, thinnest)))
        left -= counts[-1]
    lengths = [c * PITCH_M for c in counts]
    lengths[-1] += 2 * FT
    return {
        "displacement_kg": displacement_lb * LB,
        "bridle_length_m": 2.5 * 2.3 * (displacement_lb / 7_500) ** (1 / 3),
        "bridle_ea_n": 2 * ea,
        "bridle_mass_kg_per_m": 2 * mass,
        "lead_length_m": 75 * FT,
        "lead_ea_n": ea,
        "lead_mass_kg_per_m": mass,
        "section_length_m": np.array([lengths]),
        "section_cones": np.array([counts]),
        "section_ea_n": np.array([[s[0] for s in sections]]),
        "section_mass_kg_per_m": np.array([[s[1] for s in sections]]),
        "cone_mouth_area_m2": CONE_AREA_M2,
        "cone_pitch_m": PITCH_M,
        "end_weight_kg": float(np.interp(displacement_lb, [7_500, 30_000, 60_000], [25, 35, 50])) * LB,
    }


def required_rig(displacement_lb: float, loaded: float = 0.675, **other: Any) -> StrikeRigs:
    """One boat with her required rig, some columns changed."""
    return rigs(**{**required_columns(displacement_lb, loaded), **other})


def required_fleet(displacements_lb: tuple[float, ...] = TRIAL_LB, loaded: float = 0.675) -> StrikeRigs:
    """Several boats, each with her required rig."""
    each = [required_columns(lb, loaded) for lb in displacements_lb]
    return rigs(
        **{
            name: np.concatenate([np.atleast_1d(np.asarray(e[name], dtype=float)) for e in each])
            for name in each[0]
        }
    )
