"""One boat's requirement: her sections, and every figure with the formula and inputs it came from."""

from __future__ import annotations

from sizing.catalogue import Catalogue
from sizing.drogue.rig import small_ends_m
from sizing.drogue.workings import BoatFigures, all_workings
from sizing.model import FleetColumns, Requirement, RequirementColumns, Section
from sizing.policy import Policy


def requirement_of(
    fleet: FleetColumns, requirements: RequirementColumns, policy: Policy, catalogue: Catalogue, row: int
) -> Requirement:
    """Return what boat `row` needs, every figure worked again from its inputs.

    A boat that was not computed has the reason, and neither sections, workings nor figures.
    """
    reason = requirements.not_computed.get(row, "")
    if reason:
        return Requirement(row, reason, 0, 0, (), (), {})
    boat = BoatFigures(fleet, requirements, policy, catalogue, row)
    return Requirement(
        row=row,
        reason_not_computed="",
        range_mark=int(requirements.range_mark[row]),
        hull_mark=int(requirements.hull_mark[row]),
        sections=sections_of(boat),
        workings=tuple(all_workings(boat)),
        figures=boat.figures(),
    )


def sections_of(boat: BoatFigures) -> tuple[Section, ...]:
    """The lead line, then the sections outward."""
    ropes, needed = boat.catalogue.ropes, boat.requirements
    lead = int(needed.lead_rope[boat.row])
    parts = [
        Section(
            "lead line",
            ropes.id[lead],
            float(ropes.diameter_m[lead]),
            0,
            boat.of("lead_length_m"),
            boat.of("lead_cut_m"),
            boat.of("design_load_n"),
            float(ropes.minimum_strength_n[lead]),
        )
    ]
    small = small_ends_m(needed.section_rope[boat.row], boat.policy, boat.catalogue)
    for place in boat.used_sections():
        rope = int(needed.section_rope[boat.row, place])
        parts.append(
            Section(
                f"section {place + 1}",
                ropes.id[rope],
                float(ropes.diameter_m[rope]),
                int(needed.section_cones[boat.row, place]),
                float(needed.section_length_m[boat.row, place]),
                float(needed.section_cut_m[boat.row, place]),
                float(needed.section_tension_n[boat.row, place]),
                float(ropes.minimum_strength_n[rope]),
                float(small[place]),
            )
        )
    return tuple(parts)
