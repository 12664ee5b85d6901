"""Spares for the fleet: more cones with their tapes and thread, more thimbles and shackles."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_CEILING, Decimal

from sizing.order.consumables import load_consumables
from sizing.policy import Policy

HARDWARE = ("thimble", "shackle")
"""Kinds the policy's share of spare hardware is about."""


def spare_count(needed: int, percent: float) -> int:
    """Return the spares of a count: N p / 100, up to the next whole one.

    Units: pieces, per cent. Range: both 0 or more. [assumed percentages]

    >>> spare_count(101, 5.0)
    6
    """
    share = Decimal(needed) * Decimal(repr(float(percent))) / 100
    return int(share.to_integral_value(ROUND_CEILING))


def spares_with_cones(spare_cones: int) -> Mapping[str, Decimal]:
    """Return what of each consumable goes with so many spare cones."""
    return {
        part.item.id: part.amount * spare_cones
        for part in load_consumables()
        if part.basis == "new cone" and spare_cones
    }


def spare_hardware(kind: str, needed: Decimal, policy: Policy) -> Decimal:
    """Return the spares of one kind of hardware; none for other kinds."""
    if kind not in HARDWARE:
        return Decimal(0)
    return Decimal(spare_count(int(needed), policy.order.spare_hardware_percent))
