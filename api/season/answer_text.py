"""A skipper's answers as the text that her form gives, sent by mail or as a file, read line by line.

Everything in it is hostile until checked: how long it is, that it is of a form that this season made (its
code is a keyed hash over fleet and boat), which columns and words it has.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import hmac
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

from api.season.answers import Choice, Given
from sizing.errors import InputError
from sizing.fields import ANSWERABLE, CHOICES
from sizing.units import clip

MOST_BYTES: Final = 256 * 1024
MOST_LINES: Final = 200
_BEGIN: Final = re.compile(r"-{2,} ?answers for entry .*")
_END: Final = re.compile(r"-{2,} ?end ?-{2,}")
_LINE: Final = re.compile(r"([a-z_]{2,40}): ?(.*)")
_CODE: Final = re.compile(r"(f[0-9a-f]{12})\.([a-z0-9][a-z0-9-]{7,63})\.([0-9]{1,9})\.([0-9a-f]{24})")


@dataclass(frozen=True)
class Wrong:
    """One thing that is wrong: in which line of which file, and how to mend it."""

    where: str
    found: str
    expected: str
    mend: str


@dataclass
class Block:
    """The answers of one boat as one text has them; `seen` is the last answer that the form knew."""

    where: str
    fleet_id: str = ""
    boat_id: str = ""
    seen: int = 0
    by: str = ""
    given: list[Given] = field(default_factory=list)
    word: str = ""
    price: str = ""

    @property
    def choice(self) -> Choice | None:
        """How she gets her parts, where it says."""
        return Choice(self.word, self.price) if self.word else None


def form_code(secret: bytes, fleet_id: str, boat_id: str, seen: int) -> str:
    """The code of a boat's form, which nobody makes without the season's secret."""
    told = f"{fleet_id}.{boat_id}.{seen}"
    return f"{told}.{hmac.new(secret, f'form {told}'.encode(), hashlib.sha256).hexdigest()[:24]}"


def read_answers(name: str, content: bytes, secret: bytes) -> tuple[list[Block], list[Wrong]]:
    """Return the answers that a file holds, and what is wrong in it; a mail around them is passed over."""
    try:
        text = _text(name, content)
    except InputError as problem:
        return [], [Wrong(problem.where, problem.found, problem.expected, problem.mend)]
    blocks: list[Block] = []
    wrong: list[Wrong] = []
    for first, lines in _blocks(text):
        block = Block(f"{name}, line {first}")
        if lines is None:
            wrong.append(Wrong(block.where, "the answers have no end", "a last line “--- end ---”",
                               "copy the whole text out of the form"))  # fmt: skip
            continue
        wrong += _read(block, name, first, lines, secret)
        blocks.append(block)
    if not blocks and not wrong:
        wrong.append(Wrong(name, "it holds no answers", "a text that begins “--- answers for entry …”",
                           "copy the whole text out of the form"))  # fmt: skip
    return blocks, wrong


def _text(name: str, content: bytes) -> str:
    if len(content) > MOST_BYTES:
        raise InputError(name, f"it is {len(content):,} bytes long", f"at most {MOST_BYTES:,} bytes",
                         "give the answers alone, without pictures")  # fmt: skip
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(name, "it is no text in UTF-8", "a text file", "save it as plain text") from None
    return text.replace("\u00a0", " ")


def _blocks(text: str) -> Iterator[tuple[int, list[str] | None]]:
    """Each part from its first line to its end, and the number of that line; None where there is no end."""
    begun = 0
    lines: list[str] = []
    for number, raw in enumerate(text.splitlines(), start=1):
        line = re.sub(r"^[>\s]+", "", raw).rstrip()
        if _BEGIN.fullmatch(line):
            if begun:
                yield begun, None
            begun, lines = number, []
        elif begun and _END.fullmatch(line):
            yield begun, lines
            begun = 0
        elif begun:
            lines.append(line)
    if begun:
        yield begun, None


def _read(block: Block, name: str, first: int, lines: Sequence[str], secret: bytes) -> Iterator[Wrong]:
    """Take in the lines of one boat's answers; what is wrong in them."""
    if len(lines) > MOST_LINES:
        yield Wrong(block.where, f"it has {len(lines)} lines", f"at most {MOST_LINES}", "copy it anew")
        return
    seen: set[str] = set()
    for number, line in enumerate(lines, start=first + 1):
        where = f"{name}, line {number}"
        if not line:
            continue
        found = _LINE.fullmatch(line)
        if found is None:
            yield Wrong(where, f"“{clip(line)}” is no answer", "a column, a colon and an answer",
                        "copy the text out of the form again, unchanged")  # fmt: skip
            continue
        column, said = found.groups()
        where = f"{where}, {column}"
        if column in seen:
            yield Wrong(where, "it stands there twice", "each column once", "take one of them out")
            continue
        seen.add(column)
        problem = _take(block, column, said.strip(), secret)
        if problem:
            yield Wrong(where, *problem)
    if not block.boat_id and "form" not in seen:
        yield Wrong(block.where, "the line “form:” is missing", "the code of the form", "copy it anew")
    if not block.by and "by" not in seen:
        yield Wrong(block.where, "the line “by:” is missing", "who answers", "copy it anew")
    if not block.given and not block.word and len(seen) <= 2:
        yield Wrong(block.where, "it holds no answer", "at least one", "ask her to answer first")


def _take(block: Block, column: str, said: str, secret: bytes) -> tuple[str, str, str] | None:
    """Take in one line; what is wrong with it."""
    if column == "form":
        code = _CODE.fullmatch(said)
        if code is None or not hmac.compare_digest(said, form_code(secret, code[1], code[2], int(code[3]))):
            return ("it is not of a form of this season", "the code as the form wrote it",
                    "ask for the answers anew, from the form that was sent for this season")  # fmt: skip
        block.fleet_id, block.boat_id, block.seen = code[1], code[2], int(code[3])
    elif column == "by":
        if not 0 < len(said) <= 120 or not said.isprintable():
            return (f"“{clip(said)}” is no name", "a name of 1 to 120 characters", "say who answers")
        block.by = said
    elif column in ("gear_supply", "price"):
        return _take_choice(block, column, said.removeprefix("is ").strip())
    elif column not in ANSWERABLE:
        return ("it is no column that a skipper answers", "a column of the form", "take the line out")
    else:
        return _take_answer(block, column, said)
    return None


def _take_choice(block: Block, column: str, said: str) -> tuple[str, str, str] | None:
    if column == "gear_supply":
        if said not in CHOICES["gear_supply"]:
            words = ", ".join(CHOICES["gear_supply"])
            return (f"“{clip(said)}” is not a word known here", f"one of: {words}", "ask her which is meant")
        block.word = said
    elif not re.fullmatch(r"[0-9]{1,8}(\.[0-9]{1,2})?", said):
        return (f"“{clip(said)}” is no price", "a sum such as 312.50", "copy it anew")
    else:
        block.price = said
    return None


def _take_answer(block: Block, column: str, said: str) -> tuple[str, str, str] | None:
    if said == "not known":
        block.given.append(Given(column, "unknown"))
    elif said.startswith("later "):
        try:
            until = dt.date.fromisoformat(said.removeprefix("later ").strip())
        except ValueError:
            return (f"“{clip(said)}” has no day", "later and a day, as in later 2026-12-20", "copy it anew")
        block.given.append(Given(column, "later", until=until))
    elif said.startswith("is ") and said.removeprefix("is ").strip():
        block.given.append(Given(column, "said", said.removeprefix("is ").strip()))
    else:
        return (f"“{clip(said)}” is no answer", "is and a value, “not known”, or later and a day",
                "copy the text out of the form again, unchanged")  # fmt: skip
    return None
