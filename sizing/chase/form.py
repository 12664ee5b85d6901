"""The form that a boat's skipper answers: at most ten questions, what decides most first.

The questions are those of her page (`questions`). While nobody knows what device she carries, most of them
wait; the form has them all the same, each for the devices that it is asked of, so that it can be filled in
where there is no signal.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from sizing.chase.questions import DEVICE, Question

MOST_ASKED: Final = 10
"""Questions of a form, of any boat with any one device."""
FOLLOWED: Final = ("series drogue", "cone drogue", "parachute")
"""Devices of which more is asked once they are named."""
ORDER: Final = (
    DEVICE, "displacement_basis", "cone_count", "cone_mouth", "device_diameter", "device_from",
    "lead_line_length", "lead_line_diameter", "section_diameters", "section_cones", "line_material",
    "bridle_leg_length", "bridle_diameter", "attachment_type", "attachment_rating", "attachment_bolts",
    "end_weight", "shackle_rating", "made_year", "line_state", "condition", "last_inspected",
)  # fmt: skip
"""Columns by how much of the rig follows from the answer: the device, its drag, its line, what holds it, its
state [practice]. Others come after them, as her page asks them."""


@dataclass(frozen=True)
class Asked:
    """One question of the form; `devices` are those that it is asked of, none where it is asked of all."""

    question: Question
    devices: tuple[str, ...] = ()


def form_of(asked: Sequence[Question], following: Mapping[str, Sequence[Question]]) -> tuple[Asked, ...]:
    """Return the questions of a form. `following` are those asked once a device is named, by its word."""
    first = [Asked(one) for one in asked]
    more: list[Asked] = []
    for device, questions in following.items():
        for one in questions:
            if not _among(one, first):
                _add(more, one, device)
    kept: set[int] = set()
    for device in following or ("",):
        path = [*first, *(one for one in more if device in one.devices)]
        kept |= {id(one) for one in sorted(path, key=_place)[:MOST_ASKED]}
    return tuple(one for one in sorted([*first, *more], key=_place) if id(one) in kept)


def _among(question: Question, others: Iterable[Asked]) -> bool:
    return any(set(question.columns) & set(other.question.columns) for other in others)


def _add(more: list[Asked], question: Question, device: str) -> None:
    for place, other in enumerate(more):
        if _among(question, [other]):
            more[place] = replace(other, devices=(*other.devices, device))
            return
    more.append(Asked(question, (device,)))


def _place(one: Asked) -> tuple[int, bool, int]:
    """What device she has comes first of all; then what must be answered before what is advised."""
    places = [ORDER.index(column) for column in one.question.columns if column in ORDER]
    place = min(places, default=len(ORDER))
    return (int(place > 0), one.question.level == "should", place)
