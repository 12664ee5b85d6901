"""From kits and the policy's workshop to the plan; and where it is not enough, what would be."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from sizing.model.workshop import STEPS, Step, StepLoad, WayOut, WorkshopPlan
from sizing.order.kits import Kit
from sizing.order.workshop.passing import GATED, Passage, waits_for
from sizing.order.workshop.staffing import Crew, staffing
from sizing.order.workshop.work import MOST_AT_ONE_KIT, Unit, units_of
from sizing.policy import Policy, WorkshopRules

MOST_SLOTS: Final = 60
_TRIAL_SLOTS: Final = 32
"""Slots when a way out is tried: longer ones lose more to waiting, so it errs to the safe side."""
_STRETCHES: Final = (12, 24)
_TRIES: Final = 4
SKILLS: Final[Mapping[str, tuple[Step, ...]]] = {
    "cut": ("rope", "cut"), "baste": ("baste",), "sew": ("sew",), "turn": ("turn",),
    "splice": ("splice", "thread"), "fit": ("fit",), "check": ("check",),
}  # fmt: skip


def workshop_plan(kits: Sequence[Kit], policy: Policy) -> WorkshopPlan:
    """Return the plan for the policy's people, machines and days. The same input gives the same plan."""
    return plan_of(units_of(kits, policy), policy)


def plan_of(units: Sequence[Unit], policy: Policy) -> WorkshopPlan:
    """Return the plan of units in their order; hours as they say."""
    shop = policy.workshop
    per_day = max(1, round(shop.hours_per_day))
    slots = max(1, math.floor(shop.days * per_day + 1e-9))
    slot_h = shop.hours_per_day / per_day
    while slots > MOST_SLOTS and per_day > 1:  # a long workshop is planned by longer stretches of the day
        per_day = -(-per_day // 2)
        slots, slot_h = max(1, math.floor(shop.days * per_day + 1e-9)), shop.hours_per_day / per_day
    found = _best(units, crews_of(shop), shop.machines, slots, slot_h)
    rows = tuple(row for unit in units for row in unit.rows)
    ready = {row: slot for at, slot in sorted(found.ready.items()) for row in units[at].rows}
    least = least_hours(units, shop.people, shop.machines)
    return WorkshopPlan(
        people=shop.people,
        machines=shop.machines,
        days=shop.days,
        slots_a_day=per_day,
        slot_h=slot_h,
        order=rows,
        ready=ready,
        steps=_loads(units, found),
        board=tuple(found.board),
        least_hours=least,
        ways_out=() if len(ready) == len(rows) else tuple(_ways_out(units, shop)),
    )


def crews_of(shop: WorkshopRules) -> tuple[Crew, ...]:
    """Return the people by what they can do; those of no crew can do everything."""
    crews = [
        (crew.people, frozenset(step for skill in crew.can for step in SKILLS[skill])) for crew in shop.crews
    ]
    rest = shop.people - sum(size for size, _ in crews)
    return (*crews, *(((rest, frozenset(STEPS)),) if rest else ()))


def least_hours(units: Sequence[Unit], people: int, machines: int) -> dict[str, float]:
    """Return hours that no plan goes under: all work by all people, sewing by machines, the longest kit."""
    total = sum(sum(unit.hours.values()) for unit in units)
    sewing = sum(unit.hours["sew"] for unit in units)
    chains = [_longest(unit, "check", people, machines) for unit in units]
    return {
        "people": total / people,
        "machines": sewing / machines,
        "the longest kit": max(chains, default=0.0),
    }


def _longest(unit: Unit, step: Step, people: int, machines: int) -> float:
    """Hours of one unit to the end of a step, with as many hands as it has room for."""
    hands = MOST_AT_ONE_KIT.get(step, machines if step == "sew" else people) * (
        len(unit.rows) if step in MOST_AT_ONE_KIT else 1
    )
    own = unit.hours[step] / min(hands, people)
    before = [_longest(unit, other, people, machines) for other in waits_for(unit, step)]
    return own + max(before, default=0.0) if step in GATED else max([own, *before])


def _best(units: Sequence[Unit], crews: Sequence[Crew], machines: int, slots: int, slot_h: float) -> Passage:
    """The passage after which most kits are ready; people are set more often where not all are."""
    found: list[Passage] = []
    for stretches in _STRETCHES:
        found.append(_passage(units, crews, machines, slots, slot_h, stretches))
        if len(found[-1].ready) == len(units):
            break
    return max(found, key=lambda way: sum(len(units[at].rows) for at in way.ready))


def _passage(
    units: Sequence[Unit], crews: Sequence[Crew], machines: int, slots: int, slot_h: float, stretches: int
) -> Passage:
    """All slots: people are set for what is left some times on the way, from how far the kits have come."""
    hours = sum(people for people, _ in crews) * slots * slot_h
    passage = Passage(_in_reach(units, hours), slot_h)
    stretch = -(-slots // stretches)
    while passage.slot < slots:
        for people in staffing(passage, crews, machines, slots - passage.slot)[:stretch]:
            passage.go_on(people)
    return passage


def _in_reach(units: Sequence[Unit], hours: float) -> Sequence[Unit]:
    """The first units, as many as there are hours for: nobody is set to work that no plan finishes."""
    total = 0.0
    for at, unit in enumerate(units):
        total += sum(unit.hours.values())
        if total > hours:
            return units[: at + 1]
    return units


def _loads(units: Sequence[Unit], found: Passage) -> tuple[StepLoad, ...]:
    loads = []
    for step in STEPS:
        stands = [stand for stand in found.board if stand.step == step]
        tasks = sum(unit.tasks[step] for unit in units)
        if tasks:
            hours = sum(unit.hours[step] for unit in units)
            done = sum(stand.hours for stand in stands)
            most = max((stand.people for stand in stands), default=0)
            loads.append(StepLoad(step, tasks, hours, done, most))
    return tuple(loads)


def _ways_out(units: Sequence[Unit], shop: WorkshopRules) -> Iterator[WayOut]:
    """More days with those who come; and more people, with machines for them, in the days there are.

    Begun where the work by itself would fit beside the longest kit, which has to wait for nobody.
    """
    least = least_hours(units, shop.people, shop.machines)
    longest = least.pop("the longest kit")
    first = math.ceil((max(least.values()) + longest) / shop.hours_per_day - 1e-9)
    for days in range(max(first, math.floor(shop.days) + 1), first + _TRIES):
        if _does(units, shop, shop.people, shop.machines, days):
            yield WayOut(shop.people, shop.machines, float(days))
            break
    hours = shop.days * shop.hours_per_day
    free = hours - 0.5 * longest
    if free <= 0.0:
        return
    people = max(shop.people, math.ceil(least["people"] * shop.people / free))
    machines = max(shop.machines, math.ceil(least["machines"] * shop.machines / free))
    for grown in range(_TRIES):
        some, sewers = (math.ceil(count * (1.0 + 0.15 * grown)) for count in (people, machines))
        if (some, sewers) != (shop.people, shop.machines) and _does(units, shop, some, sewers, shop.days):
            yield WayOut(some, sewers, shop.days)
            break


def _does(units: Sequence[Unit], shop: WorkshopRules, people: int, machines: int, days: float) -> bool:
    """Whether so many do all of it, by a plan of the same kind; whoever is more can do everything."""
    hours = days * shop.hours_per_day
    slots = min(_TRIAL_SLOTS, max(1, math.floor(hours)))
    fixed = [(size, can) for size, can in crews_of(shop) if can != frozenset(STEPS)]
    rest = people - sum(size for size, _ in fixed)
    crews = [*fixed, (rest, frozenset(STEPS))] if rest else fixed
    found = _passage(units, crews, machines, slots, hours / slots, _STRETCHES[0])
    return len(found.ready) == len(units)
