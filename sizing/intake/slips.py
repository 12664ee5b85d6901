"""Which slip of the pen may lie behind an impossible figure: thousands, or another unit, that would fit."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Final

from sizing.fields import Field
from sizing.intake.headers import HeaderUnit
from sizing.units import Dimension, both, normal_unit, unit_factors

# The units for which one is most easily mistaken, likeliest first.
_MISTAKEN: Final[Mapping[str, Mapping[str, tuple[str, ...]]]] = {
    "length": {
        "m": ("ft", "mm", "cm", "in"), "ft": ("m", "in", "mm", "cm"), "mm": ("m", "cm", "in", "ft"),
        "cm": ("mm", "m", "in", "ft"), "in": ("mm", "ft", "cm", "m"),
    },
    "small_length": {
        "m": ("mm", "cm", "in", "ft"), "ft": ("in", "m", "mm", "cm"), "mm": ("in", "cm", "m", "ft"),
        "cm": ("mm", "in", "m", "ft"), "in": ("mm", "cm", "ft", "m"),
    },
    "mass": {
        "kg": ("lb", "t"), "lb": ("kg", "t"), "t": ("kg", "lb"), "long ton": ("kg", "lb", "t"),
        "short ton": ("kg", "lb", "t"),
    },
    "force": {
        "kn": ("N", "daN", "kgf", "lbf"), "n": ("kN", "daN", "kgf", "lbf"), "dan": ("kN", "N", "kgf", "lbf"),
        "kgf": ("lbf", "kN", "N", "tf"), "lbf": ("kN", "kgf", "N"), "tf": ("kgf", "kN"),
    },
    "area": {"m2": ("sq ft",), "ft2": ("m2",)},
}  # fmt: skip
_GROUPED: Final = re.compile(r"[1-9][0-9]{0,2}[.,][0-9]{3}(?![0-9.,])")
_ONE_UNIT: Final = re.compile(r"[0-9., /½¼¾⅛⅜⅝⅞-]*(.*)")


def unit_of(text: str, header: HeaderUnit | None, dimension: Dimension) -> str:
    """Return the short name of the unit a cell was read in, or "" if it holds more than one figure.

    >>> unit_of("9,300 lbs", None, "mass")
    'lb'
    """
    match = _ONE_UNIT.fullmatch(" ".join(text.split()))
    word = normal_unit(match[1]) if match else ""
    if not word and header:
        word = header.word
    factors = unit_factors(dimension)
    if word not in factors:
        return ""
    return next((name for name in _MISTAKEN.get(dimension, {}) if factors[name] == factors[word]), "")


def explain(
    value: float, text: str, header: HeaderUnit | None, field: Field, fits: Callable[[float], bool]
) -> str:
    """Return a sentence naming what would make a figure fit, or "" if nothing does.

    A sign before three digits, read as the decimal one, is looked at first; then the units easily mistaken.

    >>> from sizing.fields import FIELD_BY_NAME
    >>> explain(9300.0, "9,300 kg", None, FIELD_BY_NAME["displacement"], lambda kg: kg < 5000.0)
    'read as lb it would be 4,218 kg (9,300 lb), which fits'
    """
    if field.dimension is None:
        return ""
    unit = unit_of(text, header, field.dimension)
    if not unit:
        return ""
    factors = unit_factors(field.dimension)
    as_decimal = value / factors[unit] < 1000.0
    if as_decimal and _GROUPED.match(text.strip()) and fits(1000.0 * value):
        return f"read with thousands it would be {both(1000.0 * value, field.dimension)}, which fits"
    for other in _MISTAKEN[field.dimension][unit]:
        figure = value / factors[unit] * factors[normal_unit(other)]
        if fits(figure):
            return f"read as {other} it would be {both(figure, field.dimension)}, which fits"
    return ""
