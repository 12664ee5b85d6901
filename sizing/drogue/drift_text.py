"""Drift as it is told to people: a range, with the room to leeward that its upper end asks for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sizing.drogue.published import KNOT_MPS

SOURCE: Final = "[derived; PYD, quoted; ORC VPP, quoted; HOERNER, memory; shapes assumed]"
HOURS: Final = 24
ROOM_MARGIN: Final = "half as much again"
"""What is kept beside the room that the drift takes [common practice, no source]."""


@dataclass(frozen=True)
class DriftText:
    """The range, the wind it is for, the room it asks for, and what it is not."""

    speeds: str
    wind: str
    miles: str
    sentence: str
    source: str = SOURCE


def drift_text(low_mps: float, high_mps: float, wind_mps: float) -> DriftText:
    """Return the range of a drift in words; speeds in m/s, told in knots. Room is by the upper end alone.

    >>> drift_text(1.6, 2.3, 25.72).speeds, drift_text(1.6, 2.3, 25.72).miles
    ('3.1 to 4.5 kn', '107 nautical miles')
    """
    low, high = low_mps / KNOT_MPS, high_mps / KNOT_MPS
    speeds, wind = f"{low:.1f} to {high:.1f} kn", f"{wind_mps / KNOT_MPS:.0f} kn"
    miles = f"{high * HOURS:.0f} nautical miles"
    return DriftText(
        speeds,
        wind,
        miles,
        f"In {wind} of wind she drifts downwind at {speeds} through the water while she lies to the drogue. "
        "That is a range for planning room, never a promise of position: what the wind pushes on and what "
        "the water holds are not known better. Reckon sea room with the upper end: "
        f"{miles} in {HOURS} hours, and {ROOM_MARGIN} [common practice, no source]; lay off the current "
        "on top.",
    )
