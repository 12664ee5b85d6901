"""How boats stand as a whole, and what the parts of a plan settle. Common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sizing.audit import REGISTER, OverallColumns, audit_fleet, findings_of, overall, plan_boats
from sizing.audit.aboard import strike_aboard
from sizing.audit.cases import READY
from sizing.drogue.strengthen import strike_required
from sizing.drogue.strike_fleet import StrikePlan
from sizing.fields import FIELD_BY_NAME
from sizing.model import AdvisedColumns, Standing
from tests.sizing.audit.boats import CATALOGUE, boat, checks, context_of, findings, fleet_of, intake_of, plan

STRUCTURE = {"structure_survey": "not done"}
FIGURES = sorted(
    {
        column
        for spec in REGISTER
        if spec.check.level == "shall"
        for column in spec.check.columns
        if FIELD_BY_NAME[column].kind in {"quantity", "quantities", "count", "counts"}
    }
)


def whole(*boats: Mapping[str, str], measured: Mapping[int, set[str]] | None = None) -> OverallColumns:
    return overall(checks(*boats), fleet_of(*boats), measured or {})


@pytest.mark.parametrize("evidence", ["skipper's word", ""])
def test_what_rests_on_a_word_is_counted(evidence: str) -> None:
    shown, told = boat(), boat(evidence=evidence)
    counts = whole(shown, told)
    assert counts.on_word.tolist() == [0, counts.met[1]]
    assert counts.met[1] > 30


def test_what_a_scrutineer_measured_rests_on_no_word() -> None:
    told = boat(evidence="skipper's word")
    before, after = whole(told), whole(told, measured={0: {"cone_count", "lead_line_diameter"}})
    first = [spec.check.columns[:1] for spec in REGISTER]
    measured = sum(columns in {("cone_count",), ("lead_line_diameter",)} for columns in first)
    left_out = 2  # drag.held and line.riding-load are not judged without a simulated sea
    assert before.on_word[0] - after.on_word[0] == measured - left_out


def test_a_structure_that_nobody_looked_at_is_an_open_shall() -> None:
    assert whole(boat(**STRUCTURE)).open_shalls.tolist() == [1]


def test_new_gear_settles_what_was_not_known_of_the_old() -> None:
    old = {"cone_count": "60", "cone_mouth": "4 in", "line_state": "damaged", "made_year": "",
           "line_ends": "", "evidence": "skipper's word", **STRUCTURE}  # fmt: skip
    entered = boat(**old)
    context = context_of(fleet_of(entered))
    ways = plan_boats(context, audit_fleet(context))[0]
    found = findings(entered)
    open_now = {f.id for f in found.values() if f.is_open}
    assert set(ways.moot) <= open_now
    assert not set(ways.moot) & set(ways.closes)
    assert not set(ways.moot) & set(ways.leaves)
    assert "1/attachment.structure" in ways.leaves, "no part vouches for the hull"
    assert not ways.settles("1/attachment.structure")


def test_a_whole_new_drogue_settles_all_that_is_open_about_the_old() -> None:
    mend = plan(boat(device_type="warps", line_state="", cone_pitch="", condition=""))
    assert mend.choice == "replace"
    for check in ("line.state", "condition.cones"):
        assert mend.settles(f"1/{check}"), check


def test_more_cones_settle_that_she_is_not_held() -> None:
    few = {"cone_count": "60"}
    context = context_of(fleet_of(boat(**few)))
    once = StrikePlan(samples=0, histories=False)
    _, needed = strike_required(context.fleet, context.policy, CATALOGUE, once)
    context = replace(context, strike_aboard=strike_aboard(context, needed, once))
    (mend,) = plan_boats(context, audit_fleet(context))
    assert mend.closes == ("1/drag.cone-count",)
    assert mend.moot == ("1/drag.held",)


def test_nothing_is_settled_where_nothing_is_made() -> None:
    mend = plan(boat(line_state="", cone_mouth=""))
    assert (mend.choice, mend.moot) == ("nothing", ())


@pytest.mark.parametrize("column", FIGURES)
@given(word=st.sampled_from(["cleat", "strong", "ok", "yes", "new", "big enough", "as required", "?", "-"]))
@settings(max_examples=9, deadline=None)
def test_a_bare_word_in_the_place_of_a_figure_meets_no_shall(column: str, word: str) -> None:
    """The row is refused, or the cell proves nothing: a figure is asked for."""
    intake = intake_of({**READY, column: word})
    if intake.rejected:
        assert column in {error.column for error in intake.rejected[0].errors}
        return
    for result in audit_fleet(context_of(intake.fleet)):
        if result.check.columns[:1] == (column,) and result.check.level == "shall":
            assert result.standing[0] != Standing.MEETS, result.check.id


@pytest.mark.parametrize("few", [{"cone_count": "100"}, {"cones_torn": "3"}])
def test_some_new_cones_settle_nothing_about_those_she_keeps(few: dict[str, str]) -> None:
    """Nobody has looked at the cones that stay, nor measured them."""
    kept = {"condition": "", "cone_small_end": "", "device_from": ""}
    mend = plan(boat(**kept, **few))
    assert "cones" in mend.groups
    assert {"1/condition.cones", "1/drag.small-end"} <= set(mend.leaves)
    assert not {"1/condition.cones", "1/drag.small-end"} & set(mend.moot)


def test_what_is_waived_is_not_said_to_meet_what_is_required() -> None:
    """A finding set aside is short all the same; only one that is met can stay below what is advised."""
    result = next(c for c in checks(boat(attachment_rating="40 kN")) if c.check.id == "attachment.load")
    short = np.array([Standing.SHORT], dtype=np.int8)
    limits = AdvisedColumns(1.2 * result.required, short)
    for standing, below in ((Standing.WAIVED, False), (Standing.SHORT, False), (Standing.MEETS, True)):
        held = np.array([standing], dtype=np.int8)
        told = replace(result, standing=held, advised=limits)
        assert told.below_advised.tolist() == [below]
        (finding,) = findings_of([told], fleet_of(boat()), 0)
        assert finding.below_advised is below
