"""What is varied from strike to strike: one table, from which samples, pages and documents are made.

The same table holds the nominal value of each input, so that a single strike, on the rig she needs or on the
gear aboard, and the fit of the slope all start from the same figures.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from sizing.drogue.strike.model import FloatArray
from sizing.drogue.strike.rig import StrikeRigs


@dataclass(frozen=True)
class SampledInput:
    """One input of the strike that is varied from `low` to `high`; `nominal` is its value in a single strike.

    `way` says how a value enters the `columns` of a rig: it stands in their place, is added to them, they are
    multiplied by it, or it is a share of the line from boat to end. `unit` is that of the three values (""
    for a ratio); `told` is what the input means to a reader, in words that follow "how".
    """

    name: str
    columns: tuple[str, ...]
    way: Literal["is", "plus", "times", "share of the line"]
    low: float
    high: float
    nominal: float
    distribution: Literal["uniform", "log-uniform"]
    unit: str
    source: str
    told: str
    meaning: str

    def at(self, place: FloatArray) -> FloatArray:
        """The value at places (any shape) from 0 to 1 of the distribution.

        >>> SAMPLED[5].at(np.array([0.0, 0.5, 1.0])).round(3).tolist()
        [0.7, 1.183, 2.0]
        """
        if self.distribution == "log-uniform":
            return np.asarray(self.low * (self.high / self.low) ** place)
        return self.low + (self.high - self.low) * place

    def words(self, value: float) -> str:
        """One of its values as a reader sees it.

        >>> [SAMPLED[i].words(SAMPLED[i].low) for i in (0, 1, 4, 5)]
        ['1', '-3°', '0 %', '0.7 ×']
        """
        if self.unit == "rad":
            return f"{round(math.degrees(value), 6):+g}°" if value else "0°"
        if self.way == "share of the line":
            return f"{value * 100.0:g} %"
        return f"{value:g} ×" if self.way == "times" else f"{value:g}"


SLACK: Final = SampledInput(
    "slack", ("slack_m",), "share of the line", 0.0, 0.05, 0.025, "uniform", "", "[assumed]",
    "slack the line is when she is struck",
    "slack at the boat when the crest takes her, as a share of bridle, lead line and cone line",
)  # fmt: skip
SAMPLED: Final[tuple[SampledInput, ...]] = (
    SampledInput(
        "cone drag coefficient", ("cone_drag_coefficient", "element_drag_coefficient"), "is",
        1.0, 1.4, 1.2, "uniform", "", "[HOERNER, memory]",
        "hard the cones pull",
        "drag coefficient of a cone, or of a single device, on its mouth area",
    ),
    SampledInput(
        "face slope", ("slope_rad",), "plus",
        -np.radians(3.0), np.radians(3.0), 0.0, "uniform", "rad", "[assumed]",
        "steep the face of the wave is",
        "slope of the wave's face, over or under the calibrated one",
    ),
    SampledInput(
        "crest speed", ("crest_speed_m_s",), "times",
        0.8, 1.0, 1.0, "uniform", "", "[assumed; CG87 6.2]",
        "fast the crest runs",
        "crest speed over the reference of 39 ft/s, which the source calls that of the worst waves",
    ),
    SampledInput(
        "displacement", ("displacement_kg",), "times",
        0.9, 1.1, 1.0, "uniform", "", "[assumed]",
        "heavy she is",
        "displacement over the one used for her",
    ),
    SLACK,
    SampledInput(
        "rope stiffness", ("bridle_ea_n", "lead_ea_n", "section_ea_n"), "times",
        0.7, 2.0, 1.0, "log-uniform", "", "[assumed]",
        "stiff the rope is",
        "stiffness of all rope over the table's of 3.54 breaking loads for a stretch of one; sources "
        "on nylon say 0.7 to 9.9",
    ),
)  # fmt: skip


def line_m(boats: StrikeRigs) -> FloatArray:
    """Line from boat to end: bridle along the pull, lead line, sections. m, (n,)."""
    return np.asarray(boats.bridle_length_m + boats.lead_length_m + boats.section_length_m.sum(axis=1))


def with_nominal_slack(boats: StrikeRigs) -> StrikeRigs:
    """The rigs with the slack that a single strike starts from, a share of each one's line. [assumed]"""
    return replace(boats, slack_m=SLACK.nominal * line_m(boats))


def sample_rows(boats: StrikeRigs, points: FloatArray) -> NDArray[np.void]:
    """The records of every boat at every point (samples, inputs) of the unit cube, shape (boats, samples)."""
    many = np.repeat(boats.rows()[:, None], len(points), axis=1)
    line = line_m(boats)[:, None]
    for sampled, place in zip(SAMPLED, points.T, strict=True):
        value = sampled.at(place)
        for column in sampled.columns:
            here = value if many[column].ndim == 2 else value[:, None]
            if sampled.way == "is":
                many[column] = here
            elif sampled.way == "plus":
                many[column] += here
            elif sampled.way == "times":
                many[column] *= here
            else:
                many[column] = line * here
    return many
