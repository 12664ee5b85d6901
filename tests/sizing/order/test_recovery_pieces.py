"""What a kit has to get a drogue back aboard: by arithmetic, and as the steps of the register name it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from sizing.fields import CHOICES
from sizing.model import Piece
from sizing.order.pieces import parts_list
from sizing.policy import Policy
from sizing.seamanship.handling import handling_of
from sizing.seamanship.register import register
from tests.sizing.order.fleet_builder import Boat, Case, case

TYPES = CHOICES["boat_type"]
BOAT = Boat(groups=("recovery gear",), cones_to_make=0)
ITEM_OF = {"snatch block": "BLOCK-SNATCH", "tackle": "BLOCK-TACKLE"}


def of_type(boat_type: str, boat: Boat = BOAT, leg_m: float = math.nan) -> Case:
    made = case([boat])
    choice = {**made.fleet.choice, "boat_type": np.array([TYPES.index(boat_type)], dtype=np.int8)}
    number = {**made.fleet.number, "bridle_leg_length_m": np.array([leg_m])}
    return replace(made, fleet=replace(made.fleet, choice=choice, number=number))


def pieces(made: Case) -> dict[str, Piece]:
    parts = parts_list(made.plans[0], made.fleet, made.requirements, made.policy, made.catalogue)
    assert parts.problems == ()
    return {piece.purpose if piece.kind == "rope" else piece.item: piece for piece in parts.pieces}


@pytest.mark.parametrize(("own_leg_m", "longest_m"), [(math.nan, 7.25), (9.0, 9.0), (4.0, 7.25)])
def test_the_recovery_line_is_a_leg_and_three_metres_and_as_strong(
    own_leg_m: float, longest_m: float
) -> None:
    """One of its ends has a soft eye: twice what one splice takes is cut for it [practice]."""
    made = of_type("sailing monohull", leg_m=own_leg_m)
    assert float(made.requirements.bridle_leg_m[0]) == pytest.approx(7.25, abs=0.001)
    line = pieces(made)["recovery line"]
    assert line.length_m is not None
    assert longest_m + 3.0 <= line.length_m - 2 * 0.3048 < longest_m + 3.1
    ropes = made.catalogue.ropes
    leg = int(made.requirements.bridle_rope[0])
    assert ropes.minimum_strength_n[ropes.id.index(line.item)] >= ropes.minimum_strength_n[leg]


@pytest.mark.parametrize("boat_type", TYPES)
def test_what_the_steps_name_is_in_the_kit_or_said_to_be_hers(boat_type: str) -> None:
    made = of_type(boat_type)
    told = handling_of(made.fleet, made.requirements, "replace", made.policy, 0)
    hers = pieces(made)
    named = {gear for step in told.steps("page") for gear in step.gear}
    kit = {gear for gear in named if register().gear[gear] == "kit"}
    assert {gear for gear in kit if gear not in hers and ITEM_OF.get(gear, gear) not in hers} == set()
    assert {"recovery line", "gripping loop"} < kit
    ropes = {piece.purpose for piece in hers.values() if piece.kind == "rope"}
    assert ropes <= kit, "nothing is ordered for the recovery that no step speaks of"
    assert ("tackle" in kit) == ("motor" in boat_type)
    assert ("winch" in named) == ("sailing" in boat_type)


@pytest.mark.parametrize(
    ("rule", "haul", "boat_type"),
    [("recovery_sailing", "tackle", "sailing multihull"), ("recovery_motor", "winch", "motor monohull")],
)
def test_the_policy_names_what_hauls(rule: str, haul: str, boat_type: str) -> None:
    made = replace(of_type(boat_type), policy=Policy.model_validate({"order": {rule: haul}}))
    told = handling_of(made.fleet, made.requirements, "replace", made.policy, 0)
    assert told.haul == haul
    hers = pieces(made)
    kit = {gear for step in told.steps("page") for gear in step.gear if register().gear[gear] == "kit"}
    assert {gear for gear in kit if gear not in hers and ITEM_OF.get(gear, gear) not in hers} == set()
    assert ("tackle" in kit) == (haul == "tackle")


@pytest.mark.parametrize("boat_type", TYPES)
def test_the_page_tells_of_other_ways_and_that_the_time_is_not_known(boat_type: str) -> None:
    """By hand published once, in light wind; the rest practice; motoring up disputed; the time not known."""
    made = of_type(boat_type)
    told = handling_of(made.fleet, made.requirements, "replace", made.policy, 0)
    page = {step.key: {sign.source for sign in step.signs} for step in told.steps("page")}
    assert page["Another way, by hand:"] == {"P1", "C"}
    assert page["Another way, a windlass with a drum for rope:"] == {"C"}
    assert page["Another way, motor up to it:"] == {"C", "?"}
    assert page["How long it takes"] == {"N", "C"}
    assert not any("Another way" in step.key for step in told.steps("card"))


def test_what_hauls_holds_five_times_the_pull_at_two_knots_with_a_hitch() -> None:
    """Drag 1/2 rho Cd A V^2 by hand: 101 cones of 5 in at 2 kn [HOERNER, memory]; five times [assumed]."""
    made = of_type("sailing monohull")
    area = 101 * math.pi / 4 * 0.127**2
    pull_n = 0.5 * 1025 * 1.2 * area * (2 * 1852 / 3600) ** 2
    assert 800 < pull_n < 900
    hers, ropes = pieces(made), made.catalogue.ropes
    hauling, loop = hers["hauling line"], hers["gripping loop"]

    def strength(piece: Piece) -> float:
        return float(ropes.minimum_strength_n[ropes.id.index(piece.item)])

    assert 0.5 * strength(hauling) >= 5 * pull_n
    assert 0.5 * 2 * strength(loop) >= 5 * pull_n
    assert (hauling.quantity, loop.quantity) == (2, 4)
    assert hauling.length_m == pytest.approx(2 * 0.3 * 12.0 + 5.0, abs=0.1)
    assert ropes.diameter_m[ropes.id.index(loop.item)] < 0.010, "thinner than any section it grips"
    assert hers["BLOCK-SNATCH"].quantity == 2


def test_a_drogue_too_large_for_the_blocks_of_the_list_is_said() -> None:
    made = of_type("sailing monohull", replace(BOAT, cones=(2000,), ropes=(7,)))
    parts = parts_list(made.plans[0], made.fleet, made.requirements, made.policy, made.catalogue)
    assert any("blocks of the list are too small" in problem.sentence for problem in parts.problems)


def test_a_plan_without_recovery_gear_has_none() -> None:
    made = case([Boat(groups=("bridle",), cones_to_make=0)])
    parts = parts_list(made.plans[0], made.fleet, made.requirements, made.policy, made.catalogue)
    assert {piece.purpose for piece in parts.pieces if piece.kind == "rope"} == {"bridle leg"}
