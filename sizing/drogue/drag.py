"""How much drogue a boat needs: displacement -> equivalent diameter -> mouth area -> cones."""

from __future__ import annotations

import math

import numpy as np

from sizing.drogue.figures import Figure
from sizing.drogue.published import (
    HIGH_DIAMETER_M,
    HIGH_DISPLACEMENT_KG,
    LOW_DIAMETER_M,
    LOW_DISPLACEMENT_KG,
)
from sizing.fields import CHOICES
from sizing.model import CodeArray, FloatArray

_DIAMETER_EXPONENT = math.log(HIGH_DIAMETER_M / LOW_DIAMETER_M) / math.log(
    HIGH_DISPLACEMENT_KG / LOW_DISPLACEMENT_KG
)
_ROUNDING = 1e-9


def displacement_used_kg(displacement_kg: Figure, loading_factor: Figure) -> Figure:
    """Loaded passage displacement: D = stated displacement x loading factor.

    `loading_factor` is 1 where the stated figure is the loaded one, and the policy's factor (1.15 [assumed])
    where only the light one is known. kg; any shape; displacement above 0. [ISO 8666 terms]

    >>> round(displacement_used_kg(8000.0, 1.15))
    9200
    """
    return displacement_kg * loading_factor


def equivalent_diameter_m(displacement_kg: Figure) -> Figure:
    """Mouth diameter of the single drogue a boat needs, from the stern.

    d = 4 ft x (D / 7,500 lb)^0.153: the straight line in log-log through 4 ft at 7,500 lb and 5.5 ft at
    60,000 lb. D in kg, result in m, any shape. Published range 7,500 to 60,000 lb; outside it the same line
    is extended (see `range_mark`). [CG87 6.1]

    >>> round(equivalent_diameter_m(7500 * 0.45359237) / 0.3048, 6)
    4.0
    """
    diameter: Figure = LOW_DIAMETER_M * (displacement_kg / LOW_DISPLACEMENT_KG) ** _DIAMETER_EXPONENT
    return diameter


def mouth_area_m2(diameter_m: Figure) -> Figure:
    """Area of a circular mouth: a = pi d^2 / 4. m -> m2, any shape, d above 0.

    >>> round(mouth_area_m2(0.127), 6)
    0.012668
    """
    return math.pi / 4.0 * diameter_m**2


def required_mouth_area_m2(displacement_kg: Figure) -> Figure:
    """Mouth area a boat needs: a circle of the equivalent diameter. kg -> m2, any shape. [CG87 6.1]

    >>> round(required_mouth_area_m2(60_000 * 0.45359237), 3)
    2.207
    """
    return mouth_area_m2(equivalent_diameter_m(displacement_kg))


def cones_required(mouth_area_required_m2: Figure, cone_mouth_m: float) -> Figure:
    """Cones that make up the mouth area: N = area / a, rounded up to a whole cone.

    Areas in m2, mouth in m; any shape. A share of a cone below 1e-9 is rounding, not a cone. [CG87 6.1]

    >>> float(cones_required(required_mouth_area_m2(10_000 * 0.45359237), 0.127))
    101.0
    """
    cones: Figure = np.ceil(mouth_area_required_m2 / mouth_area_m2(cone_mouth_m) - _ROUNDING)
    return cones


def hull_mark(boat_type: CodeArray) -> CodeArray:
    """0 for a sailing monohull, 1 for a hull type that the source is not about. [CG87 6.1, 7.0]

    `boat_type` are codes of the entry sheet's choice.
    """
    return np.asarray(boat_type != CHOICES["boat_type"].index("sailing monohull")).astype(np.int8)


def range_mark(displacement_kg: FloatArray) -> CodeArray:
    """0 inside the published range of 7,500 to 60,000 lb, -1 below it, +1 above it. [CG87 6.1, 6.2]"""
    below = displacement_kg < LOW_DISPLACEMENT_KG * (1.0 - _ROUNDING)
    above = displacement_kg > HIGH_DISPLACEMENT_KG * (1.0 + _ROUNDING)
    return above.astype(np.int8) - below.astype(np.int8)
