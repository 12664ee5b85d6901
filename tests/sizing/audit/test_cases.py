"""Every check declares its cases, and each case stands as declared when entered through the real intake."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from sizing.audit import REGISTER
from sizing.audit.aboard import strike_aboard
from sizing.audit.cases import BASE
from sizing.audit.examine import audit_fleet
from sizing.drogue.strike_fleet import StrikePlan
from sizing.fields import FIELD_BY_NAME
from sizing.model import Standing
from tests.sizing.audit.boats import context_of, fleet_of

EACH = [(spec.check.id, standing, cells) for spec in REGISTER for standing, cells in spec.cases.each()]


@pytest.fixture(scope="module")
def found() -> Mapping[int, Mapping[str, Standing]]:
    """All cases as one fleet, struck once without samples: place in EACH -> check -> standing."""
    context = context_of(
        fleet_of(
            *({**BASE, **cells, "boat_name": f"Case {place}"} for place, (_, _, cells) in enumerate(EACH))
        )
    )
    struck = context_of(context.fleet, strike=strike_aboard(context, StrikePlan(samples=0, histories=False)))
    columns = audit_fleet(struck)
    return {
        place: {column.check.id: Standing(int(column.standing[place])) for column in columns}
        for place in range(len(EACH))
    }


def test_every_case_stands_as_declared(found: Mapping[int, Mapping[str, Standing]]) -> None:
    wrong = [
        f"{check} with {dict(cells)}: {found[place][check].words}, declared {standing.words}"
        for place, (check, standing, cells) in enumerate(EACH)
        if found[place][check] is not standing
    ]
    assert wrong == []


def test_every_check_has_a_case_of_each_kind() -> None:
    wanting = {spec.check.id: [s.words for s in spec.cases.wanting()] for spec in REGISTER}
    assert {check: kinds for check, kinds in wanting.items() if kinds} == {}


def test_every_case_and_check_names_columns_of_the_register() -> None:
    for spec in REGISTER:
        for _, cells in spec.cases.each():
            assert set(cells) <= set(FIELD_BY_NAME), spec.check.id
        assert set(spec.check.columns) <= set(FIELD_BY_NAME), spec.check.id
