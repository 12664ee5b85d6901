"""Metres of cloth for cones: each size nested on the cloth, one size after the other."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_CEILING, Decimal
from functools import lru_cache
from typing import Final

from sizing.drogue.cone import ConePattern, pattern_of
from sizing.model import ConeSize
from sizing.order.cloth import nest
from sizing.policy import OrderRules, Policy

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
            rules = policy.order
            gap_m, margin_m = rules.knife_gap, rules.selvedge_margin
            length_m += _length_m(pattern_of(size, policy), width_m, count, gap_m, margin_m)
    return (length_m / _STEP).to_integral_value(ROUND_CEILING) * _STEP


@lru_cache(maxsize=4096)
def _length_m(
    pattern: ConePattern, width_m: float, count: int, knife_gap_m: float, selvedge_margin_m: float
) -> Decimal:
    """Length of one layout. Boats of a fleet ask for the same few cones in the same counts, way after way."""
    rules = OrderRules(knife_gap=knife_gap_m, selvedge_margin=selvedge_margin_m)
    return Decimal(repr(nest(pattern, width_m, count, rules).length_m))
