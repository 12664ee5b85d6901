"""How far the peak load of a wave strike spreads over the sampled inputs, and which input spreads it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from sitegen.drawings.element import d
from sitegen.drawings.lettering import Words, fitted
from sitegen.drawings.marks import DASH_DOT, DASHED, DOTTED, Sample, finish, line_sample, make_plot
from sitegen.drawings.sheet import SKETCH, Sheet
from sizing.spoken import said, spoken
from sizing.units import both, show

_DOTS = 50
_DASHES = (DASHED, DOTTED, DASH_DOT, "12 3")


@dataclass(frozen=True)
class PeakSpread:
    """Peak loads of varied strikes (N), their median and 90th percentile, and loads to compare with.

    `samples_n` are all the peaks of the `strikes`, or quantiles of them; `limits` are (words, N).
    """

    strikes: int
    samples_n: Sequence[float]
    median_n: float
    p90_n: float
    limits: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class SensitivityBars:
    """Each sampled input's share in the spread of the peak load, (words, share); shares add up to 1."""

    shares: tuple[tuple[str, float], ...]


def quantile_dots(samples: Sequence[float], dots: int = _DOTS) -> list[float]:
    """Return quantiles at the middles of equal shares, so that each stands for one strike in `dots`.

    >>> quantile_dots([1.0, 2.0, 3.0], 3)
    [1.0, 2.0, 3.0]
    """
    ordered = sorted(samples)
    last = len(ordered) - 1.0
    places = [min(max((i + 0.5) / dots * len(ordered) - 0.5, 0.0), last) for i in range(dots)]
    found = []
    for place in places:
        low = math.floor(place)
        high = min(low + 1, len(ordered) - 1)
        found.append(ordered[low] + (place - low) * (ordered[high] - ordered[low]))
    return found


def draw_peak_spread(prefix: str, spread: PeakSpread) -> str:
    """Return a dot plot of the sampled peak loads."""
    limits = "; ".join(f"{name} {spoken(load, 'force')}" for name, load in spread.limits)
    sheet = Sheet(
        prefix,
        SKETCH,
        "How the peak load of a wave strike may spread",
        f"Over {spread.strikes:,} varied strikes half of the peaks lie above "
        f"{spoken(spread.median_n, 'force')} and "
        f"one in ten above {spoken(spread.p90_n, 'force')}. "
        + (f"To compare with: {limits}." if limits else ""),
    )
    quantiles = quantile_dots(spread.samples_n)
    values = [*quantiles, spread.median_n, spread.p90_n, *(load for _, load in spread.limits)]
    low, high = min(values), max(values)
    margin = 0.06 * (high - low) or 0.1 * high
    radius = 4.2
    room = sheet.width - 30.0
    bins = max(8, int(room / (2.0 * radius + 1.0)))
    start, width = low - margin, (high - low + 2.0 * margin) / bins
    columns: dict[int, int] = {}
    heights = []
    for value in quantiles:
        column = int((value - start) / width)
        heights.append((column, columns.get(column, 0)))
        columns[column] = columns.get(column, 0) + 1
    pitch = min(2.0 * radius + 1.0, 230.0 / max(columns.values()))
    height = max(90.0, pitch * max(columns.values()) + 24.0)
    plot = make_plot(
        sheet,
        (start, high + margin),
        (0.0, height),
        ("peak load in the bridle", "force"),
        None,
        height=height,
        top=16.0,
    )
    base = plot.y.at(0.0)
    marks: list[tuple[str, float, str | None, str]] = [
        ("median", spread.median_n, None, "ink"),
        ("90th percentile", spread.p90_n, "12 3", "ink"),
    ]
    marks += [(name, load, _DASHES[i % 4], "b") for i, (name, load) in enumerate(spread.limits)]
    entries: list[tuple[Sample, Words]] = [
        (lambda x, y: sheet.circle(x + 11.0, y, 4.5, "a", 1.0, area="a"), f"one strike in {_DOTS}")
    ]
    dots = "".join(
        d(
            "M",
            round(plot.x.at(start + (column + 0.5) * width), 1),
            round(base - radius - 1.0 - row * pitch, 1),
            "h0",
        )
        for column, row in heights
    )
    sheet.path(dots, "a", min(2.0 * radius, 0.92 * pitch), part="quantiles")
    for name, load, dash, role in marks:
        x = plot.x.at(load)
        line = 1.6 if role == "ink" else 2.0
        sheet.line(x, base, x, plot.y.at(height), "ink" if role == "ink" else "b", line, dash, part="limit")
        entries.append(
            (
                line_sample(sheet, "ink" if role == "ink" else "b", dash, line),
                (f"{name} ", said(load, "force")),
            )
        )
    return finish(plot, entries).svg()


def draw_sensitivity(prefix: str, bars: SensitivityBars) -> str:
    """Return bars of each input's share in the spread, largest first."""
    ordered = sorted(bars.shares, key=lambda item: -item[1])
    in_words = ", ".join(f"{name} {both(share, 'ratio')}" for name, share in ordered)
    sheet = Sheet(prefix, SKETCH, "What the spread of the peak load comes from", f"Shares: {in_words}.")
    room = sheet.width - 16.0 - 64.0
    largest = max(share for _, share in ordered)
    y = 6.0
    for name, share in ordered:
        sheet.text(8.0, y + sheet.font, fitted(name, sheet.font, sheet.width - 16.0))
        y += sheet.font + 6.0
        width = max(share, 0.0) / largest * room
        sheet.rect(8.0, y, width, 10.0, "a", 1.0, area="a", part="share")
        sheet.text(8.0 + width + 8.0, y + 9.5, show(share, "ratio"), tone="muted", size=sheet.font - 1.0)
        y += 22.0
    sheet.height = y
    return sheet.svg()
