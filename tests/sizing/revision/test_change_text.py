"""The change of a plan in a reader's words."""

from __future__ import annotations

from typing import get_args

from sizing.model import MendChoice
from sizing.revision.change_text import plan_words
from sizing.revision.changes import PlanChange
from sizing.words import vocabulary


def test_every_kind_of_work_has_words() -> None:
    assert {key for group, key in vocabulary() if group == "plan"} == set(get_args(MendChoice))


def test_a_plan_that_changed_is_told_without_the_program_s_own_terms() -> None:
    change = PlanChange("re-rig", "replace", ("cones",), (), 0, 125)
    words = "plan: re-rig -> replacement; parts added: cones; cones to make: 0 -> 125"
    assert plan_words(change) == words


def test_a_plan_is_told_as_it_stands_in_a_record_of_another_version() -> None:
    assert plan_words(PlanChange("nothing", "mend by hand", (), (), 0, 0)) == "plan: no order -> mend by hand"
