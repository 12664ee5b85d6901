"""The message in which a skipper answers the office: as a mail that opens filled in, and as words to copy."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from sitegen.plain_text import one_line
from sizing.mail_address import MAIL_ADDRESS

LONGEST_ADDRESS: Final = 1_900
"""Letters of a mailto address that common mail programs still take [from memory: about 2,000]."""
LONGEST_SUBJECT: Final = 600
LONGEST_LINE: Final = 1_000
"""Letters of a subject and of one line as they stand in an address, where some alphabets take many."""
SCHEME: Final = "mailto:"


@dataclass(frozen=True)
class Answer:
    """How she answers: `mails` is empty where the office gives no mail address, `words` serve in any way.

    There are several mails where one would be longer than mail programs take: together they ask all.
    """

    mails: tuple[str, ...]
    contact: str
    officer: str
    words: str


def mail_address_of(contact: str) -> str:
    """Return the one mail address in the office's contact; "" where there is none, or more than one.

    >>> mail_address_of("Safety office: safety@rally.example, +00 000"), mail_address_of("VHF 72")
    ('safety@rally.example', '')
    """
    found = MAIL_ADDRESS.findall(contact)
    return found[0] if len(found) == 1 and found[0].isascii() else ""


def answer(contact: str, officer: str, subject: str, paragraphs: Sequence[Sequence[str]]) -> Answer:
    """Return the answer to an office. Text of a sheet may stand in `subject` and `paragraphs`."""
    subject = one_line(subject, 120)
    kept = [[one_line(line, 200) for line in lines] for lines in paragraphs]
    words = "\n\n".join((subject, *("\n".join(lines) for lines in kept)))
    start = mail_start(contact)
    return Answer(_mails(start, subject, kept) if start else (), contact, officer, words)


def mail_start(contact: str) -> str:
    """Return how every link begins that opens a mail to the office; "" where it gives no mail address.

    >>> mail_start("safety@rally.example")
    'mailto:safety@rally.example?'
    """
    address = mail_address_of(contact)
    return f"{SCHEME}{quote(address, safe='@')}?" if address else ""


def _mails(start: str, subject: str, paragraphs: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """The addresses of as few filled mails as hold all paragraphs (RFC 6068); a paragraph is parted last."""
    subject = _cut(subject, LONGEST_SUBJECT)
    paragraphs = [[_cut(line, LONGEST_LINE) for line in lines] for lines in paragraphs]
    whole = _mail(start, subject, paragraphs)
    if len(whole) <= LONGEST_ADDRESS:
        return (whole,)
    room = LONGEST_ADDRESS - len(_mail(start, f"{subject} (10 of 10)", ()))
    mails: list[list[list[str]]] = [[]]
    left = room
    for lines in paragraphs:
        if mails[-1] and len(_quoted([*lines, ""])) > left:
            mails.append([])
            left = room
        mails[-1].append([])
        for line in lines:
            # Two for the blank line behind a paragraph.
            need = len(_quoted([line, ""]))
            if need > left and mails[-1] != [[]]:
                mails.append([[]])
                left = room
            mails[-1][-1].append(line)
            left -= len(_quoted([line]))
        left -= len(_quoted([""]))
    return tuple(
        _mail(start, f"{subject} ({number} of {len(mails)})", mail)
        for number, mail in enumerate(mails, start=1)
    )


def _mail(start: str, subject: str, paragraphs: Sequence[Sequence[str]]) -> str:
    body = [line for lines in paragraphs for line in (*lines, "")]
    return f"{start}subject={quote(subject, safe='')}&body={_quoted(body)}"


def _cut(line: str, longest: int) -> str:
    """A line that takes at most so many letters of an address; what is cut off is seen by its dots."""
    if len(quote(line, safe="")) <= longest:
        return line
    while len(quote(f"{line}…", safe="")) > longest:
        line = line[:-1]
    return f"{line}…"


def _quoted(lines: Iterable[str]) -> str:
    """Lines as they stand in an address: everything but letters and digits is written as %XX."""
    return "".join(quote(f"{line}\r\n", safe="") for line in lines)
