"""Conditions of a request about the version it means: If-Match, If-None-Match, If-Unmodified-Since."""

from __future__ import annotations

import re
from email.utils import parsedate_to_datetime
from typing import Final

from starlette.datastructures import Headers

from api.http.problems import Problem

_TAG: Final = re.compile(r'(?:W/)?"[!#-~\x80-\xff]*"')


def refuse_other(headers: Headers, etag: str, last_modified: str | None = None) -> None:
    """A problem where the client asks for another version than the present one [RFC 9110, 13.1.1, 13.1.4].

    A weak tag is the same as none here; a date counts only where no tag is given.
    """
    said = headers.getlist("if-match")
    if said:
        wanted = ", ".join(said).strip()
        if wanted != "*" and etag not in _TAG.findall(wanted):
            raise _changed(etag)
    elif (
        last_modified
        and (date := headers.get("if-unmodified-since")) is not None
        and _later(last_modified, date)
    ):
        raise _changed(etag)


def is_held(headers: Headers, etag: str) -> bool:
    """Whether the client has this version already (If-None-Match), by a tag that may be weak."""
    wanted = ", ".join(headers.getlist("if-none-match")).strip()
    return wanted == "*" or etag in [tag.removeprefix("W/") for tag in _TAG.findall(wanted)]


def _changed(etag: str) -> Problem:
    return Problem(
        "changed-meanwhile", "It is of another version than the one asked for.", headers={"etag": etag}
    )


def _later(one: str, other: str) -> bool:
    """Whether the first date is later; what is no date counts for nothing."""
    try:
        return parsedate_to_datetime(one) > parsedate_to_datetime(other)
    except (ValueError, TypeError):
        return False
