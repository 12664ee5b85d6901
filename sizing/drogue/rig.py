"""Mass and room of a whole rig: the chosen parts of many boats, weighed together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.cone import cone_cloth_m2, cone_mass_kg, small_end_over_rope_m
from sizing.drogue.hardware import thimble_for
from sizing.drogue.stowage import rope_volume_m3
from sizing.model import FloatArray, IntArray
from sizing.policy import Policy


@dataclass(frozen=True)
class Rig:
    """Chosen parts of n boats (positions in the catalogue) and their rope as cut; sections are (n, 3)."""

    lead_rope: IntArray
    bridle_rope: IntArray
    section_rope: IntArray
    lead_cut_m: FloatArray
    leg_cut_m: FloatArray
    section_cut_m: FloatArray


def rope_mass_kg(rig: Rig, catalogue: Catalogue) -> FloatArray:
    """Rope as cut: lead line, two bridle legs, and sections. kg, (n,); NaN for rope -1."""
    per_m = catalogue.ropes.mass_kg_per_m
    lead = at(per_m, rig.lead_rope) * rig.lead_cut_m + at(per_m, rig.bridle_rope) * (2.0 * rig.leg_cut_m)
    used = rig.section_rope >= 0
    sections = np.where(used, catalogue.ropes.mass_kg_per_m[rig.section_rope] * rig.section_cut_m, 0.0)
    total: FloatArray = lead + sections.sum(axis=1)
    return total


def rope_room_m3(rig: Rig, catalogue: Catalogue) -> FloatArray:
    """Room of all rope, flaked. m3, (n,); NaN for rope -1."""
    diameter = catalogue.ropes.diameter_m
    lead = rope_volume_m3(rig.lead_cut_m, at(diameter, rig.lead_rope))
    lead += rope_volume_m3(2.0 * rig.leg_cut_m, at(diameter, rig.bridle_rope))
    used = rig.section_rope >= 0
    sections = np.where(used, rope_volume_m3(rig.section_cut_m, diameter[rig.section_rope]), 0.0)
    total: FloatArray = lead + sections.sum(axis=1)
    return total


def thimbles_kg(rig: Rig, catalogue: Catalogue) -> FloatArray:
    """A thimble in every eye: two in the lead line, four in the bridle, two in each section. kg, (n,)."""
    mass = catalogue.thimbles.mass_kg
    sections = thimble_for(catalogue, rig.section_rope)
    held = np.where(sections >= 0, mass[sections], 0.0)
    lead = 2.0 * at(mass, thimble_for(catalogue, rig.lead_rope))
    bridle = 4.0 * at(mass, thimble_for(catalogue, rig.bridle_rope))
    total: FloatArray = lead + bridle + 2.0 * held.sum(axis=1)
    return total


def small_ends_m(section_rope: IntArray, policy: Policy, catalogue: Catalogue) -> FloatArray:
    """Small end of the cones of each section, over its own rope; NaN for rope -1. m, any shape. [assumed]"""
    diameter = at(catalogue.ropes.diameter_m, section_rope)
    usual = np.full(diameter.shape, policy.sizing.cone_small_end)
    return small_end_over_rope_m(diameter, usual, policy.sizing.small_end_clearance)


def cones_mass_kg(
    rig: Rig, section_cones: IntArray, cloth: IntArray, policy: Policy, catalogue: Catalogue
) -> FloatArray:
    """Mass of all cones with their tapes, each section's of its own size. kg, (n,). [derived]"""
    rules, order = policy.sizing, policy.order
    small = small_ends_m(rig.section_rope, policy, catalogue)
    cloth_m2 = cone_cloth_m2(
        np.full(small.shape, rules.cone_mouth),
        small,
        rules.cone_slant,
        order.seam_allowance,
        order.hem_allowance,
    )
    areal = catalogue.cloths.areal_mass_kg_m2[cloth][:, None]
    tape = float(catalogue.tapes.mass_kg_per_m[0])
    each = cone_mass_kg(cloth_m2, areal, order.tapes_per_cone, order.tape_length, tape)
    total: FloatArray = np.where(section_cones > 0, section_cones * each, 0.0).sum(axis=1)
    return total


def at(values: FloatArray, position: IntArray) -> FloatArray:
    """The value at each position of a catalogue's column; NaN for position -1."""
    return np.where(position >= 0, values[position], np.nan)
