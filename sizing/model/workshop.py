"""What a workshop with given people, machines and days gets done, and when."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal, get_args

Step = Literal["rope", "cut", "baste", "sew", "turn", "splice", "thread", "fit", "check"]
"""What is done to a kit, each after those it needs: rope cut, first eyes spliced; cones cut, basted, sewn,
turned; cones threaded and the last eyes closed, then fitted; all checked and packed."""

STEPS: Final[tuple[Step, ...]] = get_args(Step)


@dataclass(frozen=True)
class StepLoad:
    """One step over the whole workshop. `hours` is all its work, `done` what of it the plan holds."""

    step: Step
    tasks: int
    hours: float
    done: float
    most_at_once: int


@dataclass(frozen=True)
class Stand:
    """Who stands where for one slot of time: people at a step, and the kits they have in hand, by row."""

    slot: int
    step: Step
    people: int
    hours: float
    rows: tuple[int, ...]


@dataclass(frozen=True)
class WayOut:
    """What would be enough in place of what is planned, tried by the same plan."""

    people: int
    machines: int
    days: float


@dataclass(frozen=True)
class WorkshopPlan:
    """The plan. Slots count from 0 over all days, `slots_a_day` to a day, each `slot_h` long.

    `ready` says of a boat's row the slot at whose end her kit is packed; a row in `order` that is not in it
    is not ready when the days are over. `least_hours` are bounds that no plan goes under, by what sets them:
    people, machines, and the longest kit by itself. `ways_out` is empty where all is done.
    """

    people: int
    machines: int
    days: float
    slots_a_day: int
    slot_h: float
    order: tuple[int, ...]
    ready: Mapping[int, int]
    steps: tuple[StepLoad, ...]
    board: tuple[Stand, ...]
    least_hours: Mapping[str, float]
    ways_out: tuple[WayOut, ...] = ()

    @property
    def enough(self) -> bool:
        """Whether every kit is ready when the days are over."""
        return len(self.ready) == len(self.order)

    @property
    def hours(self) -> float:
        """All the work there is."""
        return sum(load.hours for load in self.steps)

    @property
    def last_slot(self) -> int | None:
        """The slot in which the last kit that is ready becomes so; None where none does."""
        return max(self.ready.values(), default=None)

    def day_of(self, slot: int) -> int:
        """The day of a slot, from 1."""
        return slot // self.slots_a_day + 1

    def hour_of(self, slot: int) -> int:
        """The slot of its day, from 1."""
        return slot % self.slots_a_day + 1
