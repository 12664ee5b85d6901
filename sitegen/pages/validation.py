"""What was checked against what: the formulas called anew, beside values from outside the program."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from sitegen.pages.parts import shown
from sizing.drogue.attachment import stress_area_m2
from sizing.drogue.calibration import CALIBRATION_POUNDS, Prediction
from sizing.drogue.drag import cones_required, mouth_area_m2, required_mouth_area_m2
from sizing.drogue.lengths import cone_line_m
from sizing.drogue.loads import attachment_load_n, design_load_n
from sizing.drogue.published import (
    FOOT_M,
    HIGH_LOAD_N,
    INCH_M,
    LOW_LOAD_N,
    POUND_FORCE_N,
    POUND_KG,
)
from sizing.drogue.strike import deep_water_crest_speed_m_s
from sizing.units import Shown

MOUTH_M = 5 * INCH_M


@dataclass(frozen=True)
class Comparison:
    """One value from outside beside the program's own. `standing` says what the comparison is worth."""

    what: str
    at: Shown | None
    outside: Shown | None
    outside_words: str
    computed: Shown | None
    difference: str
    standing: str
    source: str


def comparisons(predictions: Sequence[Prediction]) -> tuple[Comparison, ...]:
    """Return all comparisons; `predictions` are the program's own strikes on standard boats."""
    return (*_sizes(), *_loads(), *_strikes(predictions))


def _row(
    what: str,
    at_pounds: float | None,
    values: tuple[float, float],
    dimension: str,
    told: tuple[str, str, str],
) -> Comparison:
    """One comparison: `values` are (outside, computed) in SI, `told` are (words, standing, source)."""
    outside, computed = values
    words, standing, source = told
    return Comparison(
        what,
        None if at_pounds is None else shown(at_pounds * POUND_KG, "mass"),
        shown(outside, dimension),
        words,
        shown(computed, dimension),
        difference_words(outside, computed),
        standing,
        source,
    )


def difference_words(outside: float, computed: float) -> str:
    """Return how far the computed value is off, with its sign.

    >>> difference_words(100.0, 101.04), difference_words(36_000.0, 36_000.000001)
    ('+1.0 %', 'none')
    """
    share = computed / outside - 1.0
    return "none" if abs(share) < 5e-5 else f"{share * 100.0:+.1f} %"


def _cones(pounds: float) -> float:
    return float(cones_required(np.asarray([required_mouth_area_m2(pounds * POUND_KG)]), MOUTH_M)[0])


def _sizes() -> Iterator[Comparison]:
    rule = "follows from the rule"
    yield _row(
        "Cones of 5 in",
        7_500,
        (90.0, _cones(7_500)),
        "count",
        ("in the report's own test piece", "another figure of the same source", "[CG87 4.1.1]"),
    )
    yield _row(
        "Cones of 5 in",
        10_000,
        (100.0, _cones(10_000)),
        "count",
        ("about, by common practice", "another origin, without a source", "[practice]"),
    )
    by_hand = math.ceil((5.5 * FOOT_M / MOUTH_M) ** 2)
    yield _row(
        "Cones of 5 in",
        60_000,
        (float(by_hand), _cones(60_000)),
        "count",
        ("(5.5 ft / 5 in) squared, rounded up", rule, "[CG87 6.1]"),
    )
    single = float(mouth_area_m2(4.0 * FOOT_M))
    yield _row(
        "Drag area of 90 cones of 5 in",
        7_500,
        (single, 90.0 * float(mouth_area_m2(MOUTH_M))),
        "area",
        ("of the 4 ft drogue they stood for", "another figure of the same source", "[CG87 4.1.1, 6.1]"),
    )
    yield _row(
        "Length of 90 cones at 20 in",
        None,
        (150.0 * FOOT_M, cone_line_m(90.0, 20 * INCH_M, 0.0)),
        "length",
        ("of the report's test piece", "the pitch was taken from it", "[CG87 4.1.1]"),
    )
    crest = deep_water_crest_speed_m_s(300.0 * FOOT_M)
    yield _row(
        "Crest speed of a wave 300 ft long",
        None,
        (39.0 * FOOT_M, crest),
        "speed",
        ("39 ft/s", "theory beside the figure of the source", "[CG87 6.2]"),
    )
    area = stress_area_m2(0.012, 0.00175) * 1e6
    yield Comparison(
        "Stress area of an M12 bolt",
        None,
        Shown("84.3 mm²", "84.3 mm²"),
        "in the standard's table",
        Shown(f"{area:.1f} mm²", f"{area:.1f} mm²"),
        difference_words(84.3, round(area, 1)),
        "independent",
        "[ISO 898-1]",
    )


def _loads() -> Iterator[Comparison]:
    for pounds, load, words in (
        (7_500, LOW_LOAD_N, "equal to displacement: 7,500 lbf"),
        (60_000, HIGH_LOAD_N, "60 % of displacement: 36,000 lbf"),
    ):
        yield _row(
            "Design load",
            pounds,
            (load, design_load_n(pounds * POUND_KG)),
            "force",
            (words, "the rule is drawn through it", "[CG87 6.2]"),
        )
    yield _row(
        "Load on each strong point",
        7_500,
        (5_300.0 * POUND_FORCE_N, attachment_load_n(design_load_n(7_500 * POUND_KG), 0.70)),
        "force",
        ("5,300 lbf, rounded", "the rule itself, rounded by the source", "[CG87 6.4]"),
    )


def _strikes(predictions: Sequence[Prediction]) -> Iterator[Comparison]:
    for load, words in (
        (LOW_LOAD_N, "largest load of a severe strike: 7,500 lbf"),
        (HIGH_LOAD_N, "largest load of a severe strike: 36,000 lbf"),
    ):
        for row in predictions:
            if math.isclose(row.published_n, load, rel_tol=1e-4):
                fitted = row.displacement_lb == CALIBRATION_POUNDS
                yield _row(
                    "Peak of a computed wave strike",
                    row.displacement_lb,
                    (load, row.single_n),
                    "force",
                    (words, "the wave's slope was fitted here" if fitted else "prediction", "[CG87 6.2]"),
                )
