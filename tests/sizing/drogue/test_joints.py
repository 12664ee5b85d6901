"""Every joint of every rig: a connector that is strong enough and that every part passes, closed in an order.

Sizes are the catalogue's, which `test_hardware` holds to what was quoted of the standards. Here all joints
of a mixed fleet are gone through again shackle by shackle, by rules written out as a rigger would check them.
"""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from sizing.catalogue import load_catalogue
from sizing.drogue.connections import connections
from sizing.drogue.joints import (
    APEX,
    ATTACHMENT,
    END,
    EYE_THROUGH_EYE,
    FIRST_SECTION,
    LEAD,
    NONE_FITS,
    SHACKLE,
    TWO_SHACKLES,
    joint_columns,
    required_ends,
    required_joints,
)
from sizing.drogue.passing import passes
from sizing.drogue.size import size_fleet
from sizing.model import Joint
from sizing.policy import Policy
from tests.sizing.drogue.fleets import POUND_KG, fleet_of

CATALOGUE = load_catalogue()
POLICY = Policy()
S, T, C = CATALOGUE.shackles, CATALOGUE.thimbles, CATALOGUE.end_weights
ROOM = 0.0005  # beside a part that is to pass [assumed]
FLEET = fleet_of(np.geomspace(2_000.0, 2.0 * 60_000.0 * POUND_KG, 300))
NEEDED = size_fleet(FLEET, POLICY, CATALOGUE)
ENDS = required_ends(NEEDED, CATALOGUE)
JOINTS = required_joints(NEEDED, POLICY, CATALOGUE)


def goes(opening: float, part: float) -> bool:
    return opening - part >= ROOM - 1e-9


def goes_on_bow(shackle: int, thimble: int, side_by_side: int = 1) -> bool:
    return goes(S.bow_m[shackle], side_by_side * T.across_m[thimble]) and goes(
        T.inside_width_m[thimble], S.body_m[shackle]
    )


def goes_on_pin(shackle: int, thimble: int) -> bool:
    return goes(S.jaw_m[shackle], T.across_m[thimble]) and goes(T.inside_width_m[thimble], S.pin_m[shackle])


def takes_link(shackle: int, chain: int) -> bool:
    return goes(S.jaw_m[shackle], C.size_m[chain]) and goes(C.inside_width_m[chain], S.pin_m[shackle])


def test_every_boat_has_a_connector_for_every_joint() -> None:
    assert not NEEDED.not_computed
    assert not JOINTS.unfit.any()
    assert JOINTS.used[:, [ATTACHMENT, APEX, LEAD, END]].all()


@pytest.mark.parametrize("joint", [ATTACHMENT, APEX, LEAD, FIRST_SECTION, FIRST_SECTION + 1])
def test_the_shackle_of_a_joint_is_the_weakest_that_holds_and_goes_together(joint: int) -> None:
    shackled = np.flatnonzero(JOINTS.connector[:, joint] == SHACKLE)
    assert len(shackled) or joint > LEAD
    for row in shackled.tolist():
        section = ENDS.section[row]
        bridle, lead = int(ENDS.bridle[row]), int(ENDS.lead[row])
        if joint == APEX:
            on_bow, on_pin, side_by_side = bridle, lead, 2
        elif joint == ATTACHMENT:
            on_bow, on_pin, side_by_side = bridle, None, 1
        else:
            inner = [lead, *section.tolist()][joint - LEAD]
            on_bow, on_pin, side_by_side = inner, int(section[joint - LEAD]), 1
        holds = S.breaking_load_n >= JOINTS.strength_required_n[row, joint] * (1 - 1e-9)
        allowed = [
            at
            for at in range(len(S))
            if holds[at]
            and goes_on_bow(at, on_bow, side_by_side)
            and (on_pin is None or goes_on_pin(at, on_pin))
            and goes(
                S.inside_length_m[at],
                T.crown_m[on_bow] + (1.5 * S.pin_m[at] if on_pin is None else T.crown_m[on_pin]),
            )
        ]
        assert JOINTS.shackle[row, joint] == allowed[0]


def test_the_end_weights_link_is_on_a_pin_that_goes_through_it() -> None:
    """Review: one size of shackle served the rig, and its pin did not pass the chain's link on most boats."""
    rig_size = NEEDED.shackle  # what the line asks for, once ordered for every joint
    fits_link = [takes_link(int(at), int(chain)) for at, chain in zip(rig_size, JOINTS.chain, strict=True)]
    assert np.mean(fits_link) < 0.5
    for row in range(len(FLEET)):
        outer = [int(t) for t in ENDS.section[row] if t >= 0][-1]
        chain, at, second = (
            int(JOINTS.chain[row]),
            int(JOINTS.shackle[row, END]),
            int(JOINTS.second[row, END]),
        )
        assert goes_on_bow(at, outer)
        if JOINTS.connector[row, END] == TWO_SHACKLES:
            assert takes_link(second, chain)
            assert goes(S.bow_m[second], S.pin_m[at])
            assert goes(S.jaw_m[at], S.body_m[second])
            assert not any(takes_link(one, chain) and goes_on_bow(one, outer) for one in range(len(S)))
        else:
            assert takes_link(at, chain)
            assert second == -1


def test_eyes_are_spliced_through_each_other_only_where_both_thimbles_pass_and_the_second_opens() -> None:
    seen = set()
    for joint in (FIRST_SECTION, FIRST_SECTION + 1):
        for row in np.flatnonzero(JOINTS.used[:, joint]).tolist():
            first, second = (
                int(t) for t in ENDS.section[row, joint - FIRST_SECTION : joint - FIRST_SECTION + 2]
            )
            together = goes(T.inside_width_m[first], T.across_m[second]) and goes(
                T.inside_width_m[second], T.across_m[first]
            )
            spliced = JOINTS.connector[row, joint] == EYE_THROUGH_EYE
            assert spliced == (together and T.thimble_type[second] == "reinforced")
            seen.add(bool(spliced))
    assert seen == {True, False}, "the fleet shows one kind of joint alone: widen it"


def test_no_two_closed_eyes_meet_without_a_connector() -> None:
    for row in range(0, len(FLEET), 7):
        for joint in connections(NEEDED, POLICY, CATALOGUE, row):
            if joint.kind == "eye through eye":
                assert "still open" in joint.steps[0]
                assert joint.items == ()
            else:
                assert joint.items


def test_all_that_is_said_to_pass_does_and_nothing_is_weaker_than_it_must_be() -> None:
    for row in range(0, len(FLEET), 7):
        joints = connections(NEEDED, POLICY, CATALOGUE, row)
        assert [joint.place for joint in joints] == list(range(1, len(joints) + 1))
        assert [joint.name for joint in joints][-3:] == [
            "bridle legs to lead line", "lead line to section 1", "attachment to bridle leg",
        ]  # fmt: skip
        for joint in joints:
            assert joint.fits
            assert joint.proof
            assert min(passing.room_m for passing in joint.proof) >= ROOM - 1e-9
            assert joint.strength_n >= joint.strength_required_n * (1 - 1e-9)
            assert joint.strength_required_n > joint.load_n or joint.parts[1] == "end weight"
            assert joint.source.startswith("[")


def test_masses_of_the_shackles_are_in_the_bag() -> None:
    kilograms = JOINTS.shackles_kg(CATALOGUE)
    for row in (0, 150, 299):
        by_hand = sum(
            joint.count * sum(S.mass_kg[S.id.index(item)] for item in joint.items)
            for joint in connections(NEEDED, POLICY, CATALOGUE, row)
        )
        assert kilograms[row] == pytest.approx(by_hand)


def by_name(joints: tuple[Joint, ...]) -> dict[str, Joint]:
    return {joint.name: joint for joint in joints}


def test_a_boat_of_sixty_thousand_pounds_by_hand() -> None:
    """27.2 t: every part in mm, from the lists quoted for RR-C-271, FF-T-276, ISO 4565 and DIN 766.

    Rope 35.6 / 30.5 / 20 mm takes thimbles for 36 (56.5 across), 32 (50) and 20 (32.5); 22.7 kg of 16 mm
    chain is 3.9 m, its link 19.2 mm wide inside.
    """
    needed = size_fleet(fleet_of(60_000.0 * POUND_KG), POLICY, CATALOGUE)
    joints = by_name(connections(needed, POLICY, CATALOGUE, 0))
    assert {name: joint.items or joint.kind for name, joint in joints.items()} == {
        "section 1 to section 2": ("SHB-12t",),  # jaws 51 take 50
        "section 2 to section 3": "eye through eye",  # 50 in an opening of 52.5, 32.5 in a hole of 64
        "section 3 to end weight": ("SHB-2t",),  # pin 16 in 19.2, bow 33 takes 32.5
        "bridle legs to lead line": ("SHB-25t",),  # bow 126 takes two of 56.5; that of 17 t has 98
        "lead line to section 1": ("SHB-13.5t",),  # jaws 57 take 56.5
        "attachment to bridle leg": ("SHB-6.5t",),  # bow 58 takes 56.5; breaks at 319 kN, 267 asked
    }
    tight = min(joints["section 3 to end weight"].proof, key=lambda passing: passing.room_m)
    assert (1000 * tight.part_m, 1000 * tight.opening_m) == pytest.approx((32.5, 33.0))
    assert "hole at least 26 mm" in joints["attachment to bridle leg"].asks[0]


def test_two_shackles_where_one_cannot_reach_from_thimble_to_link() -> None:
    needed = size_fleet(fleet_of(150_000.0), POLICY, CATALOGUE)
    joint = by_name(connections(needed, POLICY, CATALOGUE, 0))["section 3 to end weight"]
    # Thimble for 42 mm rope: 66 across. Bow of the 6.5 t shackle: 58; pins of larger ones do not pass 27.6.
    assert (joint.kind, joint.items) == ("two shackles", ("SHB-8.5t", "SHB-6.5t"))
    assert [passing.part for passing in joint.proof].count("pin of the larger") == 1


def test_a_joint_nothing_fits_says_so_and_is_no_pass() -> None:
    few = dataclasses.replace(
        CATALOGUE,
        shackles=dataclasses.replace(
            S,
            **{f.name: getattr(S, f.name)[:9] for f in dataclasses.fields(S)},  # to 8.5 t
        ),
    )
    heavy = fleet_of(60_000.0 * POUND_KG)
    needed = size_fleet(heavy, POLICY, CATALOGUE)
    columns = required_joints(needed, POLICY, few)
    assert columns.unfit[0, APEX]
    assert columns.connector[0, APEX] == NONE_FITS
    apex = by_name(connections(needed, POLICY, few, 0))["bridle legs to lead line"]
    assert not apex.fits
    assert (apex.items, apex.proof, apex.strength_n) == ((), (), 0.0)
    # Her line is not too strong for a club with these shackles, and yet she has no rig of its parts.
    lighter = size_fleet(fleet_of(12_000.0), POLICY, few)
    assert "joins the bridle legs to the lead line" in lighter.not_computed[0]


def test_joints_bear_what_new_gear_is_chosen_for() -> None:
    """A strike that asks for a stronger line asks for shackles as strong [CG87 6.3; assumed]."""
    asked = NEEDED.chosen_strength_n * 1.6
    joints = required_joints(dataclasses.replace(NEEDED, chosen_strength_n=asked), POLICY, CATALOGUE)
    for joint in (ATTACHMENT, APEX, LEAD):
        breaks = S.breaking_load_n[joints.shackle[:, joint]]
        assert (breaks[joints.shackle[:, joint] >= 0] >= asked[joints.shackle[:, joint] >= 0]).all()


def test_every_rope_lies_in_its_thimbles_groove() -> None:
    for row in range(0, len(FLEET), 29):
        told = [fit for joint in connections(NEEDED, POLICY, CATALOGUE, row) for fit in joint.proof]
        grooves = {fit.part: fit.part_m for fit in told if fit.opening == "groove of its thimble"}
        ropes = NEEDED.section_rope[row][NEEDED.section_rope[row] >= 0]
        assert len(grooves) == len(ropes) + 2  # bridle leg and lead line
        assert sorted(grooves.values()) == sorted(
            CATALOGUE.ropes.diameter_m[[*ropes, NEEDED.lead_rope[row], NEEDED.bridle_rope[row]]]
        )


def test_parts_that_are_not_there_make_no_joint() -> None:
    ends = required_ends(NEEDED, CATALOGUE, slice(0, 1))
    bare = dataclasses.replace(ends, section=np.full((1, 3), -1), bridle=np.array([-1]))
    assert not joint_columns(bare, POLICY, CATALOGUE).used.any()


def test_a_boat_that_is_not_computed_has_no_joints() -> None:
    none = size_fleet(fleet_of(np.array([np.nan, 8_000.0])), POLICY, CATALOGUE)
    assert connections(none, POLICY, CATALOGUE, 0) == ()
    assert connections(none, POLICY, CATALOGUE, 1)


def test_room_that_is_not_known_never_passes() -> None:
    assert passes(np.array([np.nan, -0.001, 0.0, 0.0004, 0.0005, 0.02])).tolist() == [False] * 4 + [True] * 2
