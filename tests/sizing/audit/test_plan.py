"""The plan: the least kind of work that closes what is short; nothing is ordered on a guess."""

from __future__ import annotations

from tests.sizing.audit.boats import boat, plan


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
