"""Contact details are taken out of everything that is published."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from sizing.fields import PRIVATE
from sizing.mail_address import MAIL_ADDRESS
from sizing.model import FleetColumns

PHONE: Final = re.compile(r"(?<![\w.,])(?:\+[\d][\d ()./-]{5,}\d|\(?\d[\d ()/-]{7,}\d)(?![\w.,]\d)")
SPELT_MAIL: Final = re.compile(
    r"[\w.+-]+ *[(\[{<]at[)\]}>] *[\w-]+(?: *(?:\.|[(\[{<]dot[)\]}>]| dot ) *[\w-]+)+"
    r"|[\w.+-]+ at [\w-]+(?: dot [\w-]+)+",
    re.IGNORECASE,
)
"""Mail addresses as people write them against harvesters: jane(at)club.example, jane at club dot example."""
LINK: Final = re.compile(
    r"\b(?:https?://|www\.)[^\s<>\"']+|\b[a-z0-9-]+(?:\.[a-z0-9-]+)*\.[a-z]{2,10}/[^\s<>\"']+", re.IGNORECASE
)
"""Links, among them those by which somebody is paid or written to."""
HANDLE: Final = re.compile(r"(?<![\w@.])@[A-Za-z_.]{4}[\w.]*")
"""Names by which people are written to; @M12 is a bolt."""
ACCOUNT: Final = re.compile(r"\b[A-Z]{2}[0-9]{2}(?: ?[A-Z0-9]{4}){3,7}(?: ?[A-Z0-9]{1,3})?\b")
"""Account numbers as banks write them [ISO 13616]."""
DOTTED_PHONE: Final = re.compile(
    r"(?<![\w.,])(?:\+|00)?\(?[0-9]{2,5}\)?(?:\.[0-9]{2,4}){3,6}(?![\w.,]*[0-9])"
)
"""Telephone numbers with stops between their groups; a date has two stops, a figure one."""
LEFT_OUT: Final = "[contact left out]"
SHORTEST_PRIVATE: Final = 4
ISO_DATE: Final = re.compile(r"\d{4}-\d{2}-\d{2}")


def _phone(match: re.Match[str]) -> str:
    found = match.group()
    digits = sum(c.isdigit() for c in found)
    if ISO_DATE.fullmatch(found.strip()) or digits < (7 if found.startswith("+") else 9):
        return found
    return LEFT_OUT


def occurring(private: Iterable[str], text: str) -> tuple[str, ...]:
    """Return those of many `private` values that stand in `text`.

    >>> occurring(["A. Skipper", "B. Mate"], "Seen by a. skipper")
    ('A. Skipper',)
    """
    folded = text.casefold()
    return tuple(value for value, sought in _sought(tuple(private)) if sought in folded)


@lru_cache(maxsize=64)
def _sought(private: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Each value that is long enough to be looked for, with what is looked for: a fleet's are asked often."""
    stripped = dict.fromkeys(value.strip() for value in private)
    return tuple((value, value.casefold()) for value in stripped if len(value) >= SHORTEST_PRIVATE)


def redact(text: str, private: Iterable[str] = ()) -> str:
    """Return `text` without e-mail addresses, telephone numbers, and any of the `private` values.

    >>> redact("Ask ann@boat.example or +44 7700 900123; inspected 2026-04-18.")
    'Ask [contact left out] or [contact left out]; inspected 2026-04-18.'
    >>> redact("Bridle checked by A. Skipper.", ["A. Skipper"])
    'Bridle checked by [contact left out].'
    """
    for value in sorted(occurring(private, text), key=len, reverse=True):
        text = re.sub(re.escape(value), LEFT_OUT, text, flags=re.IGNORECASE)
    if "@" in text:
        text = HANDLE.sub(LEFT_OUT, MAIL_ADDRESS.sub(LEFT_OUT, text))
    if "at" in text or "AT" in text or "At" in text:
        text = SPELT_MAIL.sub(LEFT_OUT, text)
    if "." in text:
        text = DOTTED_PHONE.sub(LEFT_OUT, LINK.sub(LEFT_OUT, text))
    return PHONE.sub(_phone, ACCOUNT.sub(LEFT_OUT, text))


def private_values(fleet: FleetColumns, row: int) -> tuple[str, ...]:
    """The contact details of boat `row`, which may stand in nothing that is published."""
    values = []
    for frame in (fleet.text, fleet.as_written):
        values += [str(frame[name][row] or "").strip() for name in PRIVATE if name in frame.columns]
    return tuple(dict.fromkeys(value for value in values if value))
