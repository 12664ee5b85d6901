"""Figures as people use them: what is needed is rounded up, so that nobody makes a leg too short.

Exact figures stand in the tables and workings.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

from sizing.units import Shown, si_factor

_NOISE: Final = 1e-6
"""A part of a step that is rounding of the program's own and asks for no further step."""


@lru_cache(maxsize=1 << 14)
def needed(value_si: float | None, dimension: str) -> Shown | None:
    """Return what is needed, rounded up; None where there is no figure.

    >>> needed(8.32, "length"), needed(16_790.0, "force")
    (Shown(metric='8.4 m', us='27 ft 4 in'), Shown(metric='16.8 kN', us='3,800 lbf'))
    """
    if value_si is None or not math.isfinite(value_si):
        return None
    return _ROUNDED[dimension](value_si)


def _up(value: float, step: float) -> float:
    return math.ceil(value / step - _NOISE) * step


def _length(value_m: float) -> Shown:
    metric = _up(value_m, 0.1 if value_m < 100.0 else 1.0)
    feet, inches = divmod(round(_up(value_m / si_factor("inch"), 1.0)), 12)
    us = f"{feet:,} ft" + (f" {inches} in" if inches else "")
    return Shown(f"{_plain(metric)} m", us if feet else f"{inches} in")


def _mass(value_kg: float) -> Shown:
    metric = _up(value_kg, 0.5 if value_kg < 100.0 else 1.0)
    return Shown(f"{_plain(metric)} kg", f"{_up(value_kg / si_factor('pound'), 1.0):,.0f} lb")


def _force(value_n: float) -> Shown:
    kilonewtons, pounds = value_n / 1e3, value_n / si_factor("pound_force")
    metric = _up(kilonewtons, 0.1 if kilonewtons < 100.0 else 1.0)
    return Shown(f"{_plain(metric)} kN", f"{_up(pounds, 50.0 if pounds < 10_000.0 else 100.0):,.0f} lbf")


def _count(value: float) -> Shown:
    return Shown(f"{value:,.0f}", f"{value:,.0f}")


def _plain(value: float) -> str:
    return f"{value:,.1f}".removesuffix(".0")


_ROUNDED: Final = {"length": _length, "mass": _mass, "force": _force, "count": _count}
