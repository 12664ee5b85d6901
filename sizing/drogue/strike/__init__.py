"""Wave strike on a boat lying to her drogue: peak loads, their uncertainty, and riding in regular waves.

Read :mod:`sizing.drogue.strike.model` first: it says what is solved, how, and what is left out.
"""

from __future__ import annotations

from sizing.drogue.strike.ensemble import INPUTS, EnsembleResult, Parts, Plan, ensembles, parts, run_samples
from sizing.drogue.strike.kernel import HELD_TIMES_S
from sizing.drogue.strike.line import HEADS
from sizing.drogue.strike.model import (
    DEFAULT_SLOPE_RAD,
    REFERENCE_CREST_SPEED_M_S,
    deep_water_crest_speed_m_s,
)
from sizing.drogue.strike.result import STATUS_TEXT, BoatStrike, Status, StrikeHistory, StrikeResult
from sizing.drogue.strike.riding import RideResult, ride
from sizing.drogue.strike.rig import StrikeRigs, element_water_kg, problems, rigs
from sizing.drogue.strike.run import (
    DEFAULT_SETTINGS,
    Settings,
    strike,
    strike_histories,
    strike_history,
    strike_strict,
)
from sizing.drogue.strike.sampled import SAMPLED, SampledInput, with_nominal_slack
from sizing.drogue.strike.spread import run_ensembles

__all__ = [
    "DEFAULT_SETTINGS",
    "DEFAULT_SLOPE_RAD",
    "HEADS",
    "HELD_TIMES_S",
    "INPUTS",
    "REFERENCE_CREST_SPEED_M_S",
    "SAMPLED",
    "STATUS_TEXT",
    "BoatStrike",
    "EnsembleResult",
    "Parts",
    "Plan",
    "RideResult",
    "SampledInput",
    "Settings",
    "Status",
    "StrikeHistory",
    "StrikeResult",
    "StrikeRigs",
    "deep_water_crest_speed_m_s",
    "element_water_kg",
    "ensembles",
    "parts",
    "problems",
    "ride",
    "rigs",
    "run_ensembles",
    "run_samples",
    "strike",
    "strike_histories",
    "strike_history",
    "strike_strict",
    "with_nominal_slack",
]
