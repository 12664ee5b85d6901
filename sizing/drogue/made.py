"""Rigs as they are made, where a piece is cut of another rope than a boat needs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.hardware import thimble_for
from sizing.drogue.joints import required_joints
from sizing.drogue.rig import Rig, cones_mass_kg, rope_mass_kg, rope_room_m3, thimbles_kg
from sizing.drogue.stowage import cones_volume_m3, fittings_mass_kg, stowed_mass_kg, stowed_volume_m3
from sizing.model import IntArray, RequirementColumns
from sizing.policy import Policy


def made_of(
    requirements: RequirementColumns,
    lead_rope: IntArray,
    bridle_rope: IntArray,
    section_rope: IntArray,
    policy: Policy,
    catalogue: Catalogue,
) -> RequirementColumns:
    """Return the rigs of these ropes in the place of those that are needed, with thimbles, mass and room.

    Ropes are positions in the catalogue, (n,) and (n, 3). Loads, strengths asked for, lengths and cones stay:
    they are what the boat asks of her rig. [derived]
    """
    rig = Rig(
        lead_rope=lead_rope,
        bridle_rope=bridle_rope,
        section_rope=section_rope,
        lead_cut_m=requirements.lead_cut_m,
        leg_cut_m=requirements.bridle_leg_cut_m,
        section_cut_m=requirements.section_cut_m,
    )
    made = replace(
        requirements, lead_rope=lead_rope, bridle_rope=bridle_rope, section_rope=section_rope,
        thimble=thimble_for(catalogue, lead_rope),
    )  # fmt: skip
    joints = required_joints(made, policy, catalogue)
    cones_kg = cones_mass_kg(rig, made.section_cones, made.cloth, policy, catalogue)
    fittings_kg = fittings_mass_kg(thimbles_kg(rig, catalogue), joints.shackles_kg(catalogue))
    changed = (lead_rope != requirements.lead_rope) | (bridle_rope != requirements.bridle_rope)
    changed |= (section_rope != requirements.section_rope).any(axis=1)
    mass = stowed_mass_kg(rope_mass_kg(rig, catalogue), cones_kg, fittings_kg)
    room = stowed_volume_m3(rope_room_m3(rig, catalogue), cones_volume_m3(cones_kg))
    return replace(
        made,
        stowed_mass_kg=np.where(changed, mass, requirements.stowed_mass_kg),
        stowed_volume_m3=np.where(changed, room, requirements.stowed_volume_m3),
    )
