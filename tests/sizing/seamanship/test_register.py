"""The register of steps: its order, its marks, and that what a step names of the gear is said to be there."""

from __future__ import annotations

import re
from itertools import groupby, product

import pytest

from sizing.fields import CHOICES
from sizing.policy import Haul
from sizing.seamanship.register import WHAT_SIGNS_MEAN, Place, Rig, Step, register

STEPS = register().steps
TYPES = CHOICES["boat_type"]
RIGS: tuple[Rig, ...] = ("series", "other")
HAULS: tuple[Haul, ...] = ("winch", "tackle")
PLACES: tuple[Place, ...] = ("page", "card")


def words(step: Step) -> str:
    return " ".join((step.key, step.say, step.more, step.why, step.caution))


def told(place: Place, boat_type: str, rig: Rig, haul: Haul) -> list[Step]:
    return list(register().steps_of(place, boat_type, rig, haul))


@pytest.mark.parametrize(("boat_type", "rig", "haul", "place"), list(product(TYPES, RIGS, HAULS, PLACES)))
def test_the_lee_shore_is_the_first_question_and_stages_stand_once_in_order(
    boat_type: str, rig: Rig, haul: Haul, place: Place
) -> None:
    steps = told(place, boat_type, rig, haul)
    assert steps[0].key == "Lee shore? Never."
    assert [said in steps[1].key for said in ("Clear water downwind",)] == [True]
    stages = [stage for stage, _ in groupby(steps, lambda step: step.stage)]
    whole = ["decide", "harbour", "ready", "launch", "lie", "wrong", "cut", "recover", "after"]
    assert stages == [stage for stage in whole if place == "page" or stage not in {"harbour", "after"}]


@pytest.mark.parametrize(("boat_type", "haul"), list(product(TYPES, HAULS)))
def test_a_series_drogue_is_launched_in_this_order(boat_type: str, haul: Haul) -> None:
    """Crew and light before the stern is cleared, engine before weight, helm after the legs."""
    said = " ".join(words(step) for step in told("page", boat_type, "series", haul))
    order = [
        "Lee shore?", "Clear water downwind", "Deeper than", "Crew:", "light that works", "Clear the stern.",
        "Knife each side", "“Ready?”", "Slow.", "weight down,", "Hands off.", "Jam: STOP.", "Lead line goes:",
        "amidships, lashed.", "Stay below,", "Leg gone:", "leg first", "at once", "Wait:", "Recovery line" if
        haul == "winch" else "Tackle on recovery line", "Lead line,", "At the first cone:", "Weight last,",
    ]  # fmt: skip
    at = 0
    for words_ in order:
        at = said.index(words_, at) + len(words_)


@pytest.mark.parametrize("boat_type", TYPES)
def test_another_device_gets_no_launch_of_a_series_drogue(boat_type: str) -> None:
    said = " ".join(words(step) for step in told("page", boat_type, "other", "winch"))
    for words_ in ("weight down", "cones", "Lead line", "{"):
        assert words_ not in said
    for words_ in ("Lee shore? Never.", "as its maker says", "every bight", "Stay below,"):
        assert words_ in said


def test_every_step_says_where_it_comes_from() -> None:
    known = register().meaning.keys()
    for step in STEPS:
        assert step.signs or step.only == "card", step
        assert {sign.source for sign in step.signs} <= known, step
        assert not any(sign.section and sign.source != "P1" for sign in step.signs), step
    assert register().mark.keys() == known
    assert set(WHAT_SIGNS_MEAN) < known


def test_no_step_claims_to_be_vouched_for() -> None:
    for step in STEPS:
        assert not re.search(r"(?i)approved|certified|recommended by|guarantee", words(step)), step


@pytest.mark.parametrize("step", STEPS, ids=lambda step: f"{step.stage}: {step.key}")
def test_a_step_names_the_gear_that_stands_in_its_words_and_no_other(step: Step) -> None:
    said = words(step).lower()
    also = {
        "boathook": ("hook",),
        "snatch block": ("block",),
        "gripping loop": ("loop",),
        "tackle": ("tackle",),
    }
    named = {
        gear
        for gear in register().gear
        if any(re.search(rf"\b{part}", said) for part in (gear, *also.get(gear, ())))
    }
    if "the same." in said:  # as in the step before it
        named |= {"tackle"}
    if "knives: ___" in said:
        return  # a line of the card to be filled in by hand
    assert named == set(step.gear)
