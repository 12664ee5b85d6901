"""Lengths as a tape measure shows them, in metres and in feet and inches."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal
from typing import Final

from sizing.spoken import inches, small

__all__ = ["feet_inches", "inches", "metres", "small", "taped"]

_INCH: Final = Decimal("0.0254")
_QUARTERS: Final = ("", "¼", "½", "¾")


def metres(length_m: float) -> str:
    """Return metres to the millimetre.

    >>> metres(12.192)
    '12.192'
    """
    return f"{length_m:.3f}"


def feet_inches(length_m: float) -> str:
    """Return feet and inches to the nearest quarter of an inch, at most 3.2 mm off. [SP 811]

    >>> print(feet_inches(0.6096), feet_inches(1.13))
    2' 0" 3' 8½"
    """
    quarters = int((Decimal(repr(length_m)) / _INCH * 4).to_integral_value(ROUND_HALF_EVEN))
    feet, rest = divmod(quarters, 48)
    inches, part = divmod(rest, 4)
    whole = "" if part and not inches else str(inches)
    return f"{feet}' {whole}{_QUARTERS[part]}\""


def taped(length_m: float) -> str:
    """Return a length as it is measured off with a tape.

    >>> print(taped(3.9624))
    3.962 m (13' 0")
    """
    return f"{metres(length_m)} m ({feet_inches(length_m)})"
