"""The runs of rope of one boat's rig: those the plan makes anew, and those that stay."""

from __future__ import annotations

from typing import Final

import numpy as np

from sizing.audit.context import without_cone_line
from sizing.drogue.lengths import cone_line_m, cut_length_m
from sizing.errors import ComputationError
from sizing.model import FloatArray, MendPlan, RequirementColumns
from sizing.order.builder import LEGS, Builder, Run

SECTION: Final = "cone line, section "
"""Purpose of a piece of cone line, before its number from the boat outward."""


def _rope(build: Builder, name: str, rope: int, length_m: float, count: int, source: str) -> None:
    """One new run of rope, `count` alike."""
    if rope < 0 or not np.isfinite(length_m):
        raise ComputationError(
            f"{name} of entry {build.fleet.text['entry_no'][build.plan.row]}",
            "no rope or no length is computed",
            "a rope of the catalogue and a length",
            "read why on the boat's page",
        )
    ropes = build.catalogue.ropes
    build.add(ropes.id[rope], "rope", name, count, build.cut_m(length_m), source)
    build.runs.append(Run(name, count, True, float(ropes.diameter_m[rope])))


def _aboard(build: Builder, name: str, count: int, given_m: float, rope: int) -> None:
    """One run of rope that stays: her own diameter where the sheet gives it, else the one required."""
    required = float(build.catalogue.ropes.diameter_m[rope]) if rope >= 0 else float("nan")
    build.runs.append(Run(name, count, False, given_m if np.isfinite(given_m) else required))


def lead_line(build: Builder) -> None:
    """Lead line, bridle to first cone."""
    row, need = build.plan.row, build.requirements
    if "lead line" in build.plan.groups:
        source = "[practice] 75 ft and two eye splices"
        _rope(build, "lead line", int(need.lead_rope[row]), float(need.lead_cut_m[row]), 1, source)
    else:
        given = float(build.fleet.number["lead_line_diameter_m"][row])
        _aboard(build, "lead line", 1, given, int(need.lead_rope[row]))


def _section_name(s: int) -> str:
    return f"{SECTION}{s + 1}"


def cone_line(build: Builder) -> None:
    """Every section of the cone line; a boat with a single device has none."""
    row, need = build.plan.row, build.requirements
    used: list[int] = np.flatnonzero(need.section_cones[row] > 0).tolist()
    if "cone line" in build.plan.groups:
        for s in used:
            name = _section_name(s)
            source = "[CG87 4.1.1] pitch; [practice] end and splices"
            _rope(build, name, int(need.section_rope[row, s]), float(need.section_cut_m[row, s]), 1, source)
        return
    if without_cone_line(build.fleet)[row]:
        return
    given: FloatArray = build.fleet.section_diameters_m[row]
    hers = given[np.isfinite(given)]
    if len(hers):
        for s, diameter in enumerate(hers):
            _aboard(build, _section_name(s), 1, float(diameter), -1)
    else:
        for s in used:
            rope = int(need.section_rope[row, s])
            _aboard(build, _section_name(s), 1, float("nan"), rope)


def extension_section(plan: MendPlan, requirements: RequirementColumns) -> int:
    """Return the required section whose rope a boat's extension is made of.

    The outermost one that has at least as many cones from its head outward as the extension will carry, so
    that its rope is sized for the extension's share of the load. [derived from CG87 6.3]
    """
    cones = requirements.section_cones[plan.row]
    outboard = np.cumsum(cones[::-1])[::-1]
    enough = np.flatnonzero((outboard >= plan.cones_to_make) & (cones > 0))
    return int(enough[-1]) if len(enough) else 0


def extension(build: Builder) -> None:
    """A new outboard section that carries the new cones."""
    plan, sizing = build.plan, build.policy.sizing
    if "extension" not in plan.groups or plan.cones_to_make <= 0:
        return
    finished_m = cone_line_m(float(plan.cones_to_make), sizing.cone_pitch, sizing.first_cone_offset)
    length_m = float(cut_length_m(finished_m, sizing.eye_splice_rope))
    rope = int(build.requirements.section_rope[plan.row, extension_section(plan, build.requirements)])
    source = "[CG87 4.1.1] pitch; [practice] end and splices"
    _rope(build, f"extension for {plan.cones_to_make} cones", rope, length_m, 1, source)


def bridle(build: Builder) -> None:
    """Both legs of the bridle."""
    row, need = build.plan.row, build.requirements
    if "bridle" in build.plan.groups:
        source = "[practice] 2.5 x transom width and splices"
        _rope(
            build, "bridle leg", int(need.bridle_rope[row]), float(need.bridle_leg_cut_m[row]), LEGS, source
        )
    else:
        given = float(build.fleet.number["bridle_diameter_m"][row])
        _aboard(build, "bridle leg", LEGS, given, int(need.bridle_rope[row]))
