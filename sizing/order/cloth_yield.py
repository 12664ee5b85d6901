"""Cloth for cones by a plain yield: pattern area over the width, with a share lost between the patterns."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_CEILING, Decimal
from typing import Final

from sizing.drogue.cone import cone_pattern
from sizing.errors import CatalogueError
from sizing.policy import Policy

CLOTH_YIELD: Final = 0.70
"""Share of the cloth that ends in cones, ring sectors nested by eye [assumed]."""

_STEP: Final = Decimal("0.1")


def cloth_needed_m(cones: Mapping[float, int], width_m: float, policy: Policy) -> Decimal:
    """Return metres of cloth of one width for cones, counted by mouth diameter in m.

    L = sum(N_i A_i) / (yield w), A_i the area of the flat pattern with its seam; up to the next 0.1 m. A cone
    whose mouth is not the policy's has its small end and slant in proportion. [derived; yield assumed]

    Units: m. Range: width not under the pattern's depth.

    >>> from sizing.policy import Policy
    >>> cloth_needed_m({0.127: 100}, 1.5, Policy())
    Decimal('4.0')
    """
    sizing = policy.sizing
    area_m2 = 0.0
    for mouth_m, count in cones.items():
        scale = mouth_m / sizing.cone_mouth
        pattern = cone_pattern(mouth_m, sizing.cone_small_end * scale, sizing.cone_slant * scale,
                               policy.order.seam_allowance)  # fmt: skip
        if pattern.outer_radius_m > width_m:
            raise CatalogueError(
                "cloths.csv, column width",
                f"{width_m:g} m",
                f"at least {pattern.outer_radius_m:.2f} m for this cone",
                "choose a wider cloth",
            )
        area_m2 += count * pattern.area_m2
    length = Decimal(repr(area_m2 / (CLOTH_YIELD * width_m)))
    return (length / _STEP).to_integral_value(ROUND_CEILING) * _STEP
