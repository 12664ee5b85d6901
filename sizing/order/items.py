"""Everything that can be ordered, by its id: what it is called and in what it is counted."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

from sizing.errors import ComputationError

Unit = Literal["m", "kg", "piece"]
STEP: Final[dict[Unit, Decimal]] = {"m": Decimal("0.001"), "kg": Decimal(1), "piece": Decimal(1)}
"""What a need of each unit is a multiple of."""

CUT_KINDS: Final = ("rope", "tape", "chain", "sleeve")
"""Kinds that are cut in single lengths, never joined; everything else is bought by the sum."""


@dataclass(frozen=True)
class Item:
    """One thing that can be ordered. `kind` is the family a piece is listed under."""

    id: str
    kind: str
    description: str
    unit: Unit
    source: str


def metres(length_m: float, quantity: int = 1) -> Decimal:
    """Return `quantity` times a length as a decimal number of metres to the millimetre, exactly.

    Range: finite, above 0; a length that is not whole millimetres is refused, never rounded here.

    >>> metres(12.3, 2)
    Decimal('24.600')
    """
    mm = round(length_m * 1000)
    if mm <= 0 or abs(mm - length_m * 1000) > 1e-3:
        raise ComputationError(
            "length of a piece",
            f"{length_m!r} m",
            "whole millimetres above 0",
            "round it up to the cutting step",
        )
    return Decimal(mm * quantity) * STEP["m"]
