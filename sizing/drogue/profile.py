"""Tension along one boat's line against what each rope is allowed, for the plot on her page."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.size import section_rules
from sizing.model import FloatArray, RequirementColumns
from sizing.policy import Policy


@dataclass(frozen=True)
class TensionProfile:
    """Steps along the line from the bridle (0) to the end thimble, two points to a step, (k,) each.

    `tension_n` is the steady share of the design load; `allowed_n` the policy's share of the rope's new
    minimum strength; `residual_n` what is left of it wet, spliced and new.
    """

    distance_m: FloatArray
    tension_n: FloatArray
    allowed_n: FloatArray
    residual_n: FloatArray


def tension_profile(
    requirements: RequirementColumns, policy: Policy, catalogue: Catalogue, row: int
) -> TensionProfile:
    """Return the profile of boat `row`; no points where she is not computed. m, N. [CG87 6.3; derived]"""
    if row in requirements.not_computed:
        nothing = np.empty(0)
        return TensionProfile(nothing, nothing, nothing, nothing)
    rules = section_rules(policy)
    cones = int(requirements.cones[row])
    lead = float(requirements.lead_length_m[row])
    drops = lead + rules.cone_pitch_m * np.arange(1, cones + 1)
    held = requirements.section_length_m[row]
    joints = lead + np.cumsum(held[requirements.section_cones[row] > 0])[:-1]
    edges = np.unique(np.concatenate(([0.0, lead, requirements.line_length_m[row]], drops, joints)))
    middle = 0.5 * (edges[:-1] + edges[1:])
    outboard = cones - np.searchsorted(drops, middle)
    tension = requirements.design_load_n[row] * outboard / cones
    section = np.searchsorted(joints, middle)
    rope = np.where(middle < lead, requirements.lead_rope[row], requirements.section_rope[row][section])
    strength = catalogue.ropes.minimum_strength_n[rope]
    return TensionProfile(
        np.column_stack((edges[:-1], edges[1:])).ravel(),
        np.repeat(tension, 2),
        np.repeat(strength * rules.strength_use, 2),
        np.repeat(strength * rules.residual_share, 2),
    )
