"""Requests that could be read in two ways are refused; HEAD is answered like GET, without the body.

What stands behind a proxy must not read a request otherwise than the proxy did, and nobody's figures may hang
on which of two values was taken.
"""

from __future__ import annotations

import re
from collections import Counter
from typing import Final
from urllib.parse import unquote_to_bytes

from starlette.types import ASGIApp, Receive, Scope, Send

from api.http.problems import Problem

# Said once or not at all; other headers may be a list, or are looked at where they are used.
SINGLE: Final = frozenset({b"authorization", b"content-encoding", b"content-type"})
_NO_GZIP: Final = re.compile(
    rb"(?:^|,)[ \t]*(?:x-)?gzip[ \t]*;[ \t]*q=0(?:\.0{0,3})?[ \t]*(?:,|$)", re.IGNORECASE
)
_WHOLE: Final = re.compile(r"https?://[^/?#]+(/.*)?", re.IGNORECASE | re.DOTALL)
_RANGE: Final = re.compile(rb"bytes=[ \t]*(?:[0-9]{1,15}-[0-9]{0,15}|-[0-9]{1,15})[ \t]*")


class UnambiguousRequests:
    """Stands before the routes."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through that reads one way; a problem for any other."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = scope["headers"]
        refuse_ambiguous(headers)
        if b"%2f" in scope.get("raw_path", b"").lower():
            raise Problem("not-found", "An encoded slash (%2F) is no part of any address here.")
        refuse_no_text(scope["query_string"])
        plain = {**scope, "headers": [one for one in headers if not _means_nothing(*one)]}
        if not scope["path"].startswith("/"):
            plain |= {"path": origin_form(scope["path"])}
            plain |= {"raw_path": origin_form(scope["raw_path"].decode("latin-1")).encode("latin-1")}
        if scope["method"] == "HEAD":
            plain["method"] = "GET"  # the server process drops the body of an answer to HEAD itself
        await self._app(plain, receive, send)


def _means_nothing(name: bytes, value: bytes) -> bool:
    """Whether a header is to be read as if it was not there."""
    if name == b"accept-encoding":
        return _NO_GZIP.search(value) is not None  # gzip is the one coding that is known here
    return name == b"range" and not is_range(value)


def refuse_ambiguous(headers: list[tuple[bytes, bytes]]) -> None:
    """A problem where a header that can have one value has several, or the length of the body is given twice.

    Both ways of giving a length may be an attack on what stands in front [RFC 9112, 6.1].
    """
    counts = Counter(name for name, _ in headers)
    twice = sorted(name.decode() for name in SINGLE if counts[name] > 1)
    if twice:
        raise Problem("bad-request", f"Sent more than once: {', '.join(twice)}. Send each once.")
    if counts[b"transfer-encoding"] and counts[b"content-length"]:
        raise Problem(
            "bad-request", "Send Content-Length or Transfer-Encoding, not both.",
            headers={"connection": "close"},
        )  # fmt: skip


def refuse_no_text(query: bytes) -> None:
    """A problem where a query is no UTF-8 once decoded: it would be searched for as something else."""
    try:
        unquote_to_bytes(query).decode("utf-8")
    except UnicodeDecodeError:
        raise Problem("not-valid", "See errors.", errors=[
            {"field": "query", "code": "not_utf8", "expected": "text in UTF-8, percent-encoded"}
        ]) from None  # fmt: skip


def origin_form(target: str) -> str:
    """The path of a request whose target is a whole address, which a server has to take [RFC 9112, 3.2.2].

    >>> origin_form("http://dock.example:8000/v1/me"), origin_form("HTTPS://dock.example"), origin_form("*")
    ('/v1/me', '/', '*')
    """
    found = _WHOLE.fullmatch(target)
    return (found[1] or "/") if found else target


def is_range(value: bytes) -> bool:
    """Whether a Range asks for one range of bytes. Any other is ignored, as a server may [RFC 9110, 14.2].

    >>> is_range(b"bytes=0-99"), is_range(b"bytes=9-2"), is_range(b"items=0-1"), is_range(b"bytes=0-1,3-4")
    (True, False, False, False)
    """
    if not _RANGE.fullmatch(value):
        return False
    first, _, last = value.partition(b"=")[2].strip().partition(b"-")
    return not first or not last or int(first) <= int(last)
