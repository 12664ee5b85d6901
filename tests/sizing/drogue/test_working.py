"""Every figure of a boat is worked again from its inputs, in order, with its source."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import numpy as np
import pytest

from sizing.catalogue import load_catalogue
from sizing.drogue import bridle, drag, labour, lengths, loads, stowage, tow, windage
from sizing.drogue.end_weight import end_weight_kg
from sizing.drogue.envelope import TensionEnvelope
from sizing.drogue.sections import section_tension_n
from sizing.drogue.size import size_fleet
from sizing.drogue.working import requirement_of
from sizing.model import FleetColumns, Requirement, RequirementColumns
from sizing.policy import Policy
from sizing.units import both
from tests.sizing.drogue.fleets import POUND_KG, fleet_of

CATALOGUE, POLICY = load_catalogue(), Policy()
STRIKE = TensionEnvelope(np.array([0.0, 0.5, 1.0]), np.array([1.4, 1.2, 0.9]), 1.7)

# Working id -> column of the requirements it must equal.
COLUMN = {
    "displacement_used": "displacement_used_kg",
    "equivalent_diameter": "equivalent_diameter_m",
    "mouth_area_required": "mouth_area_required_m2",
    "cones": "cones",
    "design_load": "design_load_n",
    "line_strength_required": "line_strength_required_n",
    "chosen_strength": "chosen_strength_n",
    "lead_length": "lead_length_m",
    "lead_cut": "lead_cut_m",
    "line_length": "line_length_m",
    "bridle_leg": "bridle_leg_m",
    "bridle_leg_cut": "bridle_leg_cut_m",
    "attachment_load": "attachment_load_n",
    "end_weight": "end_weight_kg",
    "windage_used": "windage_used_m2",
    "air_drag_area": "air_drag_area_m2",
    "drift_low": "drift_low_mps",
    "drift_speed": "drift_speed_mps",
    "drift_high": "drift_high_mps",
    "cloth_areal_mass": "cloth_areal_mass_kg_m2",
    "stowed_mass": "stowed_mass_kg",
    "stowed_volume": "stowed_volume_m3",
    "labour_hours": "labour_hours",
}

# Working id -> the formula its value must be of the inputs shown.
FORMULA: dict[str, Callable[..., float]] = {
    "displacement_used": drag.displacement_used_kg,
    "equivalent_diameter": drag.equivalent_diameter_m,
    "mouth_area_required": drag.mouth_area_m2,
    "cones": drag.cones_required,
    "design_load": loads.design_load_n,
    "line_strength_required": loads.required_strength_n,
    "chosen_strength": loads.required_strength_n,
    "lead_cut": lengths.cut_length_m,
    "cone_line": lengths.cone_line_m,
    "line_length": lengths.whole_line_m,
    "section_1_tension": section_tension_n,
    "section_2_tension": section_tension_n,
    "section_3_tension": section_tension_n,
    "section_1_cut": lengths.cut_length_m,
    "section_2_cut": lengths.cut_length_m,
    "section_3_cut": lengths.cut_length_m,
    "bridle_leg": bridle.leg_m,
    "half_angle": bridle.half_angle_rad,
    "straight_leg_load": bridle.straight_leg_load_n,
    "attachment_load": loads.attachment_load_n,
    "yaw_at_attachment_load": bridle.yaw_at_share_rad,
    "end_weight": end_weight_kg,
    "hull_drag_area": tow.hull_drag_area_m2,
    "water_drag_area": tow.water_drag_area_m2,
    "air_drag_estimate": windage.air_drag_area_m2,
    "air_drag_area": windage.entered_drag_area_m2,
    "drift_low": tow.drift_speed_mps,
    "drift_speed": tow.drift_speed_mps,
    "drift_high": tow.drift_speed_mps,
    "drag_at_drift": tow.drogue_drag_n,
    "stowed_mass": stowage.stowed_mass_kg,
    "stowed_volume": stowage.stowed_volume_m3,
    "labour_hours": labour.labour_hours,
}


def fleets() -> list[tuple[str, FleetColumns, TensionEnvelope | None]]:
    pounds = np.array([1_000.0, 7_500.0, 10_000.0, 20_000.0, 45_000.0, 90_000.0]) * POUND_KG
    return [
        ("loaded", fleet_of(pounds), None),
        ("light", fleet_of(pounds, basis="light"), None),
        ("basis blank", fleet_of(pounds, basis=None), None),
        ("windage entered", fleet_of(pounds, numbers={"windage_area_m2": 21.0}), None),
        ("beam entered", fleet_of(pounds, boat_type="motor multihull", numbers={"beam_m": 5.5}), None),
        ("strike", fleet_of(pounds), STRIKE),
    ]


def requirements() -> list[tuple[str, RequirementColumns, Requirement]]:
    found = []
    for name, fleet, envelope in fleets():
        columns = size_fleet(fleet, POLICY, CATALOGUE, envelope)
        found += [
            (name, columns, requirement_of(fleet, columns, POLICY, CATALOGUE, r)) for r in range(len(fleet))
        ]
    return found


CASES = requirements()
every_case = pytest.mark.parametrize(
    ("name", "columns", "boat"), CASES, ids=[f"{name}-{boat.row}" for name, _, boat in CASES]
)


@every_case
def test_workings_equal_the_columns(name: str, columns: RequirementColumns, boat: Requirement) -> None:
    values = {working.id: working.value for working in boat.workings}
    for working_id, column in COLUMN.items():
        assert values[working_id] == pytest.approx(float(getattr(columns, column)[boat.row]), rel=1e-12), (
            working_id
        )
    ropes = CATALOGUE.ropes
    assert values["lead_rope"] == ropes.diameter_m[columns.lead_rope[boat.row]]
    assert values["shackle"] == CATALOGUE.shackles.breaking_load_n[columns.shackle[boat.row]]
    assert values["thimble"] == CATALOGUE.thimbles.rope_diameter_m[columns.thimble[boat.row]]
    for place in range(3):
        key = f"section_{place + 1}"
        assert (f"{key}_rope" in values) == (columns.section_cones[boat.row, place] > 0)
        if f"{key}_rope" in values:
            assert values[f"{key}_rope"] == ropes.diameter_m[columns.section_rope[boat.row, place]]
            for ending, column in (("tension", "tension_n"), ("length", "length_m"), ("cut", "cut_m")):
                expected = float(getattr(columns, f"section_{column}")[boat.row, place])
                assert values[f"{key}_{ending}"] == pytest.approx(expected, rel=1e-12)


@every_case
def test_values_are_the_formulas_of_the_inputs_shown(
    name: str, columns: RequirementColumns, boat: Requirement
) -> None:
    checked = 0
    for working in boat.workings:
        if working.id in FORMULA:
            again = FORMULA[working.id](*(value for _, value, _ in working.inputs))
            assert working.value == pytest.approx(float(again), rel=1e-12), working.id
            checked += 1
    assert checked >= len(FORMULA) - 4  # a line of one section lacks four of them


@every_case
def test_workings_can_be_shown_and_have_a_source(
    name: str, columns: RequirementColumns, boat: Requirement
) -> None:
    ids = [working.id for working in boat.workings]
    assert len(set(ids)) == len(ids)
    assert ids[0] == "displacement_used"
    assert ids.index("cones") < ids.index("design_load") < ids.index("lead_rope") < ids.index("bridle_leg")
    for working in boat.workings:
        assert math.isfinite(working.value)
        assert both(working.value, working.dimension)
        assert working.inputs
        assert all(both(value, dimension) for _, value, dimension in working.inputs)
        assert re.match(r"\[.+\]", working.source), working.id
        assert working.title
        assert working.formula


@every_case
def test_range_is_marked_on_what_it_concerns(
    name: str, columns: RequirementColumns, boat: Requirement
) -> None:
    marks = {working.id: working.range_mark for working in boat.workings}
    expected = {-1: "below the published range", 0: "", 1: "above the published range"}[boat.range_mark]
    for working_id in (
        "equivalent_diameter",
        "cones",
        "design_load",
        "line_strength_required",
        "chosen_strength",
        "attachment_load",
    ):
        hull = "hull type outside the source"
        assert marks[working_id].endswith(hull) == (name == "beam entered")  # a motor multihull
        displacement = marks[working_id].removesuffix(hull)
        assert displacement.startswith(expected)
        assert bool(displacement) == bool(expected)
    assert marks["displacement_used"] == marks["bridle_leg"] == ""


@every_case
def test_sections_are_the_lead_line_and_the_parts_outward(
    name: str, columns: RequirementColumns, boat: Requirement
) -> None:
    lead, *parts = boat.sections
    assert (lead.name, lead.cones) == ("lead line", 0)
    assert sum(part.cones for part in parts) == columns.cones[boat.row]
    assert sum(part.length_m for part in boat.sections) == pytest.approx(columns.line_length_m[boat.row])
    strengths = [part.strength_n for part in boat.sections]
    assert strengths == sorted(strengths, reverse=True)
    assert all(part.head_tension_n <= 0.6 * part.strength_n * (1 + 1e-9) for part in boat.sections)
    assert all(part.rope_id in CATALOGUE.ropes.id for part in boat.sections)


def test_a_strike_is_said_where_it_decides() -> None:
    struck = next(boat for name, _, boat in CASES if name == "strike" and boat.row == 3)
    shown = {working.id: {n: v for n, v, _ in working.inputs} for working in struck.workings}
    assert shown["chosen_strength"]["strike over design load"] == pytest.approx(1.7)
    assert any("strike" in name for name in shown["section_3_rope"])


def test_how_displacement_was_taken_is_said() -> None:
    words = {name: boat.workings[0].formula for name, _, boat in CASES}
    assert "light" in words["light"]
    assert "taken as loaded" in words["basis blank"]


def test_a_boat_not_computed_has_only_her_reason() -> None:
    fleet = fleet_of([math.nan, 8_000.0])
    columns = size_fleet(fleet, POLICY, CATALOGUE)
    boat = requirement_of(fleet, columns, POLICY, CATALOGUE, 0)
    assert boat.reason_not_computed == columns.not_computed[0]
    assert (boat.sections, boat.workings, dict(boat.figures)) == ((), (), {})


def test_figures_are_her_row_of_the_columns() -> None:
    _, columns, boat = CASES[2]
    assert boat.figures["cones"] == columns.cones[2]
    assert boat.figures["drift_speed_mps"] == columns.drift_speed_mps[2]
    assert "section_rope" not in boat.figures
