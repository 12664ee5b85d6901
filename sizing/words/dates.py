"""Dates as people read them."""

from __future__ import annotations

from datetime import date


def long_date(day: date) -> str:
    """Return a date that cannot be misread.

    >>> long_date(date(2027, 5, 3))
    '3 May 2027'
    """
    return f"{day.day} {day:%B} {day.year}"
