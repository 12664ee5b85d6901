"""The first screen of a boat's page: what is to be done, by when, at what price, and how to answer."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from sitegen.answer_mail import Answer, answer
from sitegen.boat_facts import BoatFacts
from sitegen.dates import long_date
from sitegen.pages.parts import FindingView, money, plural
from sitegen.plain_text import visible
from sizing.audit import SPECS, sentence
from sizing.chase import MOST_SHOWN, Due, Question, Task, asked_in, by_gear, practised, tasks_of
from sizing.chase.getting import ordering_words
from sizing.fields import CHOICES
from sizing.model import Finding, Standing
from sizing.policy import Policy

ENOUGH_SAID: Final = re.compile(r"\b(only|too|no|not|damaged)\b")
WANTING: Final = frozenset({Standing.SHORT, Standing.ABSENT})
NEXT: Final = 2
"""Dates of the rally that are named to a boat with nothing to do."""
WAYS: Final = CHOICES["gear_supply"]
"""The words of the column in which her answer is kept."""
NOT_SAFE: Final = "That does not say that your boat is safe."


@dataclass(frozen=True)
class JobView:
    """One job as shown: its heading, then date, hours and price, then what it is about."""

    title: str
    level: str
    facts: tuple[str, ...]
    sentences: tuple[str, ...]
    questions: tuple[QuestionGroup, ...]
    points: tuple[FindingView, ...]
    settles: bool


@dataclass(frozen=True)
class QuestionView:
    """One question as shown, and where more of it stands."""

    text: str
    level: str
    anchor: str


@dataclass(frozen=True)
class QuestionGroup:
    """Questions about one kind of gear, numbered through from `first`; a few have no heading."""

    heading: str
    first: int
    questions: tuple[QuestionView, ...]


@dataclass(frozen=True)
class ToDo:
    """The first screen."""

    heading: str
    lead: tuple[str, ...]
    jobs: tuple[JobView, ...]
    more: tuple[JobView, ...]
    more_words: str
    answer: Answer
    answer_words: str


def to_do(facts: BoatFacts, views: Mapping[str, FindingView], policy: Policy) -> ToDo:
    """Return what is to be done for one boat, as her own people read it."""
    departure = policy.rally.departure
    tasks = tasks_of(
        facts.findings, facts.plan, facts.entry, facts.days,
        facts.figures.get("chosen_attachment_n", float("nan")), facts.requirement.reason_not_computed,
        facts.getting,
    )  # fmt: skip
    asked = asked_in(tasks, facts.findings, facts.entry)
    jobs = tuple(_job(task, facts, views, asked, departure) for task in tasks)
    must = sum(task.level == "shall" for task in tasks)
    shown = min(MOST_SHOWN, must or len(tasks))
    return ToDo(
        heading=_heading(must, len(tasks), computed=facts.computed),
        lead=tuple(_lead(facts, tasks, policy)),
        jobs=jobs[:shown],
        more=jobs[shown:],
        more_words=_more_words(jobs[shown:]),
        answer=_answer(facts, tasks, asked, policy),
        answer_words="Answer" if tasks else "Tell of a change",
    )


def day_words(day: date, departure: date | None) -> str:
    """Return a day as it is said: without its year where it lies in the twelve months before departure.

    >>> day_words(date(2027, 1, 8), date(2027, 5, 15)), day_words(date(2026, 1, 8), date(2027, 5, 15))
    ('8 January', '8 January 2026')
    """
    near = departure is not None and 0 <= (departure - day).days < 365
    return f"{day.day} {day:%B}" if near else long_date(day)


def _heading(must: int, jobs: int, *, computed: bool) -> str:
    if must:
        return f"To do: {plural(must, 'job')}"
    if not computed:
        return "Not worked out yet"
    if jobs:
        return f"Nothing you must do; {plural(jobs, 'job')} advised"
    return "Nothing to do"


def _lead(facts: BoatFacts, tasks: Sequence[Task], policy: Policy) -> Iterator[str]:
    rally = policy.rally
    if not facts.computed:
        reason = visible(facts.requirement.reason_not_computed)
        yield f"What your boat needs cannot be worked out yet: {reason}"
    made = next((task for task in tasks if task.kind == "make"), None)
    why = _why_made(made, facts) if made else None
    if why:
        yield _in_short(visible(sentence(why, "your")))
    if not tasks:
        yield f"The gear on your entry is shown to be enough{_cones(facts)}. {NOT_SAFE}"
        ordered = facts.days["orders"].day
        later = [m for m in rally.milestones if m.closes not in {"orders", "work"}]
        ahead = [m for m in later if m.due >= facts.today and not (ordered and m.due < ordered)]
        dates = [f"{day_words(m.due, rally.departure)}, {visible(m.name)}" for m in ahead[:NEXT]]
        if not dates and rally.departure:
            dates = [f"{day_words(rally.departure, None)}, departure"]
        if dates:
            yield f"Next: {'; '.join(dates)}."
    if not made and facts.computed:
        yield _no_price(facts, tasks)
    if made and facts.getting.word:
        yield ordering_words(facts.getting)
    if facts.share.owed and not (made and facts.getting.ordered):
        yield f"You owe {money(facts.share.owed, facts.share.currency)} for parts that were bought for you."


def _why_made(made: Task, facts: BoatFacts) -> Finding | None:
    """The first thing that is not enough among what her parts are for, so that the job is not told alone."""
    groups = set(facts.plan.groups) if facts.plan else set()
    wanting = [f for f in made.findings if f.standing in WANTING and f.check.level == "shall"]
    of_parts = (f for f in wanting if groups & set(SPECS[f.check.id].parts))
    return next(of_parts, wanting[0] if wanting else None)


def _in_short(text: str) -> str:
    """Return how a sentence begins where that says already that it is not enough; what is needed is folded.

    >>> _in_short("The end weight is only 7 kg (15 lb), too light; 12 kg (26 lb) is needed.")
    'The end weight is only 7 kg (15 lb).'
    >>> _in_short("The line is polyester, not nylon double braid.")
    'The line is polyester, not nylon double braid.'
    """
    begun = re.split(r"[;:] |, (?:too|and) ", text)[0].removesuffix(".")
    return f"{begun}." if ENOUGH_SAID.search(begun) else text


def _no_price(facts: BoatFacts, tasks: Sequence[Task]) -> str:
    """What is said of the price where no part is planned: nothing known is not nothing to buy."""
    if not facts.parts_not_known:
        return "Price: no parts to buy."
    asked = any(task.kind == "answer" for task in tasks)
    return f"Price: not known yet. {'Your answers decide' if asked else 'What is not shown decides'} it."


def _cones(facts: BoatFacts) -> str:
    count = next((f for f in facts.findings if f.check.id == "drag.cone-count"), None)
    if count is None or not count.found or not count.required:
        return ""
    return f": {count.found:.0f} cones, {count.required:.0f} needed"


def _more_words(more: Sequence[JobView]) -> str:
    if not more:
        return ""
    advised = sum(job.level == "should" for job in more)
    if advised == len(more):
        return f"{advised} advised"
    return f"{len(more)} more" + (f", {advised} of them advised" if advised else "")


def _job(
    task: Task,
    facts: BoatFacts,
    views: Mapping[str, FindingView],
    asked: Sequence[Question],
    departure: date | None,
) -> JobView:
    questions = tuple(_grouped(asked, views)) if task.kind == "answer" else ()
    return JobView(
        title=visible(task.title),
        level=task.level,
        facts=tuple(_facts(task, facts, departure)),
        sentences=tuple(visible(text) for text in task.sentences),
        questions=questions,
        points=() if questions else _points(task, views),
        settles=task.kind == "make",
    )


def _grouped(asked: Sequence[Question], views: Mapping[str, FindingView]) -> Iterator[QuestionGroup]:
    first = 1
    for heading, questions in by_gear(asked):
        shown = tuple(QuestionView(q.text, q.level, views[q.findings[0].id].anchor) for q in questions)
        yield QuestionGroup(heading, first, shown)
        first += len(questions)


def _points(task: Task, views: Mapping[str, FindingView]) -> tuple[FindingView, ...]:
    """What a job is about; where two points say the same, the first of them. What it settles has anchors."""
    points = [views[finding.id] for finding in task.findings]
    if task.kind == "make":
        return tuple(points)
    if task.kind == "survey":  # who looks is its title
        points = [replace(point, sentence=point.fact) for point in points]
    return tuple({point.sentence: point for point in reversed(points)}.values())[::-1]


def _facts(task: Task, facts: BoatFacts, departure: date | None) -> Iterator[str]:
    """Date, hours and price of a job."""
    make = task.kind == "make"
    through_the_rally = facts.getting.ordered or facts.getting.to_say
    yield _by(task.due, "order by" if make and through_the_rally else "by", facts, departure)
    if make and through_the_rally and task.made_by and task.made_by.day:
        yield f"make by {day_words(task.made_by.day, departure)}"
    if make and task.hours:
        yield practised(task.hours)
    if task.kind == "consent" or (make and not facts.getting.to_say):
        yield _price(facts)
    if make and facts.getting.ordered and not facts.getting.word:
        yield "ordered unless you decline"
    if task.level == "should":
        yield "advised"


def _by(due: Due, word: str, facts: BoatFacts, departure: date | None) -> str:
    if due.day is None:
        return "before you sail; no date is set"
    day = day_words(due.day, departure)
    if due.is_over(facts.today):
        return f"was due by {day}" if word == "by" else f"the order closed on {day}: ask the office"
    return f"{word} {day}"


def _price(facts: BoatFacts) -> str:
    share = facts.share
    if share.amount is None:
        return "price not known yet"
    words = money(share.amount, share.currency)
    words = words if share.whole else f"{words} and what has no price yet"
    return words if facts.getting.ordered else f"would cost {words} through the rally"


def _answer(facts: BoatFacts, tasks: Sequence[Task], asked: Sequence[Question], policy: Policy) -> Answer:
    """The message: yes or no to the order, then a line for each question, in its own words."""
    entry, rally = facts.entry, policy.rally
    number, name = visible(entry.entry_no), visible(entry.boat_name)
    paragraphs: list[list[str]] = []
    make = next((task for task in tasks if task.kind == "make"), None)
    if make:
        paragraphs.append([f"{make.title}: {_price(facts)}.", f"How we get the parts ({', '.join(WAYS)}): "])
    head = ["Our answers; what we do not know is left blank:"]
    for heading, questions in by_gear(asked):
        paragraphs.append(
            [*head, *([heading.upper()] if heading else []), *(f"{q.short}: " for q in questions)]
        )
        head = []
    paragraphs.append(["What changed, or what we ask: "])
    subject = f"Entry {number}, {name}: {'our answer' if tasks else 'a change'}"
    return answer(visible(rally.contact), visible(rally.officer), subject, paragraphs)
