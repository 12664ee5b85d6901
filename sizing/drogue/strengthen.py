"""What each boat needs when the wave strike has its say: size, strike, strengthen, strike again."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.envelope import TensionEnvelope
from sizing.drogue.loads import attachment_load_n
from sizing.drogue.size import size_fleet
from sizing.drogue.strike_fleet import (
    PartStrengths,
    StrikePlan,
    put_in_place,
    required_rigs,
    required_strengths,
    strike_columns,
)
from sizing.model import (
    CHOSEN_BY,
    MARKS,
    BoolArray,
    FleetColumns,
    FloatArray,
    IntArray,
    RequirementColumns,
    StrikeColumns,
)
from sizing.policy import Policy
from sizing.progress import Progress, silent

MOST_ROUNDS = 5
PLACES: FloatArray = np.linspace(0.0, 1.0, 41)
"""Places along the cone line, as cones inboard over all cones, at which an envelope is handed on."""
HEAD_PARTS = ("lead line", "section 1", "section 2", "section 3")


def strike_required(
    fleet: FleetColumns,
    policy: Policy,
    catalogue: Catalogue,
    plan: StrikePlan,
    progress: Progress = silent,
) -> tuple[RequirementColumns, StrikeColumns]:
    """Size every boat, strike the rig she needs, and size her again where the strike asks for more.

    New gear is chosen for the larger of the published load and the 90th percentile of the varied strikes on
    that gear itself; where none are varied, or her spread is not known, of the published load and the single
    strike, and `chosen_by` says so. The published load may take the policy's share of a new line's strength;
    either must stay below what is left of it wet and spliced. A boat one of whose parts does not hold gets
    stronger ones and alone is struck again, since stiffer rope is struck harder. One whose rig still does not
    hold after `MOST_ROUNDS` is marked not computed: no rig is shown that fails its own test.
    """
    labels = [f"entry {entry}" for entry in fleet.text["entry_no"]]
    requirements = size_fleet(fleet, policy, catalogue)
    multiples = np.full((len(fleet), len(PLACES)), np.nan)

    def tell(done: int, total: int) -> None:
        progress("Wave strikes on the required rigs", done, total)

    def struck(rows: IntArray) -> StrikeColumns:
        unknown = {
            place: requirements.not_computed[int(row)]
            for place, row in enumerate(rows)
            if int(row) in requirements.not_computed
        }
        return strike_columns(
            required_rigs(requirements, policy, catalogue).take(rows),
            required_strengths(requirements, policy, catalogue).take(rows),
            requirements.design_load_n[rows],
            [labels[row] for row in rows],
            policy, plan, unknown, tell,
        )  # fmt: skip

    columns = struck(np.arange(len(fleet)))
    for left in reversed(range(MOST_ROUNDS + 1)):
        asked = _asked_n(columns)
        rows = np.flatnonzero(_exceeded(asked, required_strengths(requirements, policy, catalogue)))
        if not rows.size:
            break
        if left:
            multiples[rows] = np.fmax(multiples[rows], _multiples(asked, requirements)[rows])
            envelope = TensionEnvelope(PLACES, multiples)
            requirements = _told(size_fleet(fleet, policy, catalogue, envelope), requirements)
        else:
            requirements = _given_up(requirements, rows)
        columns = put_in_place(columns, rows, struck(rows))
    return _chosen(requirements, columns, policy), columns


def _asked_n(columns: StrikeColumns) -> FloatArray:
    """Load that gear must hold at bridle, lead line and the heads of sections; (n, 5), NaN where unknown.

    The 90th percentile of the varied strikes where there is one, else the single strike.
    """
    single = np.column_stack([columns.peak_n, columns.head_peak_n])
    spread = np.column_stack([columns.p90_n, columns.head_p90_n])
    return np.where(np.isnan(columns.p90_n)[:, None], single, spread)


def _exceeded(asked_n: FloatArray, strengths: PartStrengths) -> BoolArray:
    """Boats on which the load asked for exceeds what bridle leg, shackle, lead line or a section hold."""
    by_part = strengths.by_part
    over = (asked_n[:, 0] > by_part["bridle leg"]) | (asked_n[:, 0] > by_part["shackle"])
    for place, part in enumerate(HEAD_PARTS, start=1):
        over |= asked_n[:, place] > by_part[part]
    return np.asarray(over)


def _multiples(asked_n: FloatArray, requirements: RequirementColumns) -> FloatArray:
    """Load asked for over design load at PLACES along the cone line, each section taken at its head."""
    cones = requirements.section_cones.astype(np.float64)
    inboard = np.cumsum(cones, axis=1) - cones
    start = inboard / np.maximum(cones.sum(axis=1), 1.0)[:, None]
    heads = np.where(cones > 0, asked_n[:, 2:], np.nan)
    heads[:, 0] = np.fmax(heads[:, 0], asked_n[:, :2].max(axis=1))
    asked = np.full((len(cones), len(PLACES)), np.nan)
    for section in range(cones.shape[1]):
        here = (cones[:, section] > 0)[:, None] & (start[:, section, None] <= PLACES)
        asked = np.where(here, heads[:, section, None], asked)
    return np.asarray(asked / requirements.design_load_n[:, None])


def _chosen(requirements: RequirementColumns, columns: StrikeColumns, policy: Policy) -> RequirementColumns:
    """The requirements with the loads that new gear is chosen for: published, or asked for by the strike."""
    asked = _asked_n(columns)
    load = np.fmax(requirements.design_load_n, np.fmax(asked[:, 0], asked[:, 1]))
    used = requirements.section_cones > 0
    sections = np.fmax(requirements.section_tension_n, np.where(used, asked[:, 2:], np.nan))
    struck, varied = ~np.isnan(columns.peak_n), ~np.isnan(columns.p90_n)
    by = np.where(varied, len(CHOSEN_BY) - 1, struck.astype(np.int64))
    return dataclasses.replace(
        requirements,
        chosen_load_n=load,
        chosen_attachment_n=attachment_load_n(load, policy.sizing.attachment_share),
        chosen_section_n=sections,
        chosen_by=np.where(requirements.chosen_by < 0, -1, by).astype(np.int8),
    )


def _told(requirements: RequirementColumns, before: RequirementColumns) -> RequirementColumns:
    """The requirements; where a boat that was sized before is so no longer, the strike is the reason."""
    reasons = {
        row: before.not_computed.get(
            row, f"for the load of the simulated strike on this boat's rig, {reason}"
        )
        for row, reason in requirements.not_computed.items()
    }
    return dataclasses.replace(requirements, not_computed=reasons)


def _given_up(requirements: RequirementColumns, rows: IntArray) -> RequirementColumns:
    reason = "the wave strike exceeds the rig however it is strengthened from this catalogue"
    reasons = dict(requirements.not_computed) | dict.fromkeys(rows.tolist(), reason)
    emptied: dict[str, Any] = {"not_computed": dict(sorted(reasons.items()))}
    for column in dataclasses.fields(requirements):
        values = getattr(requirements, column.name)
        if isinstance(values, np.ndarray) and column.name not in MARKS:
            values = values.copy()
            values[rows] = np.nan if values.dtype.kind == "f" else -1
            emptied[column.name] = values
    return dataclasses.replace(requirements, **emptied)
