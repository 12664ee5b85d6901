"""The connectors of one boat's plan: for every joint it makes anew, what its parts can be joined by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.connections import joints_in_words
from sizing.drogue.hardware import smallest_enough
from sizing.drogue.joints import RigEnds, joint_columns
from sizing.model import FloatArray, IntArray, Joint
from sizing.order.builder import Builder, Run

BARE_RUNS = "bridle leg", "lead line"


def shackles(build: Builder) -> None:
    """The connectors of every joint the plan makes new, or of all where it renews the shackles. [CG87 6.3]

    A joint is made new where one of its ropes is: an old shackle may be strong and yet not go through the new
    thimble. Her own end weight keeps what holds it, unless weight or shackles are renewed.
    """
    build.joints = new_joints(build)
    for joint in build.joints:
        if not joint.fits:
            build.cannot("", f"Nothing of the catalogue joins her {joint.name} so that every part passes.")
        for item in joint.items:
            build.add(item, "shackle", joint.name, joint.count, None, joint.source)
            build.counted["shackle"] = build.counted.get("shackle", 0) + joint.count


def new_joints(build: Builder) -> tuple[Joint, ...]:
    """The joints of her rig, as the plan leaves it, that the plan makes; in the order they are closed."""
    sections = [run for run in build.runs if run.name not in BARE_RUNS]
    single = not sections
    if single:
        # A single drogue has an eye of its own; it is taken to be like that of her lead line [assumed].
        leads = [run.diameter_m for run in build.runs if run.name == "lead line"]
        sections = [Run("drogue", 1, False, diameter_m) for diameter_m in leads]
    ends = _ends(build, sections, cone_line=not single)
    joints = joint_columns(ends, build.policy, build.catalogue)
    names = [section_name(run.name) for run in sections]
    every, weight = "shackles" in build.plan.groups, "end weight" in build.plan.groups
    made = {section_name(run.name) for run in build.runs if run.new}
    found = []
    for joint in joints_in_words(ends, joints, build.catalogue, 0, names):
        if joint.parts[1] == "end weight":
            wanted = not single and (every or weight)
        else:
            wanted = every or not made.isdisjoint(joint.parts)
        if wanted:
            found.append(joint)
    return tuple(replace(joint, place=place) for place, joint in enumerate(found, 1))


def section_name(run: str) -> str:
    """What a stretch of cone line is called at its joints.

    >>> section_name("cone line, section 2"), section_name("extension for 20 cones")
    ('section 2', 'new section')
    """
    if run.startswith("extension"):
        return "new section"
    return run.removeprefix("cone line, ")


def _ends(build: Builder, sections: Sequence[Run], *, cone_line: bool) -> RigEnds:
    """The ends of her rig as the plan leaves it, a fleet of one; a single drogue has no rope of its own."""
    need, row, catalogue = build.requirements, build.plan.row, build.catalogue
    runs = {run.name: run.diameter_m for run in build.runs}
    count = max(len(sections), 1)
    diameters, tension = np.full((1, count), np.nan), np.full((1, count), np.nan)
    diameters[0, : len(sections)] = [run.diameter_m for run in sections]
    needed = need.chosen_section_n[row, :count]
    tension[0, : len(needed)] = needed
    bridle, lead = (np.array([runs.get(name, np.nan)]) for name in BARE_RUNS)
    return RigEnds(
        bridle=_thimbles(catalogue, bridle),
        lead=_thimbles(catalogue, lead),
        section=_thimbles(catalogue, diameters),
        bridle_diameter_m=bridle,
        lead_diameter_m=lead,
        section_diameter_m=diameters if cone_line else np.full_like(diameters, np.nan),
        line_strength_n=need.chosen_strength_n[row : row + 1],
        section_strength_n=_new_strength_n(catalogue, diameters),
        design_load_n=need.chosen_load_n[row : row + 1],
        section_tension_n=tension,
        end_weight_kg=need.end_weight_kg[row : row + 1],
    )


def _thimbles(catalogue: Catalogue, diameter_m: FloatArray) -> IntArray:
    return smallest_enough(catalogue.thimbles.rope_diameter_m, diameter_m)


def _new_strength_n(catalogue: Catalogue, diameter_m: FloatArray) -> FloatArray:
    """New strength of the thinnest rope of the catalogue that is no thinner."""
    rope = smallest_enough(catalogue.ropes.diameter_m, diameter_m)
    return np.where(rope >= 0, catalogue.ropes.minimum_strength_n[rope], np.nan)
