"""Dates as people read them."""

from __future__ import annotations

from datetime import date

from sizing.words import long_date

__all__ = ["days_words", "long_date"]


def days_words(day: date, today: date) -> str:
    """Return how far off a day is, in words.

    >>> days_words(date(2027, 5, 3), date(2027, 5, 1))
    'in 2 days'
    """
    days = (day - today).days
    if days == 0:
        return "today"
    count = f"{abs(days):,} day{'' if abs(days) == 1 else 's'}"
    return f"in {count}" if days > 0 else f"{count} ago"
