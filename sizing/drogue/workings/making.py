"""How cloth, stowage and labour are worked out."""

from __future__ import annotations

from collections.abc import Iterator

from sizing.drogue import labour, stowage
from sizing.drogue.joints import required_joints
from sizing.drogue.rig import Rig, cones_mass_kg, rope_mass_kg, rope_room_m3, thimbles_kg
from sizing.drogue.workings.boat import BoatFigures, work
from sizing.model import Working


def making_workings(boat: BoatFigures) -> Iterator[Working]:
    """Cloth, mass and room in the bag, and hours."""
    order, parts, row = boat.policy.order, boat.catalogue, slice(boat.row, boat.row + 1)
    needed = boat.requirements
    rig = Rig(
        needed.lead_rope[row],
        needed.bridle_rope[row],
        needed.section_rope[row],
        needed.lead_cut_m[row],
        needed.bridle_leg_cut_m[row],
        needed.section_cut_m[row],
    )
    cloth = int(needed.cloth[boat.row])
    cones = boat.of("cones")
    yield work(
        "cloth_areal_mass",
        f"Cone cloth: {parts.cloths.name[cloth]}",
        lambda mass: mass,
        "light rip-stop below the policy's displacement, the heavier cloth from it up",
        (("mass of the cloth", float(parts.cloths.areal_mass_kg_m2[cloth]), "areal_mass"),),
        "areal_mass",
        parts.cloths.source[cloth],
    )
    if not needed.bridle_waits[boat.row]:
        yield from _stowed(boat, rig)
    splices = labour.splices_required(float(len(boat.used_sections())))
    yield work(
        "labour_hours",
        "Hours to make it, once practised",
        labour.labour_hours,
        "cones times the minutes to sew and to fit one, and eye splices times the minutes of one",
        (
            ("cones", cones, "count"),
            ("eye splices", splices, "count"),
            ("minutes to sew a cone", order.sew_minutes_per_cone, "count"),
            ("minutes to fit a cone", order.minutes_per_cone, "count"),
            ("minutes a splice", order.splice_minutes, "count"),
        ),
        "hours",
        "[practice; sewing and splicing assumed]",
    )


def _stowed(boat: BoatFigures, rig: Rig) -> Iterator[Working]:
    """Mass and room in the bag."""
    parts, row, needed = boat.catalogue, slice(boat.row, boat.row + 1), boat.requirements
    cones_kg = float(cones_mass_kg(rig, needed.section_cones[row], needed.cloth[row], boat.policy, parts)[0])
    joints = required_joints(boat.requirements, boat.policy, parts, row)
    metal = stowage.fittings_mass_kg(float(thimbles_kg(rig, parts)[0]), float(joints.shackles_kg(parts)[0]))
    yield work(
        "stowed_mass",
        "Mass in the bag, dry, without the end weight",
        stowage.stowed_mass_kg,
        "rope as cut, cones with their tapes, thimbles and shackles",
        (
            ("rope", float(rope_mass_kg(rig, parts)[0]), "mass"),
            ("cones", cones_kg, "mass"),
            ("thimbles and shackles", metal, "mass"),
        ),
        "mass",
        "[derived; masses assumed]",
    )
    yield work(
        "stowed_volume",
        "Room in the bag",
        stowage.stowed_volume_m3,
        "rope flaked into twice its own volume, and cones loosely stuffed",
        (
            ("rope", float(rope_room_m3(rig, parts)[0]), "volume"),
            ("cones", stowage.cones_volume_m3(cones_kg), "volume"),
        ),
        "volume",
        "[assumed]",
    )
