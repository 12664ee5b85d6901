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
        text = MAIL_ADDRESS.sub(LEFT_OUT, text)
    return PHONE.sub(_phone, text)


def private_values(fleet: FleetColumns, row: int) -> tuple[str, ...]:
    """The contact details of boat `row`, which may stand in nothing that is published."""
    values = []
    for frame in (fleet.text, fleet.as_written):
        values += [str(frame[name][row] or "").strip() for name in PRIVATE if name in frame.columns]
    return tuple(dict.fromkeys(value for value in values if value))
