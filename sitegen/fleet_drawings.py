"""The drawings of the whole fleet, for the overview."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from sitegen import drawings as svg
from sitegen.boat_drawings import Drawing, drawing
from sitegen.boat_facts import Gatherer
from sitegen.plain_text import visible
from sizing.drogue.calibration import CALIBRATION_POUNDS, Prediction
from sizing.drogue.loads import design_load_n
from sizing.drogue.published import (
    HIGH_DISPLACEMENT_KG,
    HIGH_LOAD_N,
    LOW_DISPLACEMENT_KG,
    LOW_LOAD_N,
    POUND_KG,
)
from sizing.model import CheckColumns, Standing
from sizing.policy import Policy
from sizing.units import both
from sizing.words import in_plain_words

ATTACHMENT_CHECK: Final = "attachment.load"
PUBLISHED: Final = (
    (LOW_DISPLACEMENT_KG, LOW_LOAD_N, "published, 7,500 lb"),
    (HIGH_DISPLACEMENT_KG, HIGH_LOAD_N, "published, 60,000 lb"),
)
MOST_BOATS_DRAWN: Final = 400
"""Above this a dot a boat is no longer a picture, and the table says more."""


def fleet_drawings(gatherer: Gatherer, policy: Policy) -> tuple[Drawing, ...]:
    """Return what the overview shows of all boats together."""
    return tuple(_all(gatherer, policy)) if len(gatherer) else ()


def design_load_drawing(predictions: Sequence[Prediction]) -> Drawing:
    """Return the published loads beside the program's own strikes on standard boats."""
    masses = [row.displacement_lb * POUND_KG for row in predictions]
    low, high = min(LOW_DISPLACEMENT_KG, *masses), max(HIGH_DISPLACEMENT_KG, *masses)
    load = svg.DesignLoad(
        tuple((float(d), design_load_n(float(d))) for d in np.geomspace(low, high, 24)),
        PUBLISHED,
        tuple(
            svg.StrikePoint(mass, row.single_n, row.published_n)
            for mass, row in zip(masses, predictions, strict=True)
        ),
        [row.displacement_lb for row in predictions].index(CALIBRATION_POUNDS),
    )
    return drawing(
        svg.draw_design_load("design-load", load),
        "The published design loads, the line between them, and this program's own wave strikes on rigs "
        "that meet the published load with rope of its own catalogue. The wave's slope was fitted at "
        f"{both(CALIBRATION_POUNDS * POUND_KG, 'mass')}; the other strikes are predictions. Outside the "
        "shaded range nothing is published.",
    )


def _all(gatherer: Gatherer, policy: Policy) -> Iterator[Drawing]:
    yield drawing(
        svg.draw_gaps_by_family("families-plot", svg.GapsByFamily(_families(gatherer.result.checks))),
        "All findings of the fleet by kind of check. Not shown means that nobody gave evidence; it never "
        "counts as a pass.",
    )
    if len(gatherer) <= MOST_BOATS_DRAWN:
        boats = tuple(_boats(gatherer))
        if boats:
            yield drawing(
                svg.draw_fleet_scatter("loads-plot", _scatter(boats, policy)),
                "Each boat's design load, and what one of her strong points is known to hold.",
            )


def _families(checks: Sequence[CheckColumns]) -> tuple[svg.FamilyGaps, ...]:
    counts: dict[str, dict[str, int]] = defaultdict(lambda: {s.words: 0 for s in Standing})
    for column in checks:
        for standing in Standing:
            counts[column.check.family][standing.words] += int((column.standing == int(standing)).sum())
    return tuple(svg.FamilyGaps(in_plain_words(family), found) for family, found in counts.items())


def _boats(gatherer: Gatherer) -> Iterator[svg.FleetBoat]:
    needs, strike = gatherer.result.requirements, gatherer.result.strike
    known = next((c.found for c in gatherer.result.checks if c.check.id == ATTACHMENT_CHECK), None)
    for row in range(len(gatherer)):
        if row in needs.not_computed or not gatherer.is_public(row):
            continue
        yield svg.FleetBoat(
            visible(str(gatherer.fleet.text["boat_name"][row] or "")),
            float(needs.displacement_used_kg[row]),
            float(needs.design_load_n[row]),
            _known(strike.peak_n[row]) if strike is not None else None,
            _known(known[row]) if known is not None else None,
        )


def _known(value: np.float64) -> float | None:
    return float(value) if np.isfinite(value) and value > 0.0 else None


def _scatter(boats: tuple[svg.FleetBoat, ...], policy: Policy) -> svg.FleetScatter:
    low = min(LOW_DISPLACEMENT_KG, *(b.displacement_kg for b in boats))
    high = max(HIGH_DISPLACEMENT_KG, *(b.displacement_kg for b in boats))
    rule = [float(d) for d in np.geomspace(low, high, 24)]
    return svg.FleetScatter(
        boats, tuple((d, design_load_n(d)) for d in rule), PUBLISHED, policy.sizing.attachment_share
    )
