"""What is said of the workshop's plan: on its papers, at the end of a run, on the overview."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from sizing.model.workshop import Step, WayOut, WorkshopPlan

STEP_WORDS: Final[Mapping[Step, str]] = {
    "rope": "cut rope",
    "cut": "cut cones",
    "baste": "baste tapes",
    "sew": "sew at the machine",
    "turn": "turn and look",
    "splice": "splice first eyes",
    "thread": "thread, close last eyes",
    "fit": "fit cones",
    "check": "check and pack",
}


def verdict(plan: WorkshopPlan) -> str:
    """Return whether every kit is ready in the days there are, and else how many are and what would do.

    >>> verdict(WorkshopPlan(12, 4, 2.0, 8, 1.0, (), {}, (), (), {}))
    'There is nothing to make.'
    """
    if not plan.order:
        return "There is nothing to make."
    return " ".join(_sentences(plan))


def _sentences(plan: WorkshopPlan) -> Iterator[str]:
    kits, ready = len(plan.order), len(plan.ready)
    who = f"{_people(plan)} and {_days(plan.days)} are planned, which is"
    all_kits = f"all {kits} kits are" if kits > 1 else "the kit is"
    last = plan.last_slot
    if plan.enough and last is not None:
        yield f"{who} enough: {all_kits} ready, the last {when(plan, last)}."
        return
    yield f"{who} NOT enough: {ready} of {kits} kits {'is' if ready == 1 else 'are'} ready."
    yield _holds_up(plan)
    ways = [f"{_people(way)} in {_days(way.days)}" for way in plan.ways_out]
    if ways:
        yield f"All would be ready with {', or with '.join(ways)}."


def _holds_up(plan: WorkshopPlan) -> str:
    """What holds it up: what sets the least hours of any plan."""
    hours = plan.days * plan.slots_a_day * plan.slot_h
    what, least = max(plan.least_hours.items(), key=lambda item: item[1])
    if what == "machines":
        return f"The machines hold it up: sewing alone takes {least:.0f} hours, and there are {hours:g}."
    if what == "people":
        return f"All hands together would take {least:.0f} hours, and there are {hours:g}."
    return f"The longest kit by itself takes {least:.0f} hours, and there are {hours:g}."


def when(plan: WorkshopPlan, slot: int) -> str:
    """Return the day and hour at whose end something is done."""
    hour = (plan.hour_of(slot)) * plan.slot_h
    return (
        f"after {hour:g} hours of day {plan.day_of(slot)}"
        if hour != 1
        else (f"after the first hour of day {plan.day_of(slot)}")
    )


def _people(of: WorkshopPlan | WayOut) -> str:
    people = f"{of.people:,} {'person' if of.people == 1 else 'people'}"
    return f"{people} with {of.machines:,} sewing machine{'' if of.machines == 1 else 's'}"


def _days(days: float) -> str:
    return f"{days:g} day{'' if days == 1 else 's'}"
