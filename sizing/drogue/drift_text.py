"""Drift as it is told to people: a range, with the room to leeward that its upper end asks for."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from sizing.drogue.published import KNOT_MPS

SOURCE: Final = "[derived; PYD, quoted; ORC VPP, quoted; HOERNER, memory; shapes assumed]"
HOURS: Final = 24
_ROOM_FACTOR: Final = 1.5
"""Room that is kept, over the drift: half as much again [common practice, no source]."""


@dataclass(frozen=True)
class DriftText:
    """The range, the wind it is for, what it is and is not, and the room to leeward that it asks for.

    In nautical miles without their unit: `day_miles` is the range in a day, `clear_miles` the room for a day.
    """

    speeds: str
    wind: str
    sentence: str
    day_miles: str
    clear_miles: str
    source: str = SOURCE


def drift_text(low_mps: float, high_mps: float, wind_mps: float) -> DriftText:
    """Return the range of a drift in words; speeds in m/s, told in knots. Room is by the upper end alone.

    >>> told = drift_text(1.6, 2.3, 25.72)
    >>> told.speeds, told.day_miles, told.clear_miles
    ('3.1 to 4.5 kn', '75 to 107', '161')
    """
    low, high = low_mps / KNOT_MPS, high_mps / KNOT_MPS
    day = high * HOURS
    speeds, wind = f"{low:.1f} to {high:.1f} kn", f"{wind_mps / KNOT_MPS:.0f} kn"
    return DriftText(
        speeds,
        wind,
        f"In {wind} of wind she drifts downwind at {speeds} through the water while she lies to the drogue. "
        "That is a range for planning room, never a promise of position: what the wind pushes on and what "
        "the water holds are not known better.",
        f"{low * HOURS:.0f} to {day:.0f}",
        str(math.ceil(day * _ROOM_FACTOR)),
    )
