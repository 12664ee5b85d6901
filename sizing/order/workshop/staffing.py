"""How many people stand at each step in each slot: a linear flow over time, worked out by HiGHS.

Kits flow through the steps in a few batches. c is the share of a batch that has come through a step by the
end of a slot; it only grows, follows the step before by a slot or more, and the hours it takes in a slot are
those of the people who stand there, of whom there are no more than there are, and at the machines no more
than machines. The flow in which batches are ready soonest is taken, and its people made whole.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

import highspy
import numpy as np

from sizing.model.workshop import STEPS, Step
from sizing.order.cutting.highs import QuietHighs
from sizing.order.workshop.passing import GATED, WHOLE, Passage
from sizing.order.workshop.work import MOST_AT_ONE_KIT

Crew = tuple[int, frozenset[Step]]
"""So many people, and the steps they can do."""
BATCH_SLOTS: Final = 160
"""Batches times slots, at most about: so the flow is worked out in a fraction of a second."""
LAG: Final = 2
"""Slots by which a batch of several kits follows where a step waits for whole kits."""


@dataclass(frozen=True)
class _Batch:
    """Units of one batch that are not ready: hours of each step, what is done, what could be done by now."""

    kits: int
    hours: Mapping[Step, float]
    done: Mapping[Step, float]
    open: Mapping[Step, float]
    after: Mapping[Step, tuple[Step, ...]]


@dataclass
class _Program:
    """Columns and rows as they are added."""

    cost: list[float] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)

    def column(self, low: float, high: float, cost: float) -> int:
        self.cost.append(cost)
        self.low.append(low)
        self.high.append(high)
        return len(self.cost) - 1

    def solved(self) -> list[float]:
        lp, program = highspy.HighsLp(), QuietHighs()
        lp.num_col_, lp.num_row_ = len(self.cost), len(self.rows)
        lp.col_cost_, lp.col_lower_, lp.col_upper_ = map(np.array, (self.cost, self.low, self.high))
        lp.row_lower_ = np.array([low for _, low, _ in self.rows])
        lp.row_upper_ = np.array([high for _, _, high in self.rows])
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.cumsum([0, *(len(terms) for terms, _, _ in self.rows)]).astype(np.int32)
        lp.a_matrix_.index_ = np.array([at for terms, _, _ in self.rows for at in terms], dtype=np.int32)
        lp.a_matrix_.value_ = np.array([value for terms, _, _ in self.rows for value in terms.values()])
        program.passModel(lp)
        program.run()
        return list(program.getSolution().col_value)


def staffing(passage: Passage, crews: Sequence[Crew], machines: int, slots: int) -> list[dict[Step, int]]:
    """Return the people at each step for the slots that are left, from how far the kits have come."""
    batches = _batches(passage, slots)
    if not batches:
        return [{} for _ in range(slots)]
    program = _Program()
    done: dict[tuple[int, Step, int], int] = {}
    for at, batch in enumerate(batches):
        worth = 1.0 + (len(batches) - at) / len(batches)
        _flow(program, done, at, batch, slots, passage.slot_h, worth)
    stands = _people(program, done, batches, crews, machines, slots, passage.slot_h)
    values = program.solved()
    shown = {key: max(0.0, values[column]) for key, column in stands.items()}
    return _whole(shown, crews, machines, slots)


def _batches(passage: Passage, slots: int) -> list[_Batch]:
    left = [at for at in range(len(passage.units)) if at not in passage.ready]
    each = -(-len(left) // max(BATCH_SLOTS // slots, 3))
    return [_batch(passage, left[at : at + each]) for at in range(0, len(left), max(each, 1))]


def _batch(passage: Passage, places: Sequence[int]) -> _Batch:
    hours, done, can = (dict.fromkeys(STEPS, 0.0) for _ in range(3))
    after: dict[Step, dict[Step, None]] = {}
    for at in places:
        own, share = passage.units[at].hours, passage.share[at]
        for step, part in share.items():
            hours[step] += own[step]
            done[step] += own[step] * part
            can[step] += own[step] * max(part, passage.through(at, step, share))
            after.setdefault(step, {}).update(dict.fromkeys(passage.chains[at][step]))
    steps = [step for step in STEPS if hours[step] > 0.0]
    return _Batch(
        sum(len(passage.units[at].rows) for at in places),
        {step: hours[step] for step in steps},
        {step: min(done[step] / hours[step], 1.0) for step in steps},
        {step: min(can[step] / hours[step], 1.0) for step in steps},
        {step: tuple(after[step]) for step in steps},
    )


def _flow(
    program: _Program,
    done: dict[tuple[int, Step, int], int],
    at: int,
    batch: _Batch,
    slots: int,
    slot_h: float,
    worth: float,
) -> None:
    """The shares of one batch: growing as fast as it has room for hands, and behind what they wait for."""
    for step, hours in batch.hours.items():
        room = MOST_AT_ONE_KIT.get(step, 0) * slot_h * batch.kits / hours
        most = room or highspy.kHighsInf
        for slot in range(slots):
            gain = worth * batch.kits if step == "check" else 1e-3 * hours
            done[at, step, slot] = program.column(batch.done[step], 1.0, -gain)
            if slot:
                terms = {done[at, step, slot]: 1.0, done[at, step, slot - 1]: -1.0}
                program.rows.append((terms, 0.0, most))
            else:
                program.high[done[at, step, slot]] = min(1.0, batch.done[step] + most)
    for step, others in batch.after.items():
        now = max(batch.open[step], batch.done[step])
        lag = LAG if step in GATED and batch.kits > 1 else 1
        for other in others:
            rest = 1.0 - batch.done[other]
            pace = (1.0 - now) / rest if rest > 1.0 - WHOLE else 0.0
            for slot in range(slots):
                column = done[at, step, slot]
                if slot < lag or not pace:
                    program.high[column] = min(program.high[column], now if pace else 1.0)
                else:
                    terms = {column: 1.0, done[at, other, slot - lag]: -pace}
                    program.rows.append((terms, -highspy.kHighsInf, now - pace * batch.done[other]))


def _people(
    program: _Program,
    done: Mapping[tuple[int, Step, int], int],
    batches: Sequence[_Batch],
    crews: Sequence[Crew],
    machines: int,
    slots: int,
    slot_h: float,
) -> dict[tuple[int, Step, int], int]:
    """Who stands where: enough hours for what is done, no more people or machines than there are."""
    stands: dict[tuple[int, Step, int], int] = {}
    for slot in range(slots):
        for crew, (size, can) in enumerate(crews):
            for step in STEPS:
                if step in can:
                    stands[crew, step, slot] = program.column(0.0, float(size), 1e-6)
            own = {stands[crew, step, slot]: 1.0 for step in STEPS if step in can}
            program.rows.append((own, -highspy.kHighsInf, float(size)))
        for step in STEPS:
            here = [stands[crew, step, slot] for crew, (_, can) in enumerate(crews) if step in can]
            terms, spent = dict.fromkeys(here, -slot_h), 0.0
            for at, batch in enumerate(batches):
                if step in batch.hours:
                    hours = batch.hours[step]
                    terms[done[at, step, slot]] = hours
                    if slot:
                        terms[done[at, step, slot - 1]] = -hours
                    else:
                        spent += hours * batch.done[step]
            program.rows.append((terms, -highspy.kHighsInf, spent))
            if step == "sew":
                program.rows.append((dict.fromkeys(here, 1.0), -highspy.kHighsInf, float(machines)))
    return stands


def _whole(
    shown: Mapping[tuple[int, Step, int], float], crews: Sequence[Crew], machines: int, slots: int
) -> list[dict[Step, int]]:
    """Whole people: those with the largest remainders first, what is left out carried to the next slot."""
    carried: dict[tuple[int, Step], float] = {}
    people = []
    for slot in range(slots):
        stand = dict.fromkeys(STEPS, 0)
        free_machines = machines
        for crew, (size, can) in enumerate(crews):
            able = [step for step in STEPS if step in can]
            wanted = {step: shown[crew, step, slot] + carried.get((crew, step), 0.0) for step in able}
            given = dict.fromkeys(able, 0)
            for _ in range(size):
                room = {step: given[step] < (free_machines if step == "sew" else size) for step in able}
                open_steps = [s for s in able if room[s] and wanted[s] - given[s] > _A_LITTLE]
                if not open_steps:
                    break
                given[max(open_steps, key=lambda step: wanted[step] - given[step])] += 1
            for step in able:
                carried[crew, step] = min(max(wanted[step] - given[step], -1.0), 1.0)
                stand[step] += given[step]
            free_machines -= given.get("sew", 0)
        people.append(stand)
    return people


_A_LITTLE: Final = 0.05
"""Less of a person than this is nobody."""
