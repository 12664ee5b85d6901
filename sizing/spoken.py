"""Figures as they are said in a sentence: three digits, rounded to the side that flatters nobody.

Exact figures stand in the tables and workings.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final, Literal

from sizing.units import both, si_factor

Toward = Literal["up", "down", "nearest"]
_NOISE: Final = 1e-6
"""A part of a step that is rounding of the program's own and asks for no further step."""
_DIGITS: Final = 3
_UNITS: Final = {
    "length": ("metre", "m", "foot", "ft"),
    "mass": ("kilogram", "kg", "pound", "lb"),
    "force": ("kilonewton", "kN", "pound_force", "lbf"),
}
_WHOLE_FEET: Final = 100.0
_WHOLE_INCHES: Final = 10.0
"""From so many feet up inches are left out, and halves of an inch."""


def spoken(value_si: float, dimension: str, toward: Toward) -> str:
    """Return a figure in both systems as it is said: what is needed up, what is aboard down.

    Dimensions other than length, mass and force are told with three digits already, and stay as they are.

    >>> spoken(13_223.0, "force", "up"), spoken(11.34, "mass", "down")
    ('13.3 kN (2,980 lbf)', '11.3 kg (25 lb)')
    >>> spoken(77.4, "length", "up")
    '77.4 m (254 ft)'
    """
    if dimension not in _UNITS or not value_si > 0.0:
        return both(value_si, dimension)
    metric, us = rounded(value_si, dimension, toward)
    _, sign, _, us_sign = _UNITS[dimension]
    return f"{_plain(metric)} {sign} ({_feet(us) if us_sign == 'ft' else f'{_plain(us)} {us_sign}'})"


@lru_cache(maxsize=1 << 14)
def rounded(value_si: float, dimension: str, toward: Toward) -> tuple[float, float]:
    """Return the two figures that `spoken` says, metric and US."""
    unit, _, us_unit, us_sign = _UNITS[dimension]
    metric = _to_step(value_si / si_factor(unit), toward)
    us = value_si / si_factor(us_unit)
    if us_sign != "ft":
        return metric, _to_step(us, toward)
    inch = 1.0 if us >= _WHOLE_FEET else 1.0 / 12.0 if us >= _WHOLE_INCHES else 1.0 / 24.0
    return metric, _to_step(us, toward, inch)


def tells_it_right(found: float, required: float, dimension: str, *, at_most: bool) -> bool:
    """Whether what is enough is still seen to be enough when need is rounded up and what is aboard down."""
    if dimension not in _UNITS or not (found > 0.0 and required > 0.0):
        return True
    have = rounded(found, dimension, "up" if at_most else "down")
    need = rounded(required, dimension, "down" if at_most else "up")
    return all(h <= n if at_most else h >= n for h, n in zip(have, need, strict=True))


def _to_step(value: float, toward: Toward, step: float | None = None) -> float:
    step = step or 10.0 ** (math.floor(math.log10(value)) + 1 - _DIGITS)
    parts = value / step
    if toward == "nearest":
        return round(parts) * step
    return (math.ceil(parts - _NOISE) if toward == "up" else math.floor(parts + _NOISE)) * step


def _plain(value: float) -> str:
    decimals = max(_DIGITS - 1 - math.floor(math.log10(value) + _NOISE), 0) if value > 0.0 else 0
    text = f"{value:,.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _feet(feet: float) -> str:
    whole, half_inches = divmod(round(feet * 24.0), 24)
    inches = f"{half_inches // 2 or ''}{'½' if half_inches % 2 else ''}"
    if not whole:
        return f"{inches or '0'} in"
    return f"{whole:,} ft" + (f" {inches} in" if inches else "")
