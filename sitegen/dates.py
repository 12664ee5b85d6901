"""Dates as people read them."""

from __future__ import annotations

from datetime import date


def long_date(day: date) -> str:
    """Return a date that cannot be misread.

    >>> long_date(date(2027, 5, 3))
    '3 May 2027'
    """
    return f"{day.day} {day:%B} {day.year}"


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
