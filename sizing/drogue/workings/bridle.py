"""How the bridle, attachments and fittings are worked out."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from sizing.drogue import bridle, loads
from sizing.drogue.end_weight import end_weight_kg
from sizing.drogue.workings.boat import BoatFigures, Input, least, work
from sizing.drogue.workings.line import cut_working
from sizing.model import Working


def bridle_workings(boat: BoatFigures) -> Iterator[Working]:
    """Legs, their loads, and the attachments."""
    rules = boat.policy.sizing
    load, half = boat.of("design_load_n"), bridle.half_angle_rad(rules.bridle_leg_ratio)
    ratio: Input = ("leg over width", rules.bridle_leg_ratio, "ratio")
    angle: Input = ("half angle", half, "angle")
    if not boat.requirements.bridle_waits[boat.row]:
        yield work(
            "bridle_leg",
            "Bridle leg, finished length",
            bridle.leg_m,
            "distance between the strong points times the policy's ratio",
            (
                ("between strong points", float(boat.fleet.number["transom_width_m"][boat.row]), "length"),
                ratio,
            ),
            "length",
            "[practice]",
        )
        yield cut_working(boat, "bridle_leg_cut", "Bridle leg, as cut", boat.of("bridle_leg_m"))
    yield work(
        "half_angle",
        "Angle of a leg to the centreline",
        bridle.half_angle_rad,
        "angle whose sine is half the width over the leg",
        (ratio,),
        "angle",
        "[derived]",
    )
    yield work(
        "straight_leg_load",
        "Load of each leg in a straight pull",
        bridle.straight_leg_load_n,
        "design load over twice the cosine of the half angle",
        (("design load", load, "force"), angle),
        "force",
        "[derived]",
        boat.range_words,
    )
    yield work(
        "attachment_load",
        "Load each strong point must hold",
        loads.attachment_load_n,
        "share of the design load on each side of the transom",
        (("design load", load, "force"), ("share", rules.attachment_share, "ratio")),
        "force",
        "[CG87 6.3]",
        boat.range_words,
    )
    if math.isfinite(bridle.yaw_at_share_rad(rules.attachment_share, half)):
        yield work(
            "yaw_at_attachment_load",
            "Yaw at which one leg reaches that load",
            bridle.yaw_at_share_rad,
            "yaw at which the loaded leg carries that share of the design load",
            (("share", rules.attachment_share, "ratio"), angle),
            "angle",
            "[derived]",
        )
    yield work(
        "leg_load_at_10_deg",
        "Load of the loaded leg at 10° of yaw",
        _loaded_leg,
        "design load times the sine of half angle and yaw together, over the sine of twice the half "
        "angle; all of the design load once the other leg is slack",
        (("design load", load, "force"), ("yaw", math.radians(10.0), "angle"), angle),
        "force",
        "[CG87 4.3 for the yaw; derived]",
        boat.range_words,
    )


def fitting_workings(boat: BoatFigures) -> Iterator[Working]:
    """Shackles, thimbles and end weight."""
    rules, parts = boat.policy.sizing, boat.catalogue
    shackle, thimble = int(boat.requirements.shackle[boat.row]), int(boat.requirements.thimble[boat.row])
    yield work(
        "shackle",
        "Shackles, breaking load",
        least(parts.shackles.breaking_load_n),
        f"smallest of the catalogue no weaker than the line must be: {parts.shackles.name[shackle]}",
        (("new strength asked of the line", boat.of("chosen_strength_n"), "force"),),
        "force",
        f"[CG87 6.3; assumed]; {parts.shackles.source[shackle]}",
        boat.range_words,
    )
    lead = float(parts.ropes.diameter_m[int(boat.requirements.lead_rope[boat.row])])
    yield work(
        "thimble",
        "Thimbles of the lead line, for rope to",
        least(parts.thimbles.rope_diameter_m),
        f"smallest of the catalogue that takes the rope: {parts.thimbles.name[thimble]}",
        (("rope", lead, "small_length"),),
        "small_length",
        parts.thimbles.source[thimble],
    )
    yield work(
        "end_weight",
        "End weight",
        end_weight_kg,
        "the first figure to 7,500 lb, the second at 30,000 lb, the third at 60,000 lb, straight lines "
        "between",
        (
            ("displacement used", boat.of("displacement_used_kg"), "mass"),
            ("to 7,500 lb", rules.end_weight_small, "mass"),
            ("at 30,000 lb", rules.end_weight_middle, "mass"),
            ("at 60,000 lb", rules.end_weight_large, "mass"),
        ),
        "mass",
        "[policy, within CG87 6.3]",
        boat.range_words,
    )


def _loaded_leg(design_load: float, yaw_rad: float, half_angle: float) -> float:
    return float(bridle.leg_curve(design_load, np.array([yaw_rad]), half_angle)[0][0])
