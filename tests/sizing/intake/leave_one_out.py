"""How well the line of weights finds slips between kg and lb: each boat judged by a line without her."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from sizing.intake.weight_line import BEAM_TELLS, HEAVY_FROM, LIGHT_FROM, fitted, typical_boats
from sizing.model import FloatArray

LB_IN_KG = 0.45359237  # SP 811


class Rates(NamedTuple):
    """Shares of the boats: dangerous slips found, sound boats asked; harmless slips found, sound remarked."""

    boats: int
    light_found: float
    light_false: float
    heavy_found: float
    heavy_false: float


def off_the_line(boat_type: str, measures: tuple[str, ...]) -> FloatArray:
    """ln of displacement over that of the line fitted without the boat."""
    boats = [boat for boat in typical_boats() if boat.boat_type == boat_type]
    boats = [boat for boat in boats if all(math.isfinite(getattr(boat, name)) for name in measures)]
    if boat_type not in BEAM_TELLS:
        measures = tuple(name for name in measures if name != "beam_m")
    off = []
    for boat in boats:
        constant, *powers = fitted(tuple(one for one in boats if one is not boat), measures)
        logs = [power * math.log(getattr(boat, name)) for power, name in zip(powers, measures, strict=True)]
        off.append(math.log(boat.displacement_kg) - constant - sum(logs))
    return np.array(off)


def rates(boat_types: tuple[str, ...], measures: tuple[str, ...]) -> Rates:
    """The rates over several types of boat together."""
    off = np.concatenate([off_the_line(word, measures) for word in boat_types])
    slip = math.log(1.0 / LB_IN_KG)
    return Rates(
        len(off),
        float(np.mean(off - slip < -LIGHT_FROM)),
        float(np.mean(off < -LIGHT_FROM)),
        float(np.mean(off + slip > HEAVY_FROM)),
        float(np.mean(off > HEAVY_FROM)),
    )
