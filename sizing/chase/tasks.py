"""What a boat's own people have to do, as few jobs: findings merged by what is done about them.

The chase list gives every action to its owner. A skipper wants jobs: one for all that a new drogue settles,
one for all that has to be answered, one for the surveyor.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final, Literal

from sizing.audit import SPECS, in_voice
from sizing.chase.dates import Due, Stage
from sizing.chase.getting import THROUGH_THE_RALLY, UNMADE, Getting
from sizing.chase.jobs import HULL, owner_of, stage_of, stage_with
from sizing.chase.questions import Question, questions_of, waiting_of
from sizing.model import Entry, Finding, Level, MendPlan, PartGroup, Standing
from sizing.spoken import spoken

TaskKind = Literal["tell", "consent", "make", "answer", "survey", "mend", "show"]
OF_THE_BOAT: Final = frozenset({"attachment", "boat", "data"})
"""Families of checks that a whole new drogue leaves as they are."""
STRONG_POINTS: Final = frozenset({"attachment", "bridle"})
PART_WORDS: Final[Mapping[PartGroup, str]] = {
    "lead line": "a new lead line",
    "bridle": "a new bridle",
    "end weight": "a new end weight",
    "thimbles": "new thimbles",
    "shackles": "new shackles",
    "chafe gear": "chafe sleeves",
    "attachments": "new strong points aft",
    "stowage bag": "a bag",
    "recovery gear": "recovery gear",
}


MOST_SHOWN: Final = 5
"""Jobs, or questions, that are told at once; the rest are counted."""
LOOK_AT_FIGURES: Final = "Have a naval architect look at the figures."
BEFORE_THE_ORDER: Final = "Have it done before the order closes: new strong points can then still be ordered."
THE_REST_FOLLOWS: Final = "What else we ask follows once we know whether you carry a drogue."
CONSENT_TITLE: Final = "Say whether you want the rally to order"
CONSENT_SENTENCES: Final = (
    "Nothing is bought for you before you say so. You can also buy the parts yourself, hire or borrow the "
    "gear, or say that you have it.",
)


@dataclass(frozen=True)
class Task:
    """One job. `due` is its first day, `made_by` the day by which what was ordered has to be made.

    `hours` is work once practised, 0 where it is not reckoned. `findings` are those that it is about.
    """

    kind: TaskKind
    level: Level
    title: str
    due: Due
    sentences: tuple[str, ...]
    findings: tuple[Finding, ...]
    made_by: Due | None = None
    hours: float = 0.0


def tasks_of(
    findings: Sequence[Finding],
    plan: MendPlan | None,
    entry: Entry,
    days: Mapping[Stage, Due],
    attachment_load_n: float,
    not_computed: str = "",
    getting: Getting = THROUGH_THE_RALLY,
) -> tuple[Task, ...]:
    """Return the jobs of one boat: what must be done before what is advised, each by its first day.

    Every finding that is open or below what is advised is in one job, but what is the office's own to settle.
    """
    found = list(_tasks(findings, plan, entry, days, attachment_load_n, not_computed, getting))
    return tuple(sorted(found, key=lambda task: (task.level == "should", task.due.day or date.max)))


def asked_in(tasks: Iterable[Task], findings: Iterable[Finding], entry: Entry) -> tuple[Question, ...]:
    """Return the questions of the job that has them, so that each is asked once."""
    about = next((task.findings for task in tasks if task.kind == "answer"), ())
    ids = {finding.id for finding in about}
    return questions_of((finding for finding in findings if finding.id in ids), entry)


def _tasks(
    findings: Sequence[Finding],
    plan: MendPlan | None,
    entry: Entry,
    days: Mapping[Stage, Due],
    attachment_load_n: float,
    not_computed: str,
    getting: Getting,
) -> Iterator[Task]:
    groups = plan.groups if plan else ()
    if not_computed:
        told = f"What your boat needs cannot be worked out yet: {not_computed}"
        yield Task("tell", "shall", "Tell the office what is missing", days["orders"], (told,), ())
    if plan and groups:
        if getting.to_say:
            yield Task("consent", "shall", CONSENT_TITLE, days["orders"], CONSENT_SENTENCES, ())
        yield _made(plan, findings, days, getting)
    left = [f for f in findings if _left(f, plan)]
    later = [f for f in left if plan and plan.choice == "replace" and f.check.family not in OF_THE_BOAT]
    now = [f for f in left if f not in later]
    asked = questions_of(now, entry)
    answered = {f.id for question in asked for f in question.findings}
    waiting = waiting_of(now, entry)
    if asked:
        yield _answers(asked, waiting, days)
    answered |= {f.id for f in waiting}
    by_owner: dict[str, list[Finding]] = {}
    for finding in now:
        if finding.id not in answered:
            by_owner.setdefault(owner_of(finding), []).append(finding)
    surveyed = by_owner.get("surveyor", [])
    stages = {f.id: stage_with(f, plan, findings) for f in surveyed}
    yield from _survey(surveyed, stages, days, attachment_load_n if "attachments" in groups else math.nan)
    yield from _mended(by_owner.get("skipper", []), groups, days)
    shown = by_owner.get("scrutineer", [])
    if groups:
        seen = "Until a scrutineer has seen the new parts, what they settle stays on this list."
        title = "Stow it, try it, show it" if later else "Show it to a scrutineer"
        about = (*later, *shown)
        yield Task("show", "shall", title, days["inspection"], (seen,), about)
    elif shown:
        yield _about(shown, "show", "Show your gear to a scrutineer", days["inspection"], ())


def _left(finding: Finding, plan: MendPlan | None) -> bool:
    """Whether something is to be done about a finding beside the parts of the plan."""
    if finding.below_advised:  # new gear is chosen for what is advised too
        parts = SPECS[finding.check.id].parts
        return not (plan and parts and set(parts) <= set(plan.groups))
    return finding.is_open and not (plan and plan.settles(finding.id))


def _level(findings: Iterable[Finding]) -> Level:
    must = any(f.is_open and f.check.level == "shall" for f in findings)
    return "shall" if must else "should"


def _about(
    findings: Sequence[Finding], kind: TaskKind, title: str, due: Due, sentences: tuple[str, ...]
) -> Task:
    return Task(kind, _level(findings), title, due, sentences, tuple(findings))


def _made(plan: MendPlan, findings: Sequence[Finding], days: Mapping[Stage, Due], getting: Getting) -> Task:
    settled = tuple(f for f in findings if plan.settles(f.id))
    due = days["orders"] if getting.ordered or getting.to_say else days["work"]
    why = in_voice(plan.reason, "your")
    unmade = getting.ordered and getting.unmade
    said = (why, UNMADE) if unmade else (why,)
    made_by = None if unmade else days["work"]
    return Task("make", "shall", make_title(plan), due, said, settled, made_by, plan.hours)


def make_title(plan: MendPlan) -> str:
    """Return what is made for a boat, as a job.

    >>> make_title(MendPlan(0, "fittings only", ("end weight", "shackles"), 0, 1.0, ""))
    'Fit a new end weight and new shackles'
    """
    cones = f"{plan.cones_to_make} new cone{'' if plan.cones_to_make == 1 else 's'}"
    if plan.choice == "replace":
        return "Make a new drogue"
    if "cone line" in plan.groups:
        return f"Make new rope with {cones}" if plan.cones_to_make else "Put your cones on new rope"
    if "extension" in plan.groups:
        return f"Add a length of line with {cones}"
    parts = [cones] if plan.cones_to_make else []
    parts += [PART_WORDS[group] for group in plan.groups if group in PART_WORDS]
    if len(parts) > 2:
        parts = [parts[0], f"{len(parts) - 1} other parts"]
    return f"Fit {' and '.join(parts)}"


def _answers(asked: Sequence[Question], waiting: Sequence[Finding], days: Mapping[Stage, Due]) -> Task:
    """One job for all questions, by the first day of those that must be answered; what waits is in it too."""
    must = [question for question in asked if question.level == "shall"]
    due = _first(days[question.stage] for question in must or asked)
    asked_about = (f for question in asked for f in question.findings)
    about = tuple({f.id: f for f in (*asked_about, *waiting)}.values())
    count = len(must or asked)
    more = len(asked) - count
    also = (f"{more} more {'is' if more == 1 else 'are'} advised.",) if more else ()
    said = (*also, *((THE_REST_FOLLOWS,) if waiting else ()))
    title = f"Answer {count} question{'' if count == 1 else 's'}"
    return Task("answer", "shall" if must else "should", title, due, said, about)


def _first(dues: Iterable[Due]) -> Due:
    return min(dues, key=lambda due: due.day or date.max)


def _survey(
    findings: Sequence[Finding], stages: Mapping[str, Stage], days: Mapping[Stage, Due], load_n: float
) -> Iterator[Task]:
    """What a surveyor or naval architect has to look at: her strong points, and her figures."""
    strong = [f for f in findings if f.check.family in STRONG_POINTS]
    figures = [f for f in findings if f not in strong]
    chosen = math.isfinite(load_n)
    if strong or chosen:
        said: tuple[str, ...] = ()
        must = [f for f in strong if f.is_open and f.check.level == "shall"]
        dues = [days[stages[f.id]] for f in must or strong]
        if chosen:
            dues.append(days["orders"])
            said = (
                "Before the order closes, have a surveyor say which strong points and backing you need. "
                f"Each must hold at least {spoken(load_n, 'force', 'up')}.",
            )
        elif any(f.check.id == HULL and stages[f.id] == "orders" for f in must):
            said = (BEFORE_THE_ORDER,)
        level: Level = "shall" if chosen or must else "should"
        told = {f.advice: f in must or level == "should" for f in (*strong, *must) if f.advice}
        advised = (f"Advised: {advice}" for advice, as_the_job in told.items() if not as_the_job)
        said += (*(advice for advice, as_the_job in told.items() if as_the_job), *advised)
        title = "Have your strong points surveyed"
        yield Task("survey", level, title, _first(dues), said, tuple(strong))
    if figures:
        said = tuple(dict.fromkeys(f.advice for f in figures if f.advice not in {"", LOOK_AT_FIGURES}))
        due = _first(days[stages[f.id]] for f in figures)
        yield _about(figures, "survey", "Have a naval architect look at your figures", due, said)


def _mended(
    findings: Sequence[Finding], groups: Sequence[PartGroup], days: Mapping[Stage, Due]
) -> Iterator[Task]:
    """What is done by hand: one job for each thing to do."""
    by_advice: dict[str, list[Finding]] = {}
    for finding in findings:
        by_advice.setdefault(finding.advice or finding.check.sentence, []).append(finding)
    for advice, alike in by_advice.items():
        title, dot, rest = advice.partition(". ")
        said: tuple[str, ...] = (rest,) if dot else ()
        if any(_needs_parts(f, groups) for f in alike):
            said += ("No part of the order is for this. Ask for it before the order closes, if you want it.",)
        due = _first(days[stage_of(f)] for f in alike)
        yield _about(alike, "mend", title.removesuffix("."), due, said)


def _needs_parts(finding: Finding, groups: Sequence[PartGroup]) -> bool:
    parts = SPECS[finding.check.id].parts
    return finding.standing is not Standing.UNPROVEN and bool(parts) and not set(parts) <= set(groups)
