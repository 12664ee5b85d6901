"""Times as they are kept: UTC, to the microsecond, in text that sorts by time."""

from __future__ import annotations

import datetime as dt


def now() -> str:
    """This moment.

    >>> len(now())
    27
    """
    return text_of(dt.datetime.now(dt.UTC))


def text_of(moment: dt.datetime) -> str:
    """A moment as it is kept.

    >>> text_of(dt.datetime(2027, 5, 1, 12, 0, tzinfo=dt.UTC))
    '2027-05-01T12:00:00.000000Z'
    """
    return moment.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
