"""Dates, as far as they can mean only one day."""

from __future__ import annotations

import datetime as dt
import re
from typing import Final

from sizing.errors import QuantityError
from sizing.intake.collect import Note
from sizing.intake.distinct import Read
from sizing.intake.words import UNSTATED
from sizing.units import clip

_EXPECTED: Final = "a date that can mean only one day, such as 2026-04-18 or 18 Apr 2026"
_MONTHS: Final = {
    word: month
    for month, words in enumerate(
        ("jan january", "feb february", "mar march", "apr april", "may", "jun june", "jul july",
         "aug august", "sep sept september", "oct october", "nov november", "dec december"), start=1)
    for word in words.split()
}  # fmt: skip
_ISO: Final = re.compile(
    r"([0-9]{4})[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})"
    r"(?:[ T]([012][0-9]:[0-5][0-9](?::[0-5][0-9](?:\.[0-9]+)?)?))?"
)
_NUMERIC: Final = re.compile(r"([0-9]{1,2})[-/. ]([0-9]{1,2})[-/. ]([0-9]{4})")
_DAY_FIRST: Final = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?[-/. ]*([A-Za-z]{3,9})\.?[-/., ]*([0-9]{4})")
_MONTH_FIRST: Final = re.compile(r"([A-Za-z]{3,9})\.?[- ]*([0-9]{1,2})(?:st|nd|rd|th)?,? *([0-9]{4})")


def read_date(text: str, today: dt.date) -> Read[float]:
    """Return the proleptic ordinal of a date not later than `today`.

    >>> dt.date.fromordinal(int(read_date("18 Apr 2026", dt.date(2026, 6, 1)).value)).isoformat()
    '2026-04-18'
    """
    if text.casefold().strip(" .") in UNSTATED:
        return Read(float("nan"), (Note("not_stated", f"“{clip(text)}” is read as not stated"),))
    year, month, day = _parts(text)
    try:
        date = dt.date(year, month, day)
    except ValueError:
        raise _refuse("no_such_day", text, "is not a day of the calendar", "correct the day") from None
    if date > today:
        words = f"lies after the day of this check, {today.isoformat()}"
        raise _refuse("future_date", text, words, "write the day of the inspection that was done")
    if year < 1950:
        raise _refuse("old_date", text, "lies before 1950", "correct the year")
    if (iso := _ISO.fullmatch(text)) and not (iso[4] or "").strip(":0."):
        return Read(float(date.toordinal()))
    return Read(float(date.toordinal()), (Note("date", f"“{clip(text)}” is read as {date.isoformat()}"),))


def _parts(text: str) -> tuple[int, int, int]:
    if iso := _ISO.fullmatch(text):
        return int(iso[1]), int(iso[2]), int(iso[3])
    if numeric := _NUMERIC.fullmatch(text):
        first, second, year = (int(part) for part in numeric.groups())
        if first > 12 or first == second:
            return year, second, first
        if second > 12:
            return year, first, second
        raise _refuse("which_date", text, "could be day before month or month before day",
                      "write the month as a word, or the date as year-month-day")  # fmt: skip
    for pattern, day_at, month_at in ((_DAY_FIRST, 1, 2), (_MONTH_FIRST, 2, 1)):
        match = pattern.fullmatch(text)
        if match and match[month_at].casefold() in _MONTHS:
            return int(match[3]), _MONTHS[match[month_at].casefold()], int(match[day_at])
    if re.fullmatch(r"[0-9]{5}", text):
        raise _refuse("serial_date", text, "looks like a spreadsheet's day number",
                      "format the column as a date, and save the sheet again")  # fmt: skip
    raise _refuse("bad_date", text, "is not a whole date", "write day, month and the year in four digits")


def _refuse(code: str, text: str, words: str, mend: str) -> QuantityError:
    return QuantityError(code, "date", f"“{clip(text)}” {words}", _EXPECTED, mend)
