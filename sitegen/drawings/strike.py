"""One computed wave strike against time: load in the bridle, and speed of the boat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sitegen.drawings.axes import Axis, curve_on, left_room, thinned
from sitegen.drawings.lettering import Words
from sitegen.drawings.marks import (
    DASH_DOT,
    DASHED,
    DOTTED,
    Mark,
    Sample,
    draw_marks,
    draw_symbol,
    finish,
    line_sample,
    make_plot,
    symbol_sample,
)
from sitegen.drawings.sheet import SKETCH, Sheet, polyline
from sizing.spoken import Toward, said, spoken
from sizing.units import both, show

_LIMIT_DASHES = (DASHED, DOTTED, DASH_DOT, "12 3")


@dataclass(frozen=True)
class StrikeHistory:
    """Bridle load (N) and boat speed (m/s) over time (s); the peak; and loads to compare with, (words, N)."""

    time_s: Sequence[float]
    bridle_load_n: Sequence[float]
    boat_speed_mps: Sequence[float]
    peak_time_s: float
    peak_load_n: float
    limits: tuple[tuple[str, float], ...] = ()


def draw_strike_history(prefix: str, history: StrikeHistory) -> str:
    """Return two plots over one time axis."""
    # The first is what she plans for, all further ones are strengths: what holds is rounded down.
    toward: list[Toward] = ["down" if i else "up" for i in range(len(history.limits))]
    limits = "; ".join(
        f"{name} {spoken(load, 'force', side)}"
        for (name, load), side in zip(history.limits, toward, strict=True)
    )
    sheet = Sheet(
        prefix,
        SKETCH,
        "A computed wave strike over time",
        f"The load in the bridle peaks at {spoken(history.peak_load_n, 'force')} after "
        f"{both(history.peak_time_s, 'time')}; "
        f"the boat slows from {both(history.boat_speed_mps[0], 'speed')} to "
        f"{both(history.boat_speed_mps[-1], 'speed')}. " + (f"To compare with: {limits}." if limits else ""),
    )
    marks = [
        Mark(load, (f"{name} ", said(load, "force", toward[i])), "c" if i else "b", _LIMIT_DASHES[i % 4], 1.6)
        for i, (name, load) in enumerate(history.limits)
    ]
    peak: Words = ("peak ", said(history.peak_load_n, "force"), " at ", show(history.peak_time_s, "time"))
    span = (history.time_s[0], history.time_s[-1])
    highest = max(history.bridle_load_n)
    top = 1.08 * max([highest, history.peak_load_n, *(load for _, load in history.limits)])
    fastest, slowest = max(history.boat_speed_mps), min(history.boat_speed_mps)
    slowest = min(slowest, 0.0)
    size = sheet.font - 1.0
    left = 4.0 + max(
        left_room(Axis(0.0, top, 1.0, 0.0), "force", size),
        left_room(Axis(slowest, fastest * 1.1, 1.0, 0.0), "speed", size),
    )
    load = make_plot(
        sheet,
        span,
        (0.0, top),
        ("time", "time"),
        ("load in the bridle", "force"),
        height=190.0,
        left=left,
    )
    trace = thinned(curve_on(load.x, load.y, history.time_s, history.bridle_load_n))
    base = load.y.at(0.0)
    sheet.path(polyline([(trace[0][0], base), *trace, (trace[-1][0], base)], closed=True), None, area="sea")
    entries: list[tuple[Sample, Words]] = [(line_sample(sheet, "a", None, 2.2), "load in the bridle")]
    entries += draw_marks(load, marks)
    sheet.path(polyline(trace), "a", 2.2, part="load")
    draw_symbol(sheet, "ring", load.x.at(history.peak_time_s), load.y.at(history.peak_load_n), "ink")
    entries.append((symbol_sample(sheet, "ring", "ink"), peak))
    speed = make_plot(
        sheet,
        span,
        (slowest, fastest * 1.1),
        ("time", "time"),
        ("speed of the boat", "speed"),
        height=110.0,
        top=load.below + 30.0,
        left=left,
    )
    slowing = thinned(curve_on(speed.x, speed.y, history.time_s, history.boat_speed_mps))
    sheet.path(polyline(slowing), "c", 2.2, dash="10 2", part="speed")
    at_peak = load.x.at(history.peak_time_s)
    sheet.line(at_peak, load.y.at(history.peak_load_n) + 5.0, at_peak, base, "muted", 0.8, "2 3")
    at_peak = speed.x.at(history.peak_time_s)
    sheet.line(at_peak, speed.y.start, at_peak, speed.y.end, "muted", 0.8, "2 3")
    entries.append((line_sample(sheet, "c", "10 2", 2.2), "speed of the boat"))
    return finish(speed, entries).svg()
