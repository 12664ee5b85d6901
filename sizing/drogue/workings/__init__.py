"""How each of a boat's figures was worked out, topic by topic."""

from __future__ import annotations

from collections.abc import Iterator

from sizing.drogue.workings.boat import BoatFigures
from sizing.drogue.workings.bridle import bridle_workings, fitting_workings
from sizing.drogue.workings.drift import drift_workings
from sizing.drogue.workings.line import line_workings, section_workings
from sizing.drogue.workings.load import load_workings
from sizing.drogue.workings.making import making_workings
from sizing.model import Working

__all__ = ["BoatFigures", "all_workings"]


def all_workings(boat: BoatFigures) -> Iterator[Working]:
    """All workings of one boat, in reading order."""
    yield from load_workings(boat)
    yield from line_workings(boat)
    yield from section_workings(boat)
    yield from bridle_workings(boat)
    yield from fitting_workings(boat)
    yield from drift_workings(boat)
    yield from making_workings(boat)
