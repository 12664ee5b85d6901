"""The published design loads beside this program's own computed wave strikes."""

from __future__ import annotations

from dataclasses import dataclass

from sitegen.drawings.fleet_scatter import log_bounds
from sitegen.drawings.lettering import Words
from sitegen.drawings.marks import Sample, Symbol, draw_symbol, finish, line_sample, make_plot, symbol_sample
from sitegen.drawings.sheet import Frame, Sheet, both_widths, polyline
from sizing.units import both


@dataclass(frozen=True)
class StrikePoint:
    """One computed strike: displacement (kg), its peak load and the design load it is compared with (N)."""

    displacement_kg: float
    peak_n: float
    design_load_n: float


@dataclass(frozen=True)
class DesignLoad:
    """The rule as (displacement kg, load N) points, the published points (same, words), and computed strikes.

    `calibrated` is the place in `strikes` of the boat at whose displacement the wave's slope was set.
    """

    curve: tuple[tuple[float, float], ...]
    published: tuple[tuple[float, float, str], ...]
    strikes: tuple[StrikePoint, ...]
    calibrated: int


def draw_design_load(prefix: str, load: DesignLoad) -> str:
    """Return the design-load rule against this program's own strikes, for wide and for narrow screens."""
    return both_widths(lambda frame: _design(prefix, frame, load))


def _design(prefix: str, frame: Frame, load: DesignLoad) -> Sheet:
    in_words = "; ".join(
        f"{both(p.peak_n, 'force')} at {both(p.displacement_kg, 'mass')}, "
        f"{both(p.peak_n / p.design_load_n, 'ratio')} of "
        "the design load"
        for p in load.strikes
    )
    sheet = Sheet(
        prefix,
        frame,
        "Design load by the published points, and computed wave strikes",
        f"Computed peaks: {in_words}. The slope of the wave's face was set at one of these displacements; "
        "the others are predictions.",
    )
    points = [
        *load.curve,
        *((m, n) for m, n, _ in load.published),
        *((p.displacement_kg, p.peak_n) for p in load.strikes),
    ]
    span = log_bounds([m for m, _ in points])
    plot = make_plot(
        sheet, span, log_bounds([n for _, n in points]), ("displacement", "mass"), ("load", "force"), log=True
    )
    masses = [m for m, _, _ in load.published]
    left, right = plot.x.at(min(masses)), plot.x.at(max(masses))
    top, bottom = sorted((plot.y.start, plot.y.end))
    sheet.rect(left, top, right - left, bottom - top, None, area="sea")
    sheet.path(polyline([(plot.x.at(m), plot.y.at(n)) for m, n in load.curve]), "ink", 1.6, part="curve")
    for mass, force, words in load.published:
        draw_symbol(sheet, "square", plot.x.at(mass), plot.y.at(force), "ink", title=words, size=6.5)
    ratios = [p.peak_n / p.design_load_n for p in load.strikes]
    low, high = min(0.9, *ratios) - 0.02, max(1.1, *ratios) + 0.02
    lower = make_plot(
        sheet,
        span,
        (low, high),
        ("displacement", "mass"),
        ("computed peak as a share of the design load", "ratio"),
        top=plot.below + 30.0,
        height=110.0,
        left=plot.x.start,
        log_x=True,
    )
    sheet.line(lower.x.start, lower.y.at(1.0), lower.x.end, lower.y.at(1.0), "ink", 1.6)
    for i, (point, ratio) in enumerate(zip(load.strikes, ratios, strict=True)):
        symbol: Symbol = "triangle" if i == load.calibrated else "dot"
        x = plot.x.at(point.displacement_kg)
        draw_symbol(sheet, symbol, x, plot.y.at(point.peak_n), "a")
        draw_symbol(sheet, symbol, x, lower.y.at(ratio), "a")
    entries: list[tuple[Sample, Words]] = [
        (line_sample(sheet, "ink"), "design load"),
        (symbol_sample(sheet, "square", "ink"), "published point"),
        (lambda x, y: sheet.rect(x, y - 5.0, 22.0, 10.0, "muted", 0.6, area="sea"), "published range"),
        (symbol_sample(sheet, "triangle", "a"), "computed strike where the slope was set"),
        (symbol_sample(sheet, "dot", "a"), "computed strike, a prediction"),
    ]
    return finish(lower, entries)
