"""Drift of the boat, lying to her drogue, against the wind."""

from __future__ import annotations

from dataclasses import dataclass

from sitegen.drawings.axes import wind_words
from sitegen.drawings.lettering import Words
from sitegen.drawings.marks import Sample, draw_symbol, finish, line_sample, make_plot, symbol_sample
from sitegen.drawings.sheet import SKETCH, Sheet, polyline
from sizing.units import both, show, si_factor


@dataclass(frozen=True)
class DriftCurve:
    """Drift speed over wind speed (m/s), middle and ends, and the winds to be marked, (wind, drift)."""

    wind_mps: tuple[float, ...]
    drift_mps: tuple[float, ...]
    low_mps: tuple[float, ...]
    high_mps: tuple[float, ...]
    marks: tuple[tuple[float, float], ...] = ()


def draw_drift(prefix: str, curve: DriftCurve) -> str:
    """Return the plot of drift against wind; wind is in knots in both unit systems."""
    sheet = Sheet(
        prefix,
        SKETCH,
        "Drift against wind, lying to the drogue",
        f"Drift rises from {both(curve.drift_mps[0], 'speed')} in "
        f"{wind_words(curve.wind_mps[0]).metric} of wind to "
        f"{both(curve.drift_mps[-1], 'speed')} in {wind_words(curve.wind_mps[-1]).metric}; there it may be "
        f"from {both(curve.low_mps[-1], 'speed')} to {both(curve.high_mps[-1], 'speed')}.",
    )
    top = max(curve.high_mps) * 1.15
    plot = make_plot(
        sheet, (curve.wind_mps[0], curve.wind_mps[-1]), (0.0, top), ("wind", "wind"), ("drift", "speed")
    )
    for drifts, dash, width, part in (
        (curve.low_mps, "4 3", 1.2, "low"),
        (curve.high_mps, "4 3", 1.2, "high"),
        (curve.drift_mps, None, 2.2, "curve"),
    ):
        d = polyline([(plot.x.at(w), plot.y.at(v)) for w, v in zip(curve.wind_mps, drifts, strict=True)])
        sheet.path(d, "a", width, dash=dash, part=part)
    entries: list[tuple[Sample, Words]] = [
        (line_sample(sheet, "a", None, 2.2), "drift by wind alone"),
        (line_sample(sheet, "a", "4 3", 1.2), "low and high end"),
    ]
    for wind, drift in curve.marks:
        draw_symbol(sheet, "ring", plot.x.at(wind), plot.y.at(drift), "ink")
        entries.append(
            (
                symbol_sample(sheet, "ring", "ink"),
                (
                    wind_words(wind),
                    ": ",
                    show(drift, "speed"),
                    ", ",
                    f"{_miles(drift * 86400.0)} nautical miles a day",
                ),
            )
        )
    return finish(plot, entries).svg()


def _miles(distance_m: float) -> str:
    miles = distance_m / si_factor("nautical_mile")
    return f"{miles:,.0f}" if miles >= 100.0 else f"{miles:.1f}"
