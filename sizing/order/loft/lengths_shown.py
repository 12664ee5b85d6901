"""Lengths as a tape measure shows them, in metres and in feet and inches."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal
from math import gcd
from typing import Final

from sizing.units import show

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


def inches(length_m: float) -> str:
    """Return inches to the nearest sixteenth, as a rule shows them, at most 0.8 mm off. [SP 811]

    >>> inches(0.127), inches(0.034), inches(0.0127)
    ('5 in', '1 5/16 in', '½ in')
    """
    parts = int((Decimal(repr(length_m)) / _INCH * 16).to_integral_value(ROUND_HALF_EVEN))
    whole, rest = divmod(parts, 16)
    common = gcd(rest, 16)
    if rest % 4 == 0:
        return f"{whole or '' if rest else whole}{_QUARTERS[rest // 4]} in"
    return f"{f'{whole} ' if whole else ''}{rest // common}/{16 // common} in"


def small(length_m: float) -> str:
    """Return a small length in millimetres, with what a rule in inches shows of it.

    >>> small(0.034)
    '34 mm (1 5/16 in)'
    """
    return f"{show(length_m, 'small_length').metric} ({inches(length_m)})"


def taped(length_m: float) -> str:
    """Return a length as it is measured off with a tape.

    >>> print(taped(3.9624))
    3.962 m (13' 0")
    """
    return f"{metres(length_m)} m ({feet_inches(length_m)})"
