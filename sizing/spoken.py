"""Figures as people use them: rounded to the side that flatters nobody, the same on page, card and paper.

What is needed is rounded up, so that nobody makes a leg too short: to the half kilogram, the decimetre and
the inch, else to three digits. Exact figures stand in the workings.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_EVEN, Decimal
from functools import lru_cache
from typing import Final, Literal

from sizing.units import Shown, show, si_factor

Toward = Literal["up", "down", "nearest"]
NOT_KNOWN_YET: Final = "not known yet"
"""Stands for a figure that waits for a measure which the entry leaves out."""
_NOISE: Final = 1e-6
"""A part of a step that is rounding of the program's own and asks for no further step."""
_DIGITS: Final = 3
_UNITS: Final = {
    "length": ("metre", "m", "foot", "ft"),
    "mass": ("kilogram", "kg", "pound", "lb"),
    "force": ("kilonewton", "kN", "pound_force", "lbf"),
}
_INCH: Final = Decimal("0.0254")
_QUARTERS: Final = ("", "¼", "½", "¾")
_WHOLE_FEET: Final = 100.0
_WHOLE_INCHES: Final = 10.0
_WHOLE_INCHES_UP: Final = 2.0
"""From so many feet up inches are left out, and halves of an inch; of what is rounded up, halves earlier."""
_STEPS: Final = {"kilogram": (5.0, 100.0, 0.5), "pound": (10.0, 1000.0, 1.0), "metre": (2.0, 100.0, 0.1)}
"""Of what is needed: from and below how much it is rounded up to which step, as scales and tapes are read."""


def spoken(value_si: float, dimension: str, toward: Toward = "up") -> str:
    """Return a figure in both systems as it is said: what is needed up, what is aboard down.

    Dimensions other than length, mass and force are told with three digits already, and stay as they are.

    >>> spoken(13_223.0, "force", "up"), spoken(11.34, "mass", "down")
    ('13.3 kN (2,980 lbf)', '11.3 kg (25 lb)')
    >>> spoken(11.3398, "mass", "up"), spoken(4.0132, "length", "up")
    ('11.5 kg (25 lb)', '4.1 m (13 ft 2 in)')
    >>> spoken(77.4, "length", "up")
    '77.4 m (254 ft)'
    """
    told = said(value_si, dimension, toward)
    return told.metric if told.metric == told.us else f"{told.metric} ({told.us})"


def said(value_si: float, dimension: str, toward: Toward = "up") -> Shown:
    """Return the two figures of `spoken`, for where a reader chooses one.

    >>> said(77.4, "length", "up"), said(0.127, "small_length")
    (Shown(metric='77.4 m', us='254 ft'), Shown(metric='127 mm', us='5 in'))
    """
    if dimension not in _UNITS or not value_si > 0.0:
        return show(value_si, dimension)
    return _told(value_si, dimension, toward)


def spoken_if_known(value_si: float, dimension: str, toward: Toward) -> str:
    """Return a figure as `spoken` does, and the words for one that waits where it is none (NaN).

    >>> spoken_if_known(math.nan, "length", "up")
    'not known yet'
    """
    return spoken(value_si, dimension, toward) if math.isfinite(value_si) else NOT_KNOWN_YET


def needed(value_si: float | None, dimension: str) -> Shown | None:
    """Return what is needed as `spoken` says it, rounded up; None where there is no figure.

    >>> needed(8.32, "length"), needed(16_790.0, "force")
    (Shown(metric='8.4 m', us='27 ft 4 in'), Shown(metric='16.8 kN', us='3,780 lbf'))
    """
    return said_if_known(value_si, dimension, "up")


def said_if_known(value_si: float | None, dimension: str, toward: Toward) -> Shown | None:
    """Return the figures of `said`; None where there is no figure.

    >>> said_if_known(float("nan"), "force", "down") is None
    True
    """
    return None if value_si is None or not math.isfinite(value_si) else said(value_si, dimension, toward)


def _told(value_si: float, dimension: str, toward: Toward) -> Shown:
    metric, us = rounded(value_si, dimension, toward)
    _, sign, _, us_sign = _UNITS[dimension]
    return Shown(f"{_plain(metric)} {sign}", _feet(us) if us_sign == "ft" else f"{_plain(us)} {us_sign}")


@lru_cache(maxsize=1 << 14)
def rounded(value_si: float, dimension: str, toward: Toward) -> tuple[float, float]:
    """Return the two figures that `spoken` says, metric and US."""
    unit, _, us_unit, us_sign = _UNITS[dimension]
    metric, us = value_si / si_factor(unit), value_si / si_factor(us_unit)
    metric = _to_step(metric, toward, _step(metric, unit, toward))
    if us_sign != "ft":
        return metric, _to_step(us, toward, _step(us, us_unit, toward))
    whole = us >= (_WHOLE_INCHES_UP if toward == "up" else _WHOLE_INCHES)
    inch = 1.0 if us >= _WHOLE_FEET else 1.0 / 12.0 if whole else 1.0 / 24.0
    return metric, _to_step(us, toward, inch)


def tells_it_right(found: float, required: float, dimension: str, *, at_most: bool) -> bool:
    """Whether what is enough is still seen to be enough when need is rounded up and what is aboard down."""
    if dimension not in _UNITS or not (found > 0.0 and required > 0.0):
        return True
    have = rounded(found, dimension, "up" if at_most else "down")
    need = rounded(required, dimension, "down" if at_most else "up")
    return all(h <= n if at_most else h >= n for h, n in zip(have, need, strict=True))


def _step(value: float, unit: str, toward: Toward) -> float | None:
    """The step of a scale or a tape to which what is needed is rounded up; None for three digits."""
    least, below, step = _STEPS.get(unit, (0.0, 0.0, 0.0))
    return step if toward == "up" and least <= value < below else None


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


def inches(length_m: float) -> str:
    """Return inches to the nearest sixteenth, as a rule shows them, at most 0.8 mm off. [SP 811]

    >>> inches(0.127), inches(0.034), inches(0.0127)
    ('5 in', '1 5/16 in', '½ in')
    """
    parts = int((Decimal(repr(length_m)) / _INCH * 16).to_integral_value(ROUND_HALF_EVEN))
    whole, rest = divmod(parts, 16)
    common = math.gcd(rest, 16)
    if rest % 4 == 0:
        return f"{whole or '' if rest else whole}{_QUARTERS[rest // 4]} in"
    return f"{f'{whole} ' if whole else ''}{rest // common}/{16 // common} in"


def small(length_m: float) -> str:
    """Return a small length in millimetres, with what a rule in inches shows of it.

    >>> small(0.034)
    '34 mm (1 5/16 in)'
    """
    return f"{show(length_m, 'small_length').metric} ({inches(length_m)})"
