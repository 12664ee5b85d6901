"""How the pull of the drogue divides between the two bridle legs as the boat yaws."""

from __future__ import annotations

from dataclasses import dataclass

from sitegen.drawings.lettering import Words
from sitegen.drawings.marks import (
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
from sizing.spoken import said, spoken
from sizing.units import both, show


@dataclass(frozen=True)
class LegCurve:
    """Shares of the design load in the two legs over yaw angles (rad), and the points to be marked.

    `marks` are (yaw, share) pairs on the curve of the loaded leg.
    """

    yaw_rad: tuple[float, ...]
    loaded_share: tuple[float, ...]
    other_share: tuple[float, ...]
    attachment_share: float
    slack_yaw_rad: float
    marks: tuple[tuple[float, float], ...]
    design_load_n: float


def draw_leg_curve(prefix: str, curve: LegCurve) -> str:
    """Return the plot of leg load against yaw."""
    marked = "; ".join(f"{both(s, 'ratio')} at {both(a, 'angle')}" for a, s in curve.marks)
    sheet = Sheet(
        prefix,
        SKETCH,
        "Load in the bridle legs as the boat yaws",
        f"The load in the leg on the loaded side, as a share of the whole pull, rises with yaw: {marked}. "
        f"The other leg goes slack at {both(curve.slack_yaw_rad, 'angle')}; from there one leg has "
        f"all of it. "
        f"The strong points are sized for {both(curve.attachment_share, 'ratio')} of the design load of "
        f"{spoken(curve.design_load_n, 'force')}.",
    )
    limit: Words = (show(curve.attachment_share, "ratio"), ": strong points")
    top = max(1.0, *curve.loaded_share) * 1.08
    plot = make_plot(
        sheet,
        (min(curve.yaw_rad), max(curve.yaw_rad)),
        (0.0, top),
        ("yaw", "angle"),
        ("share of the whole pull", "ratio"),
    )
    x, y = plot.x, plot.y
    slack = x.at(curve.slack_yaw_rad)
    sheet.rect(slack, y.at(top), plot.right - slack, y.at(0.0) - y.at(top), None, area="sea")
    sheet.line(slack, y.at(0.0), slack, y.at(top), "muted", 1.0, "2 3", part="slack")
    for role, dash, shares in (("c", DASHED, curve.other_share), ("a", None, curve.loaded_share)):
        d = polyline([(x.at(a), y.at(s)) for a, s in zip(curve.yaw_rad, shares, strict=True)])
        sheet.path(d, "a" if role == "a" else "c", 2.2, dash=dash, part=f"curve-{role}")
    entries: list[tuple[Sample, Words]] = [
        (line_sample(sheet, "a", None, 2.2), "leg on the loaded side"),
        (line_sample(sheet, "c", DASHED, 2.2), "the other leg"),
        *draw_marks(plot, [Mark(curve.attachment_share, limit, "b", DOTTED, 2.0)]),
        (
            lambda left, at: sheet.rect(left, at - 5.0, 22.0, 10.0, "muted", 0.6, area="sea"),
            ("other leg slack, from ", show(curve.slack_yaw_rad, "angle")),
        ),
    ]
    for yaw, share in curve.marks:
        draw_symbol(sheet, "ring", x.at(yaw), y.at(share), "ink")
        entries.append(
            (
                symbol_sample(sheet, "ring", "ink"),
                (
                    "at ",
                    show(yaw, "angle"),
                    " yaw: ",
                    show(share, "ratio"),
                    ", ",
                    said(share * curve.design_load_n, "force"),
                ),
            )
        )
    return finish(plot, entries).svg()
