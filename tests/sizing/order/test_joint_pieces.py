"""The joints a plan makes: what it orders for them, and what it says where nothing fits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sizing.model import Joint, PartGroup
from sizing.order.pieces import PartsList, parts_list
from tests.sizing.order.fleet_builder import Boat, Case, case


def parts(boat: Boat, few: Case | None = None) -> PartsList:
    c = few or case([boat])
    return parts_list(c.plans[0], c.fleet, c.requirements, c.policy, c.catalogue)


def names(joints: tuple[Joint, ...]) -> list[str]:
    return [joint.name for joint in joints]


def plan(*groups: PartGroup, cones: int = 0) -> tuple[Joint, ...]:
    return parts(Boat(groups=groups, cones_to_make=cones)).joints


def test_a_whole_drogue_is_closed_from_its_sections_to_the_boat() -> None:
    found = parts(Boat()).joints
    assert names(found) == [
        "section 1 to section 2",
        "section 2 to end weight",
        "bridle legs to lead line",
        "lead line to section 1",
        "attachment to bridle leg",
    ]
    assert [joint.place for joint in found] == [1, 2, 3, 4, 5]


def test_every_shackle_of_the_joints_is_ordered_and_no_other() -> None:
    whole = parts(Boat())
    ordered = {(p.item, p.purpose): p.quantity for p in whole.pieces if p.kind == "shackle"}
    assert ordered == {(item, j.name): j.count for j in whole.joints for item in j.items}


def test_joints_are_made_where_a_rope_is_new() -> None:
    assert names(plan("bridle")) == ["bridle legs to lead line", "attachment to bridle leg"]
    assert names(plan("lead line")) == ["bridle legs to lead line", "lead line to section 1"]
    assert names(plan("cone line")) == ["section 1 to section 2", "lead line to section 1"]
    assert names(plan("end weight")) == ["section 2 to end weight"]
    assert plan("chafe gear") == ()


def test_renewed_shackles_are_renewed_at_every_joint() -> None:
    assert len(plan("shackles")) == len(plan("lead line", "cone line", "bridle", "end weight"))


def test_an_extension_is_joined_to_what_she_has() -> None:
    found = plan("cones", "extension", cones=20)
    assert [joint.parts for joint in found] == [("section 2", "new section")]
    assert found[0].fits


def test_a_single_drogue_is_joined_by_a_shackle_to_its_lead_line() -> None:
    found = parts(Boat(groups=("lead line", "bridle", "shackles"), cones=(), ropes=())).joints
    assert [(joint.name, joint.kind) for joint in found] == [
        ("bridle legs to lead line", "shackle"),
        ("lead line to drogue", "shackle"),
        ("attachment to bridle leg", "shackle"),
    ]


def test_a_joint_nothing_fits_is_told_and_not_left_out() -> None:
    c = case([Boat()])
    s = c.catalogue.shackles
    small = replace(s, bow_m=np.minimum(s.bow_m, 0.06))  # two thimbles for 20 mm rope are 65 mm side by side
    told = parts(Boat(), replace(c, catalogue=replace(c.catalogue, shackles=small)))
    (unfit,) = (joint for joint in told.joints if not joint.fits)
    assert unfit.name == "bridle legs to lead line"
    assert [unfit.name in problem.sentence for problem in told.problems] == [True]
    assert not [piece for piece in told.pieces if piece.purpose == unfit.name]
