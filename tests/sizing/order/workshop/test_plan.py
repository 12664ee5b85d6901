"""The workshop's plan, against what any plan has to hold and against bounds worked out here.

Bounds that need no plan (common in the scheduling of shops): no plan is shorter than all work by all hands,
than the work of one kind by its machines, or than the longest job from beginning to end.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import lru_cache

import pytest

from sizing.chase import chase_actions
from sizing.chase.messages import messages_for
from sizing.errors import PolicyError
from sizing.model import MusterResult, Step, WorkshopPlan
from sizing.order import kits_for, workshop_plan
from sizing.order.workshop.told import verdict
from sizing.order.workshop.work import units_of
from sizing.policy import Policy
from sizing.policy_file import parse_policy
from tests.sizing.revision.runs import demo, demo_rules

BEFORE: Mapping[str, tuple[str, ...]] = {
    "baste": ("cut",), "sew": ("cut", "baste"), "turn": ("sew",), "splice": ("rope",),
    "thread": ("turn", "splice", "rope"), "fit": ("turn", "thread"), "check": ("fit", "splice", "rope"),
}  # fmt: skip
"""Cut, baste, sew, turn; eyes and threading; fit; check: the order that works. Common practice, no source."""
WHOLE_KIT = {"thread", "fit", "check"}


def policy_of(text: str) -> Policy:
    return demo_rules().policy.model_copy(
        update={"workshop": parse_policy(f"[workshop]\n{text}".encode(), "x").workshop}
    )


@lru_cache(maxsize=8)
def planned(text: str) -> WorkshopPlan:
    result = demo()
    kits = kits_for(result.order, result.intake.fleet, result.requirements, result.plans, policy_of(text))
    return workshop_plan(kits, policy_of(text))


def assert_sound(plan: WorkshopPlan, text: str) -> None:
    result = demo()
    kits = kits_for(result.order, result.intake.fleet, result.requirements, result.plans, policy_of(text))
    units = {unit.rows[0]: unit for unit in units_of(kits, policy_of(text))}
    assert set(plan.order) == set(units) == {kit.row for kit in kits}
    hands: dict[int, int] = defaultdict(int)
    first: dict[tuple[int, Step], int] = {}
    last: dict[tuple[int, Step], int] = {}
    for stand in plan.board:
        hands[stand.slot] += stand.people
        assert stand.hours <= stand.people * plan.slot_h + 1e-9
        assert stand.step != "sew" or stand.people <= plan.machines
        for row in stand.rows:
            first.setdefault((row, stand.step), stand.slot)
            last[row, stand.step] = stand.slot
    assert max(hands.values()) <= plan.people
    assert max(hands) < plan.days * plan.slots_a_day
    for (row, step), slot in first.items():
        for before in BEFORE.get(step, ()):
            if units[row].tasks[before]:  # type: ignore[index]  # steps by their names
                begun, ended = first[row, before], last[row, before]  # type: ignore[index]
                assert (ended if step in WHOLE_KIT else begun) < slot, (row, step, before)
    for step in ("rope", "cut", "baste", "sew", "turn", "splice", "thread", "fit", "check"):
        (load,) = [load for load in plan.steps if load.step == step]
        assert load.done == pytest.approx(sum(s.hours for s in plan.board if s.step == step))
        assert load.done <= load.hours + 1e-6
        assert load.hours == pytest.approx(sum(unit.hours[step] for unit in units.values()))
    for row, slot in plan.ready.items():
        mine = [at for (kit, _), at in last.items() if kit == row]
        assert max(mine) == slot
        assert all((row, step) in last for step, tasks in units[row].tasks.items() if tasks)
        chain = sum(units[row].hours[step] for step in ("cut", "baste", "sew", "turn")) / plan.people
        assert (slot + 1) * plan.slot_h >= chain
    finished = [units[row] for row in plan.ready]
    until = max(plan.ready.values(), default=-1) + 1
    assert sum(sum(u.hours.values()) for u in finished) <= plan.people * until * plan.slot_h + 1e-6
    assert sum(u.hours["sew"] for u in finished) <= plan.machines * until * plan.slot_h + 1e-6


WEEKEND = "people = 12\nmachines = 4\ndays = 2\nhours_per_day = 8\n"


def test_a_weekend_with_twelve_people_and_four_machines() -> None:
    """192 hours of hands for some 740 of work: kits with least work are made, and nobody stands idle."""
    plan = planned(WEEKEND)
    assert_sound(plan, WEEKEND)
    assert not plan.enough
    assert 10 <= len(plan.ready) < len(plan.order) == 29
    assert sum(load.done for load in plan.steps) >= 0.75 * 12 * 16
    said = verdict(plan)
    assert "NOT enough" in said
    assert "All would be ready with" in said
    for way in plan.ways_out:  # no bound goes past what is said to do
        assert way.people * way.days * 8 >= 0.9 * plan.hours  # fewer who learn, a little less time


def test_what_the_demo_has_is_enough_and_all_of_it_is_sound() -> None:
    result = demo()
    plan = result.workshop
    assert plan is not None
    assert plan.enough
    assert_sound(plan, "people = 60\nmachines = 10\ndays = 3\nhours_per_day = 7\n")
    assert max(plan.least_hours.values()) <= (plan.last_slot or 0) + 1


def test_thirteen_never_sew_at_once_at_two_machines() -> None:
    text = "people = 13\nmachines = 2\ndays = 3\n"
    plan = planned(text)
    assert_sound(plan, text)
    assert max(stand.people for stand in plan.board if stand.step == "sew") == 2


@pytest.mark.thorough
def test_people_who_only_cut_and_baste_do_nothing_else() -> None:
    text = WEEKEND + 'crews = [{ people = 10, can = ["cut", "baste"] }]\n'
    plan = planned(text)
    assert_sound(plan, text)
    others: dict[int, int] = defaultdict(int)
    for stand in plan.board:
        if stand.step not in {"rope", "cut", "baste"}:
            others[stand.slot] += stand.people
    assert max(others.values()) <= 2


def test_the_same_kits_give_the_same_plan() -> None:
    first = planned(WEEKEND)
    planned.cache_clear()
    assert planned(WEEKEND) == first


def test_what_does_is_enough_when_it_is_tried() -> None:
    plan = planned("people = 56\nmachines = 8\ndays = 3\nhours_per_day = 7\n")
    assert not plan.enough
    assert plan.ways_out
    way = plan.ways_out[0]
    text = f"people = {way.people}\nmachines = {way.machines}\ndays = {way.days:g}\nhours_per_day = 7\n"
    assert planned(text).enough


def told(result: MusterResult) -> Callable[[int], str]:
    """The message to the skipper of a row, with every blank as one."""
    policy = demo_rules().policy
    texts = messages_for(result, policy, chase_actions(result, policy))
    numbers = result.intake.fleet.text["entry_no"]
    return lambda row: " ".join(texts[f"{numbers[row]}.txt".lower()].split())


def test_messages_promise_only_what_the_plan_holds() -> None:
    """On the plan before, every boat was promised her kit by the day, whatever the workshop could do."""
    result = demo()
    plan = planned(WEEKEND)
    short = replace(result, workshop=plan)
    before, now = told(result), told(short)
    made = {row for row in plan.ready if "Make it by" in before(row)}
    left = [row for row in plan.order if row not in plan.ready]
    assert left
    for row in left:
        text = now(row)
        assert "has no room for this kit" in text
        assert "Make it by" not in text
    for row in sorted(made)[:3]:
        assert "Make it by" in now(row)
    unmade = [action for action in chase_actions(short, demo_rules().policy) if action.owner == "workshop"]
    assert {a.row for a in unmade if "has no room" in a.said["her"]} == set(left) & {a.row for a in unmade}


def test_keys_of_before_the_workshop_had_its_own_table_keep_their_meaning() -> None:
    old = parse_policy(b"[order]\nvolunteers = 48\nworkshop_days = 2\nwork_hours_per_day = 7\n", "rally.toml")
    assert (old.workshop.people, old.workshop.days, old.workshop.hours_per_day) == (48, 2.0, 7.0)
    with pytest.raises(PolicyError, match="under the name it had before"):
        parse_policy(b"[order]\nvolunteers = 48\n[workshop]\npeople = 12\n", "rally.toml")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[workshop]\npeople = 3\ncrews = [{ people = 4, can = [\"sew\"] }]\n", "the crews have 4 people"),
        ("[workshop]\nmachines = 0\n", "0 is too little; at least 1"),
        ("[workshop]\nbaste_minutes_per_cone = 9\n", "none is left at the machine"),
        ("[workshop]\ncrews = [{ people = 4, can = [\"juggle\"] }]\n", "cut"),
    ],
)  # fmt: skip
def test_a_workshop_that_cannot_be_is_refused(text: str, said: str) -> None:
    with pytest.raises(PolicyError, match=said):
        parse_policy(text.encode(), "rally.toml")
