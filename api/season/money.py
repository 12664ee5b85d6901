"""Sums, days and names as they are written for an act: checked, and refused with what was expected."""

from __future__ import annotations

import datetime as dt
import re
from decimal import Decimal
from typing import Final

from api.season.errors import NotValid
from sizing.units import clip

MOST: Final = Decimal(10_000_000)
OLDEST: Final = dt.timedelta(days=3660)
_AMOUNT: Final = re.compile(r"[0-9]{1,8}(?:\.[0-9]{1,2})?")
_MOST_NAME: Final = 120


def amount_of(where: str, text: str, currency: str) -> Decimal:
    """Return a sum of money above 0, in whole cents; NotValid else, and where no price book has a currency.

    >>> amount_of("payment", "312.5", "EUR")
    Decimal('312.50')
    """
    if not currency:
        raise NotValid(
            where, "no price book is in force, so there is no currency", "a season with a price book",
            "run the list with --prices first; nothing was recorded",
        )  # fmt: skip
    expected = "a sum above 0 with a decimal point and at most two digits after it, such as 312.50"
    found = Decimal(text.strip()) if _AMOUNT.fullmatch(text.strip()) else Decimal(0)
    if not 0 < found <= MOST:
        mend = "write what was paid; money that goes back is a refund, and has no sign"
        raise NotValid(where, f"“{clip(text)}” is no such sum", expected, f"{mend}; nothing was recorded")
    return found.quantize(Decimal("0.01"))


def day_of(where: str, day: dt.date, today: dt.date) -> dt.date:
    """Return a day that is over or is today; NotValid for a day to come, or one long before the season."""
    if day > today:
        raise NotValid(
            where, f"{day.isoformat()} lies after today, {today.isoformat()}", "the day on which it was done",
            "correct the day; nothing was recorded",
        )  # fmt: skip
    if day < today - OLDEST:
        raise NotValid(where, f"{day.isoformat()} is more than ten years ago", "a day of this season",
                       "correct the day; nothing was recorded")  # fmt: skip
    return day


def name_of(where: str, text: str) -> str:
    """Return a name in which something is written; NotValid for none, or one too long."""
    name = " ".join(text.split())
    if not name or len(name) > _MOST_NAME or not name.isprintable():
        raise NotValid(where, f"“{clip(text)}” is no name", f"a name of 1 to {_MOST_NAME} characters",
                       "say by whom; nothing was recorded")  # fmt: skip
    return name
