"""What each boat needs when the wave strike has its say: size, strike, strengthen, strike again."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.envelope import TensionEnvelope
from sizing.drogue.size import size_fleet
from sizing.drogue.strike import strike
from sizing.drogue.strike_fleet import (
    PartStrengths,
    StrikePlan,
    required_rigs,
    required_strengths,
    strike_columns,
)
from sizing.model import BoolArray, FleetColumns, FloatArray, RequirementColumns, StrikeColumns
from sizing.policy import Policy
from sizing.progress import Progress, silent

MOST_ROUNDS = 5
PLACES: FloatArray = np.linspace(0.0, 1.0, 41)
"""Places along the cone line, as cones inboard over all cones, at which an envelope is handed on."""


def strike_required(
    fleet: FleetColumns,
    policy: Policy,
    catalogue: Catalogue,
    plan: StrikePlan,
    progress: Progress = silent,
) -> tuple[RequirementColumns, StrikeColumns]:
    """Size every boat, strike the rig she needs, and size her again where the strike asks for more.

    A section, lead line or bridle whose residual strength the strike exceeds is made stronger, and the new
    rig is struck again, until every part holds (rule of the least mass under both demands). A boat whose rig
    still does not hold after `MOST_ROUNDS` is marked not computed: no rig is shown that fails its own test.
    """
    labels = [f"entry {entry}" for entry in fleet.text["entry_no"]]
    requirements = size_fleet(fleet, policy, catalogue)
    multiples = np.full((len(fleet), len(PLACES)), np.nan)
    once = StrikePlan(samples=0, histories=False)
    for _ in range(MOST_ROUNDS):
        boats = required_rigs(requirements, policy, catalogue)
        strengths = required_strengths(requirements, policy, catalogue)
        struck = strike(boats, labels)
        columns = strike_columns(
            boats, strengths, labels, policy, once, requirements.not_computed, struck=struck
        )
        exceeded = _exceeded(columns, strengths)
        if not exceeded.any():
            break
        asked = _multiples(columns, requirements)
        multiples[exceeded] = np.fmax(multiples[exceeded], asked[exceeded])
        requirements = size_fleet(fleet, policy, catalogue, TensionEnvelope(PLACES, multiples))
    else:
        requirements = _given_up(requirements, exceeded)
        boats = required_rigs(requirements, policy, catalogue)
        strengths = required_strengths(requirements, policy, catalogue)
        struck = strike(boats, labels)

    def tell(done: int, total: int) -> None:
        progress("Wave strikes on the required rigs", done, total)

    columns = strike_columns(
        boats, strengths, labels, policy, plan, requirements.not_computed, tell, struck=struck
    )
    return requirements, columns


def _exceeded(columns: StrikeColumns, strengths: PartStrengths) -> BoolArray:
    """Boats on which the strike exceeds the residual strength of bridle leg, lead line or a section."""
    over = columns.peak_n > strengths.by_part["bridle leg"]
    for place, part in enumerate(("lead line", "section 1", "section 2", "section 3")):
        over |= columns.head_peak_n[:, place] > strengths.by_part[part]
    return np.asarray(over)


def _multiples(columns: StrikeColumns, requirements: RequirementColumns) -> FloatArray:
    """Peak tension over design load at PLACES along the cone line, each section taken at its head's peak."""
    cones = requirements.section_cones.astype(np.float64)
    inboard = np.cumsum(cones, axis=1) - cones
    start = inboard / np.maximum(cones.sum(axis=1), 1.0)[:, None]
    peaks = np.where(cones > 0, columns.head_peak_n[:, 1:], np.nan)
    peaks[:, 0] = np.fmax(peaks[:, 0], np.fmax(columns.peak_n, columns.head_peak_n[:, 0]))
    asked = np.full((len(cones), len(PLACES)), np.nan)
    for section in range(cones.shape[1]):
        here = (cones[:, section] > 0)[:, None] & (start[:, section, None] <= PLACES)
        asked = np.where(here, peaks[:, section, None], asked)
    return np.asarray(asked / requirements.design_load_n[:, None])


def _given_up(requirements: RequirementColumns, exceeded: BoolArray) -> RequirementColumns:
    reason = "the wave strike exceeds her rig however it is strengthened from this catalogue"
    reasons = dict(requirements.not_computed) | {int(row): reason for row in np.flatnonzero(exceeded)}
    emptied: dict[str, Any] = {"not_computed": dict(sorted(reasons.items()))}
    for column in dataclasses.fields(requirements):
        values = getattr(requirements, column.name)
        if isinstance(values, np.ndarray) and column.name != "range_mark":
            values = values.copy()
            values[exceeded] = np.nan if values.dtype.kind == "f" else -1
            emptied[column.name] = values
    return dataclasses.replace(requirements, **emptied)
