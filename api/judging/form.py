"""The form of one boat: what is asked of her skipper, worked out from how she stands now."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from api.judging.answered import Answer
from api.judging.document_kinds import BoundsDocument, Document
from api.judging.documents import bounds_of
from api.judging.run import Engine, Scrutiny
from api.judging.sheet import BoatCells, boat_as_found
from sitegen.boat_facts import redacted
from sizing.audit import findings_of, plan_options
from sizing.chase import FOLLOWED, Asked, Due, Getting, Question, asked_in, due_for, form_of, tasks_of
from sizing.chase.dates import STAGES, Stage
from sizing.chase.questions import DEVICE
from sizing.field_kinds import Field
from sizing.fields import ANSWERABLE, CHOICES
from sizing.model import CONSENT, Notation, Supply
from sizing.order import choose_plans
from sizing.redaction import redact
from sizing.story import judge
from sizing.supplies import supplies_of
from sizing.units import unit_factor
from sizing.words import long_date, word

WAYS: Final = CHOICES["gear_supply"]
MOST_TOLD: Final = 5
"""Jobs that the form tells of; her page has them all."""


class HerAnswerDocument(Document):
    """What was answered last of a column: said, unknown, or later with the day by which it is measured."""

    number: int
    state: str
    text: str
    until: str
    day: str


class FormFieldDocument(Document):
    """One column to be answered; `metric` and `us` are the units it is usually entered in, and its bounds.

    `metric_si` and `us_si` are how much of the SI unit one of each is, 0 where it has no unit.
    """

    field: str
    label: str
    kind: str
    guidance: str
    example: str
    choices: tuple[str, ...]
    pattern: str
    metric: BoundsDocument | None
    us: BoundsDocument | None
    metric_si: float
    us_si: float
    entered: str
    measured: str
    answer: HerAnswerDocument | None


class FormQuestionDocument(Document):
    """One question: any one of its columns answers it. `devices` are those it is asked of, [] for all."""

    text: str
    level: str
    devices: list[str]
    fields: list[FormFieldDocument]


class JobDocument(Document):
    """One job of hers, and by when."""

    title: str
    due: str
    advised: bool


class WayDocument(Document):
    """A way to get the parts: the word that is kept, and how it is said."""

    word: str
    said: str


class FormDocument(Document):
    """What her skipper is shown and asked."""

    entry_no: str
    boat_name: str
    decimal: str
    today: str
    jobs: list[JobDocument]
    more_jobs: int
    questions: list[FormQuestionDocument]
    answered: list[FormFieldDocument]
    parts: bool
    to_choose: bool
    way: str
    way_day: str
    ways: list[WayDocument]
    order_closes: str
    order_closed: bool
    contact: str
    officer: str


@dataclass(frozen=True)
class _Look:
    """How she stands, as far as a form needs it."""

    jobs: list[JobDocument]
    questions: tuple[Question, ...]
    supply: Supply
    parts: bool


def form_document(
    engine: Engine,
    notation: Notation,
    boat: BoatCells,
    scrutiny: Scrutiny,
    said: Mapping[str, Supply],
    today: dt.date,
) -> FormDocument:
    """What her skipper is asked now. `said` is what was said of how boats get parts, beside the list."""
    rally = engine.rules.policy.rally
    days = {stage: due_for(stage, rally) for stage in STAGES}
    now = _look(engine, notation, boat, scrutiny, said, days, today)
    following = {}
    if any(DEVICE in question.columns for question in now.questions):
        for device in FOLLOWED:
            supposed = Answer(DEVICE, "said", device, notation.decimal, boat.cells.get(DEVICE, "").strip())
            then = replace(scrutiny, answers={**scrutiny.answers, DEVICE: supposed})
            following[device] = _look(engine, notation, boat, then, said, days, today).questions
    asked = form_of(now.questions, following)
    in_question = {column for one in asked for column in one.question.columns}
    answered = [
        name for name, one in scrutiny.answers.items() if name not in in_question and name in ANSWERABLE
    ]
    closes = days["orders"]
    return FormDocument(
        entry_no=boat.cells.get("entry_no", ""),
        boat_name=redact(boat.cells.get("boat_name", ""), boat.private),
        decimal=notation.decimal or "",
        today=today.isoformat(),
        jobs=now.jobs[:MOST_TOLD],
        more_jobs=max(0, len(now.jobs) - MOST_TOLD),
        questions=[_question(one, boat, scrutiny) for one in asked],
        answered=[_field(ANSWERABLE[name], boat, scrutiny) for name in sorted(answered)],
        parts=now.parts,
        to_choose=not now.supply.word and engine.rules.policy.order.ask_first,
        way=now.supply.word,
        way_day=now.supply.day.isoformat() if now.supply.day else "",
        ways=[WayDocument(word=one, said=word("supply", one)) for one in WAYS],
        order_closes=closes.day.isoformat() if closes.day else "",
        order_closed=closes.is_over(today),
        contact=rally.contact,
        officer=rally.officer,
    )


def _look(
    engine: Engine,
    notation: Notation,
    boat: BoatCells,
    scrutiny: Scrutiny,
    said: Mapping[str, Supply],
    days: Mapping[Stage, Due],
    today: dt.date,
) -> _Look:
    """Judge her, plan for her alone, and merge what is open into jobs and questions, as her page does."""
    fleet = boat_as_found(boat, notation, scrutiny.found, scrutiny.answered(boat), today)
    rules = engine.rules.waiving((*engine.rules.policy.waivers, *scrutiny.waivers))
    judged = judge(fleet, rules, today, engine.strikes, required=engine.required.of(fleet))
    (plan,) = choose_plans(
        plan_options(judged.context, judged.checks), fleet, judged.requirements, rules.policy,
        rules.catalogue, rules.prices,
    )  # fmt: skip
    findings = findings_of(judged.checks, fleet, 0)
    entry = redacted(fleet.entry(0), boat.private)
    (supply,) = supplies_of(fleet, said)
    ask_first = rules.policy.order.ask_first
    bought = supply.word == CONSENT or (not supply.word and not ask_first)
    getting = Getting(bought, supply.word, supply.day, supply.another_way)
    load_n = float(judged.requirements.chosen_attachment_n[0])
    reason = judged.requirements.not_computed.get(0, "")
    tasks = tasks_of(findings, plan, entry, days, load_n, reason, getting)
    jobs = [
        JobDocument(
            title=task.title, due=long_date(task.due.day) if task.due.day else "",
            advised=task.level == "should",
        )
        for task in tasks
    ]  # fmt: skip
    return _Look(jobs, asked_in(tasks, findings, entry), supply, bool(plan.groups))


def _question(asked: Asked, boat: BoatCells, scrutiny: Scrutiny) -> FormQuestionDocument:
    question = asked.question
    columns = [ANSWERABLE[name] for name in question.columns if name in ANSWERABLE]
    return FormQuestionDocument(
        text=question.spoken,
        level=question.level,
        devices=list(asked.devices),
        fields=[_field(one, boat, scrutiny) for one in columns],
    )


def _field(field: Field, boat: BoatCells, scrutiny: Scrutiny) -> FormFieldDocument:
    answer = scrutiny.answers.get(field.name)
    found = scrutiny.found.get(field.name)
    return FormFieldDocument(
        field=field.name,
        label=field.label,
        kind=field.kind,
        guidance=field.guidance,
        example=field.example,
        choices=field.words,
        pattern=field.grammar,
        metric=bounds_of(field, 0),
        us=bounds_of(field, 1),
        metric_si=_si(field, 0),
        us_si=_si(field, 1),
        entered=redact(boat.cells.get(field.name, ""), boat.private),
        measured=found.text if found else "",
        answer=None
        if answer is None
        else HerAnswerDocument(
            number=answer.number, state=answer.state, text=answer.text, until=answer.until, day=answer.day
        ),
    )


def _si(field: Field, system: int) -> float:
    return unit_factor(field.units[system], field.dimension) if field.units and field.dimension else 0.0
