"""What boats of a length displace: a line through a table of boats, and figures that go better with lb or kg.

ln D = a + b ln L (+ c ln LWL) (+ d ln B), one fit for each boat type and for what is known of a boat, by
least squares over `typical_boats.csv`. A displacement read in the wrong one of pounds and kilograms is 2.2
times too great or too small, 0.79 as a logarithm: off the line by rather more than half of that, it goes
better with the other unit. How many slips that finds, and how many sound boats it asks about, is measured
by leave-one-out in `tests/benchmarks/slips.py`.

The table has figures alone, and tells where each comes from: `certificate` are boats as weighed or measured
afloat for a rating, from certificates published as open data (MIT licence), most of them light; `listed` are
published particulars of production boats; `memory` are particulars from memory, unchecked, among them those
of all motor boats. [derived; memory]
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import files
from typing import Final, NamedTuple

import numpy as np

from sizing.fields import CHOICES
from sizing.model import BoolArray, CodeArray, FloatArray

MEASURES: Final = ("loa_m", "lwl_m", "beam_m")
BEAM_TELLS: Final = frozenset({"sailing monohull", "motor monohull"})
"""Types of which the beam goes with the weight: a light trimaran is wider than a heavy catamaran."""
LIGHT_FROM: Final = 0.44
"""How far below the line, as a logarithm, a figure is asked about; half-way is 0.395. So most slips are
found, and few light boats are asked [derived from the table]."""
HEAVY_FROM: Final = 0.5
"""How far above the line, as a logarithm, a figure is remarked on: rather more than half-way, since a drogue
for a boat too heavy is too strong, and sound cruising boats are often heavy [assumed]."""


class TypicalBoat(NamedTuple):
    """One boat of the table; NaN where a measure is not told."""

    boat_type: str
    loa_m: float
    lwl_m: float
    beam_m: float
    displacement_kg: float
    origin: str


@lru_cache(maxsize=1)
def typical_boats() -> tuple[TypicalBoat, ...]:
    """Every boat of the table."""
    header, *lines = files(__package__).joinpath("typical_boats.csv").read_text(encoding="utf-8").splitlines()
    names = header.split(",")
    boats = []
    for line in lines:
        row = dict(zip(names, line.split(","), strict=True))
        loa, lwl, beam, mass = (float(row[name] or "nan") for name in (*MEASURES, "displacement_kg"))
        boats.append(TypicalBoat(row["boat_type"], loa, lwl, beam, mass, row["origin"]))
    return tuple(boats)


def fitted(boats: tuple[TypicalBoat, ...], measures: tuple[str, ...]) -> FloatArray:
    """Coefficients of the line over boats of which all of `measures` are known: constant, then each measure.

    m, kg; at least as many boats as coefficients. [derived]
    """
    table = np.array([[getattr(boat, name) for name in (*measures, "displacement_kg")] for boat in boats])
    logs = np.log(table[np.isfinite(table).all(axis=1)])
    columns = np.column_stack([np.ones(len(logs)), logs[:, :-1]])
    solved: FloatArray = np.linalg.lstsq(columns, logs[:, -1], rcond=None)[0]
    return solved


@lru_cache(maxsize=32)
def line_of(boat_type: str, measures: tuple[str, ...]) -> tuple[float, ...]:
    """The line of one type of boat by what is known: see `fitted`."""
    same = tuple(boat for boat in typical_boats() if boat.boat_type == boat_type)
    return tuple(fitted(same, measures).tolist())


def usual_displacement_kg(number: Mapping[str, FloatArray], boat_type: CodeArray) -> FloatArray:
    """What a boat of this type and these measures displaces, on the line. kg, (n,).

    `number` are columns by their SI names; of waterline and beam what is known is used. NaN without type or
    length, and for a length that no boat of her type in the table is near: the line is not extended.
    """
    usual = np.full(len(boat_type), np.nan)
    known = {name: np.isfinite(number[name]) & (number[name] > 0.0) for name in MEASURES}
    for code, word in enumerate(CHOICES["boat_type"]):
        lengths = [boat.loa_m for boat in typical_boats() if boat.boat_type == word]
        near = (number["loa_m"] >= 0.95 * min(lengths)) & (number["loa_m"] <= 1.05 * max(lengths))
        beam_known = known["beam_m"] & (word in BEAM_TELLS)
        for with_lwl in (False, True):
            for with_beam in (False, True):
                rows = (boat_type == code) & known["loa_m"] & near
                rows &= (known["lwl_m"] == with_lwl) & (beam_known == with_beam)
                if not rows.any():
                    continue
                wanted = (True, with_lwl, with_beam)
                measures = tuple(name for name, used in zip(MEASURES, wanted, strict=True) if used)
                constant, *powers = line_of(word, measures)
                logs = constant + sum(
                    power * np.log(number[name][rows]) for power, name in zip(powers, measures, strict=True)
                )
                usual[rows] = np.exp(logs)
    return usual


def too_light(displacement_kg: FloatArray, usual_kg: FloatArray) -> BoolArray:
    """Whether a figure is so light that it may be one in kilograms read as pounds. kg, any shape."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.log(displacement_kg / usual_kg) < -LIGHT_FROM)


def too_heavy(displacement_kg: FloatArray, usual_kg: FloatArray) -> BoolArray:
    """Whether a figure is so heavy that it may be one in pounds. kg, any shape."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.log(displacement_kg / usual_kg) > HEAVY_FROM)
