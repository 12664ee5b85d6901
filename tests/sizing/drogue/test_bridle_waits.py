"""A boat whose transom nobody has measured: cones and loads are worked out, and her bridle waits."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from sizing.audit import audit_fleet, findings_of, plan_boats
from sizing.audit.cases import NO_DEVICE, READY
from sizing.drogue.strengthen import strike_required
from sizing.drogue.strike_fleet import StrikePlan
from sizing.drogue.working import requirement_of
from sizing.model import BY_THE_BRIDLE, Standing
from sizing.order.pieces import parts_list
from sizing.seamanship.handling import handling_of
from tests.sizing.audit.boats import CATALOGUE, context_of, fleet_of
from tests.sizing.intake.sheets import GOOD, codes, read_boats

UNKNOWN = {**READY, "transom_width": ""}


def test_only_what_hangs_on_the_width_is_not_known() -> None:
    needs = context_of(fleet_of(READY, UNKNOWN)).requirements
    assert not needs.not_computed
    assert needs.bridle_waits.tolist() == [False, True]
    for field in dataclasses.fields(needs):
        values = getattr(needs, field.name)
        if not isinstance(values, np.ndarray):
            continue
        if field.name in BY_THE_BRIDLE:
            assert np.isfinite(values[0])
            assert np.isnan(values[1])
        else:
            assert np.array_equal(values[0], values[1], equal_nan=True), field.name


def test_her_strike_is_no_softer_than_with_any_bridle_she_may_get() -> None:
    """Less rope stretches less, and is struck harder: so nothing of her rig is chosen too weak."""
    widths = ("", "1.2 m", "2.8 m", "3.9 m")
    fleet = fleet_of(*({**READY, "transom_width": width} for width in widths))
    context = context_of(fleet)
    _, struck = strike_required(fleet, context.policy, CATALOGUE, StrikePlan(0, histories=False))
    assert not struck.not_computed
    assert struck.peak_n[0] >= struck.peak_n[1:].max()
    assert struck.peak_n[0] == pytest.approx(struck.peak_n[2], rel=0.01)


def test_what_rests_on_the_width_is_not_shown_and_says_what_to_measure() -> None:
    context = context_of(fleet_of(UNKNOWN))
    found = {one.check.id: one for one in findings_of(audit_fleet(context), context.fleet, 0)}
    for check in ("bridle.leg-length", "bridle.strength-new", "bridle.strength-residual", "bridle.spread"):
        assert found[check].standing is Standing.UNPROVEN
        assert "how wide [her] transom is" in found[check].said
        assert "Measure between the two places aft" in found[check].advice
    assert found["drag.cone-count"].standing is Standing.MEETS
    assert found["attachment.load"].standing is Standing.MEETS


def test_nothing_is_bought_of_what_waits_and_plan_and_order_say_so() -> None:
    context = context_of(fleet_of({**UNKNOWN, **NO_DEVICE}))
    [plan] = plan_boats(context, audit_fleet(context))
    assert plan.waiting == ("bridle", "stowage bag")
    assert not {"bridle", "stowage bag"} & set(plan.groups)
    assert "cones" in plan.groups
    assert "how wide [her] transom is" in plan.reason
    listed = parts_list(plan, context.fleet, context.requirements, context.policy, CATALOGUE)
    assert not {piece.purpose for piece in listed.pieces} & {"bridle leg", "recovery line"}
    assert [problem.sentence for problem in listed.problems] == [
        "Not ordered yet: her bridle and stowage bag. The width of her transom is not known.",
        "Her recovery line is not ordered yet: the width of her transom is not known.",
    ]
    assert f"1/{'bridle.leg-length'}" in plan.leaves


def test_her_papers_say_that_it_is_not_known_yet() -> None:
    context = context_of(fleet_of(UNKNOWN))
    told = handling_of(context.fleet, context.requirements, "nothing", context.policy, 0)
    assert told.figures["out"].endswith("and her legs")
    needed = requirement_of(context.fleet, context.requirements, context.policy, CATALOGUE, 0)
    assert BY_THE_BRIDLE.isdisjoint(needed.figures)
    assert all(np.isfinite(work.value) for work in needed.workings)


def test_a_transom_that_cannot_be_is_asked_for_and_makes_no_bridle() -> None:
    """A boat of 36 ft with a transom of 40 ft was once given 30 m of bridle, or rejected."""
    result = read_boats({**GOOD, "loa": "36 ft", "lwl": "31 ft", "beam": "", "transom_width": "40 ft"})
    assert codes(result) == [("transom_width", "implausible")]
    assert np.isnan(result.fleet.number["transom_width_m"]).all()


def test_a_sheet_without_the_column_is_read() -> None:
    cells = {name: cell for name, cell in GOOD.items() if name != "transom_width"}
    assert len(read_boats(cells).fleet) == 1
