"""Levels, waivers and independence of the findings."""

from __future__ import annotations

from datetime import date
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.audit import audit_fleet, overall
from sizing.errors import PolicyError
from sizing.model import CheckColumns, Standing
from sizing.policy import Policy, Waiver
from tests.sizing.audit.boats import boat, context_of, findings, fleet_of

BOATS = (
    boat(boat_name="One"),
    boat(boat_name="Two", cone_count="80"),
    boat(boat_name="Three", device_type="none", cone_count="", bridle_leg_length="", bridle_diameter=""),
    boat(boat_name="Four", line_ends="knotted", end_weight=""),
    boat(boat_name="Five", device_type="parachute", device_diameter="3 m", cone_count="", cone_mouth=""),
)


@cache
def judged_alone(index: int) -> tuple[CheckColumns, ...]:
    return audit_fleet(context_of(fleet_of(BOATS[index])))


@given(st.permutations(range(len(BOATS))))
def test_a_boat_is_judged_alone(order: list[int]) -> None:
    """The order of the rows, and who else is in the fleet, change nothing."""
    together = audit_fleet(context_of(fleet_of(*(BOATS[i] for i in order))))
    for place, index in enumerate(order):
        for one, many in zip(judged_alone(index), together, strict=True):
            assert one.standing[0] == many.standing[place]
            np.testing.assert_array_equal(one.found[0], many.found[place])
            np.testing.assert_array_equal(one.required[0], many.required[place])


def waived(until: date, check: str = "bridle.leg-length", entry: str = "1") -> Policy:
    waiver = Waiver(
        entry_no=entry, check=check, reason="new bridle arrives", officer="Safety office", until=until
    )
    return Policy(waivers=(waiver,))


def test_a_waiver_sets_a_finding_aside_and_changes_no_number() -> None:
    short = boat(bridle_leg_length="6 m")
    before = findings(short)["bridle.leg-length"]
    after = findings(short, waived(date(2027, 4, 1)))["bridle.leg-length"]
    assert before.standing is Standing.SHORT
    assert after.standing is Standing.WAIVED
    assert (after.required, after.found, after.margin_percent) == (
        before.required, before.found, before.margin_percent,
    )  # fmt: skip
    assert "Safety office" in after.note
    assert "new bridle arrives" in after.note
    assert "it was short" in after.note


def test_a_waiver_counts_on_its_last_day_and_not_after() -> None:
    short = boat(bridle_leg_length="6 m")
    assert findings(short, waived(date(2027, 3, 1)))["bridle.leg-length"].standing is Standing.WAIVED
    expired = findings(short, waived(date(2027, 2, 28)))["bridle.leg-length"]
    assert expired.standing is Standing.SHORT
    assert "open again" in expired.note


def test_a_waiver_on_a_finding_that_meets_changes_nothing() -> None:
    assert findings(boat(), waived(date(2027, 4, 1)))["bridle.leg-length"].standing is Standing.MEETS


def test_a_waiver_of_no_check_is_refused() -> None:
    with pytest.raises(PolicyError, match=r"bridle\.colour"):
        findings(boat(), waived(date(2027, 4, 1), check="bridle.colour"))


def test_a_waiver_for_nobody_changes_nothing() -> None:
    short = boat(bridle_leg_length="6 m")
    assert findings(short, waived(date(2027, 4, 1), entry="99")) == findings(short)


def test_levels_come_from_the_policy() -> None:
    raised = findings(boat(), Policy(checks={"hardware.mousing": "shall"}))
    assert raised["hardware.mousing"].check.level == "shall"
    with pytest.raises(PolicyError, match="without a reason"):
        findings(boat(), Policy(checks={"bridle.leg-length": "should"}))
    lowered = Policy(
        checks={"bridle.leg-length": "should"}, reasons={"checks.bridle.leg-length": "inshore leg"}
    )
    assert findings(boat(), lowered)["bridle.leg-length"].check.level == "should"


def test_open_shalls_counts_short_absent_and_unproven() -> None:
    fleet = fleet_of(*BOATS)
    counts = overall(audit_fleet(context_of(fleet)), fleet).open_shalls
    assert counts[0] == 0
    assert (counts[1:] > 0).all()
