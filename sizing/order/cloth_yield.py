"""Metres of cloth for cones: each size nested on the cloth, one size after the other."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_CEILING, Decimal
from typing import Final

from sizing.drogue.cone import cone_pattern
from sizing.order.cloth import nest
from sizing.policy import Policy

_STEP: Final = Decimal("0.1")


def cloth_needed_m(cones: Mapping[float, int], width_m: float, policy: Policy) -> Decimal:
    """Return metres of cloth of one width for cones, counted by mouth diameter in m.

    L = sum of the layouts' lengths, grain along the cloth; up to the next 0.1 m. A cone whose mouth is not
    the policy's has its small end and slant in proportion. [derived]

    Units: m. Range: width not under the pattern's depth and its selvedge margins.

    >>> from sizing.policy import Policy
    >>> cloth_needed_m({0.127: 100}, 1.5, Policy())
    Decimal('3.8')
    """
    sizing = policy.sizing
    length_m = Decimal(0)
    for mouth_m, count in sorted(cones.items()):
        scale = mouth_m / sizing.cone_mouth
        pattern = cone_pattern(mouth_m, sizing.cone_small_end * scale, sizing.cone_slant * scale,
                               policy.order.seam_allowance)  # fmt: skip
        if count:
            length_m += Decimal(repr(nest(pattern, width_m, count, policy.order).length_m))
    return (length_m / _STEP).to_integral_value(ROUND_CEILING) * _STEP
