"""What was checked against what: the formulas called anew, beside values from outside the program."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np

from sitegen.ladder import Rung
from sitegen.pages.parts import shown
from sizing.drogue.attachment import stress_area_m2
from sizing.drogue.drag import cones_required, mouth_area_m2, required_mouth_area_m2
from sizing.drogue.lengths import cone_line_m
from sizing.drogue.loads import attachment_load_n, design_load_n
from sizing.drogue.published import (
    FOOT_M,
    HIGH_DISPLACEMENT_KG,
    HIGH_LOAD_N,
    INCH_M,
    LOW_DISPLACEMENT_KG,
    LOW_LOAD_N,
    POUND_FORCE_N,
    POUND_KG,
)
from sizing.drogue.strike import deep_water_crest_speed_m_s
from sizing.units import Shown

MOUTH_M: Final = 5 * INCH_M
INDEPENDENT: Final = "independent"
Row: TypeAlias = tuple[str, float | None, float, float, str, str, str, str]


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


def comparisons(rungs: Sequence[Rung]) -> tuple[Comparison, ...]:
    """Return all comparisons; `rungs` are the program's own strikes on standard boats."""
    bolt = stress_area_m2(0.012, 0.00175) * 1e6
    area = Comparison(
        "Stress area of an M12 bolt", None, Shown("84.3 mm²", "84.3 mm²"), "in the standard's table",
        Shown(f"{bolt:.1f} mm²", f"{bolt:.1f} mm²"), difference_words(84.3, round(bolt, 1)), INDEPENDENT,
        "[ISO 898-1]",
    )  # fmt: skip
    loads = (_compared(*row) for row in (*_loads(), *_strikes(rungs)))
    return (*(_compared(*row) for row in _sizes()), area, *loads)


def _compared(
    what: str, pounds: float | None, outside: float, computed: float,
    dimension: str, words: str, standing: str, source: str,
) -> Comparison:  # fmt: skip
    """One comparison of two values in SI, at a displacement in pounds."""
    at = None if pounds is None else shown(pounds * POUND_KG, "mass")
    off = difference_words(outside, computed)
    return Comparison(
        what, at, shown(outside, dimension), words, shown(computed, dimension), off, standing, source
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


# What; at how many pounds; the value from outside and ours (SI), their dimension; words on the value from
# outside; what the comparison is worth; source.
def _sizes() -> tuple[Row, ...]:
    by_hand = float(math.ceil((5.5 * FOOT_M / MOUTH_M) ** 2))
    single, ninety = float(mouth_area_m2(4.0 * FOOT_M)), 90.0 * float(mouth_area_m2(MOUTH_M))
    line, crest = cone_line_m(90.0, 20 * INCH_M, 0.0), deep_water_crest_speed_m_s(300.0 * FOOT_M)
    return (
        ("Cones of 5 in", 7_500, 90.0, _cones(7_500), "count",
         "in the report's own test piece", INDEPENDENT, "[CG87 4.1.1]"),
        ("Cones of 5 in", 10_000, 100.0, _cones(10_000), "count",
         "about, by common practice", INDEPENDENT, "[practice]"),
        ("Cones of 5 in", 60_000, by_hand, _cones(60_000), "count",
         "(5.5 ft / 5 in) squared, rounded up", "follows from the rule", "[CG87 6.1]"),
        ("Drag area of 90 cones of 5 in", 7_500, single, ninety, "area",
         "of the 4 ft drogue they stood for", INDEPENDENT, "[CG87 4.1.1, 6.1]"),
        ("Length of 90 cones at 20 in", None, 150.0 * FOOT_M, line, "length",
         "of the report's test piece", INDEPENDENT, "[CG87 4.1.1]"),
        ("Crest speed of a wave 300 ft long", None, 39.0 * FOOT_M, crest, "speed",
         "39 ft/s", INDEPENDENT, "[CG87 6.2]"),
    )  # fmt: skip


def _loads() -> tuple[Row, ...]:
    low, high = design_load_n(7_500 * POUND_KG), design_load_n(60_000 * POUND_KG)
    return (
        ("Design load", 7_500, LOW_LOAD_N, low, "force",
         "equal to displacement: 7,500 lbf", "the rule is drawn through it", "[CG87 6.2]"),
        ("Design load", 60_000, HIGH_LOAD_N, high, "force",
         "60 % of displacement: 36,000 lbf", "the rule is drawn through it", "[CG87 6.2]"),
        ("Load on each attachment", 7_500, 5_300.0 * POUND_FORCE_N, attachment_load_n(low, 0.70), "force",
         "5,300 lbf, rounded", INDEPENDENT, "[CG87 6.4]"),
    )  # fmt: skip


def _strikes(rungs: Sequence[Rung]) -> Iterator[Row]:
    for displacement, load, words in (
        (LOW_DISPLACEMENT_KG, LOW_LOAD_N, "largest load of a severe strike: 7,500 lbf"),
        (HIGH_DISPLACEMENT_KG, HIGH_LOAD_N, "largest load of a severe strike: 36,000 lbf"),
    ):
        for rung in rungs:
            if math.isclose(rung.displacement_kg, displacement, rel_tol=1e-6):
                worth = "the wave's slope was set here" if rung.calibrated else "prediction"
                what, pounds = "Peak of a computed wave strike", displacement / POUND_KG
                yield what, pounds, load, rung.peak_n, "force", words, worth, "[CG87 6.2]"
