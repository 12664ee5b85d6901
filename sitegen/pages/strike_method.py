"""What the method page tells of the wave strike: how it was fitted, what it predicts, what it rests on."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from sitegen.pages.parts import shown
from sizing.drogue.calibration import CALIBRATION_POUNDS, Prediction, predictions, rope_effect_table
from sizing.drogue.published import POUND_KG
from sizing.drogue.strike import DEFAULT_SLOPE_RAD, SAMPLED
from sizing.drogue.strike.assumptions import (
    ALSO_ASSUMED,
    CALIBRATION,
    LEFT_OUT,
    MEASURED,
    Constant,
    Told,
    constants,
)
from sizing.units import Shown

DIMENSIONS: Final = {"m": "length", "m/s": "speed", "kg": "mass", "rad": "angle", "s": "time"}


@dataclass(frozen=True)
class PredictionRow:
    """Computed strikes on one standard boat beside the published load."""

    at: Shown | None
    published: Shown | None
    single: Shown | None
    single_share: Shown | None
    p90_share: Shown | None
    above: Shown | None
    crest: Shown | None
    standing: str


@dataclass(frozen=True)
class RopeRow:
    """What one assumption on rope does to the fit and to the predictions."""

    stiffness: str
    loaded: Shown | None
    slope: Shown | None
    shares: tuple[Shown | None, ...]


@dataclass(frozen=True)
class SampledRow:
    """One input that is varied from strike to strike."""

    meaning: str
    low: str
    high: str
    nominal: str
    distribution: str
    source: str


@dataclass(frozen=True)
class ConstantRow:
    """One value that is the same for every boat."""

    meaning: str
    value: Shown | None
    source: str


@dataclass(frozen=True)
class StrikeMethod:
    """Everything the page's section on the wave strike shows."""

    calibration: str
    slope: Shown | None
    predictions: tuple[PredictionRow, ...]
    ropes: tuple[RopeRow, ...]
    sampled: tuple[SampledRow, ...]
    constants: tuple[ConstantRow, ...]
    also_assumed: tuple[Told, ...]
    left_out: tuple[str, ...]
    measured: tuple[Told, ...]


def strike_method() -> StrikeMethod:
    """Return what the program declares of its wave strike, ready to be shown."""
    return StrikeMethod(
        calibration=CALIBRATION,
        slope=shown(DEFAULT_SLOPE_RAD, "angle"),
        predictions=tuple(_prediction(row) for row in predictions()),
        ropes=tuple(_ropes()),
        sampled=tuple(
            SampledRow(
                s.meaning, s.words(s.low), s.words(s.high), s.words(s.nominal), s.distribution, s.source
            )
            for s in SAMPLED
        ),
        constants=tuple(ConstantRow(c.meaning, _value(c), c.source) for c in constants()),
        also_assumed=ALSO_ASSUMED,
        left_out=LEFT_OUT,
        measured=MEASURED,
    )


def calibrated(row: Prediction) -> bool:
    """Whether the slope was fitted on this boat."""
    return math.isclose(row.displacement_lb, CALIBRATION_POUNDS)


def _prediction(row: Prediction) -> PredictionRow:
    standing = "prediction" if row.inside else "prediction outside the published range"
    return PredictionRow(
        at=shown(row.displacement_lb * POUND_KG, "mass"),
        published=shown(row.published_n, "force"),
        single=shown(row.single_n, "force"),
        single_share=shown(row.single_n / row.published_n, "ratio"),
        p90_share=shown(row.p90_n / row.published_n, "ratio"),
        above=shown(row.share_above, "ratio"),
        crest=shown(row.crest_s, "time"),
        standing="the slope was fitted here" if calibrated(row) else standing,
    )


def _ropes() -> Iterator[RopeRow]:
    for row in rope_effect_table():
        shares = (row.share_7500, row.share_20000, row.share_60000)
        yield RopeRow(
            f"{row.stiffness:g} ×",
            shown(row.loaded, "ratio"),
            shown(row.slope_rad, "angle"),
            tuple(shown(share, "ratio") for share in shares),
        )


def _value(constant: Constant) -> Shown | None:
    dimension = DIMENSIONS.get(constant.unit)
    if dimension is not None:
        return shown(constant.value, dimension)
    text = f"{constant.value:,g} {constant.unit.replace('m3', 'm³')}".strip()
    return Shown(text, text)
