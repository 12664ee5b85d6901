"""Metres of cloth for cones: each size nested on the cloth, one size after the other."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_CEILING, Decimal
from typing import Final

from sizing.drogue.cone import pattern_of
from sizing.model import ConeSize
from sizing.order.cloth import nest
from sizing.policy import Policy

_STEP: Final = Decimal("0.1")


def cloth_needed_m(cones: Mapping[ConeSize, int], width_m: float, policy: Policy) -> Decimal:
    """Return metres of cloth of one width for cones, counted by their size.

    L = sum of the layouts' lengths, grain along the cloth; up to the next 0.1 m. [derived]

    Units: m. Range: width not under the pattern's depth and its selvedge margins.

    >>> from sizing.policy import Policy
    >>> cloth_needed_m({ConeSize(0.127, 0.0381): 100}, 1.5, Policy())
    Decimal('3.8')
    """
    length_m = Decimal(0)
    for size, count in sorted(cones.items()):
        if count:
            layout = nest(pattern_of(size, policy), width_m, count, policy.order)
            length_m += Decimal(repr(layout.length_m))
    return (length_m / _STEP).to_integral_value(ROUND_CEILING) * _STEP
