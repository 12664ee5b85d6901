"""What the wind pushes on when she lies stern to it: areas, drag coefficients and wind near the water.

None of it is known to better than a third, so every figure has a low and a high end, and a place between
them: 0 is all low, 1 all high, one half the middle. All low or all high together is more than chance makes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final, NamedTuple

import numpy as np

from sizing.drogue.figures import Figure
from sizing.fields import CHOICES
from sizing.model import CodeArray, FloatArray
from sizing.policy import DriftRules

LOW, MIDDLE, HIGH = 0.0, 0.5, 1.0
"""Places between the low and the high end of every figure."""

WIND_HEIGHT_M: Final = 10.0
"""Height above the water at which the wind is told; spars are taken to meet that wind [assumed]."""


class Range(NamedTuple):
    """A figure's low and high end."""

    low: float
    high: float

    def at(self, place: float) -> float:
        """The figure at a place between its ends.

        >>> Range(0.5, 0.7).at(MIDDLE)
        0.6
        """
        return round(self.low + place * (self.high - self.low), 12)


class Shape(NamedTuple):
    """A type of boat seen from astern: beam and mean height of hull and houses over hull length, and the area
    of spars, rigging and furled sails over its square.
    """

    beam: float
    height: Range
    rig: Range


SHAPES: Final[Mapping[str, Shape]] = MappingProxyType(
    {
        "sailing monohull": Shape(0.32, Range(0.115, 0.18), Range(0.02, 0.04)),
        "sailing multihull": Shape(0.55, Range(0.11, 0.18), Range(0.02, 0.04)),
        "motor monohull": Shape(0.32, Range(0.18, 0.28), Range(0.003, 0.01)),
        "motor multihull": Shape(0.50, Range(0.16, 0.28), Range(0.003, 0.01)),
    }
)
"""Of a sailing monohull the low ends are the freeboard, mast and stays of a yacht-design textbook's 40 ft
example [quoted]; all else is assumed, the high ends with houses, furled headsail, boom and gear on deck."""


def frontal_area_m2(hull_length_m: Figure, beam_m: Figure, height_share: Figure, rig_share: Figure) -> Figure:
    """Area of hull and rig seen from astern: beam x height share x length + rig share x length^2. [assumed]

    m -> m2, any shape.

    >>> round(frontal_area_m2(12.0, 3.84, 0.1475, 0.03), 2)
    11.12
    """
    return beam_m * height_share * hull_length_m + rig_share * hull_length_m**2


def wind_share(height_m: Figure, exponent: float) -> Figure:
    """Wind at a height over the wind at 10 m: (z / 10 m)^exponent. m, any shape.

    Over the sea the exponent is 0.10 to 0.14 [a simulation manual's theory, quoted].

    >>> round(wind_share(1.0, 0.12), 3)
    0.759
    """
    share: Figure = (height_m / WIND_HEIGHT_M) ** exponent
    return share


def air_drag_area_m2(
    hull_length_m: Figure,
    beam_m: Figure,
    height_share: Figure,
    rig_share: Figure,
    hull_drag: float,
    rig_drag: float,
    exponent: float,
) -> Figure:
    """Drag area in the wind at 10 m: each part's drag coefficient x area x its share of the wind squared.

    The hull meets the wind at half its height. m -> m2, any shape. [PYD, quoted; ORC VPP, quoted; assumed]

    >>> round(air_drag_area_m2(12.0, 3.84, 0.1475, 0.03, 0.59, 0.845, 0.12), 2)
    5.89
    """
    height = height_share * hull_length_m
    hull = hull_drag * beam_m * height * wind_share(0.5 * height, exponent) ** 2
    return hull + rig_drag * rig_share * hull_length_m**2


def entered_drag_area_m2(entered_m2: Figure, estimated_m2: Figure, drag_area_m2: Figure) -> Figure:
    """Drag area of an area that was entered, with the mean coefficient of the estimate for her type. m2.

    >>> entered_drag_area_m2(20.0, 10.0, 6.0)
    12.0
    """
    return entered_m2 * (drag_area_m2 / estimated_m2)


def hull_drag(rules: DriftRules, place: float) -> float:
    """Drag coefficient of the hull from astern, at a place between its ends."""
    return Range(rules.hull_drag_low, rules.hull_drag_high).at(place)


def rig_drag(rules: DriftRules, place: float) -> float:
    """Drag coefficient of spars and rigging, at a place between its ends."""
    return Range(rules.rig_drag_low, rules.rig_drag_high).at(place)


def wind_exponent(rules: DriftRules, place: float) -> float:
    """Exponent of the wind's profile; the greater, the less wind there is at the hull."""
    return Range(rules.wind_exponent_high, rules.wind_exponent_low).at(place)


def beam_used_m(hull_length_m: FloatArray, beam_m: FloatArray, boat_type: CodeArray) -> FloatArray:
    """Beam as entered, or estimated from the length where it is blank (NaN). m, (n,). [assumed]"""
    estimate = _of_type(boat_type, lambda shape: shape.beam) * hull_length_m
    return np.where(np.isnan(beam_m), estimate, beam_m)


def windage_used_m2(
    given_m2: FloatArray,
    hull_length_m: FloatArray,
    beam_m: FloatArray,
    boat_type: CodeArray,
    place: float = MIDDLE,
) -> FloatArray:
    """Windage as entered, or an estimate where it is blank (NaN); a blank beam is estimated too. [assumed]"""
    return np.where(np.isnan(given_m2), _estimate_m2(hull_length_m, beam_m, boat_type, place), given_m2)


def air_drag_areas_m2(
    given_m2: FloatArray,
    hull_length_m: FloatArray,
    beam_m: FloatArray,
    boat_type: CodeArray,
    rules: DriftRules,
    place: float,
) -> FloatArray:
    """Drag area of every boat in the wind, at a place between its ends. m2, (n,); NaN where she has no type.

    An area that was entered is kept, with her type's coefficients. [PYD, quoted; ORC VPP, quoted; assumed]
    """
    estimate = air_drag_area_m2(
        hull_length_m,
        beam_used_m(hull_length_m, beam_m, boat_type),
        _of_type(boat_type, lambda shape: shape.height.at(place)),
        _of_type(boat_type, lambda shape: shape.rig.at(place)),
        hull_drag(rules, place),
        rig_drag(rules, place),
        wind_exponent(rules, place),
    )
    area = _estimate_m2(hull_length_m, beam_m, boat_type, place)
    return np.where(np.isnan(given_m2), estimate, entered_drag_area_m2(given_m2, area, estimate))


def _estimate_m2(
    hull_length_m: FloatArray, beam_m: FloatArray, boat_type: CodeArray, place: float
) -> FloatArray:
    return frontal_area_m2(
        hull_length_m,
        beam_used_m(hull_length_m, beam_m, boat_type),
        _of_type(boat_type, lambda shape: shape.height.at(place)),
        _of_type(boat_type, lambda shape: shape.rig.at(place)),
    )


def _of_type(boat_type: CodeArray, figure: Callable[[Shape], float]) -> FloatArray:
    """A figure of each boat's type; NaN where the type is blank."""
    table = np.array([figure(SHAPES[word]) for word in CHOICES["boat_type"]] + [np.nan])
    return np.asarray(table[boat_type])
