"""What a plan says it closes is closed once its parts are fitted, and the parts go together."""

from __future__ import annotations

import random

from sizing.audit import REGISTER, audit_fleet, plan_options
from sizing.model import CheckColumns, MendPlan, Standing
from sizing.order.pieces import pieces_for
from tests.sizing.audit.boats import CATALOGUE, boat, context_of, fleet_of
from tests.sizing.audit.mending import NEW_ROPE, mended

BOATS = 400
GEAR = {
    "displacement": ["12,000 lb", "20,000 lb", "26,000 lb"],
    "device_type": ["cone drogue", "none", "warps", "other", "", "series drogue"],
    "device_from": [""],
    "cone_count": ["100", "60", "200", "0", "1", ""],
    "cone_mouth": ["4 in", "6 in", "125 mm", "130 mm", "8 in", ""],
    "lead_line_diameter": ["20 mm", "24 mm", "32 mm", ""],
    "section_diameters": ["28 mm; 16 mm", "22 mm", "28 mm; 22 mm; 12 mm", "9 mm", ""],
    "line_material": ["polyester", "low stretch", "polypropylene", "nylon three strand", "unknown", ""],
    "line_state": ["good", "worn", "damaged", ""],
    "line_ends": ["knotted", "knotted", ""],
    "bridle_leg_length": ["5 m", ""],
    "bridle_diameter": ["18 mm", ""],
    "end_weight": ["10 lb", ""],
    "attachment_type": ["cleat", "winch", "none", ""],
    "attachment_rating": ["30 kN", ""],
    "thimble_type": ["thin sheet", "none", ""],
    "shackle_rating": ["20 kN", ""],
    "chafe_gear": ["none", ""],
    "condition": ["good", "poor", ""],
    "cone_small_end": ["25 mm", ""],
    "cones_torn": ["3", "20", ""],
    "thimble_for": ["12 mm", ""],
    "bridle_state": ["damaged", "good"],
    "bridle_year": ["2003", "2024"],
    "end_weight_joint": ["tied", "none", ""],
    "made_year": ["2018", "2005", ""],
}
SINGLE = {"cone drogue", "parachute", "warps", "other"}


def some_boat(choose: random.Random) -> dict[str, str]:
    """A boat with about a third of her gear not as it should be, or not said."""
    changes = {name: choose.choice(words) for name, words in GEAR.items() if choose.random() < 0.35}
    entered = boat(**changes)
    return entered if choose.random() < 0.8 else entered | {"section_cones": ""}


def new_rope_counts(check: str, plan: MendPlan, entered: dict[str, str]) -> bool:
    """Whether a check on rope is about rope that the plan makes anew."""
    groups = set(plan.groups)
    if check.startswith("bridle."):
        return "bridle" in groups
    if check in {"line.strength-new", "line.strength-residual"}:
        return "lead line" in groups
    if check in {"line.sections", "line.least-diameter"}:
        return "cone line" in groups
    whole = {"lead line"} if entered["device_type"] in SINGLE else {"lead line", "cone line"}
    return check in {"line.material", "line.state", "line.ends"} and whole <= groups


def standings(checks: tuple[CheckColumns, ...]) -> dict[str, list[Standing]]:
    return {column.check.id: [Standing(int(code)) for code in column.standing] for column in checks}


def test_a_plan_closes_what_it_says_and_breaks_nothing() -> None:
    """Every way of every boat: its parts are put into her entry, which is then judged again."""
    choose = random.Random(20871987)  # noqa: S311
    boats = [some_boat(choose) for _ in range(BOATS)]
    context = context_of(fleet_of(*boats))
    checks = audit_fleet(context)
    before = standings(checks)
    ways = [(boats[way.row], way) for options in plan_options(context, checks) for way in options]
    after = [mended(entered, way, context) for entered, way in ways]
    kept = standings(audit_fleet(context_of(fleet_of(*after))))
    renewed = standings(audit_fleet(context_of(fleet_of(*(entry | NEW_ROPE for entry in after)))))
    closed = 0
    for at, (entered, way) in enumerate(ways):
        claimed = {finding.split("/")[1] for finding in way.closes}
        if not entered["section_cones"]:
            claimed.discard("line.sections")  # what hangs on each section is still to be said
        if not (entered["cone_mouth"] and entered["device_from"]):
            claimed.discard("drag.cone-count")  # what is not said leaves the count unproven
        for check in before:
            if check not in claimed and before[check][way.row] is not Standing.MEETS:
                continue
            if check in {"data.plausible", "attachment.bolts"}:  # sister boats; new plates have no bolts yet
                continue
            if check == "line.sections" and not entered["cone_count"]:
                continue  # how many hang on each section of a new line is still to be counted
            rope = renewed if new_rope_counts(check, way, entered) else kept
            right = {Standing.MEETS, Standing.NOT_APPLICABLE}
            assert rope[check][at] in right, (check, rope[check][at].words, way, entered)
            closed += check in claimed
    assert closed > BOATS


def test_nothing_is_made_that_no_finding_asks_for() -> None:
    """Short of a whole new drogue, each part closes a finding, or carries cones that do."""
    choose = random.Random(19870520)  # noqa: S311
    context = context_of(fleet_of(*(some_boat(choose) for _ in range(BOATS))))
    checks = audit_fleet(context)
    parts = {spec.check.id: set(spec.parts) for spec in REGISTER}
    for options in plan_options(context, checks):
        for way in options:
            if way.choice == "replace":
                continue
            asked = {part for finding in way.closes for part in parts[finding.split("/")[1]]} | {"thimbles"}
            if {"cones", "cone line"} & asked:
                asked |= {"cones", "cone line"}
            assert set(way.groups) <= asked, way
            assert bool(way.cones_to_make) is ("cones" in way.groups)
            assert way.closes or not way.groups


def test_smaller_cones_are_not_moved_to_a_line_laid_out_for_the_standard_ones() -> None:
    """126 cones of 4 in make 81 of 5 in; a new line has 125 places, and with 45 new ones they were 171."""
    weak = boat(cone_mouth="4 in", section_diameters="28 mm; 12 mm")
    context = context_of(fleet_of(weak))
    first = plan_options(context, audit_fleet(context))[0][0]
    assert (first.choice, first.cones_to_make) == ("re-rig", 125)
    assert "cones" in first.groups
    assert "another size" in first.reason


def test_cones_all_made_anew_do_not_hang_behind_an_empty_line() -> None:
    """100 poor cones and 25 missing: all 125 on a further section would load the sections before it whole."""
    context = context_of(fleet_of(boat(cone_count="100", condition="poor")))
    for way in plan_options(context, audit_fleet(context))[0]:
        assert "cone line" in way.groups
        assert "extension" not in way.groups


def test_new_cones_are_not_put_on_a_line_with_too_few_places() -> None:
    """50 cones of 8 in are enough; 125 new ones of 5 in have no room on a line that carried 50."""
    context = context_of(fleet_of(boat(cone_count="50", cone_mouth="8 in", condition="poor")))
    for way in plan_options(context, audit_fleet(context))[0]:
        assert "cone line" in way.groups


def test_a_boat_with_a_single_device_gets_no_cone_line_and_no_eyes_for_one() -> None:
    """Her line is the lead line alone: three runs of rope with two eyes each, bridle legs among them."""
    single = boat(device_type="cone drogue", device_diameter="1.5 m", cone_count="", cone_mouth="",
                  section_diameters="", lead_line_diameter="16 mm", thimble_type="none")  # fmt: skip
    context = context_of(fleet_of(single))
    made = plan_options(context, audit_fleet(context))[0][0]
    assert set(made.groups) == {"lead line", "thimbles"}
    pieces = pieces_for(made, context.fleet, context.requirements, context.policy, CATALOGUE)
    assert sum(piece.quantity for piece in pieces if piece.kind == "thimble") == 6


def test_a_single_device_in_poor_condition_is_replaced_as_a_whole() -> None:
    single = boat(device_type="cone drogue", device_diameter="1.5 m", cone_count="", cone_mouth="",
                  section_diameters="", condition="poor")  # fmt: skip
    context = context_of(fleet_of(single))
    assert [way.choice for way in plan_options(context, audit_fleet(context))[0]] == ["replace"]


def test_cones_for_a_drogue_set_from_the_bow_are_said_to_count_at_the_stern_only() -> None:
    """CG87 6.1: from the bow two to three times the diameter."""
    context = context_of(fleet_of(boat(cone_count="100", device_from="bow")))
    ways = plan_options(context, audit_fleet(context))[0]
    assert all("from the stern" in way.reason for way in ways if way.choice != "replace")


def test_parts_sized_for_a_displacement_nobody_calls_loaded_say_so() -> None:
    for basis, said in (("", True), ("loaded", False), ("light", False)):
        context = context_of(fleet_of(boat(displacement_basis=basis, end_weight="10 lb")))
        for way in plan_options(context, audit_fleet(context))[0]:
            assert ("as the loaded one" in way.reason) is said
