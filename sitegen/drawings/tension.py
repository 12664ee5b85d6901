"""Tension along the whole line against the strength of each of its parts."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from sitegen.drawings.lettering import BOLD, Words, fitted, spread, text_width
from sitegen.drawings.marks import DASHED, DOTTED, Sample, finish, line_sample, make_plot
from sitegen.drawings.sheet import SKETCH, Sheet, polyline
from sizing.spoken import spoken


@dataclass(frozen=True)
class LinePart:
    """One part of the line between two distances from the bridle (m): what it must and can bear (N)."""

    name: str
    start_m: float
    end_m: float
    required_n: float
    new_n: float
    residual_n: float


@dataclass(frozen=True)
class SectionTension:
    """All parts in order from the boat, and the greatest tension of a wave strike along them, if computed."""

    parts: tuple[LinePart, ...]
    envelope: tuple[tuple[float, float], ...] = ()


def draw_section_tension(prefix: str, tension: SectionTension) -> str:
    """Return the plot of tension and strength along the line."""
    parts = tension.parts
    in_words = "; ".join(
        f"{p.name}: must bear {spoken(p.required_n, 'force')}, residual strength "
        f"{spoken(p.residual_n, 'force', 'down')}, "
        f"new {spoken(p.new_n, 'force', 'down')}"
        for p in parts
    )
    strike = ""
    if tension.envelope:
        strike = (
            f" Greatest tension in a wave strike: {spoken(max(t for _, t in tension.envelope), 'force')}."
        )
    sheet = Sheet(
        prefix, SKETCH, "Tension along the line and what each part can bear", f"{in_words}.{strike}"
    )
    top = max(max(p.new_n, p.residual_n, p.required_n) for p in parts)
    top = max([top, *(t for _, t in tension.envelope)]) * 1.1
    plot = make_plot(
        sheet,
        (parts[0].start_m, parts[-1].end_m),
        (0.0, top),
        ("distance from the bridle", "length"),
        ("tension", "force"),
        top=52.0,
    )
    x, y = plot.x, plot.y
    for i, p in enumerate(parts):
        left, right = x.at(p.start_m), x.at(p.end_m)
        sheet.rect(left, y.at(p.required_n), right - left, y.at(0.0) - y.at(p.required_n), None, area="sea")
        if i:
            sheet.line(left, y.at(0.0), left, y.at(top), "muted", 0.8, "2 3")
    for role, width, dash, values in (
        ("c", 1.6, DASHED, [p.new_n for p in parts]),
        ("c", 2.6, None, [p.residual_n for p in parts]),
        ("a", 2.2, None, [p.required_n for p in parts]),
    ):
        d = "".join(
            polyline([(x.at(p.start_m), y.at(v)), (x.at(p.end_m), y.at(v))])
            for p, v in zip(parts, values, strict=True)
        )
        sheet.path(d, "a" if role == "a" else "c", width, dash=dash, part="steps")
    _part_names(sheet, plot.x.at, parts)
    entries: list[tuple[Sample, Words]] = [
        (line_sample(sheet, "c", DASHED, 1.6), "strength, new"),
        (line_sample(sheet, "c", None, 2.6), "residual strength"),
        (line_sample(sheet, "a", None, 2.2), "steady tension at the head of each part"),
    ]
    if tension.envelope:
        d = polyline([(x.at(m), y.at(t)) for m, t in tension.envelope])
        sheet.path(d, "b", 2.2, dash=DOTTED, part="envelope")
        entries.append((line_sample(sheet, "b", DOTTED, 2.2), "greatest tension in a wave strike"))
    return finish(plot, entries).svg()


def _part_names(sheet: Sheet, at: Callable[[float], float], parts: Sequence[LinePart]) -> None:
    """Name the parts above the plot, moved apart where parts are short."""
    size = sheet.font - 1.0
    names = [fitted(p.name, size * BOLD, sheet.width / len(parts) - 12.0) for p in parts]
    middles = [(at(p.start_m) + at(p.end_m)) / 2.0 for p in parts]
    widths = [text_width(n, size * BOLD) + 6.0 for n in names]
    for name, x in zip(names, spread(middles, widths, 2.0, sheet.width - 2.0), strict=True):
        sheet.text(x, 16.0, name, anchor="middle", size=size, bold=True)
    for middle, x in zip(middles, spread(middles, widths, 2.0, sheet.width - 2.0), strict=True):
        sheet.line(x, 21.0, middle, 50.0, "muted", 0.6)
