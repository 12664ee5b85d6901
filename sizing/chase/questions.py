"""The questions a boat's own people can answer: what is not shown and is theirs to say, asked once each."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from sizing.audit import in_voice
from sizing.chase.dates import STAGES, Stage
from sizing.chase.jobs import owner_of, stage_of
from sizing.fields import FIELD_BY_NAME
from sizing.model import Ask, Entry, Finding, Level, Standing

ABOARD: Final = "drag.device-aboard"
DEVICE: Final = "device_type"
GEAR: Final[Mapping[str, str]] = {
    "drag": "Cones",
    "line": "Line",
    "bridle": "Bridle",
    "attachment": "Strong points",
    "end weight": "End weight",
    "hardware": "Shackles and thimbles",
    "chafe": "Chafe",
    "condition": "Age and state",
    "stowage": "Stowage",
    "retrieval": "Getting it back",
    "boat": "Boat",
    "data": "Form",
}
"""What questions are about, by the family of their check, in the order in which one looks it over."""
FEW: Final = 6
"""So many questions need no headings."""
_FITTING: Final = re.compile(r"\{attachment_type\}")
"""A place for her own word, which a question does without."""


_ASKING: Final = frozenset(
    {"Whether", "How", "What", "Which", "Who", "Whose", "Where", "When", "From", "Of", "For", "In"}
)
"""First words of a question that goes on from “Say”."""


@dataclass(frozen=True)
class Question:
    """One question: what is asked, and the columns of the sheet of which one has its answer.

    `stage` is what it must come before, `findings` those it is about.
    """

    text: str
    level: Level
    stage: Stage
    columns: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def family(self) -> str:
        """What it is about: the family of the check that asked first."""
        return self.findings[0].check.family

    @property
    def spoken(self) -> str:
        """What is asked as a whole sentence, for where it stands alone and in no list of things to say."""
        first = self.text.partition(" ")[0]
        return f"Say {self.text[0].lower()}{self.text[1:]}" if first in _ASKING else self.text

    @property
    def short(self) -> str:
        """What is asked, without how it is found out and without its full stop."""
        return self.text.partition(": ")[0].removesuffix(".")


def questions_of(findings: Iterable[Finding], entry: Entry) -> tuple[Question, ...]:
    """Return what is to be asked about findings: what must be answered first.

    A finding asks where nothing shows it, it is for her skipper to say, and her entry leaves unsaid what it
    is judged by. What another finding has asked already is not asked again, and some waits (`waiting_of`).
    """
    asked: list[Question] = []
    found = tuple(findings)
    waiting = waiting_of(found, entry)
    for finding in sorted(found, key=lambda f: f.check.level == "should"):
        if _for_her_to_say(finding) and finding not in waiting:
            for text, columns in _unsaid(finding, entry):
                _ask(asked, finding, text, columns)
    return tuple(asked)


def by_gear(asked: Sequence[Question]) -> tuple[tuple[str, tuple[Question, ...]], ...]:
    """Return the questions under the gear they are about, so that one walks round the boat once.

    A few stay together, under "".
    """
    if len(asked) <= FEW:
        return (("", tuple(asked)),) if asked else ()
    groups = ((words, tuple(q for q in asked if q.family == family)) for family, words in GEAR.items())
    return tuple((words, questions) for words, questions in groups if questions)


def waiting_of(findings: Iterable[Finding], entry: Entry) -> tuple[Finding, ...]:
    """Return the findings that nobody asks about before it is said whether she carries a drogue.

    Whether there is one comes first, and her strong points, which any drogue needs. [practice]
    """
    found = tuple(findings)
    unsaid = any(f.check.id == ABOARD and f.standing is Standing.UNPROVEN for f in found)
    if not unsaid or DEVICE in entry.answered:
        return ()
    return tuple(
        f for f in found
        if _for_her_to_say(f) and f.check.family != "attachment" and DEVICE not in f.check.columns
    )  # fmt: skip


def _for_her_to_say(finding: Finding) -> bool:
    return finding.standing is Standing.UNPROVEN and owner_of(finding) == "skipper"


def _ask(asked: list[Question], finding: Finding, text: str, columns: tuple[str, ...]) -> None:
    place = next((at for at, one in enumerate(asked) if set(one.columns) & set(columns)), None)
    if place is None:
        asked.append(Question(text, finding.check.level, stage_of(finding), columns, (finding,)))
        return
    other = asked[place]
    about = other.findings if finding in other.findings else (*other.findings, finding)
    stage = min(other.stage, stage_of(finding), key=STAGES.index)
    asked[place] = replace(other, findings=about, stage=stage)


def _unsaid(finding: Finding, entry: Entry) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What her entry does not say of a finding: the question, and the columns that answer it."""
    check, found = finding.check, False
    for case, ask in check.says.unproven.items():
        columns = tuple(clause for clause in case.split(" & ") if clause in FIELD_BY_NAME)
        column, _, word = case.partition("=")
        if isinstance(ask, Ask) and word == "other" and finding.advice == _to_show(ask):
            yield _question(ask), (column,)
            return
        if isinstance(ask, Ask) and columns and not set(columns) & entry.answered:
            found = True
            yield _question(ask), columns
    if not found and check.columns and check.columns[0] not in entry.answered:
        yield finding.advice, check.columns[:1]


def _to_show(ask: Ask) -> str:
    """What is to be done to answer, as a finding's advice says it."""
    told = in_voice(ask.show, "your")
    return f"{told[0].upper()}{told[1:]}."


def _question(ask: Ask) -> str:
    """What is asked, and how it is found out where it is more than a word."""
    what = _FITTING.sub("strong point", in_voice(ask.what, "your"))
    how = "" if ask.show.startswith("say ") else f": {in_voice(ask.show, 'your')}"
    return f"{what[0].upper()}{what[1:]}{how}."
