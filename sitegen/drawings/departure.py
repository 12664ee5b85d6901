"""The days to the departure as a strip with its milestones."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from sitegen.dates import days_words, long_date
from sitegen.drawings.lettering import BOLD, fitted, spread, wrapped
from sitegen.drawings.sheet import Frame, Sheet, both_widths

MOST_ROWS = 4
"""Rows given to the words of one day, enough for the longest name the policy takes."""


@dataclass(frozen=True)
class Milestone:
    """One day by which something has to be done."""

    day: datetime.date
    words: str


@dataclass(frozen=True)
class DepartureStrip:
    """The day the site was made, the day of departure, and what has to happen between (or before)."""

    today: datetime.date
    departure: datetime.date
    milestones: tuple[Milestone, ...] = ()


def draw_departure_strip(prefix: str, strip: DepartureStrip) -> str:
    """Return the strip, level for wide and upright for narrow screens; kinds of days differ in shape."""
    return both_widths(lambda frame: _draw(prefix, frame, strip))


def _events(strip: DepartureStrip) -> list[tuple[datetime.date, str, str]]:
    events = [(m.day, m.words, "done by" if m.day < strip.today else "milestone") for m in strip.milestones]
    events += [(strip.today, "this page was made", "today"), (strip.departure, "departure", "departure")]
    order = {"done by": 0, "today": 1, "milestone": 2, "departure": 3}
    return sorted(events, key=lambda e: (e[0], order[e[2]], e[1]))


def _draw(prefix: str, frame: Frame, strip: DepartureStrip) -> Sheet:
    events = _events(strip)
    in_words = "; ".join(f"{long_date(day)}: {words}" for day, words, _ in events)
    sheet = Sheet(prefix, frame, f"Departure {days_words(strip.departure, strip.today)}", f"{in_words}.")
    first, last = events[0][0], events[-1][0]
    span = max((last - first).days, 1)
    upright = frame.narrow or len(events) > 5
    size = sheet.font - 1.0
    if upright:
        _upright(sheet, strip, events)
        return sheet
    start, end = 40.0, sheet.width - 40.0
    column = (sheet.width - 8.0) / len(events)
    places = [start + (day - first).days / span * (end - start) for day, _, _ in events]
    labels = spread(places, [column] * len(events), 4.0, sheet.width - 4.0)
    sheet.line(places[0], 20.0, places[-1], 20.0, "muted", 1.4, part="strip")
    deepest = 0
    for (day, words, kind), at, label in zip(events, places, labels, strict=True):
        _stop(sheet, at, 20.0, kind)
        sheet.line(at, 27.0, label, 42.0, "muted", 0.6)
        rows = wrapped(words, size * BOLD, column - 10.0)[:MOST_ROWS]
        deepest = max(deepest, len(rows))
        sheet.text(label, 56.0, long_date(day), anchor="middle", size=size, tone="muted")
        sheet.text(
            label,
            56.0 + size * 1.3,
            days_words(day, strip.today),
            anchor="middle",
            size=size,
            tone="muted",
        )
        for i, row in enumerate(rows):
            sheet.text(
                label,
                56.0 + size * 1.3 * (i + 2),
                row,
                anchor="middle",
                size=size,
                bold=kind in {"today", "departure"},
            )
    sheet.height = 56.0 + size * 1.3 * (deepest + 1) + 8.0
    return sheet


def _upright(sheet: Sheet, strip: DepartureStrip, events: list[tuple[datetime.date, str, str]]) -> None:
    """Draw the days below each other, each with its words in as many rows as they need."""
    size, width = sheet.font - 1.0, sheet.width - 54.0
    rows = [[fitted(row, size * BOLD, width) for row in wrapped(words, size * BOLD, width)[:MOST_ROWS]]
            for _, words, _ in events]  # fmt: skip
    steps = [size * 1.3 * (1 + len(lines)) + 8.0 for lines in rows]
    first, last = events[0][0], events[-1][0]
    length = max(sum(steps) - (steps[0] + steps[-1]) / 2.0, 1.0)
    days = max((last - first).days, 1)
    places = [24.0 + (day - first).days / days * length for day, _, _ in events]
    labels = spread(places, steps, 24.0 - steps[0] / 2.0, 24.0 + length + steps[-1] / 2.0)
    sheet.line(20.0, places[0], 20.0, places[-1], "muted", 1.4, part="strip")
    for (day, _, kind), lines, at, label in zip(events, rows, places, labels, strict=True):
        _stop(sheet, 20.0, at, kind)
        sheet.line(27.0, at, 40.0, label, "muted", 0.6)
        when = f"{long_date(day)}, {days_words(day, strip.today)}"
        top = label - 1.0 - size * 0.65 * (len(lines) - 1)
        sheet.text(46.0, top, when, size=size, tone="muted")
        for place, row in enumerate(lines):
            at_row = top + size + 3.0 + size * 1.3 * place
            sheet.text(46.0, at_row, row, size=size, bold=kind in {"today", "departure"})
    sheet.height = 24.0 + length + steps[-1] / 2.0 + 6.0


def _stop(sheet: Sheet, x: float, y: float, kind: str) -> None:
    """Mark one day: past days struck through, today a full disc, departure a pennant."""
    if kind == "departure":
        sheet.path(
            f"M{x - 5:.1f} {y + 7:.1f}V{y - 8:.1f}L{x + 9:.1f} {y - 3:.1f}L{x - 5:.1f} {y + 2:.1f}",
            "b",
            1.6,
            area="paper",
            part="stop",
        )
    elif kind == "today":
        sheet.circle(x, y, 6.0, "a", 1.6, area="a", part="stop")
    else:
        sheet.circle(x, y, 5.0, "ink", 1.6, area="paper", part="stop")
        if kind == "done by":
            sheet.path(f"M{x - 4:.1f} {y + 4:.1f}l8 -8", "ink", 1.4)
