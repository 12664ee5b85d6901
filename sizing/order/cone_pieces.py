"""New cones of one boat's plan: how many of which size, so that each goes over the rope it is threaded on."""

from __future__ import annotations

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.cone import cone_over_rope, usual_cone
from sizing.drogue.rig import small_ends_m
from sizing.model import ConeSize, MendPlan, RequirementColumns
from sizing.order.builder import Builder
from sizing.order.cutting import cut_length_mm
from sizing.order.rope_pieces import SECTION, extension_section
from sizing.policy import Policy
from sizing.units import both


def cones(build: Builder) -> None:
    """New cones of the cloth chosen for her, and their tapes."""
    count, rules = build.plan.cones_to_make, build.policy.order
    if count <= 0:
        return
    cloths, tapes = build.catalogue.cloths, build.catalogue.tapes
    at = int(build.requirements.cloth[build.plan.row])
    if at < 0:
        build.cannot("", "Her cones have no cloth: none was chosen for her.")
        return
    usual = usual_cone(_mouth_m(build), build.policy.sizing)
    for size, made in cones_by_rope(build).items():
        purpose = "cones" if size == usual else f"cones, small end {1000 * size.small_end_m:.0f} mm"
        build.add(cloths.id[at], "cone", purpose, made, None, "[CG87 4.1.1, 6.3]", size)
    tape_m = cut_length_mm(rules.tape_length) / 1000
    build.add(tapes.id[0], "tape", "cone tapes", count * rules.tapes_per_cone, tape_m, "[practice]")
    build.counted["new cone"] = count


def cones_by_rope(build: Builder) -> dict[ConeSize, int]:
    """How many new cones of each size her plan makes, for the ropes they go on.

    On a new line the new ones stand on the inner, thicker sections and those moved from her old line further
    out; on an extension they go over its rope; put in old places, over the thickest section aboard, since the
    sheet does not say on which they were. [assumed]
    """
    left, counts = build.plan.cones_to_make, dict[ConeSize, int]()
    for diameter_m, places in _ropes(build):
        made = min(left, places)
        if made > 0:
            size = cone_over_rope(diameter_m, _mouth_m(build), build.policy.sizing)
            counts[size] = counts.get(size, 0) + made
            left -= made
    return counts


def _ropes(build: Builder) -> list[tuple[float, int]]:
    """Diameter of the ropes that get new cones, m, and how many cones each has a place for."""
    plan, need, row = build.plan, build.requirements, build.plan.row
    every = plan.cones_to_make

    def diameter_m(section: int) -> float:
        rope = int(need.section_rope[row, section])
        return float(build.catalogue.ropes.diameter_m[rope]) if rope >= 0 else float("nan")

    used: list[int] = np.flatnonzero(need.section_cones[row] > 0).tolist()
    if "cone line" in plan.groups:
        places = [(diameter_m(section), int(need.section_cones[row, section])) for section in used]
        return [*places, (diameter_m(used[0]) if used else float("nan"), every)]
    if "extension" in plan.groups:
        return [(diameter_m(extension_section(plan, need)), every)]
    hers = build.fleet.section_diameters_m[row]
    known = hers[np.isfinite(hers)]
    thickest = float(known.max()) if len(known) else diameter_m(used[0]) if used else float("nan")
    return [(thickest, every)]


def cones_told(
    purpose: str, plan: MendPlan, requirements: RequirementColumns, policy: Policy, catalogue: Catalogue
) -> str:
    """Which cones go on a new piece of rope, where they have a pattern of their own; empty elsewhere.

    `purpose` is the piece's, as in a cut list.
    """
    if purpose.startswith(SECTION):
        section = int(purpose.removeprefix(SECTION)) - 1
    elif purpose.startswith("extension"):
        section = extension_section(plan, requirements)
    else:
        return ""
    rope = requirements.section_rope[plan.row, section]
    small_m = float(small_ends_m(rope, policy, catalogue))
    if not small_m > policy.sizing.cone_small_end:
        return ""
    return f"takes the cones with a small end of {both(small_m, 'small_length')}"


def _mouth_m(build: Builder) -> float:
    return float(build.requirements.cone_mouth_m[build.plan.row])
