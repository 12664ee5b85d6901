"""When something was seen aboard, by the clock of the phone it was entered on.

That clock may be wrong, or set wrong on purpose. So its time stands beside the server's own time of arrival
and decides nothing: which measurement counts follows from the order of arrival, and from If-Match, by which
whoever comes late has to look at what stands first. A time that cannot be right is refused, and the same
entry is taken without one: a wrong clock never costs an entry.
"""

from __future__ import annotations

import datetime as dt
from typing import Final

from api.season.errors import NotValid, sentence
from api.storage.clock import text_of

MOST_AHEAD: Final = dt.timedelta(minutes=5)
"""By so much a phone's clock may be ahead of the server's."""

OLDEST: Final = dt.timedelta(days=31)
"""An entry waits on a phone for an inspection season at most: a token lasts 30 days unless made otherwise."""

FIELD: Final = "observed_at_phone_clock"
_SHOWN: Final = "%Y-%m-%dT%H:%M:%SZ"
_MEND: Final = "set the clock of the phone, or send the entry without a time of observation"


def observed(moment: dt.datetime | None, arrived: dt.datetime) -> str | None:
    """The time of observation as it is kept, in UTC; refused where it cannot be right.

    >>> observed(dt.datetime.fromisoformat("2027-05-01T14:02:11+02:00"),
    ...          dt.datetime(2027, 5, 1, 13, tzinfo=dt.UTC))
    '2027-05-01T12:02:11.000000Z'
    """
    if moment is None:
        return None
    if moment > arrived + MOST_AHEAD:
        raise _refusal("after_arrival", f"a time not later than this one arrives, {arrived:{_SHOWN}}")
    if moment < arrived - OLDEST:
        raise _refusal("too_old", f"a time not older than {OLDEST.days} days, {arrived - OLDEST:{_SHOWN}}")
    return text_of(moment)


def _refusal(code: str, expected: str) -> NotValid:
    error = {"field": FIELD, "code": code, "expected": expected, "mend": _MEND}
    found = "the time of observation cannot be right"
    detail = f"{sentence(found)} Nothing was kept."
    return NotValid(FIELD, found, expected, _MEND, detail=detail, errors=[error])
