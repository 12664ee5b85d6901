"""One cone or parachute instead of a series: how it compares with what is needed."""

from __future__ import annotations

import numpy as np

from sizing.drogue.figures import Figure
from sizing.model import BoolArray, FloatArray


def area_ratio(device_diameter_m: Figure, required_diameter_m: Figure) -> Figure:
    """Mouth area aboard over the area required: (Dd / d)^2. m, any shape. [CG87 6.1]

    >>> area_ratio(1.8, 1.2)
    2.25
    """
    return (device_diameter_m / required_diameter_m) ** 2


def required_device_diameter_m(
    equivalent_diameter_m: FloatArray, from_bow: BoolArray, bow_ratio: float
) -> FloatArray:
    """Diameter a single device must have: the equivalent one from the stern, 2 to 3 times it from the bow.

    m, (n,); `bow_ratio` is the policy's figure within the published 2 to 3. [CG87 6.1]
    """
    return np.where(from_bow, bow_ratio, 1.0) * equivalent_diameter_m


def series_area_m2(cones: Figure, cone_mouth_area_m2: Figure) -> Figure:
    """Mouth area of a series drogue: N x a. m2, any shape. [CG87 6.1]

    >>> series_area_m2(90.0, 0.0126)
    1.134
    """
    return cones * cone_mouth_area_m2
