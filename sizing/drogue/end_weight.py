"""The weight at the outer end, that keeps the line down and taut."""

from __future__ import annotations

import numpy as np

from sizing.drogue.figures import Figure
from sizing.drogue.published import HIGH_DISPLACEMENT_KG, LOW_DISPLACEMENT_KG, POUND_KG

MIDDLE_DISPLACEMENT_KG = 30_000.0 * POUND_KG


def end_weight_kg(displacement_kg: Figure, small_kg: float, middle_kg: float, large_kg: float) -> Figure:
    """End weight: small to 7,500 lb, middle at 30,000 lb, large at 60,000 lb, straight lines between.

    Above 60,000 lb the last line is extended (see `drag.range_mark`). kg, any shape. The policy's 25, 35 and
    50 lb lie within the published words [CG87 6.3].

    >>> float(end_weight_kg(3000.0, 11.0, 16.0, 23.0))
    11.0
    """
    lower = (displacement_kg - LOW_DISPLACEMENT_KG) / (MIDDLE_DISPLACEMENT_KG - LOW_DISPLACEMENT_KG)
    upper = (displacement_kg - MIDDLE_DISPLACEMENT_KG) / (HIGH_DISPLACEMENT_KG - MIDDLE_DISPLACEMENT_KG)
    weight: Figure = (
        small_kg
        + (middle_kg - small_kg) * np.minimum(np.maximum(lower, 0.0), 1.0)
        + (large_kg - middle_kg) * np.maximum(upper, 0.0)
    )
    return weight
