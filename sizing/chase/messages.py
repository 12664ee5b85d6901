"""A short message for each skipper: what to do by when, what it costs, how to answer.

The messages are the officer's own: each begins with its skipper's name and e-mail address and with no other
person's. They belong neither on the site nor in a log.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Final

from sizing.audit import fact, findings_of, sentence
from sizing.chase.actions import Action, OpenFindings, boat_actions
from sizing.chase.getting import getting_of, ordering_words
from sizing.chase.jobs import last_days, practised
from sizing.chase.questions import Question
from sizing.chase.tasks import MOST_SHOWN, Task, asked_in, tasks_of
from sizing.fields import FIELD_BY_NAME
from sizing.intake import own_name, rejected_cells
from sizing.model import Finding, MusterResult, RejectedRow, RowError
from sizing.order.charges import owed_by
from sizing.policy import Policy
from sizing.revision.lines import folded, one_line
from sizing.words import level_words, long_date, open_words
from sizing.writing import write_files

Page = Callable[[str], str]
"""Gives the address of a boat's page for her entry number."""

CAUTION: Final = (
    "This is worked out from what the entry list says. It does not say that a boat is safe, and what nobody "
    "has looked at is not shown."
)
ABOUT_TEXT: Final = (
    "These messages hold names and e-mail addresses of skippers. They are for the rally's officer alone: "
    "send each to its own skipper, and publish none of them."
)
ABOARD: Final = "drag.device-aboard"
ABOUT: Final = "read-me-first"
_OF_THE_SHEET: Final = re.compile(r"\b(?:cells?|rows?|columns?|headers?|sheet|file)\b")
"""Words of whoever keeps the list: a skipper has none before her."""
_PLAIN: Final = re.compile(r"[a-z0-9](?:[a-z0-9_-]{0,30}[a-z0-9])?")
_DEVICES: Final = re.compile(r"con|prn|aux|nul|com[0-9]|lpt[0-9]")
_LONGEST: Final = 24


def messages_for(
    result: MusterResult, policy: Policy, actions: Iterable[Action], page: Page | None = None
) -> Mapping[str, str]:
    """Return file name -> text for every accepted boat and every rejected row, and the note on keeping them.

    Lines are at most 76 columns wide, but for an address that is longer by itself.
    """
    texts = {f"{ABOUT}.txt": "\n".join(folded(ABOUT_TEXT)) + "\n"}
    writer = _Writer(result, policy, page)
    entry_nos = [str(entry) for entry in result.intake.fleet.text["entry_no"]]
    rejected = [f"rejected row {row.row_no}" for row in result.intake.rejected]
    names = message_names([*entry_nos, *rejected])
    by_row = boat_actions(actions)
    for row, entry_no in enumerate(entry_nos):
        texts[names[entry_no]] = _text(writer.of_boat(row, by_row.get(row, ())))
    for refused, title in zip(result.intake.rejected, rejected, strict=True):
        texts[names[title]] = _text(writer.of_rejected(refused))
    return texts


def write_messages(texts: Mapping[str, str], folder: Path) -> None:
    """Write messages into `folder`, which exists; OutputError if one cannot be written."""
    write_files(folder, {name: text.encode("utf-8") for name, text in texts.items()})


def message_names(entry_nos: Iterable[str]) -> Mapping[str, str]:
    """Return entry number -> file name, no two alike even without regard to case.

    A number of plain letters, digits, - and _ is its own name, in lower case; any other keeps what is plain
    of it and gets a mark worked out from the whole number, so that every run gives it the same name.

    >>> dict(message_names(["017", "../../quay"]))
    {'017': '017.txt', '../../quay': 'quay-33ae2b82.txt'}
    """
    made: dict[str, str] = {}
    taken = {ABOUT}
    for entry_no in dict.fromkeys(entry_nos):
        stem, digits = entry_no.lower(), 8
        if not _PLAIN.fullmatch(stem) or _DEVICES.fullmatch(stem):
            stem = _marked(entry_no, digits)
        while stem in taken:
            stem, digits = _marked(entry_no, digits), digits + 8
        made[entry_no] = f"{stem}.txt"
        taken.add(stem)
    return made


def _marked(entry_no: str, digits: int) -> str:
    plain = re.sub(r"[^a-z0-9]+", "-", entry_no.lower()[: _LONGEST * 4]).strip("-")[:_LONGEST].strip("-")
    mark = hashlib.sha256(entry_no.encode("utf-8", "surrogatepass")).hexdigest()[:digits]
    return f"{plain or 'entry'}-{mark}"


def wanted(error: RowError, name: str) -> str:
    """What is asked of a skipper about her entry, `name` being the column's own, or "" where none is known.

    The words of the list's keeper are left out.

    >>> error = RowError(40, 44, "Transom width", "M", "blank", "the cell is blank", "such as 2.9 m", "-")
    >>> wanted(error, "transom_width")
    'Your transom width is not given. What we need: such as 2.9 m.'
    """
    label = FIELD_BY_NAME[name].label if name else ""
    if error.code == "duplicate_entry":
        number = re.search("“.*”", error.found)
        which = number[0] if number else "of yours"
        return f"Two entries have the number {which}. Which number is yours?"
    need = f"What we need: {error.expected[0].lower()}{error.expected[1:]}."
    if error.code == "blank":
        given = error.found if error.found.startswith("“") else "is not given"
        return f"Your {label} {given}. {need}"
    # A way to mend it may hold for her too, where it is none of the sheet's.
    ways = [way for way in error.mend.split(", or ") if not _OF_THE_SHEET.search(way)]
    mend = f" {ways[0][0].upper()}{ways[0][1:]}." if ways else ""
    if error.code == "implausible" and mend:
        need = "Is that right?"
    where = f"Your {label}: " if label else f"{error.column}: " if error.column else ""
    return f"{where}{error.found}. {need}{mend}"


def _text(lines: Iterable[str]) -> str:
    return "\n".join(lines) + "\n"


def _item(text: str) -> list[str]:
    return folded(text, first="- ", rest="  ")


class _Writer:
    """Writes the lines of one message after another."""

    def __init__(self, result: MusterResult, policy: Policy, page: Page | None) -> None:
        self._result = result
        self._policy = policy
        self._page = page
        self._open = OpenFindings(result)
        self._days = last_days(result, policy)
        self._plans = {plan.row: plan for plan in result.plans}
        self._names = result.intake.columns

    def of_boat(self, row: int, actions: Iterable[Action]) -> Iterator[str]:
        """The message of one accepted boat: the jobs and questions of her page, the price, how to answer."""
        result, plan = self._result, self._plans.get(row)
        text = result.intake.fleet.text.row(row, named=True)
        entry, found = result.intake.fleet.entry(row), findings_of(result.checks, result.intake.fleet, row)
        load = float(result.requirements.chosen_attachment_n[row])
        reason = result.requirements.not_computed.get(row, "")
        tasks = tasks_of(found, plan, entry, self._days, load, reason, getting_of(result, row))
        must = sum(task.level == "shall" for task in tasks)
        yield from self._head(text, _subject(must, tasks))
        yield from folded(_open_words(must, len(tasks) - must))
        yield from self._jobs(tasks[:MOST_SHOWN], asked_in(tasks, found, entry))
        if len(tasks) > MOST_SHOWN:
            yield ""
            yield from folded(f"And {_jobs_words(len(tasks) - MOST_SHOWN, ' more')}, on your boat's page.")
        required = [finding for finding in self._open.of(row) if finding.check.level == "shall"]
        yield from self._section("What the new parts put right:", self._put_right(row, required))
        office = (a for a in actions if a.owner == "safety officer" and not a.id.endswith("/not-computed"))
        others = (f"{_by(action, result.today)}: {_action(action)}" for action in office)
        yield from self._section("What the office does for your boat:", others)
        yield from self._price(row)
        yield from self._foot(text["entry_no"])

    def of_rejected(self, row: RejectedRow) -> Iterator[str]:
        """The message about a row that could not be taken."""
        yield from self._head(rejected_cells(row, self._names), "your entry could not be taken yet")
        yield from folded(
            "Your entry could not be taken into the list yet, and nothing is sized or ordered for your boat. "
            "Please help to put this right:"
        )
        yield ""
        for error in row.errors:
            yield from _item(wanted(error, own_name(self._result.intake, error.column)))
        yield from self._foot("")

    def _head(self, cells: Mapping[str, str], subject: str) -> Iterator[str]:
        for name in ("skipper", "email"):
            if one_line(cells.get(name, "")):
                yield from folded(cells[name], keep=name == "email")
        boat, entry_no = one_line(cells.get("boat_name", "")), one_line(cells.get("entry_no", ""))
        yield from folded(f"Subject: {boat or '(no name)'}, entry {entry_no or '(no number)'}: {subject}")
        yield ""
        yield from folded(f"{self._policy.rally.name}, as of {long_date(self._result.today)}")
        yield ""

    def _section(self, title: str, items: Iterable[str]) -> Iterator[str]:
        listed = list(items)
        if listed:
            yield ""
            yield from folded(title)
            for item in listed:
                yield from _item(item)

    def _jobs(self, tasks: Sequence[Task], asked: Sequence[Question]) -> Iterator[str]:
        """Her jobs, numbered through, under each last day; what she must do before what is advised."""
        heading = ""
        for number, task in enumerate(tasks, start=1):
            own = self._by_day(task)
            if own != heading:
                yield ""
                yield from folded(own)
            heading, first = own, f"{number}. "
            yield from folded(" ".join(_told(task)), first=first, rest="   ")
            if task.kind == "answer":
                for question in asked[:MOST_SHOWN]:
                    advised = "" if question.level == "shall" else f"{level_words('should').capitalize()}: "
                    yield from folded(f"{advised}{question.text}", first="   - ", rest="     ")
                if len(asked) > MOST_SHOWN:
                    yield f"   - and {len(asked) - MOST_SHOWN} more, on your boat's page"

    def _by_day(self, task: Task) -> str:
        due, advised = task.due, task.level == "should"
        if due.is_over(self._result.today):
            return f"{'Advised, and overdue' if advised else 'Overdue'}, it was due {due.words}:"
        words = due.words if due.day else "before you leave"
        return f"Advised, {words}:" if advised else f"To be done {words}:"

    def _put_right(self, row: int, required: Sequence[Finding]) -> Iterator[str]:
        """What the parts of her plan close; where no drogue is aboard, that alone, since the rest follows."""
        plan = self._plans.get(row)
        settled = [finding for finding in required if plan and finding.id in plan.closes]
        none = [finding for finding in settled if finding.check.id == ABOARD]
        yield from (sentence(finding, "your") for finding in none or settled)

    def _price(self, row: int) -> Iterator[str]:
        order, plan = self._result.order, self._plans.get(row)
        if plan is None or not plan.groups:
            return
        yield ""
        getting = getting_of(self._result, row)
        entry_no = str(self._result.intake.fleet.text["entry_no"][row])
        owed = owed_by(order, entry_no)
        share = owed if getting.ordered else order.would_be.boat_totals.get(row)
        if share is None or order.total is None:
            yield from folded("What your parts cost is not known yet.")
        elif getting.ordered:
            yield from folded(f"Your share of what is bought: {share:,.2f} {order.currency}.")
        else:
            yield from folded(
                f"Through the rally's order your parts would cost {share:,.2f} {order.currency}."
            )
        yield from folded(ordering_words(getting))
        if owed and not getting.ordered:
            yield from folded(f"You owe {owed:,.2f} {order.currency} for parts that were bought for you.")

    def _foot(self, entry_no: str) -> Iterator[str]:
        yield ""
        officer, contact = one_line(self._policy.rally.officer), one_line(self._policy.rally.contact)
        if officer or contact:
            yield from folded(f"To answer or ask: {officer or contact}", keep=not officer)
        if officer and contact:
            yield from folded(contact, keep=True)
        if self._page and entry_no:
            yield "All figures, and how they were worked out, are on your boat's page:"
            yield from folded(self._page(entry_no), keep=True)
        yield ""
        yield from folded(CAUTION)


def _told(task: Task) -> Iterator[str]:
    """A job in sentences: what it is, by when it is made and in how many hours, how, and why."""
    yield f"{task.title}."
    if task.made_by and task.made_by.day:
        yield f"Make it by {long_date(task.made_by.day)}."
    if task.hours:
        yield f"{practised(task.hours).capitalize()}."
    yield from (text for text in task.sentences if text)
    if task.kind in {"mend", "survey"}:
        yield from (fact(finding, "your") for finding in task.findings[:2])


def _jobs_words(count: int, more: str = "") -> str:
    return f"{count}{more} job{'' if count == 1 else 's'}"


def _subject(must: int, tasks: Sequence[Task]) -> str:
    """How many jobs there are, and the first day for any that must be done."""
    more = len(tasks) - must
    left = f"{_jobs_words(must)} to do" if must else "nothing you must do" if more else open_words(0, 0)
    left += f", {more} {level_words('should')}" if more else ""
    days = [task.due.day for task in tasks if task.level == "shall" and task.due.day]
    return f"{left}, first by {long_date(min(days))}" if days else left


def _by(action: Action, today: date) -> str:
    late = "overdue, " if action.due.is_over(today) else ""
    return f"{action.owner.capitalize()}, {late}{action.due.words}"


def _action(action: Action) -> str:
    advised = f"{level_words('should').capitalize()}: " if action.level == "should" else ""
    return f"{advised}{action.said['your']}"


def _open_words(must: int, advised: int) -> str:
    """How many jobs there are, and how many of them must be done."""
    if not must + advised:
        return "There is nothing to do for your boat today. Thank you."
    verb = "is" if advised == 1 else "are"
    if not must:
        return f"There is nothing you must do. {_jobs_words(advised)} {verb} advised."
    said = f"To do for your boat before departure: {_jobs_words(must)}."
    return f"{said} {advised} more {verb} advised." if advised else said
