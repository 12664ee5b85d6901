"""A short message for each skipper: what is short, what to do, by when.

The messages are the officer's own: each begins with its skipper's name and e-mail address and with no other
person's. They belong neither on the site nor in a log.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Final

from sizing.chase.actions import Action, OpenFindings, boat_actions
from sizing.chase.dates import Due
from sizing.intake import canonical_names, rejected_cells
from sizing.model import Finding, MusterResult, RejectedRow, Standing
from sizing.policy import Policy
from sizing.revision.lines import folded, one_line
from sizing.units import show
from sizing.writing import write_files

Page = Callable[[str], str]
"""Gives the address of a boat's page for her entry number."""

NEEDS: Final = (
    ("cones", "cones", "count"),
    ("design load", "design_load_n", "force"),
    ("load at each attachment", "attachment_load_n", "force"),
    ("lead line", "lead_length_m", "length"),
    ("each leg of the bridle", "bridle_leg_m", "length"),
    ("end weight", "end_weight_kg", "mass"),
)
CAUTION: Final = (
    "This is worked out from what the entry list says. It does not say that a boat is safe, and what nobody "
    "has looked at is not proven."
)
ABOUT_TEXT: Final = (
    "These messages hold names and e-mail addresses of skippers. They are for the rally's officer alone: "
    "send each to its own skipper, and publish none of them."
)
ABOUT: Final = "read-me-first"
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
        self._names = canonical_names(result.intake.header)

    def of_boat(self, row: int, actions: Iterable[Action]) -> Iterator[str]:
        """The message of one accepted boat."""
        result = self._result
        text = result.intake.fleet.text.row(row, named=True)
        yield from self._head(text)
        findings = self._open.of(row)
        shalls = [f for f in findings if f.check.level == "shall"]
        shoulds = len(findings) - len(shalls) + len(self._open.below_advised(row))
        yield from folded(_open_words(len(shalls), shoulds))
        wrong = [f for f in shalls if f.standing is not Standing.UNPROVEN]
        yield from self._section(
            "What is not as it must be:",
            (_wrong(finding) for finding in wrong),
        )
        known = list(actions)
        hers = [a for a in known if a.owner == "skipper"]
        others = [a for a in known if a.owner != "skipper"]
        yield from self._dated("What you are asked to do", hers)
        yield from self._dated("What others do for your boat", others)
        yield from self._section("What your boat needs:", self._needs(row))
        yield from self._foot(text["entry_no"])

    def of_rejected(self, row: RejectedRow) -> Iterator[str]:
        """The message about a row that could not be taken."""
        yield from self._head(rejected_cells(row, self._names))
        yield from folded(
            "Your entry could not be taken into the list yet, and nothing is sized or ordered for your boat. "
            "Please help to put this right:"
        )
        yield ""
        for error in row.errors:
            where = f"{error.column}: " if error.column else ""
            yield from _item(f"{where}{error.found}. Expected: {error.expected}. To mend it: {error.mend}.")
        yield from self._foot("")

    def _head(self, cells: Mapping[str, str]) -> Iterator[str]:
        for name in ("skipper", "email"):
            if one_line(cells.get(name, "")):
                yield from folded(cells[name], keep=name == "email")
        boat, entry_no = one_line(cells.get("boat_name", "")), one_line(cells.get("entry_no", ""))
        yield from folded(f"Entry {entry_no or '(no number)'}: {boat or '(no name)'}")
        yield from folded(f"{self._policy.rally.name}, as of {self._result.today.isoformat()}")
        yield ""

    def _section(self, title: str, items: Iterable[str]) -> Iterator[str]:
        listed = list(items)
        if listed:
            yield ""
            yield from folded(title)
            for item in listed:
                yield from _item(item)

    def _dated(self, title: str, actions: Iterable[Action]) -> Iterator[str]:
        """A section for each last day, what is required before what is advised."""
        by_due: dict[Due, list[Action]] = {}
        for action in actions:
            by_due.setdefault(action.due, []).append(action)
        for due, found in by_due.items():
            late = ", OVERDUE" if due.is_over(self._result.today) else ""
            listed = sorted(found, key=lambda action: action.level == "should")
            yield from self._section(f"{title}, {due.words}{late}:", map(_action, listed))

    def _needs(self, row: int) -> Iterator[str]:
        needs = self._result.requirements
        if row in needs.not_computed:
            yield f"This could not be computed: {needs.not_computed[row]}"
            return
        for label, column, dimension in NEEDS:
            shown = show(float(getattr(needs, column)[row]), dimension)
            yield f"{label}: {shown.metric}" + (f" ({shown.us})" if shown.us != shown.metric else "")

    def _foot(self, entry_no: str) -> Iterator[str]:
        if self._page and entry_no:
            yield ""
            yield "All figures, and how they were worked out, are on your boat's page:"
            yield from folded(self._page(entry_no), keep=True)
        yield ""
        officer, contact = one_line(self._policy.rally.officer), one_line(self._policy.rally.contact)
        if officer:
            yield from folded(f"Questions go to: {officer}.")
        if contact:
            yield from folded(contact if officer else f"Questions go to: {contact}", keep=True)
        yield from folded(CAUTION)


def _wrong(finding: Finding) -> str:
    """What a boat falls short of, with its figures, and why it matters."""
    check = finding.check
    figures = finding.remedy.sentence.removeprefix(check.remedy).strip() if finding.remedy else ""
    words = f"{check.sentence.rstrip('.')}: {finding.standing.words}. {figures}"
    return f"{words} {check.consequence}"


def _action(action: Action) -> str:
    who = "" if action.owner == "skipper" else f"{action.owner}: "
    return f"{who}{action.sentence}{' (Advised.)' if action.level == 'should' else ''}"


def _open_words(required: int, advised: int) -> str:
    """How much is open, and how much of that is required."""
    count = required + advised
    if not count:
        return "Nothing is open on your entry today. Thank you."
    things = "one thing is" if count == 1 else f"{count} things are"
    if required and advised:
        level = f"{required} required for departure, {advised} advised"
    else:
        level = f"{'all ' if count > 1 else ''}{'required for departure' if required else 'advised'}"
    return f"On your entry {things} open today: {level}."
