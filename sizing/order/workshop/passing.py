"""Kits through the steps, slot by slot, with people set to steps: when each is ready.

Nothing is decided here: people stand where they were set, and take the kits in their order. A cone goes on
to the next step in the slot after; threading, fitting and packing a kit begin in the slot after all of it
has come through what goes before.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from sizing.model.workshop import STEPS, Stand, Step
from sizing.order.workshop.work import MOST_AT_ONE_KIT, Unit

AFTER: Final[Mapping[Step, tuple[Step, ...]]] = {
    "rope": (), "cut": (), "baste": ("cut",), "sew": ("baste",), "turn": ("sew",), "splice": ("rope",),
    "thread": ("turn", "splice"), "fit": ("thread",), "check": ("fit",),
}  # fmt: skip
"""What each step waits for. Where a kit has nothing of it, it waits for what that waits for."""
GATED: Final[frozenset[Step]] = frozenset({"thread", "fit", "check"})
"""Steps that wait for the whole of the kit; the others go on cone by cone, eye by eye."""
WHOLE: Final = 1.0 - 1e-9
_NOTHING: Final = 1e-9


def waits_for(unit: Unit, step: Step) -> tuple[Step, ...]:
    """Return the steps with work of this unit that have to be done before one of its steps."""
    found: dict[Step, None] = {}
    for before in AFTER[step]:
        if unit.tasks[before]:
            found[before] = None
        else:
            found.update(dict.fromkeys(waits_for(unit, before)))
    return tuple(found)


class Passage:
    """How far every unit has come. `ready` is the slot at whose end one is packed, by its place."""

    def __init__(self, units: Sequence[Unit], slot_h: float) -> None:
        self.units, self.slot_h, self.slot = units, slot_h, 0
        self.chains = [{step: waits_for(unit, step) for step in STEPS if unit.tasks[step]} for unit in units]
        self.share = [dict.fromkeys(chain, 0.0) for chain in self.chains]
        self.ready: dict[int, int] = {}
        self.board: list[Stand] = []

    def through(self, at: int, step: Step, done: Mapping[Step, float]) -> float:
        """How much of a step of one unit could be done by now, as a share, where so much is `done`."""
        part = min((done[other] for other in self.chains[at][step]), default=1.0)
        return 0.0 if step in GATED and part < WHOLE else part

    def go_on(self, people: Mapping[Step, int]) -> None:
        """One slot more, with so many people at each step."""
        before = [dict(done) for done in self.share]
        for step in STEPS:
            left, in_hand, used = people.get(step, 0) * self.slot_h, list[int](), 0.0
            for at, unit in enumerate(self.units):
                if left <= _NOTHING:
                    break
                done = before[at]
                if step not in done or done[step] >= WHOLE:
                    continue
                hours = unit.hours[step]
                most = MOST_AT_ONE_KIT.get(step, people[step]) * self.slot_h * len(unit.rows)
                doing = min(left, (self.through(at, step, done) - done[step]) * hours, most)
                if doing <= _NOTHING:
                    continue
                self.share[at][step] = min(1.0, done[step] + doing / hours)
                left, used = left - doing, used + doing
                in_hand += unit.rows
            if in_hand:
                self.board.append(Stand(self.slot, step, people[step], used, tuple(in_hand)))
        for at, done in enumerate(self.share):
            if at not in self.ready and all(part >= WHOLE for part in done.values()):
                self.ready[at] = self.slot
        self.slot += 1
