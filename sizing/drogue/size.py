"""Sizes every boat of a fleet at once: what each needs, as columns."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.bridle import leg_m
from sizing.drogue.cone import ConePattern, pattern_of
from sizing.drogue.drag import (
    cones_required,
    displacement_used_kg,
    equivalent_diameter_m,
    hull_mark,
    mouth_area_m2,
    range_mark,
)
from sizing.drogue.drift import drift_columns
from sizing.drogue.end_weight import end_weight_kg
from sizing.drogue.envelope import TensionEnvelope
from sizing.drogue.hardware import cloth_for, shackle_for, thimble_for
from sizing.drogue.joints import joint_columns, rig_ends
from sizing.drogue.labour import labour_hours, splices_required
from sizing.drogue.lengths import cone_line_m, cut_length_m, whole_line_m
from sizing.drogue.loads import attachment_load_n, design_load_n, required_strength_n
from sizing.drogue.reasons import reasons_not_computed, sound
from sizing.drogue.rig import Rig, cones_mass_kg, rope_mass_kg, rope_room_m3, small_ends_m, thimbles_kg
from sizing.drogue.rope import new_residual_share
from sizing.drogue.sections import SectionRules, plan_sections
from sizing.drogue.stowage import cones_volume_m3, fittings_mass_kg, stowed_mass_kg, stowed_volume_m3
from sizing.errors import ComputationError, PolicyError
from sizing.fields import CHOICES
from sizing.model import BoolArray, ConeSize, FleetColumns, FloatArray, IntArray, RequirementColumns
from sizing.policy import Policy


def size_fleet(
    fleet: FleetColumns,
    policy: Policy,
    catalogue: Catalogue,
    envelope: TensionEnvelope | None = None,
) -> RequirementColumns:
    """Return what each of n accepted boats needs.

    With an `envelope` from a wave strike, lead line, sections and bridle also reach its tensions. A boat
    whose figures cannot be computed is in `not_computed` with the reason, her figures NaN and her positions
    -1. Raises PolicyError where the policy's cone is no cone.
    """
    rules = policy.sizing
    policy_cone(policy)
    displacement = loaded_displacement_kg(fleet, policy)
    usable = sound(displacement)
    if fleet.weight_asked is not None:
        usable &= ~fleet.weight_asked
    displacement = np.where(usable, displacement, np.nan)
    transom = np.where(sound(fleet.number["transom_width_m"]), fleet.number["transom_width_m"], np.nan)

    diameter = equivalent_diameter_m(displacement)
    area = mouth_area_m2(diameter)
    cones = cones_required(area, rules.cone_mouth)
    load = design_load_n(displacement)
    plan = plan_sections(load, cones, catalogue.ropes, section_rules(policy), envelope)
    leg = leg_m(transom, rules.bridle_leg_ratio)
    lead_length = np.full(len(fleet), rules.lead_line_length)
    rig = Rig(
        lead_rope=plan.lead_rope,
        bridle_rope=plan.lead_rope,
        section_rope=plan.rope,
        lead_cut_m=cut_length_m(lead_length, rules.eye_splice_rope),
        leg_cut_m=cut_length_m(leg, rules.eye_splice_rope),
        section_cut_m=plan.cut_m,
    )
    published_strength, strength = _line_strengths_n(load, policy, envelope)
    shackle = shackle_for(catalogue, strength)
    cloth = cloth_for(catalogue.cloths, displacement, policy.audit.light_cloth_limit)
    cones_kg = np.where(usable, cones_mass_kg(rig, plan.cones, cloth, policy, catalogue), np.nan)
    end_weight = end_weight_kg(
        displacement, rules.end_weight_small, rules.end_weight_middle, rules.end_weight_large
    )
    ends = rig_ends(
        catalogue, plan.lead_rope, plan.lead_rope, plan.rope, strength, load, plan.tension_n, end_weight
    )
    joints = joint_columns(ends, policy, catalogue)
    fittings_kg = fittings_mass_kg(thimbles_kg(rig, catalogue), joints.shackles_kg(catalogue))
    figures = {
        "displacement_used_kg": displacement,
        "equivalent_diameter_m": diameter,
        "mouth_area_required_m2": area,
        "cone_mouth_m": np.full(len(fleet), rules.cone_mouth),
        "design_load_n": load,
        "line_strength_required_n": published_strength,
        "chosen_strength_n": strength,
        "lead_length_m": lead_length,
        "lead_cut_m": rig.lead_cut_m,
        "section_length_m": plan.length_m,
        "section_cut_m": plan.cut_m,
        "section_tension_n": plan.tension_n,
        "line_length_m": whole_line_m(
            cone_line_m(cones, rules.cone_pitch, rules.first_cone_offset), lead_length
        ),
        "bridle_leg_m": leg,
        "bridle_leg_cut_m": rig.leg_cut_m,
        "attachment_load_n": attachment_load_n(load, rules.attachment_share),
        "chosen_load_n": load,
        "chosen_attachment_n": attachment_load_n(load, rules.attachment_share),
        "chosen_section_n": plan.tension_n,
        "end_weight_kg": end_weight,
        **drift_columns(fleet, displacement, cones, policy),
        "cloth_areal_mass_kg_m2": catalogue.cloths.areal_mass_kg_m2[cloth],
        "stowed_mass_kg": stowed_mass_kg(rope_mass_kg(rig, catalogue), cones_kg, fittings_kg),
        "stowed_volume_m3": stowed_volume_m3(rope_room_m3(rig, catalogue), cones_volume_m3(cones_kg)),
        "labour_hours": labour_hours(
            cones,
            splices_required((plan.rope >= 0).sum(axis=1).astype(np.float64)),
            policy.order.sew_minutes_per_cone,
            policy.order.minutes_per_cone,
            policy.order.splice_minutes,
        ),
    }
    positions = {
        "cones": np.where(usable, cones, -1.0).astype(np.int64),
        "lead_rope": plan.lead_rope,
        "section_rope": plan.rope,
        "section_cones": plan.cones,
        "bridle_rope": plan.lead_rope,
        "shackle": shackle,
        "thimble": thimble_for(catalogue, plan.lead_rope),
        "cloth": cloth,
    }
    small = np.where(plan.cones > 0, small_ends_m(plan.rope, policy, catalogue), 0.0)
    reasons = reasons_not_computed(fleet, figures, positions, catalogue, small.max(axis=1), joints.unfit)
    out = np.zeros(len(fleet), dtype=np.bool_)
    out[list(reasons)] = True
    return RequirementColumns(
        not_computed=reasons,
        range_mark=np.where(out, 0, range_mark(displacement)).astype(np.int8),
        hull_mark=np.where(out, 0, hull_mark(fleet.choice["boat_type"])).astype(np.int8),
        chosen_by=np.where(out, -1, 0).astype(np.int8),
        **_figures_without(out, figures),
        **_positions_without(out, positions),
    )


def loaded_displacement_kg(fleet: FleetColumns, policy: Policy) -> FloatArray:
    """Displacement used of every boat: as entered, times the loading factor where it is the light one. kg."""
    light = fleet.choice["displacement_basis"] == CHOICES["displacement_basis"].index("light")
    factor = np.where(light, policy.sizing.loading_factor, 1.0)
    return displacement_used_kg(fleet.number["displacement_kg"], factor)


def section_rules(policy: Policy) -> SectionRules:
    """What the policy asks of a cone line; PolicyError where it leaves a new line no strength."""
    rules = policy.sizing
    residual_share = new_residual_share(rules, policy.condition)
    if residual_share <= 0.0:
        raise PolicyError(
            "policy, [condition]",
            f"state_new is {policy.condition.state_new:g}, so that a new line has no strength",
            "a share above 0, usually 1",
            "correct state_new",
        )
    return SectionRules(
        strength_use=rules.strength_use,
        residual_share=residual_share,
        cone_pitch_m=rules.cone_pitch,
        first_cone_offset_m=rules.first_cone_offset,
        eye_splice_rope_m=rules.eye_splice_rope,
        least_diameter_m=rules.least_diameter,
        max_sections=rules.max_sections,
    )


def policy_cone(policy: Policy) -> ConePattern:
    """Pattern of the policy's new cone; PolicyError where its figures make no cone."""
    rules = policy.sizing
    try:
        return pattern_of(ConeSize(rules.cone_mouth, rules.cone_small_end), policy)
    except ComputationError as error:
        raise PolicyError("policy, [sizing]", error.found, error.expected, error.mend) from error


def _line_strengths_n(
    load: FloatArray, policy: Policy, envelope: TensionEnvelope | None
) -> tuple[FloatArray, FloatArray]:
    """Breaking strength a new line must have by the published load alone, and with the strike's. N."""
    rules = section_rules(policy)
    steady = required_strength_n(load, rules.strength_use, rules.residual_share)
    if envelope is None:
        return steady, steady
    return steady, np.maximum(steady, envelope.for_boats(len(load)).lead * load / rules.residual_share)


def _figures_without(out: BoolArray, columns: Mapping[str, FloatArray]) -> dict[str, Any]:
    """The columns with NaN for the boats in `out`."""
    return {name: np.where(_rows(out, values), np.nan, values) for name, values in columns.items()}


def _positions_without(out: BoolArray, columns: Mapping[str, IntArray]) -> dict[str, Any]:
    """The columns with -1 for the boats in `out`."""
    return {name: np.where(_rows(out, values), -1, values) for name, values in columns.items()}


def _rows(out: BoolArray, values: FloatArray | IntArray) -> BoolArray:
    return out if values.ndim == 1 else out[:, None]
