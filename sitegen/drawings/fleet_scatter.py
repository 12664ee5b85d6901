"""The whole fleet on one plot: displacement against loads, and the published points of the rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sitegen.drawings.element import d
from sitegen.drawings.lettering import Words
from sitegen.drawings.marks import (
    DASHED,
    Plot,
    Sample,
    draw_symbol,
    finish,
    line_sample,
    make_plot,
    symbol_sample,
)
from sitegen.drawings.palette import Role
from sitegen.drawings.sheet import Frame, Sheet, both_widths, polyline
from sizing.units import both

_NAMED_AT_MOST = 60
# So many points a kind keep the drawing small; nearer ones share a spot.
_SPOTS_AT_MOST = {"diamond": 320, "dot": 700}
_SHARE_OF_DESIGN = 0.70


@dataclass(frozen=True)
class FleetBoat:
    """One boat on the plot: SI figures, None where there is none.

    `strike_peak_n` is the computed peak on the required rig, `fitting_n` the load one attachment aboard is
    known for.
    """

    name: str
    displacement_kg: float
    design_load_n: float
    strike_peak_n: float | None
    fitting_n: float | None


@dataclass(frozen=True)
class FleetScatter:
    """Boats, the design-load rule as (displacement kg, load N) points, and published points (same, words)."""

    boats: tuple[FleetBoat, ...]
    curve: tuple[tuple[float, float], ...]
    published: tuple[tuple[float, float, str], ...]
    attachment_share: float = _SHARE_OF_DESIGN


def draw_fleet_scatter(prefix: str, scatter: FleetScatter) -> str:
    """Return the fleet's displacement against its loads, log by log, for wide and for narrow screens."""
    return both_widths(lambda frame: _draw(prefix, frame, scatter))


def log_bounds(values: Sequence[float]) -> tuple[float, float]:
    """Return the ends of a log axis with a margin beyond `values`."""
    return min(values) / 1.15, max(values) * 1.15


def _draw(prefix: str, frame: Frame, scatter: FleetScatter) -> Sheet:
    count = len(scatter.boats)
    strikes = [(b, b.strike_peak_n) for b in scatter.boats if b.strike_peak_n is not None]
    fittings = [(b, b.fitting_n) for b in scatter.boats if b.fitting_n is not None]
    weak = sum(load < scatter.attachment_share * b.design_load_n for b, load in fittings)
    merged = count > _NAMED_AT_MOST
    sheet = Sheet(
        prefix,
        frame,
        "The fleet: displacement and loads",
        f"{count:,} boats. The design load follows the straight line through the published points. Of "
        f"{len(fittings):,} "
        f"strong points whose load is known, {weak:,} lie below "
        f"{both(scatter.attachment_share, 'ratio')} of the design "
        f"load. {'So many points have no names here.' if merged else 'Each point has the name of its boat.'}",
    )
    masses = [
        *(m for m, _ in scatter.curve),
        *(b.displacement_kg for b in scatter.boats),
        *(m for m, _, _ in scatter.published),
    ]
    loads = [n for _, n in scatter.curve]
    loads += (
        [scatter.attachment_share * n for n in loads] + [n for _, n in strikes] + [n for _, n in fittings]
    )
    loads += [n for _, n, _ in scatter.published] + [b.design_load_n for b in scatter.boats]
    plot = make_plot(
        sheet,
        log_bounds(masses),
        log_bounds(loads),
        ("displacement", "mass"),
        ("load", "force"),
        log=True,
        height=280.0 if frame.narrow else 360.0,
    )
    for share, role, dash, part in (
        (1.0, "ink", None, "curve"),
        (scatter.attachment_share, "b", DASHED, "fittings"),
    ):
        curve = polyline([(plot.x.at(m), plot.y.at(share * n)) for m, n in scatter.curve])
        sheet.path(curve, "ink" if role == "ink" else "b", 1.6, dash=dash, part=part)
    _points(plot, "diamond", "b", fittings, "strong point", merged)
    _points(plot, "dot", "a", strikes, "strike", merged)
    for mass, load, words in scatter.published:
        draw_symbol(sheet, "square", plot.x.at(mass), plot.y.at(load), "ink", title=words, size=5.5)
    entries: list[tuple[Sample, Words]] = [
        (line_sample(sheet, "ink"), "design load"),
        (
            line_sample(sheet, "b", DASHED),
            f"{scatter.attachment_share:.0%} of it, each strong point".replace("%", " %"),
        ),
        (symbol_sample(sheet, "dot", "a"), "computed wave strike, one boat"),
        (symbol_sample(sheet, "diamond", "b"), "strong point aboard, one boat"),
        (symbol_sample(sheet, "square", "ink"), "published point"),
    ]
    return finish(plot, entries)


def _points(
    plot: Plot,
    symbol: Literal["diamond", "dot"],
    role: Role,
    points: Sequence[tuple[FleetBoat, float]],
    words: str,
    merged: bool,
) -> None:
    """Draw one point a boat, named; in a large fleet all in one path, points on the same spot once."""
    sheet = plot.sheet
    places = [(plot.x.at(b.displacement_kg), plot.y.at(load)) for b, load in points]
    with sheet.group(part=f"points-{words}"):
        if not merged:
            size = 3.4 if sheet.frame.narrow else 4.0
            for (boat, load), (x, y) in zip(points, places, strict=True):
                title = (
                    f"{boat.name[:80]}: {both(boat.displacement_kg, 'mass')}, {words} {both(load, 'force')}"
                )
                draw_symbol(sheet, symbol, x, y, role, title=title, size=size)
            return
        grid = 1.0
        while (
            len(spots := {(round(x / grid), round(y / grid)): (x, y) for x, y in places})
            > _SPOTS_AT_MOST[symbol]
        ):
            grid *= 1.3
        kept = [(round(x, 1), round(y, 1)) for _, (x, y) in sorted(spots.items())]
        if symbol == "diamond":
            diamonds = "".join(d("M", x, y - 2.4, "l2.4 2.4-2.4 2.4-2.4-2.4z") for x, y in kept)
            sheet.path(diamonds, role, 1.0)
        else:
            sheet.path("".join(d("M", x, y, "h0") for x, y in kept), role, 4.0)
