"""How far each boat has come: one stage a boat, the same on page and paper, in tables and the interface."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final, Literal, get_args

import numpy as np

from sizing.audit.register import SPECS
from sizing.model import CheckColumns, MusterResult, Standing
from sizing.words import vocabulary, word

StageKey = Literal["not-sized", "no-device", "not-described", "short", "survey-open", "shown", "signed-off"]


@dataclass(frozen=True)
class BoatStage:
    """One stage: its key, its name, and what it means of a boat; never that she is safe."""

    key: StageKey
    words: str
    meaning: str


BOAT_STAGES: Final = tuple(
    BoatStage(key, word("stage", key, "officer"), vocabulary()["stage", key].meaning)
    for key in get_args(StageKey)
)
"""From the boat that is furthest from ready to the one that is nearest."""

STAGE_OF: Final[dict[str, BoatStage]] = {stage.key: stage for stage in BOAT_STAGES}
_ABOARD: Final = "drag.device-aboard"
_PLACE: Final = {stage.key: place for place, stage in enumerate(BOAT_STAGES)}


def boat_stages(
    checks: Sequence[CheckColumns],
    boats: int,
    not_computed: Collection[int] = (),
    signed_off: Collection[int] = (),
) -> tuple[StageKey, ...]:
    """Return the stage of each of `boats` boats from her findings at the level *shall*.

    A boat of whose device nothing is known is not described, whatever else is short; one that lacks a
    surveyor's look alone has told all that is hers to tell. A sign-off closes no
    finding: it counts only where nothing required is open. `not_computed` and `signed_off` are rows.
    """
    code = np.full(boats, _PLACE["shown"], dtype=np.int8)
    unproven, surveyed, short = (np.zeros(boats, dtype=np.bool_) for _ in range(3))
    unknown, without = (np.zeros(boats, dtype=np.bool_) for _ in range(2))
    for column in checks:
        if column.check.id == _ABOARD:
            unknown |= column.standing == Standing.UNPROVEN
            without |= column.standing == Standing.ABSENT
        if column.check.level == "shall":
            if SPECS[column.check.id].asked_of == "surveyor":
                surveyed |= column.standing == Standing.UNPROVEN
            else:
                unproven |= column.standing == Standing.UNPROVEN
            short |= (column.standing == Standing.SHORT) | (column.standing == Standing.ABSENT)
    code[_rows(signed_off, boats)] = _PLACE["signed-off"]
    code[surveyed] = _PLACE["survey-open"]
    code[unproven] = _PLACE["not-described"]
    code[short] = _PLACE["short"]
    code[unknown] = _PLACE["not-described"]
    code[without] = _PLACE["no-device"]
    code[_rows(not_computed, boats)] = _PLACE["not-sized"]
    keys = [stage.key for stage in BOAT_STAGES]
    return tuple(keys[place] for place in code.tolist())


def stages_of(result: MusterResult) -> tuple[StageKey, ...]:
    """Return the stage of each accepted boat of a run, by row."""
    return boat_stages(
        result.checks, len(result.intake.fleet), result.requirements.not_computed, result.signed_off
    )


def stage_counts(stages: Collection[str]) -> dict[str, int]:
    """Return how many boats are in each stage, by its name, in order.

    >>> found = stage_counts(["short", "shown", "short"])
    >>> found["not enough"], found["survey open"], found["shown"]
    (2, 0, 1)
    """
    found = list(stages)
    return {stage.words: found.count(stage.key) for stage in BOAT_STAGES}


def _rows(rows: Collection[int], boats: int) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    return np.array(sorted(row for row in rows if row < boats), dtype=np.int64)
