"""The plan: the least kind of work that closes what is short; nothing is ordered on a guess."""

from __future__ import annotations

from sizing.audit import audit_fleet, plan_options
from sizing.policy import Policy
from tests.sizing.audit.boats import boat, context_of, fleet_of, plan


def test_a_ready_boat_needs_nothing() -> None:
    made = plan(boat())
    assert (made.choice, made.groups, made.cones_to_make) == ("nothing", (), 0)


def test_missing_cones_on_a_sound_line_are_a_further_section() -> None:
    """125 cones of 5 in at 20,000 lb [CG87 6.1]; 100 aboard."""
    made = plan(boat(cone_count="100"))
    assert made.choice == "extend"
    assert made.groups == ("cones", "extension")
    assert made.cones_to_make == 25
    assert made.closes == ("1/drag.cone-count",)


def test_a_weak_line_is_replaced_and_the_cones_moved() -> None:
    made = plan(boat(lead_line_diameter="16 mm", section_diameters="16 mm"))
    assert made.choice == "re-rig"
    assert {"lead line", "cone line"} <= set(made.groups)
    assert made.cones_to_make == 0


def test_new_rope_is_said_to_be_under_old_cones_only_where_they_are_kept() -> None:
    weak = {"lead_line_diameter": "16 mm", "section_diameters": "16 mm"}
    assert plan(boat(**weak)).reason == "The cones [she] has are moved to new rope."
    some = plan(boat(cone_count="100", **weak))
    assert some.cones_to_make == 25
    assert some.reason == "The cones [she] has and 25 new ones go on new rope."
    torn = plan(boat(condition="poor", **weak))
    assert torn.cones_to_make == 125
    assert "cones [she] has" not in torn.reason


def test_knots_that_splicing_would_cure_need_thimbles_and_not_rope() -> None:
    made = plan(boat(line_ends="knotted"))
    assert made.choice == "fittings only"
    assert made.groups == ("thimbles",)


def test_no_device_is_a_whole_drogue() -> None:
    made = plan(boat(device_type="none", cone_count="", bridle_leg_length="", bridle_diameter=""))
    assert made.choice == "replace"
    assert made.cones_to_make == 125
    assert {"cones", "cone line", "lead line", "bridle", "end weight"} <= set(made.groups)


def test_what_is_unproven_is_looked_at_and_not_ordered() -> None:
    made = plan(boat(end_weight="", line_state=""))
    assert made.choice == "nothing"
    assert made.groups == ()
    assert {"1/end-weight.mass", "1/line.strength-residual"} <= set(made.leaves)


def test_small_things_are_fittings_only() -> None:
    made = plan(boat(end_weight="10 lb", chafe_gear="none"))
    assert made.choice == "fittings only"
    assert set(made.groups) == {"end weight", "chafe gear"}


def test_cones_hung_on_behind_must_not_overload_the_sections_before_them() -> None:
    """28 mm then 16 mm, 60 cones: the second section carries half of F; with 65 more behind it, 95 / 125.

    70 kN x 95 / 125 = 53 kN; 16 mm double braid leaves about 43 kN wet and spliced [UFC 4-159-03, derived].
    """
    short = boat(cone_count="60", section_diameters="28 mm; 16 mm")
    context = context_of(fleet_of(short))
    ways = plan_options(context, audit_fleet(context))[0]
    assert [way.choice for way in ways] == ["re-rig", "replace"]
    assert "cone line" in ways[0].groups
    assert "extension" not in ways[0].groups
    held = context_of(fleet_of(short | {"section_diameters": "28 mm; 22 mm"}))
    assert plan_options(held, audit_fleet(held))[0][0].choice == "extend"


def test_a_line_that_is_not_proven_is_not_said_to_hold() -> None:
    made = plan(boat(cone_count="100", line_state=""))
    assert "holds" not in made.reason


def test_cones_of_too_light_cloth_are_made_anew_where_the_rally_requires_it() -> None:
    """Light rip-stop below 30,000 lb only [CG87 6.3]: what the plan closes, it makes."""
    heavy = boat(displacement="40,000 lb", loa="16 m", lwl="14.5 m", beam="4.6 m", transom_width="3.4 m",
                 cone_count="170", lead_line_diameter="41 mm", bridle_diameter="41 mm",
                 section_diameters="41 mm; 33 mm", bridle_leg_length="8.6 m", end_weight="45 lb",
                 attachment_rating="95 kN", shackle_rating="200 kN",
                 attachment_bolts="8 x M16 A4-70")  # fmt: skip
    made = plan(heavy, Policy(checks={"drag.cone-cloth": "shall"}))
    assert "1/drag.cone-cloth" in made.closes
    assert "cones" in made.groups
    assert made.cones_to_make > 100
