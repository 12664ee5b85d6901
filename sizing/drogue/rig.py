"""Mass and room of a whole rig: the chosen parts of many boats, weighed together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.cone import ConePattern, cone_mass_kg
from sizing.drogue.hardware import thimble_for
from sizing.drogue.stowage import rope_volume_m3
from sizing.model import FloatArray, IntArray
from sizing.policy import Policy


@dataclass(frozen=True)
class Rig:
    """Chosen parts of n boats (positions in the catalogue) and their rope as cut; sections are (n, 3)."""

    lead_rope: IntArray
    section_rope: IntArray
    lead_cut_m: FloatArray
    leg_cut_m: FloatArray
    section_cut_m: FloatArray


def rope_mass_kg(rig: Rig, catalogue: Catalogue) -> FloatArray:
    """Rope as cut: lead line, two bridle legs of the same rope, and sections. kg, (n,); NaN for rope -1."""
    lead = at(catalogue.ropes.mass_kg_per_m, rig.lead_rope) * (rig.lead_cut_m + 2.0 * rig.leg_cut_m)
    used = rig.section_rope >= 0
    sections = np.where(used, catalogue.ropes.mass_kg_per_m[rig.section_rope] * rig.section_cut_m, 0.0)
    total: FloatArray = lead + sections.sum(axis=1)
    return total


def rope_room_m3(rig: Rig, catalogue: Catalogue) -> FloatArray:
    """Room of all rope, flaked. m3, (n,); NaN for rope -1."""
    diameter = catalogue.ropes.diameter_m
    lead = rope_volume_m3(rig.lead_cut_m + 2.0 * rig.leg_cut_m, at(diameter, rig.lead_rope))
    used = rig.section_rope >= 0
    sections = np.where(used, rope_volume_m3(rig.section_cut_m, diameter[rig.section_rope]), 0.0)
    total: FloatArray = lead + sections.sum(axis=1)
    return total


def thimbles_kg(rig: Rig, catalogue: Catalogue) -> FloatArray:
    """A thimble in every eye: two in the lead line, four in the bridle, two in each section. kg, (n,)."""
    mass = catalogue.thimbles.mass_kg
    sections = thimble_for(catalogue, rig.section_rope)
    held = np.where(sections >= 0, mass[sections], 0.0)
    total: FloatArray = 6.0 * at(mass, thimble_for(catalogue, rig.lead_rope)) + 2.0 * held.sum(axis=1)
    return total


def cone_masses_kg(pattern: ConePattern, policy: Policy, catalogue: Catalogue) -> FloatArray:
    """Mass of one cone with its tapes in each cloth of the catalogue. kg, (number of cloths,)."""
    order, tape = policy.order, float(catalogue.tapes.mass_kg_per_m[0])
    return np.array(
        [
            cone_mass_kg(pattern.area_m2, float(areal_mass), order.tapes_per_cone, order.tape_length, tape)
            for areal_mass in catalogue.cloths.areal_mass_kg_m2
        ]
    )


def at(values: FloatArray, position: IntArray) -> FloatArray:
    """The value at each position of a catalogue's column; NaN for position -1."""
    return np.where(position >= 0, values[position], np.nan)
