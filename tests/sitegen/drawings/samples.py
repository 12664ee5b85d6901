"""One sample of every drawing, made from a name that a hostile sheet may hold."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

import sitegen.drawings as d

INCH = 0.0254
POUND, POUND_FORCE = 0.45359237, 4.4482216152605
# CG87 6.2: design load equal to displacement at 7,500 lb, 60 % of it at 60,000 lb.
PUBLISHED = (
    (7500 * POUND, 7500 * POUND_FORCE, "published, 7,500 lb"),
    (60000 * POUND, 36000 * POUND_FORCE, "published, 60,000 lb"),
)


def design_load(mass: float) -> float:
    slope = math.log(36000 / 7500) / math.log(60000 / 7500)
    return PUBLISHED[0][1] * math.pow(mass / PUBLISHED[0][0], slope)


def drift_curve(winds_mps: tuple[float, ...], share: float, marked: int) -> d.DriftCurve:
    middle, low, high = (tuple(w * share * of for w in winds_mps) for of in (1.0, 0.7, 1.4))
    return d.DriftCurve(winds_mps, middle, low, high, ((winds_mps[marked], high[marked]),))


CURVE = tuple((m, design_load(m)) for m in (1500.0, 3000.0, 10000.0, 30000.0, 40000.0))


def rig(
    name: str = "Tern of Skerry",
    hull: d.Hull = "monohull",
    loa: float = 11.6,
    beam: float = 3.7,
    transom: float = 3.0,
    cones: tuple[int, ...] = (47, 36, 20),
    leg: float | None = None,
) -> d.RigDrawing:
    pitch, gap = 20 * INCH, 24 * INCH
    sections = tuple(
        d.RigSection((0.022, 0.018, 0.014)[i], n, n * pitch + (gap if i == len(cones) - 1 else 0.0))
        for i, n in enumerate(cones)
    )
    return d.RigDrawing(
        boat_name=name,
        shape=d.HullShape(hull, loa, beam, transom),
        beam_given=True,
        bridle_leg_m=2.5 * transom if leg is None else leg,
        bridle_diameter_m=0.024,
        lead_length_m=22.86,
        lead_diameter_m=0.024,
        sections=sections,
        cone_pitch_m=pitch,
        end_gap_m=gap,
        end_weight_kg=14.2,
    )


def bridle_part(plan: d.RigDrawing) -> d.BridlePart:
    return d.BridlePart(plan.shape.transom_width_m, plan.bridle_leg_m, plan.bridle_diameter_m)


def end_part(plan: d.RigDrawing) -> d.EndPart:
    return d.EndPart(plan.cones, 5 * INCH, 1.5 * INCH, 6 * INCH, plan.cone_pitch_m, plan.end_gap_m)


def pattern() -> d.ConePattern:
    r1, r2, s = 2.5 * INCH, 0.75 * INCH, 6 * INCH
    return d.ConePattern(
        2 * r1, 2 * r2, s, r1 * s / (r1 - r2), r2 * s / (r1 - r2), 2 * math.pi * (r1 - r2) / s, 0.012
    )


def leg_curve() -> d.LegCurve:
    theta = math.asin(0.2)
    yaw = tuple(math.radians(a / 4) for a in range(81))

    def share(p: float) -> float:
        return min(1.0, math.sin(theta + p) / math.sin(2 * theta)) if p < theta else 1.0

    other = tuple(max(0.0, math.sin(theta - p) / math.sin(2 * theta)) for p in yaw)
    marks = tuple((math.radians(a), share(math.radians(a))) for a in (4.4, 10.0))
    return d.LegCurve(yaw, tuple(map(share, yaw)), other, 0.70, theta, marks, 58e3)


def tension() -> d.SectionTension:
    parts = (
        d.LinePart("lead line", 0.0, 22.86, 58e3, 140e3, 96e3),
        d.LinePart("section 1", 22.86, 46.7, 58e3, 120e3, 82e3),
        d.LinePart("section 2", 46.7, 65.0, 32e3, 78e3, 54e3),
        d.LinePart("section 3", 65.0, 75.8, 11e3, 40e3, 27e3),
    )
    return d.SectionTension(parts, ((0.0, 60e3), (22.86, 59e3), (50.0, 30e3), (75.8, 5e3)))


def history(steps: int = 1200) -> d.StrikeHistory:
    t = tuple(8.0 * i / (steps - 1) for i in range(steps))
    load = tuple(58e3 * math.exp(-(((x - 1.9) / 0.7) ** 2)) + 1e3 * abs(math.sin(9 * x)) for x in t)
    speed = tuple(11.9 / (1 + math.exp((x - 1.8) * 1.6)) + 1.5 for x in t)
    top = max(load)
    limits = (("design load", 57e3), ("weakest residual strength", 82e3))
    return d.StrikeHistory(t, load, speed, t[load.index(top)], top, limits)


def peaks() -> d.PeakSpread:
    samples = tuple(57e3 + 9e3 * math.sin(i * 1.7) * math.cos(i * 0.3) for i in range(400))
    ordered = sorted(samples)
    limits = (("lead line, residual strength", 96e3), ("attachments, together", 81e3))
    return d.PeakSpread(len(samples), samples, ordered[200], ordered[360], limits)


def scatter(name: str, count: int) -> d.FleetScatter:
    boats = []
    for i in range(count):
        mass = 2500.0 * (1.0 + 9.0 * ((i * 0.618034) % 1.0))
        load = design_load(mass)
        fitting = load * (0.4 + 0.6 * ((i * 0.4142) % 1.0)) if i % 2 else None
        peak = load * (0.96 + 0.06 * ((i * 0.732) % 1.0)) if i % 5 else None
        boats.append(d.FleetBoat(f"{name} {i}", mass, load, peak, fitting))
    return d.FleetScatter(tuple(boats), CURVE, PUBLISHED)


HULLS: tuple[d.Hull, ...] = ("monohull", "catamaran", "motor monohull", "motor catamaran")
STERNS = {"launching": d.draw_launching, "junction": d.draw_junction, "recovering": d.draw_recovering}


def every_drawing(name: str = "Tern of Skerry") -> dict[str, Callable[[str], str]]:
    """Return a function of the id prefix for every drawing; `name` stands wherever users' words may."""
    side = d.SideView("monohull", 22.86, 103, 14.2)
    gaps = d.GapsByFamily(
        (
            d.FamilyGaps(name, {"meets": 22, "short": 9, "absent": 12, "unproven": 5}),
            d.FamilyGaps("line", {"meets": 10, "short": 5, "absent": 12, "unproven": 18, "waived": 3}),
            d.FamilyGaps("end weight", {"meets": 40, "not applicable": 8}),
        )
    )
    drift = tuple(0.5144 * k for k in range(30, 61))
    strikes = tuple(
        d.StrikePoint(p * POUND, design_load(p * POUND) * r, design_load(p * POUND))
        for p, r in ((4500, 1.02), (7500, 1.01), (15000, 0.99), (30000, 0.97), (60000, 0.96))
    )
    shares = ((name, 0.52), ("crest speed", 0.2), ("displacement", 0.18), ("slack in the line", 0.1))
    return {
        "rig": lambda p: d.draw_rig_plan(p, rig(name)),
        "rig-motor": lambda p: d.draw_rig_plan(p, rig(name, "motor monohull", 15.0, 4.8, 4.4)),
        "rig-catamaran": lambda p: d.draw_rig_plan(p, rig(name, "catamaran", 13.5, 7.2, 6.4)),
        "bridle": lambda p: d.draw_bridle(p, bridle_part(rig())),
        "end": lambda p: d.draw_outer_end(p, end_part(rig())),
        "side": lambda p: d.draw_side_view(p, side),
        "legs": lambda p: d.draw_leg_curve(p, leg_curve()),
        "tension": lambda p: d.draw_section_tension(p, tension()),
        "strike": lambda p: d.draw_strike_history(p, history()),
        "peaks": lambda p: d.draw_peak_spread(p, peaks()),
        "sensitivity": lambda p: d.draw_sensitivity(p, d.SensitivityBars(shares)),
        "drift": lambda p: d.draw_drift(p, drift_curve(drift, 0.0115, 20)),
        "fleet": lambda p: d.draw_fleet_scatter(p, scatter(name, 48)),
        "fleet-large": lambda p: d.draw_fleet_scatter(p, scatter(name, 3000)),
        "gaps": lambda p: d.draw_gaps_by_family(p, gaps),
        "design": lambda p: d.draw_design_load(p, d.DesignLoad(CURVE, PUBLISHED, strikes, 1)),
        "pattern": lambda p: d.draw_cone_pattern(p, pattern()),
        "tape": lambda p: d.draw_tape_detail(p, d.TapeDetail((3, 4), 3, 30 * INCH)),
        "spacing": lambda p: d.draw_cone_spacing(
            p,
            d.ConeSpacing(20 * INCH, 5 * INCH, 1.5 * INCH, 6 * INCH, (2 * INCH, 3 * INCH), (INCH, 3 * INCH)),
        ),
        "leg": lambda p: d.draw_bridle_leg(p, d.BridleLeg(7.5, 8.11, 0.024, 1.0)),
        "stowed": d.draw_stowed,
        "room": lambda p: d.draw_room(p, d.RoomView("monohull", "143", 90.0)),
        **{
            f"{name}-{hull}": partial(draw, view=d.SternView(hull, "motor" in hull))
            for name, draw in STERNS.items()
            for hull in HULLS
        },
        **{f"lying-{hull}": partial(d.draw_lying, hull=hull) for hull in HULLS},
    }
