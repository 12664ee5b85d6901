"""Times as they are kept: UTC, to the microsecond, in text that sorts by time."""

from __future__ import annotations

import datetime as dt


def now() -> str:
    """This moment.

    >>> len(now())
    27
    """
    return text_of(dt.datetime.now(dt.UTC))


def to_the_minute(kept: str) -> str:
    """A time as it is kept, as it is shown.

    >>> to_the_minute('2027-05-01T12:00:31.000000Z')
    '2027-05-01 12:00 UTC'
    """
    return f"{kept[:10]} {kept[11:16]} UTC"


def text_of(moment: dt.datetime) -> str:
    """A moment as it is kept.

    >>> text_of(dt.datetime(2027, 5, 1, 12, 0, tzinfo=dt.UTC))
    '2027-05-01T12:00:00.000000Z'
    """
    return moment.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def seconds_of(kept: str) -> float:
    """A kept moment in seconds since 1970.

    >>> seconds_of("1970-01-01T00:01:00.500000Z")
    60.5
    """
    return dt.datetime.fromisoformat(kept).timestamp()
