"""What a boat's skipper answers: kept beside the list and what was measured, and judged at once.

An answer is her word (`api.judging.answered`). What was measured already is not changed by it: both are kept,
and the officer is told (`doubts`). Nothing is ever deleted; of a column the last answer counts.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Final

from sqlalchemy import Connection, func, insert, select

from api.jobs.queue import add_site_job
from api.judging.answered import STATES, Answer, AnswerState
from api.judging.identity import boat_id
from api.judging.measured import MeasurementError
from api.judging.run import Scrutiny
from api.judging.sheet import BoatCells, FleetCells, notation_of, one_boat
from api.season.acting import Acting
from api.season.acts import GAVE_ANSWERS, record
from api.season.errors import ChangedMeanwhile, NotFound, NotValid, Refused
from api.season.lists import MovedOn, kept_list
from api.season.money import name_of
from api.season.rejudging import Seen, judge_again, keep_judged, not_measurable
from api.season.rules import number_in_force
from api.season.supplies import say_supply
from api.storage.boats import KeptBoat, kept_boat
from api.storage.clock import now
from api.storage.schema import answers, fleets
from api.storage.scrutiny import next_number, next_version, scrutiny_of
from api.storage.store import Store
from sizing.chase.dates import due_for
from sizing.fields import ANSWERABLE
from sizing.intake import read_fleet
from sizing.units import clip
from sizing.words import long_date

MOST_A_DAY: Final = 600
"""Answers about one boat that are kept of one day: a form has some dozens of columns."""
MOST_TEXT: Final = 80
LATEST: Final = dt.timedelta(days=730)
MOST_ROUNDS: Final = 6
WHERE: Final = "answers"


@dataclass(frozen=True)
class Given:
    """One answer as it is sent. `over` is the number of the answer that she saw before it, 0 for none."""

    field: str
    state: AnswerState
    text: str = ""
    until: dt.date | None = None
    over: int | None = None


@dataclass(frozen=True)
class Choice:
    """How she gets her parts: a word of gear_supply, and the price that she was shown and takes."""

    word: str
    price: str = ""


@dataclass(frozen=True)
class Saved:
    """What was kept: each column's answer by number, her version, the job that brings the site after."""

    numbers: Mapping[str, int]
    etag: str
    job: str


def save_answers(
    acting: Acting, fleet_id: str, boat: str, given: Sequence[Given], by: str, choice: Choice | None = None
) -> Saved:
    """Keep what `by` answered for a boat, all of it or nothing; her findings are worked out anew at once.

    The same answer again changes nothing. Raises NotFound, NotValid for what cannot be read, by field, and
    Refused where another phone answered a column meanwhile, or the order is closed.
    """
    for last in range(MOST_ROUNDS):
        work = prepared(acting, fleet_id, boat, given, by, choice)
        try:
            return acting.write(work)
        except ChangedMeanwhile:  # two phones of one boat at once: judged anew with what the other said
            if last == MOST_ROUNDS - 1:
                raise
    raise AssertionError("unreachable")


def prepared(
    acting: Acting, fleet_id: str, boat: str, given: Sequence[Given], by: str, choice: Choice | None = None
) -> Callable[[Connection], Saved]:
    """Judge the boat as she would be; what writes it, in a transaction that may hold more."""
    who = name_of(WHERE, by)
    seen = seen_of(acting.store, fleet_id, boat)
    listed: Mapping[str, str] = seen.boat.cells["cells"]
    _refuse_unfit(given, acting.settings.day())
    before = seen.scrutiny.answers
    _refuse_overtaken(given, before)
    notation = notation_of(seen.boat.sheet)
    said = [
        Answer(
            one.field, one.state, " ".join(one.text.split()), notation.decimal,
            listed.get(one.field, "").strip(), one.until.isoformat() if one.until else "",
            day=acting.settings.day().isoformat(),
        )
        for one in given
    ]  # fmt: skip
    fresh = [one for one in said if not _same(one, before.get(one.field))]
    _refuse_unreadable(acting, seen, said)
    if choice is not None:
        _refuse_closed(acting)
    after = {**before, **{one.field: one for one in fresh}}
    docs = judge_again(acting, seen, replace(seen.scrutiny, answers=after)) if fresh else None

    def write(connection: Connection) -> Saved:
        job = ""
        etag = seen.boat.etag
        if docs is not None and seen.boat.etag:
            judged = keep_judged(connection, acting, seen, docs)
            etag, job = judged.etag, judged.job
        elif number_in_force(connection) != acting.rules:
            raise MovedOn
        elif docs is not None:
            _refuse_later(connection, seen)
            next_version(connection, fleet_id)
        numbers = {name: one.number for name, one in before.items()}
        numbers |= _keep(connection, acting, seen, fresh, who)
        if choice is not None:
            say_supply(
                connection, acting.actor, fleet_id, boat, word=choice.word, by=who, price=choice.price,
                currency=_currency(acting), today=acting.settings.day(),
            )  # fmt: skip
            job = job or add_site_job(connection, fleet_id, acting.actor.name, acting.settings.site_wait)
        return Saved({one.field: numbers[one.field] for one in said}, etag, job)

    return write


def _keep(
    connection: Connection, acting: Acting, seen: Seen, fresh: Sequence[Answer], who: str
) -> dict[str, int]:
    """Add what is new to what she answered, and one record of it to the trail; the number of each."""
    if not fresh:
        return {}
    at, fleet_id, actor = now(), seen.fleet_id, acting.actor
    here = answers.c.fleet_id == fleet_id, answers.c.boat_id == seen.boat_id
    of_today = select(func.count()).select_from(answers).where(*here, answers.c.made_at >= at[:10])
    if connection.execute(of_today).scalar_one() + len(fresh) > MOST_A_DAY:
        raise Refused(
            f"entry {seen.boat.entry_no}", f"more than {MOST_A_DAY} answers came today",
            "fewer answers a day", "try again tomorrow, or tell the safety office",
        )  # fmt: skip
    first = next_number(connection, answers, fleet_id)
    found = seen.scrutiny.found
    rows = [
        {
            "fleet_id": fleet_id, "number": first + place, "boat_id": seen.boat_id,
            "entry_no": seen.boat.entry_no, "field": one.field, "state": one.state, "text": one.text,
            "decimal": one.decimal, "until": one.until, "listed": one.listed,
            "measured": found[one.field].text if one.field in found else "", "said_by": who,
            "source": actor.role, "made_at": at, "made_by": actor.name, "token_id": actor.token_id,
        }
        for place, one in enumerate(fresh)
    ]  # fmt: skip
    connection.execute(insert(answers), rows)
    before = seen.scrutiny.answers
    told = {one.field: before[one.field].text or before[one.field].state
            for one in fresh if one.field in before}  # fmt: skip
    record(
        connection, actor, GAVE_ANSWERS, fleet_id, seen.boat_id,
        before=[{"field": one.field, "value": told.get(one.field, one.listed)} for one in fresh],
        after={
            "said_by": who,
            "answered": [
                {"field": one.field, "state": one.state, "value": one.text, "until": one.until}
                for one in fresh
            ],
        },
    )  # fmt: skip
    return {one.field: first + place for place, one in enumerate(fresh)}


def seen_of(store: Store, fleet_id: str, boat: str) -> Seen:
    """The boat and what counts about her; from the list itself where no answers about her are kept ready."""
    with store.read() as connection:
        kept = kept_boat(connection, fleet_id, boat)
        scrutiny = scrutiny_of(connection, fleet_id, boat).get(boat, Scrutiny())
        if kept is None:
            number = connection.execute(select(fleets.c.revision).where(fleets.c.id == fleet_id)).scalar()
            kept = _of_list(connection, fleet_id, number, boat) if number else None
    if kept is None:
        raise NotFound(
            "boat", "the entry list in force has no such boat", "a boat of the list in force",
            "look her up in the list of boats",
        )  # fmt: skip
    return Seen(fleet_id, boat, kept, scrutiny)


def _of_list(connection: Connection, fleet_id: str, number: int, boat: str) -> KeptBoat | None:
    taken = kept_list(connection, fleet_id, number)
    day = dt.date.fromisoformat(taken.day) if taken.day else dt.date.today()
    intake = read_fleet(taken.content, taken.filename, today=day)
    for row, entry in enumerate(intake.fleet.text["entry_no"]):
        if boat_id(str(entry)) == boat:
            cells = FleetCells(intake.fleet)[row].as_json()
            name = str(intake.fleet.text["boat_name"][row])
            return KeptBoat(row, str(entry), name, cells, asdict(intake.notation), "")
    return None


def _refuse_later(connection: Connection, seen: Seen) -> None:
    """Refuse where she answered something else since she was seen; a version of hers would tell."""
    last = scrutiny_of(connection, seen.fleet_id, seen.boat_id).get(seen.boat_id, Scrutiny())
    if last != seen.scrutiny:
        raise ChangedMeanwhile("boat", "send it again", "")


def _refuse_unfit(given: Sequence[Given], today: dt.date) -> None:
    """Refuse what is no answer at all, each by its place."""
    wrong: list[tuple[str, str, str, str]] = []
    names = [one.field for one in given]
    for at, one in enumerate(given):
        place = f"{WHERE}.{at}"
        if one.field not in ANSWERABLE:
            wrong.append((place, "unknown_column", "a column that a skipper answers", "leave it out"))
        elif names.index(one.field) != at:
            wrong.append((place, "twice", "each column once", "leave one of them out"))
        elif one.state not in STATES:
            wrong.append((place, "unknown_state", f"one of {', '.join(STATES)}", "correct it"))
        elif one.state == "said" and not 0 < len(" ".join(one.text.split())) <= MOST_TEXT:
            wrong.append((place, "no_value", f"1 to {MOST_TEXT} characters", "write the answer"))
        elif one.state != "said" and one.text.strip():
            wrong.append((place, "a_value_too", "no value beside it", "leave the value out"))
        elif (one.state == "later") != (one.until is not None):
            wrong.append((place, "no_day", "a day where it is measured later, else none", "give the day"))
        elif one.until is not None and not today <= one.until <= today + LATEST:
            wrong.append((place, "not_to_come", "a day from today on", "correct the day"))
    if wrong:
        raise not_measurable(MeasurementError(wrong))


def _same(one: Answer, before: Answer | None) -> bool:
    """Whether it says what she said last, of the same cell of the list."""
    if before is None:
        return False
    return (one.state, one.text, one.until, one.listed) == (
        before.state, before.text, before.until, before.listed,
    )  # fmt: skip


def _refuse_overtaken(given: Sequence[Given], before: Mapping[str, Answer]) -> None:
    """Refuse what was written over an answer that another phone has changed since."""
    errors = []
    for at, one in enumerate(given):
        last = before.get(one.field)
        number = last.number if last else 0
        if one.over is None or one.over == number:
            continue
        if last is not None and (last.state, last.text) == (one.state, " ".join(one.text.split())):
            continue
        errors.append(
            {
                "field": f"{WHERE}.{at}",
                "code": "answered-meanwhile",
                "expected": "the answer that was read last",
                "mend": "look at what was answered meanwhile, and choose",
            }
        )
    if errors:
        raise Refused(
            WHERE, "another phone answered this meanwhile", "the answer that was read last",
            "look at what was answered meanwhile, and choose", errors=errors,
        )  # fmt: skip


def _refuse_unreadable(acting: Acting, seen: Seen, said: Sequence[Answer]) -> None:
    """Refuse an answer that cannot be read, or not with the rest of her entry, by its place."""
    values = {one.field: one for one in said if one.state == "said"}
    if not values:
        return
    boat, found = BoatCells.of(seen.boat.cells), seen.scrutiny.found
    earlier = {name: one for name, one in seen.scrutiny.answered(boat).items() if name not in values}
    try:
        one_boat(boat, notation_of(seen.boat.sheet), {**earlier, **found, **values}, acting.settings.day())
    except MeasurementError as problem:
        places = {one.field: f"{WHERE}.{at}" for at, one in enumerate(said)}
        named = [(places.get(one, one), code, wanted, mend) for one, code, wanted, mend in problem.problems]
        raise not_measurable(MeasurementError(named)) from None


def _refuse_closed(acting: Acting) -> None:
    """Refuse her choice once the order is closed: from then on the office alone changes it."""
    rules = acting.engine.rules
    due = due_for("orders", rules.policy.rally)
    if acting.actor.role == "skipper" and due.is_over(acting.settings.day()):
        assert due.day is not None
        raise Refused(
            "gear supply", f"the order closed on {long_date(due.day)}", "a choice before the order closes",
            "ask the safety office, who can still change it",
        )  # fmt: skip


def _currency(acting: Acting) -> str:
    prices = acting.engine.rules.prices
    return prices.currency if prices else ""


def price_agrees(choice: Choice, price: str) -> None:
    """Refuse a choice at another price than hers is now: she agrees to what she was shown."""
    if choice.price and choice.price != price:
        raise NotValid(
            "gear supply", f"her price is not {clip(choice.price)} any more", "the price that is shown now",
            "look at the price again, and choose",
        )  # fmt: skip
