"""How many hours each step of each kit takes, cones learned by those who make them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from sizing.model.workshop import STEPS, Step
from sizing.order.kits import Kit, learned_minutes
from sizing.policy import Policy

CONE_STEPS: Final[tuple[Step, ...]] = ("cut", "baste", "sew", "turn")
MOST_AT_ONE_KIT: Final[Mapping[Step, int]] = {
    "rope": 2, "splice": 4, "thread": 3, "fit": 6, "check": 2,
}  # fmt: skip
"""Most hands that one boat's lines and bag have room for at once [assumed]. Cones lie on any table."""
MOST_UNITS: Final = 300
"""More kits than this go through the plan as units of several; a unit is ready as a whole."""


@dataclass(frozen=True)
class Unit:
    """Kits that go through together: their rows, how often each step is done, and the hours it takes."""

    rows: tuple[int, ...]
    tasks: Mapping[Step, int]
    hours: Mapping[Step, float]


@dataclass(frozen=True)
class KitHours:
    """One kit's own work for one pair of hands, as its paper says it."""

    name: str
    tasks: int
    hours: float


def tasks_of(kit: Kit) -> Mapping[Step, int]:
    """Return how often each step is done for one kit; the last eye of a line is closed after threading."""
    work = kit.work
    marked = sum(cut.count for cut in kit.cuts if cut.marked)
    late = min(marked, work.splices) if work.cones_to_fit else 0
    cones = dict.fromkeys(CONE_STEPS, work.cones_to_sew)
    rest: dict[Step, int] = {
        "rope": work.rope_pieces, "splice": work.splices - late, "thread": late, "fit": work.cones_to_fit,
        "check": work.bags,
    }  # fmt: skip
    found = {**cones, **rest}
    return {step: found[step] for step in STEPS}


def practised_minutes(policy: Policy) -> Mapping[Step, float]:
    """Return the minutes of one task of each step, once practised."""
    order, shop = policy.order, policy.workshop
    by_hand = shop.cut_minutes_per_cone + shop.baste_minutes_per_cone + shop.turn_minutes_per_cone
    return {
        "rope": order.rope_minutes_per_piece,
        "cut": shop.cut_minutes_per_cone,
        "baste": shop.baste_minutes_per_cone,
        "sew": order.sew_minutes_per_cone - by_hand,
        "turn": shop.turn_minutes_per_cone,
        "splice": order.splice_minutes,
        "thread": order.splice_minutes,
        "fit": order.minutes_per_cone,
        "check": order.packing_minutes,
    }


def units_of(kits: Sequence[Kit], policy: Policy) -> tuple[Unit, ...]:
    """Return the kits in the order they go through: least work first, so that most boats are ready soonest.

    Cones are learned: each of those who do a step learns it by himself, so of n cones between p people the
    first p take longest. p is each step's share of the people; at the machines there are no more than
    machines. [derived; learning assumed, `learned_minutes`]
    """
    tasks = [tasks_of(kit) for kit in kits]
    minutes = practised_minutes(policy)
    straight = [sum(done[step] * minutes[step] for step in STEPS) for done in tasks]
    queue = sorted(range(len(kits)), key=lambda at: (straight[at], kits[at].row))
    learners = _learners(tasks, minutes, policy)
    made = dict.fromkeys(STEPS, 0)
    units = []
    for at in queue:
        hours: dict[Step, float] = {}
        for step in STEPS:
            done = tasks[at][step]
            if step in CONE_STEPS or step == "fit":
                before, after = made[step], made[step] + done
                taken = _learned(after, step, learners, minutes, policy)
                hours[step] = (taken - _learned(before, step, learners, minutes, policy)) / 60
                made[step] = after
            else:
                hours[step] = done * minutes[step] / 60
        units.append(Unit((kits[at].row,), tasks[at], hours))
    each = -(-len(units) // MOST_UNITS)
    return tuple(_together(units[at : at + each]) for at in range(0, len(units), max(each, 1)))


def _learned(
    count: int, step: Step, learners: Mapping[Step, int], minutes: Mapping[Step, float], policy: Policy
) -> float:
    """Minutes for so many cones between the learners of a step, evenly shared."""
    rules, people = policy.order, learners[step]
    each, more = divmod(count, people)
    few = learned_minutes(each, minutes[step], rules.learning_rate, rules.practised_cones)
    many = learned_minutes(each + 1, minutes[step], rules.learning_rate, rules.practised_cones)
    return (people - more) * few + more * many


def _learners(
    tasks: Sequence[Mapping[Step, int]], minutes: Mapping[Step, float], policy: Policy
) -> Mapping[Step, int]:
    shop = policy.workshop
    load = {step: sum(done[step] for done in tasks) * minutes[step] for step in STEPS}
    every = sum(load.values())
    share = {step: max(1, round(shop.people * load[step] / every)) if every else 1 for step in STEPS}
    share["sew"] = min(share["sew"], shop.machines)
    return share


def _together(units: Sequence[Unit]) -> Unit:
    if len(units) == 1:
        return units[0]
    return Unit(
        tuple(row for unit in units for row in unit.rows),
        {step: sum(unit.tasks[step] for unit in units) for step in STEPS},
        {step: sum(unit.hours[step] for unit in units) for step in STEPS},
    )


def kit_hours(kit: Kit, policy: Policy) -> tuple[KitHours, ...]:
    """Return one kit's own hours for one pair of hands that learns on the way, by kind of work."""
    work, rules = kit.work, policy.order

    def cones(count: int, minutes: float) -> float:
        return learned_minutes(count, minutes, rules.learning_rate, rules.practised_cones)

    found = (
        ("measure and cut rope", work.rope_pieces, work.rope_pieces * rules.rope_minutes_per_piece),
        ("cut and sew cones", work.cones_to_sew, cones(work.cones_to_sew, rules.sew_minutes_per_cone)),
        ("splice eyes", work.splices, work.splices * rules.splice_minutes),
        ("fit cones", work.cones_to_fit, cones(work.cones_to_fit, rules.minutes_per_cone)),
        ("check and pack", work.bags, work.bags * rules.packing_minutes),
    )
    return tuple(KitHours(name, tasks, minutes / 60) for name, tasks, minutes in found if tasks)
