"""The largest load of a very severe breaking-wave strike, and what parts must carry of it."""

from __future__ import annotations

import math

import numpy as np

from sizing.drogue.figures import Figure
from sizing.drogue.published import (
    HIGH_DISPLACEMENT_KG,
    HIGH_LOAD_N,
    LOW_DISPLACEMENT_KG,
    LOW_LOAD_N,
)

_LOAD_EXPONENT = math.log(HIGH_LOAD_N / LOW_LOAD_N) / math.log(HIGH_DISPLACEMENT_KG / LOW_DISPLACEMENT_KG)


def design_load_n(displacement_kg: Figure) -> Figure:
    """Design load: F = 7,500 lbf x (D / 7,500 lb)^0.754.

    The straight line in log-log through the displacement's own weight at 7,500 lb and 60 % of it at 60,000
    lb. D in kg, F in N, any shape. Published range 7,500 to 60,000 lb; extended outside it. [CG87 6.2, Figure
    26]

    >>> round(design_load_n(60_000 * 0.45359237) / 4.4482216152605)
    36000
    """
    load: Figure = LOW_LOAD_N * (displacement_kg / LOW_DISPLACEMENT_KG) ** _LOAD_EXPONENT
    return load


def required_strength_n(
    load_n: Figure, strength_use: float, residual_share: float, strike_multiple: float = 1.0
) -> Figure:
    """Least new breaking strength for a load: S = max(T / u, k T / r).

    u is the share of new minimum strength the load may take (0.60 [CG87 6.3: 0.60 to 0.75]); r the share of
    it that is left in service when new: wet x splice x state (0.85 [UFC] x 0.90 [practice]); k the computed
    strike over the design load, where one was computed. N -> N, any shape.

    >>> round(required_strength_n(33_362.0, 0.60, 0.765))
    55603
    """
    strength: Figure = np.maximum(load_n / strength_use, strike_multiple * load_n / residual_share)
    return strength


def attachment_load_n(design_load: Figure, attachment_share: float) -> Figure:
    """Load each attachment must hold: 70 % of the design load on each side of the transom. N. [CG87 6.3]

    >>> round(attachment_load_n(7500.0, 0.70))
    5250
    """
    return design_load * attachment_share
