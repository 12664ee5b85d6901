"""The cases that each check declares: judged as declared, and no standing left without one."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from functools import cache

import numpy as np
import pytest

from sizing.audit import REGISTER, AuditContext, audit_fleet, findings_of
from sizing.audit.aboard import strike_aboard
from sizing.audit.cases import HEAVY, HUGE, LIGHT, READY
from sizing.drogue.ride_fleet import ride_required
from sizing.drogue.strengthen import strike_required
from sizing.drogue.strike_fleet import StrikePlan
from sizing.fields import CHOICES, FIELDS, MEASURABLE
from sizing.model import OPEN_STANDINGS, CheckColumns, RideColumns, Standing
from tests.sizing.audit.boats import CATALOGUE, boat, context_of, fleet_of

CASES = [(spec.check.id, standing, cells) for spec in REGISTER for standing, cells in spec.cases]
IDS = [spec.check.id for spec in REGISTER]


def further_boats() -> Iterator[Mapping[str, str]]:
    """Boats beside the cases: every column blank, every word of every choice, every size of boat."""
    yield from ({name: ""} for name in READY if name in MEASURABLE and name not in NEEDED_BY_INTAKE)
    yield from ({name: word} for name, words in CHOICES.items() for word in words)
    yield from (LIGHT, HEAVY, HUGE)


NEEDED_BY_INTAKE = {field.name for field in FIELDS if field.required}


@cache
def judged() -> tuple[AuditContext, dict[str, CheckColumns]]:
    """All of them in one fleet, waves struck; the cases first, in their order."""
    boats = [*(cells for _, _, cells in CASES), *further_boats()]
    named = (boat(**{**cells, "boat_name": f"Boat {at}"}) for at, cells in enumerate(boats))
    context = context_of(fleet_of(*named))
    once = StrikePlan(samples=0, histories=False)
    _, needed = strike_required(context.fleet, context.policy, CATALOGUE, once)
    struck = strike_aboard(context, needed, once)
    context = dataclasses.replace(context, strike_aboard=struck, ride=ridden(context))
    return context, {result.check.id: result for result in audit_fleet(context)}


def ridden(context: AuditContext) -> RideColumns:
    """Lying to the drogue: computed once for all boats that need the same, as most of them do."""
    needs = context.requirements
    alike = np.column_stack([needs.displacement_used_kg, needs.air_drag_area_m2, needs.bridle_leg_m])
    _, first, which = np.unique(np.nan_to_num(alike), axis=0, return_index=True, return_inverse=True)
    columns = {field.name: getattr(needs, field.name) for field in dataclasses.fields(needs)}
    few = {name: values[first] for name, values in columns.items() if isinstance(values, np.ndarray)}
    reasons = {at: needs.not_computed[row] for at, row in enumerate(first) if row in needs.not_computed}
    one_each = dataclasses.replace(needs, **few, not_computed=reasons)
    ride = ride_required(one_each, context.policy, CATALOGUE, [str(row) for row in first])
    found = {field.name: getattr(ride, field.name) for field in dataclasses.fields(ride)}
    spread = {name: values[which] for name, values in found.items() if isinstance(values, np.ndarray)}
    return dataclasses.replace(ride, **spread, not_computed=dict(needs.not_computed))


@pytest.mark.parametrize("check", IDS)
def test_every_case_stands_as_declared(check: str) -> None:
    results = judged()[1][check]
    declared = {at: standing for at, (name, standing, _) in enumerate(CASES) if name == check}
    wrong = {
        at: (dict(CASES[at][2]), Standing(int(results.standing[at])).words, results.note_of(at))
        for at, standing in declared.items()
        if results.standing[at] != standing
    }
    assert not wrong


@pytest.mark.parametrize("check", IDS)
def test_a_check_has_a_case_of_every_standing_that_any_boat_has_on_it(check: str) -> None:
    """So that none is left out because nobody thought of it, the cases of all other checks are tried too."""
    had = {Standing(int(code)) for code in judged()[1][check].standing}
    declared = {standing for name, standing, _ in CASES if name == check}
    assert declared == had
    assert Standing.MEETS in declared
    assert declared & set(OPEN_STANDINGS)


def test_columns_and_checks_know_each_other() -> None:
    """What is measured for a check can be measured; and all gear that can be is measured for some check."""
    asked = {column for spec in REGISTER for column in spec.check.columns}
    assert asked <= MEASURABLE.keys()
    assert {name for name, field in MEASURABLE.items() if field.group != "boat"} <= asked


def test_every_finding_of_every_case_asks_of_a_column_what_it_needs() -> None:
    """A figure asked of a column is its own, in its dimension, and none where a check is not about her."""
    context, results = judged()
    asked = set()
    for row in range(len(CASES)):
        for finding in findings_of(list(results.values()), context.fleet, row):
            if not finding.needed:
                continue
            asked.add(finding.check.id)
            assert finding.standing is not Standing.NOT_APPLICABLE
            field = MEASURABLE[finding.check.columns[0]]
            assert field.kind in ("quantity", "quantities", "count")
            if finding.check.dimension == field.dimension:
                assert finding.needed == (finding.required,)
    assert asked >= {
        "drag.cone-count", "drag.pitch", "drag.mouth-size", "drag.equivalent-diameter", "line.strength-new",
        "line.strength-residual", "line.sections", "line.lead-length", "bridle.leg-length",
        "bridle.strength-new", "bridle.strength-residual", "bridle.symmetry", "end-weight.mass",
        "attachment.load", "hardware.shackles", "hardware.swivel",
    }  # fmt: skip
