"""The few jobs of a boat: nothing open is in none, nothing is asked twice, nothing is due too late."""

from __future__ import annotations

from collections import Counter
from functools import lru_cache

import pytest

from sizing.audit import SPECS, findings_of
from sizing.chase import Question, Task, chase_actions, last_days, questions_of, tasks_of
from sizing.model import Finding, MendPlan, Standing
from tests.sizing.audit.boats import boat, findings
from tests.sizing.revision.runs import demo, demo_rules


@lru_cache(maxsize=1)
def jobs() -> dict[str, tuple[MendPlan, tuple[Finding, ...], tuple[Task, ...]]]:
    """Plan, findings and jobs of every boat of the demo, by entry number."""
    result, policy = demo(), demo_rules().policy
    days = last_days(result, policy)
    plans = {plan.row: plan for plan in result.plans}
    told = {}
    for row in range(len(result.intake.fleet)):
        entry = result.intake.fleet.entry(row)
        found = findings_of(result.checks, result.intake.fleet, row)
        load = float(result.requirements.chosen_attachment_n[row])
        reason = result.requirements.not_computed.get(row, "")
        told[entry.entry_no] = (
            plans[row],
            found,
            tasks_of(found, plans[row], entry, days, load, reason),
        )
    return told


def asked_of(entry_no: str) -> tuple[Question, ...]:
    """The questions of a boat's one job that has any."""
    result = demo()
    row = list(result.intake.fleet.text["entry_no"]).index(entry_no)
    about = {f.id for task in jobs()[entry_no][2] if task.kind == "answer" for f in task.findings}
    found = findings_of(result.checks, result.intake.fleet, row)
    return questions_of((f for f in found if f.id in about), result.intake.fleet.entry(row))


def test_every_open_finding_is_in_one_job_but_what_is_the_office_s() -> None:
    for entry_no, (plan, found, tasks) in jobs().items():
        named = Counter(finding.id for task in tasks for finding in task.findings)
        wanted = {f.id for f in found if f.is_open and SPECS[f.check.id].asked_of != "safety officer"}
        below = {f.id for f in found if f.below_advised}
        assert wanted <= set(named) <= wanted | below, entry_no
        assert set(named.values()) <= {1}, entry_no
        assert all(
            set(SPECS[f.check.id].parts) <= set(plan.groups) for f in found if f.id in below - set(named)
        )


def test_a_boat_has_few_jobs_and_what_must_be_done_stands_first() -> None:
    for entry_no, (_, found, tasks) in jobs().items():
        assert len(tasks) <= 7, entry_no
        levels = [task.level for task in tasks]
        assert levels == sorted(levels), entry_no  # "shall" before "should"
        must = any(f.is_open and f.check.level == "shall" for f in found)
        assert ("shall" in levels) == must, entry_no


def test_nothing_is_asked_twice_and_nothing_that_the_entry_says() -> None:
    result = demo()
    for row, entry_no in enumerate(result.intake.fleet.text["entry_no"]):
        columns = [column for question in asked_of(entry_no) for column in question.columns]
        assert len(set(columns)) == len(columns), entry_no
        said = result.intake.fleet.entry(row).answered & set(columns)
        # Of what is “other” it is asked what it is.
        assert {result.intake.fleet.choice_words(column, row) for column in said} <= {"other"}, entry_no


def test_a_boat_that_makes_a_whole_new_drogue_is_not_asked_about_the_old_one() -> None:
    replaced = [entry for entry, (plan, *_) in jobs().items() if plan.choice == "replace"]
    assert replaced
    for entry_no in replaced:
        families = {f.check.family for question in asked_of(entry_no) for f in question.findings}
        assert families <= {"attachment", "boat", "data"}, entry_no


def test_a_boat_with_nothing_aboard_has_one_decision_and_two_questions_that_she_must_answer() -> None:
    tasks = jobs()["002"][2]
    assert [task.kind for task in tasks if task.level == "shall"] == ["make", "answer", "survey", "show"]
    must = [question for question in asked_of("002") if question.level == "shall"]
    assert [question.columns[0] for question in must] == ["attachment_type", "attachment_rating"]


def test_what_is_renewed_from_the_order_is_due_before_the_order_closes() -> None:
    """Old rope was to be renewed two months after the day on which rope is bought."""
    result, policy = demo(), demo_rules().policy
    closes = last_days(result, policy)["orders"].day
    assert closes is not None
    renewed = [
        action
        for action in chase_actions(result, policy)
        if not action.id.endswith(("/work", "/inspection"))  # to fit and to see what was ordered
        and any(SPECS[check].parts and not SPECS[check].only_tried for check in action.checks)
    ]
    assert renewed
    assert all(action.due.day is not None and action.due.day <= closes for action in renewed)
    plan, found, _ = jobs()["008"]
    age = next(f for f in found if f.check.id == "condition.age")
    assert age.standing is Standing.SHORT
    assert plan.settles(age.id), "new lead line and new cone line take the place of the old"


@pytest.mark.parametrize(
    ("column", "check"), [("made_year", "condition.age"), ("cones_year", "condition.cones-age")]
)
def test_parts_renew_what_is_too_old(column: str, check: str) -> None:
    assert findings(boat(**{column: "2005"}))[check].standing is Standing.SHORT
    assert SPECS[check].parts


def test_what_is_only_advised_within_a_job_that_must_be_done_is_marked() -> None:
    """A boat was told within a must to move her strong points, which is advised."""
    survey = next(task for task in jobs()["053"][2] if task.kind == "survey" and task.level == "shall")
    move = [text for text in survey.sentences if "corners of the transom" in text]
    assert move == ["Advised: Move them to the corners of the transom."]
    assert survey.sentences.index(move[0]) == len(survey.sentences) - 1
    for *_, tasks in jobs().values():
        for task in tasks:
            if task.kind == "survey" and task.level == "should":
                assert not any(text.startswith("Advised") for text in task.sentences)


@pytest.mark.parametrize("entry_no", ["002", "026"])
def test_strong_points_that_are_not_shown_are_surveyed_before_a_new_drogue_is_ordered(entry_no: str) -> None:
    """They were looked at by the last day, four months after the order in which new ones could be bought."""
    result, policy = demo(), demo_rules().policy
    closes = last_days(result, policy)["orders"]
    survey = next(task for task in jobs()[entry_no][2] if task.kind == "survey" and task.level == "shall")
    assert survey.due == closes
    assert "before the order closes" in survey.sentences[0]
    of_her = [a for a in chase_actions(result, policy) if a.entry_no == entry_no]
    assert next(a for a in of_her if a.checks == ("attachment.structure",)).due == closes
    kept = next(task for task in jobs()["008"][2] if task.kind == "survey")
    assert kept.due == last_days(result, policy)["inspection"]


def test_a_boat_of_which_no_drogue_is_told_is_asked_for_it_and_for_her_strong_points_alone() -> None:
    """She was asked 33 questions about a drogue that she may not carry."""
    answers = next(task for task in jobs()["063"][2] if task.kind == "answer")
    must = [question for question in asked_of("063") if question.level == "shall"]
    assert answers.title == "Answer 3 questions"
    assert [q.columns[0] for q in must] == ["device_type", "attachment_type", "attachment_rating"]
    assert all(q.columns[0].startswith("attachment") for q in asked_of("063")[1:])
    follows = "What else we ask follows once we know whether you carry a drogue."
    assert answers.sentences == ("3 more are advised.", follows)
    told = [t for e in ("056", "067") for t in jobs()[e][2] if t.kind == "answer"]
    assert all(follows not in task.sentences for task in told)


def test_of_another_device_it_is_asked_first_what_it_is() -> None:
    """The question that decides all stood in a job of its own, behind 20 others and not in the mail."""
    first = asked_of("067")[0]
    assert (first.text, first.columns) == ("What kind of drogue is aboard.", ("device_type",))
    assert first.level == "shall"
    assert not any("kind of drogue" in task.title for task in jobs()["067"][2])


def test_a_question_that_stands_alone_is_a_whole_sentence() -> None:
    """In a list of things to say it may go on from the words above it; on her form nothing stands above."""
    spoken = {one.spoken for entry_no in jobs() for one in asked_of(entry_no)}
    assert {sentence.split()[0] for sentence in spoken} == {"Say", "Have"}
    assert all(sentence.endswith(".") for sentence in spoken)
