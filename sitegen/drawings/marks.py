"""Lines, points and their labels on plots: beside the plot where there is room, else in a key below it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from sitegen.drawings.axes import Axis, below_axis, draw_axes, left_room
from sitegen.drawings.lettering import Words, spread, words_width, wrapped
from sitegen.drawings.palette import Role
from sitegen.drawings.sheet import Sheet, polyline

Sample: TypeAlias = Callable[[float, float], None]
Symbol: TypeAlias = Literal["dot", "ring", "square", "diamond", "triangle"]

DASHED = "6 4"
DOTTED = "1.5 4"
DASH_DOT = "9 4 2 4"
_MOST_SIDE = 180.0


@dataclass(frozen=True)
class Mark:
    """A level line across a plot at `value`, with its words."""

    value: float
    words: Words
    role: Role
    dash: str | None = None
    width: float = 1.4


def line_sample(sheet: Sheet, role: Role, dash: str | None = None, width: float = 1.6) -> Sample:
    """Return the sample of a line for a key."""
    return lambda x, y: sheet.line(x, y, x + 22.0, y, role, width, dash)


def symbol_sample(sheet: Sheet, symbol: Symbol, role: Role) -> Sample:
    """Return the sample of a point for a key."""
    return lambda x, y: draw_symbol(sheet, symbol, x + 11.0, y, role)


def draw_symbol(
    sheet: Sheet, symbol: Symbol, x: float, y: float, role: Role, title: str | None = None, size: float = 4.5
) -> None:
    """Add one point."""
    if symbol == "dot":
        sheet.circle(x, y, size, "paper", 1.0, area=role, title=title)
    elif symbol == "ring":
        sheet.circle(x, y, size, role, 1.8, area="paper", title=title)
    else:
        sheet.path(symbol_path(symbol, x, y, size), role, 1.6, area="paper", title=title)


def symbol_path(symbol: Symbol, x: float, y: float, size: float) -> str:
    """Return path data of an angular symbol centred at (x, y)."""
    if symbol == "square":
        reach = size * 0.9
        corners = [(-reach, -reach), (reach, -reach), (reach, reach), (-reach, reach)]
    elif symbol == "diamond":
        reach = size * 1.2
        corners = [(0.0, -reach), (reach, 0.0), (0.0, reach), (-reach, 0.0)]
    else:
        corners = [(0.0, -1.1 * size), (1.15 * size, 0.9 * size), (-1.15 * size, 0.9 * size)]
    return polyline([(x + dx, y + dy) for dx, dy in corners], closed=True)


@dataclass
class Plot:
    """A plot on a sheet: its axes, drawn, and the room right of it for labels."""

    sheet: Sheet
    x: Axis
    y: Axis

    @property
    def right(self) -> float:
        """The right edge of the plot."""
        return max(self.x.start, self.x.end)

    @property
    def below(self) -> float:
        """The first free y below the axis' title."""
        return max(self.y.start, self.y.end) + below_axis(self.sheet)


def make_plot(
    sheet: Sheet,
    x: tuple[float, float],
    y: tuple[float, float],
    x_kind: tuple[str, str],
    y_kind: tuple[str, str] | None,
    *,
    top: float = 34.0,
    height: float | None = None,
    side: float = 0.0,
    left: float = 0.0,
    log: bool = False,
    log_x: bool = False,
) -> Plot:
    """Draw axes over the sheet's width and return the plot; `side` is kept free at its right.

    `left` is the least room at its left, `log` makes both axes logarithmic, `log_x` the level one; `y_kind`
    None is for plots whose upright axis has no figures.
    """
    height = height or (210.0 if sheet.frame.narrow else 280.0)
    upright = Axis(*y, top + height, top, log)
    left = max(left, 14.0 if y_kind is None else 4.0 + left_room(upright, y_kind[1], sheet.font - 1.0))
    level = Axis(*x, left, sheet.width - 14.0 - side, log or log_x)
    draw_axes(sheet, level, upright, x_kind, y_kind)
    return Plot(sheet, level, upright)


def side_room(sheet: Sheet, words: Sequence[Words]) -> float:
    """Return the room labels take beside a plot: none where it would be too much and they go to the key."""
    if sheet.frame.narrow or not words:
        return 0.0
    room = max(words_width(w, sheet.font - 1.0) for w in words) + 24.0
    return room if room <= _MOST_SIDE else 0.0


def draw_marks(plot: Plot, marks: Sequence[Mark]) -> list[tuple[Sample, Words]]:
    """Draw level lines; label them at the right where there is room, else return their key entries."""
    sheet = plot.sheet
    left = min(plot.x.start, plot.x.end)
    for mark in marks:
        y = plot.y.at(mark.value)
        sheet.line(left, y, plot.right, y, mark.role, mark.width, mark.dash, part="mark")
    if not side_room(sheet, [m.words for m in marks]):
        return [(line_sample(sheet, m.role, m.dash, m.width), m.words) for m in marks]
    label_right(plot, [(plot.y.at(m.value), m.words) for m in marks])
    return []


def label_right(plot: Plot, labels: Sequence[tuple[float, Words]]) -> None:
    """Put words at the right of the plot near their y, moved apart, each with a fine leader."""
    sheet, size = plot.sheet, plot.sheet.font - 1.0
    ordered = sorted(labels, key=lambda item: item[0])
    step = size * 1.35
    bottom = max(plot.y.start, plot.y.end)
    low = min(min(plot.y.start, plot.y.end) - 6.0, bottom + 10.0 - step * len(ordered))
    places = spread([y for y, _ in ordered], [step] * len(ordered), low, bottom + 10.0)
    for (y, words), place in zip(ordered, places, strict=True):
        sheet.line(plot.right + 2.0, y, plot.right + 14.0, place, "muted", 0.6)
        sheet.text(plot.right + 18.0, place + size * 0.35, words, size=size)


def finish(plot: Plot, entries: Sequence[tuple[Sample, Words]], notes: Sequence[str] = ()) -> Sheet:
    """Add the key and notes below the plot, set the sheet's height and return the sheet."""
    sheet = plot.sheet
    y = plot.below
    if entries:
        y = sheet.key(8.0, y + 12.0, sheet.width - 16.0, entries)
    sheet.height = note_lines(sheet, y, notes)
    return sheet


def note_lines(sheet: Sheet, y: float, notes: Sequence[str]) -> float:
    """Add short notes below a drawing, one a line; return the y below them."""
    for note in notes:
        y += 6.0
        for row in wrapped(note, sheet.font - 1.5, sheet.width - 16.0):
            y += 12.0
            sheet.text(8.0, y, row, tone="muted", size=sheet.font - 1.5)
            y += 3.0
    return y + 8.0
