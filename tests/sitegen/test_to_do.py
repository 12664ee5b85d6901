"""The first screen of single boats of the demo, as it is put together from the result."""

from __future__ import annotations

from functools import cache
from itertools import accumulate

import pytest

from sitegen.boat_facts import BoatFacts, Gatherer
from sitegen.pages.parts import finding_view
from sitegen.pages.plan import plan_view
from sitegen.pages.to_do import ToDo, to_do
from sizing.audit import SPECS
from sizing.chase.questions import GEAR
from sizing.papers.officer import officers_lines
from tests.sizing.revision.runs import demo, demo_rules

NOT_KNOWN = ("056", "063", "065", "067")
"""Boats of whose device, cones or rope too little is said to know whether parts are needed."""


@cache
def gatherer() -> Gatherer:
    rules = demo_rules()
    return Gatherer(demo(), rules.policy, rules.catalogue)


@cache
def facts_of(entry_no: str) -> BoatFacts:
    row = list(demo().intake.fleet.text["entry_no"]).index(entry_no)
    return gatherer().facts(row)


@cache
def first_screen(entry_no: str) -> ToDo:
    facts = facts_of(entry_no)
    views = {finding.id: finding_view(finding) for finding in facts.findings}
    return to_do(facts, views, demo_rules().policy)


@pytest.mark.parametrize("entry_no", NOT_KNOWN)
def test_of_a_boat_of_which_nothing_is_known_it_is_not_said_that_nothing_is_to_be_bought(
    entry_no: str,
) -> None:
    """“Price: no parts to buy.” stood above 33 questions whose answers decide what has to be made."""
    facts = facts_of(entry_no)
    assert facts.plan
    view = plan_view(facts.plan, computed=facts.computed, unknown=facts.parts_not_known)
    assert "Price: not known yet. Your answers decide it." in first_screen(entry_no).lead
    assert view.choice == "Not known yet"
    assert "decides what has to be made" in view.reason
    line = next(line for line in officers_lines(demo(), demo_rules().policy) if line[1] == entry_no)
    assert line[5] == "not known yet"


def test_of_a_boat_with_all_shown_it_is_said_that_there_is_no_part_to_buy() -> None:
    assert "Price: no parts to buy." in first_screen("001").lead
    assert next(line for line in officers_lines(demo(), demo_rules().policy) if line[1] == "001")[5] == (
        "no order"
    )


def test_the_mail_asks_in_the_words_of_the_questions() -> None:
    lines = first_screen("067").answer.words.splitlines()
    assert "What kind of drogue is aboard:" in [line.strip() for line in lines]
    assert "Whether there is a swivel in the line:" in [line.strip() for line in lines]


def test_many_questions_stand_under_the_gear_they_are_about() -> None:
    """46 questions stood in one list, the leg of the bridle between two of the cones."""
    jobs = (*first_screen("056").jobs, *first_screen("056").more)
    groups = next(job.questions for job in jobs if job.questions)
    assert [group.heading for group in groups][:4] == ["Cones", "Line", "Bridle", "Strong points"]
    answers = next(job for job in jobs if job.questions)
    levels = [question.level for group in groups for question in group.questions]
    assert answers.title == f"Answer {levels.count('shall')} questions"
    assert answers.sentences == (f"{levels.count('should')} more are advised.",)
    assert [group.first for group in groups] == list(
        accumulate([len(group.questions) for group in groups[:-1]], initial=1)
    )
    words = first_screen("056").answer.words
    assert all(group.heading.upper() in words for group in groups)


def test_every_kind_of_check_has_its_words_over_questions() -> None:
    assert {spec.check.family for spec in SPECS.values()} == set(GEAR)


def test_what_a_naval_architect_looks_at_is_said_once_and_names_its_source() -> None:
    """Title, sentence and point of the job said the same, and “the report” was nowhere named."""
    screen = first_screen("056")
    job = next(job for job in (*screen.jobs, *screen.more) if "naval architect" in job.title)
    assert job.sentences == ()
    assert [point.sentence for point in job.points] == [
        "The United States Coast Guard tests of 1987 had no boat of your kind, a sailing multihull."
    ]


def test_a_job_tells_no_sentence_twice_among_its_points() -> None:
    for entry_no in demo().intake.fleet.text["entry_no"]:
        screen = first_screen(entry_no)
        for job in (*screen.jobs, *screen.more):
            told = [point.sentence for point in job.points]
            assert job.settles or len(set(told)) == len(told), (entry_no, job.title)


@pytest.mark.parametrize(
    ("entry_no", "why"),
    [
        ("008", "The lead line will be 19 years old on 15 May 2027: too old to count for anything."),
        ("039", "Your drogue has only 90 sound cones."),
        ("026", "Your cone drogue is only 0.9 m (2 ft 11 in) across."),
        ("002", "Your boat carries no drogue."),
    ],
)
def test_the_first_screen_says_why_something_is_made(entry_no: str, why: str) -> None:
    """“Put your cones on new rope” stood there alone."""
    assert first_screen(entry_no).lead[0] == why
