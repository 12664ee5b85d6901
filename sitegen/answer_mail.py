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
SCHEME: Final = "mailto:"


@dataclass(frozen=True)
class Answer:
    """How she answers: `mailto` is empty where the office gives no mail address, `words` serve in any way."""

    mailto: str
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


def answer(contact: str, officer: str, subject: str, lines: Sequence[str]) -> Answer:
    """Return the answer to an office. Text of a sheet may stand in `subject` and `lines`."""
    subject, kept = one_line(subject, 120), [one_line(line, 200) for line in lines]
    words = "\n".join((subject, "", *kept))
    start = mail_start(contact)
    return Answer(_mailto(start, subject, kept) if start else "", contact, officer, words)


def mail_start(contact: str) -> str:
    """Return how every link begins that opens a mail to the office; "" where it gives no mail address.

    >>> mail_start("safety@rally.example")
    'mailto:safety@rally.example?'
    """
    address = mail_address_of(contact)
    return f"{SCHEME}{quote(address, safe='@')}?" if address else ""


def _mailto(start: str, subject: str, lines: Sequence[str]) -> str:
    """The address of a filled mail (RFC 6068): everything but letters and digits is written as %XX."""
    head = f"{start}subject={quote(subject, safe='')}&body="
    whole = _body(lines)
    if len(head) + len(whole) <= LONGEST_ADDRESS:
        return head + whole
    rest = quote("(The further questions stand on the page.)\r\n", safe="")
    kept = ""
    for line in lines:
        longer = kept + _body([line])
        if len(head) + len(longer) + len(rest) > LONGEST_ADDRESS:
            break
        kept = longer
    return head + kept + rest


def _body(lines: Iterable[str]) -> str:
    return "".join(quote(f"{line}\r\n", safe="") for line in lines)
