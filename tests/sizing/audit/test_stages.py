"""The stage of a boat: one for each, from what is required of her alone. Common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sizing.audit import BOAT_STAGES, REGISTER, SPECS, boat_stages, overall, stage_counts
from sizing.model import Standing
from tests.sizing.audit.boats import boat, checks, fleet_of


@pytest.mark.parametrize(
    ("cells", "stage"),
    [
        ({}, "shown"),
        ({"device_type": "none", "cone_count": "", "lead_line_length": "", "lead_line_diameter": "",
          "end_weight": "", "device_diameter": ""}, "no-device"),
        ({"device_type": "", "cone_count": ""}, "not-described"),
        ({"device_type": "other", "line_state": "damaged"}, "not-described"),
        ({"line_material": ""}, "not-described"),
        ({"structure_survey": "not done"}, "survey-open"),
        ({"structure_survey": "not done", "line_material": ""}, "not-described"),
        ({"cone_count": "40"}, "short"),
        ({"cone_count": "40", "structure_survey": "not done"}, "short"),
        ({"device_type": "warps"}, "short"),
    ],
)  # fmt: skip
def test_the_stage_of_a_boat(cells: dict[str, str], stage: str) -> None:
    assert boat_stages(checks(boat(**cells)), 1) == (stage,)


def test_each_boat_is_in_one_stage_and_the_counts_sum_to_the_fleet() -> None:
    """Any standings whatever: the stage agrees with the counts of open shalls, made apart from it."""
    seldom, surveyed = [0.94, *[0.012] * 5], [0.5, 0.0, 0.0, 0.5, 0.0, 0.0]
    boats, chance = 300, np.random.default_rng(20_261_201)
    made = [
        replace(
            column,
            standing=chance.choice(
                np.array([int(s) for s in Standing], dtype=np.int8),
                boats,
                p=surveyed if SPECS[column.check.id].asked_of == "surveyor" else seldom,
            ),
        )
        for column in checks(boat())
    ]
    assert len(Standing) == 6
    assert len(made) <= len(REGISTER)
    signed, not_computed = set(range(0, boats, 3)), set(range(0, boats, 7))
    stages = boat_stages(made, boats, not_computed, signed)
    counts = stage_counts(stages)
    assert sum(counts.values()) == len(stages) == boats
    assert all(counts.values()), "a stage that no boat is in proves nothing"
    open_shalls = overall(made, fleet_of(*[boat()] * boats)).open_shalls
    for row, stage in enumerate(stages):
        ready = row not in not_computed and not open_shalls[row]
        assert (stage in {"shown", "signed-off"}) == ready
        assert (stage == "signed-off") == (ready and row in signed)
        assert (stage == "not-sized") == (row in not_computed)


def test_no_stage_says_of_a_boat_that_she_is_safe_or_ready() -> None:
    words = " ".join(f"{stage.words} {stage.meaning}" for stage in BOAT_STAGES)
    assert not {"safe", "ready", "seaworthy", "fit"} & set(words.split())
