"""What was computed once and is kept beside the program: read for pages, written anew by hand."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, TypeVar

PREDICTIONS, ROPE_EFFECT = "predictions.json", "rope_effect.json"


@dataclass(frozen=True)
class Prediction:
    """Strikes on one standard boat (lb) beside the published load: a single one, and median and 90th
    percentile of the varied ones (N); `share_above` of them above the published load; seconds on the crest.

    `inside` says whether her displacement is within the published range.
    """

    displacement_lb: float
    published_n: float
    single_n: float
    median_n: float
    p90_n: float
    share_above: float
    crest_s: float
    inside: bool


@dataclass(frozen=True)
class RopeEffect:
    """What one assumption on rope does: stiffness over the table's, the share of its strength that the load
    takes, the slope that then fits (rad, NaN where even a flat face gives more than the published load), and
    the peak over the published load at 7,500, 20,000 and 60,000 lb.
    """

    stiffness: float
    loaded: float
    slope_rad: float
    share_7500: float
    share_20000: float
    share_60000: float


Row = TypeVar("Row", Prediction, RopeEffect)


@cache
def predictions() -> tuple[Prediction, ...]:
    """The kept predictions, by displacement; the one at 7,500 lb is where the slope was fitted."""
    return _read(PREDICTIONS, Prediction)


@cache
def rope_effect_table() -> tuple[RopeEffect, ...]:
    """The kept effects of the rope assumption."""
    return _read(ROPE_EFFECT, RopeEffect)


def write(rows: Iterable[Row], path: Path) -> None:
    """Write one of the tables; figures to five significant digits, null where there is none."""
    kept = [{name: _short(value) for name, value in asdict(row).items()} for row in rows]
    path.write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")


def _short(value: float | bool) -> float | bool | None:
    if isinstance(value, bool):
        return value
    return None if math.isnan(value) else float(f"{value:.5g}")


def _read(name: str, kind: type[Row]) -> tuple[Row, ...]:
    kept: list[dict[str, Any]] = json.loads(files(__package__).joinpath(name).read_text(encoding="utf-8"))
    return tuple(kind(**{column: _figure(value) for column, value in row.items()}) for row in kept)


def _figure(value: Any) -> Any:
    return math.nan if value is None else value
