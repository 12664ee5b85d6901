"""The wave strike and the ride on a boat's page: what they load her with, and how far that can vary."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from sitegen.boat_drawings import Drawing, input_words
from sitegen.boat_facts import BoatFacts
from sitegen.boat_loads import Strike
from sitegen.pages.boat_figures import marks_of
from sitegen.pages.parts import Figure, shown
from sitegen.plain_text import visible
from sizing.spoken import needed, said_if_known
from sizing.units import Shown
from sizing.words import in_plain_words

COMPUTED: Final = "[CG87 5.3; calibrated; assumed]"
AS_REQUIRED: Final = "strong point, at the load it must hold"


@dataclass(frozen=True)
class SpreadView:
    """The spread of the peak load in plain words."""

    samples: str
    median: Shown | None
    p90: Shown | None
    published: str
    weakest: str
    influence: str


@dataclass(frozen=True)
class StrikeView:
    """The wave strike as shown."""

    reason: str
    no_spread: str
    figures: tuple[Figure, ...]
    spread: SpreadView | None
    shares: tuple[Figure, ...]
    sensitivity: tuple[Figure, ...]
    drawings: tuple[Drawing, ...]


def strike_view(facts: BoatFacts, drawings: tuple[Drawing, ...]) -> StrikeView | None:
    """Return the wave strike as shown, None where none was run."""
    if facts.strike is None:
        return None
    return StrikeView(
        reason=visible(facts.strike.reason_not_computed),
        no_spread=visible(facts.strike.reason_not_sampled),
        figures=_marked(_strike_figures(facts.strike, facts.strike_aboard), marks_of(facts)),
        spread=_spread(facts.strike),
        shares=tuple(
            Figure(name, value, _of(share, facts.strike.samples), "", marks_of(facts))
            for part, share in facts.strike.share_above
            for name in [AS_REQUIRED if part == "attachment" else part]
            if (value := shown(share, "ratio")) is not None
        ),
        sensitivity=tuple(
            Figure(input_words(name), value)
            for name, share in facts.strike.sensitivity
            if (value := shown(share, "ratio")) is not None
        ),
        drawings=drawings,
    )


def _marked(rows: tuple[Figure, ...], mark: str) -> tuple[Figure, ...]:
    return tuple(replace(row, mark=mark) for row in rows)


def _of(share: float, samples: int) -> str:
    return f"{round(share * samples):,} of {samples:,}" if samples else ""


def _spread(strike: Strike) -> SpreadView | None:
    if not strike.samples or not math.isfinite(strike.median_n):
        return None
    above = [(share, name) for name, share in strike.share_above if math.isfinite(share)]
    most, part = max(above, default=(0.0, ""))
    count = round(most * strike.samples)
    if not part:
        weakest = ""
    elif count:
        # An attachment's strength is what it is asked for, not what is fitted.
        limit = "what it is asked to hold" if part == "attachment" else "its strength"
        weakest = (
            f"The part most often loaded beyond {limit} is the {in_plain_words(part)}: "
            f"in {count:,} of {strike.samples:,}."
        )
    else:
        weakest = f"No part is loaded beyond its strength in any of the {strike.samples:,}."
    ordered = sorted((-share, name) for name, share in strike.sensitivity if math.isfinite(share))
    causes = [f"{input_words(name)} ({-share:.0%})".replace("%", " %") for share, name in ordered[:2]]
    influence = f"The spread comes most of all from {', then from '.join(causes)}." if causes else ""
    return SpreadView(
        f"{strike.samples:,}",
        needed(strike.median_n, "force"),
        needed(strike.p90_n, "force"),
        _published_words(strike),
        weakest,
        influence,
    )


def _published_words(strike: Strike) -> str:
    """How many of the varied strikes pass the published load, and why they can."""
    share = dict(strike.share_above_published).get("bridle leg", math.nan)
    if not math.isfinite(share):
        return ""
    count = round(share * strike.samples)
    if not count:
        return f"None of the {strike.samples:,} passes the published design load."
    verb = "passes" if count == 1 else "pass"
    return (
        f"{count:,} of the {strike.samples:,} {verb} the published design load. That load is one strike of "
        "one boat on one rope; here rope, weight, slack and wave are varied as they may be, and stiffer rope "
        "or a heavier boat is struck harder."
    )


def _strike_figures(strike: Strike, aboard: Strike | None) -> tuple[Figure, ...]:
    rows = [
        Figure("Peak load at the bridle", needed(strike.peak_n, "force"), "", COMPUTED),
        Figure("Time from the strike to the peak", shown(strike.peak_time_s, "time"), "", COMPUTED),
        speed_figure("Boat speed at the peak", strike.boat_speed_mps, COMPUTED),
        Figure("Distance run until the peak", shown(strike.distance_m, "length"), "", COMPUTED),
        Figure("Median peak of varied strikes", needed(strike.median_n, "force"), "", COMPUTED),
        Figure("Nine strikes in ten stay below", needed(strike.p90_n, "force"), "", COMPUTED),
    ]
    if aboard is not None and not aboard.reason_not_computed:
        rows.append(
            Figure("Peak load on the gear aboard today", needed(aboard.peak_n, "force"), "", COMPUTED)
        )
    return tuple(row for row in rows if row.value is not None)


def speed_figure(label: str, value_mps: float, source: str) -> Figure:
    """Return a speed in knots, as it is told at sea whatever units were chosen, with m/s beside it.

    >>> speed_figure("drift", 2.0, "[assumed]").value, speed_figure("drift", 2.0, "[assumed]").words
    (Shown(metric='3.89 kn', us='3.89 kn'), '2 m/s')
    """
    speed = shown(value_mps, "speed")
    if speed is None:
        return Figure(label, None, "", source)
    return Figure(label, Shown(speed.us, speed.us), speed.metric, source)


def ride_figures(facts: BoatFacts) -> tuple[Figure, ...]:
    """Return the loads while she lies to the drogue between strikes."""
    ride = facts.ride
    if ride is None or ride.reason_not_computed:
        return ()
    rows = (
        Figure("Greatest load at the bridle", needed(ride.greatest_n, "force"), "", "[assumed]"),
        Figure("Least load", said_if_known(ride.least_n, "force", "down"), "", "[assumed]"),
        Figure("Mean load", said_if_known(ride.mean_n, "force", "nearest"), "", "[assumed]"),
        Figure("Share of time with the line slack", shown(ride.slack_share, "ratio"), "", "[assumed]"),
        Figure("Greatest load over the lead line's new strength", shown(ride.working_share, "ratio"),
               "about 10 % is usual", "[CG87 6.3]"),
        Figure("Load cycles in an hour", shown(ride.cycles_per_hour, "count"), "", "[assumed]"),
        Figure("One storm's 10,000 cycles last", shown(ride.storm_hours, "hours"), "", "[CG87 3.3.4]"),
    )  # fmt: skip
    return _marked(tuple(row for row in rows if row.value is not None), marks_of(facts))
