"""What every request passes first: sizes, times, counting, headers of safety, the shape of errors."""

from __future__ import annotations

import asyncio
import logging
import time
from typing import Final

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.metrics import Metrics
from api.http.problems import Problem, problem_response
from api.settings import Limits

MOST_DRAINED: Final = 4 * 1024 * 1024
DRAIN_S: Final = 2.0
API_POLICY: Final = "default-src 'none'; frame-ancestors 'none'"
_SAFE: Final = (
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "no-referrer"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
)
_BUSY: Final = {"retry-after": "5", "connection": "close"}
_log: Final = logging.getLogger(__name__)


class Gate:
    """The outermost part of the application."""

    def __init__(self, app: ASGIApp, limits: Limits, metrics: Metrics) -> None:
        self._app, self._limits, self._metrics = app, limits, metrics
        self._open = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it with a problem."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        began = time.perf_counter()
        status = 0
        self._open += 1

        async def answer(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                headers = MutableHeaders(scope=message)
                for name, value in _SAFE:
                    headers[name] = value
                headers.setdefault("content-security-policy", API_POLICY)
                headers.setdefault("cache-control", "no-store")
            await send(message)

        try:
            if self._open > self._limits.requests_at_once:
                raise Problem("too-busy", "Try again in a few seconds.", headers=_BUSY)
            await self._app(scope, self._limited(scope, receive), answer)
        except Problem as problem:
            if status:
                raise
            await problem.response()(scope, receive, answer)
        except Exception:
            _log.exception("a request failed")
            if status:
                raise
            await problem_response("internal")(scope, receive, answer)
        finally:
            self._open -= 1
            self._metrics.count(scope, status, time.perf_counter() - began)

    def _limited(self, scope: Scope, receive: Receive) -> Receive:
        """A `receive` that ends with a problem past the size or the time allowed."""
        limits = self._limits
        upload = scope["method"] == "POST" and scope["path"].endswith("/revisions")
        most = limits.upload_bytes if upload else limits.body_bytes
        length = next((value for name, value in scope["headers"] if name == b"content-length"), b"0")
        too_large = Problem(
            "too-large", f"At most {most} bytes are taken here.", headers={"connection": "close"}
        )
        taken = 0
        until = time.monotonic() + limits.body_seconds * (20 if upload else 1)

        async def limited() -> Message:
            nonlocal taken
            if length.isdigit() and int(length[:20]) > most:
                await _drain(receive)
                raise too_large
            try:
                message = await asyncio.wait_for(receive(), max(until - time.monotonic(), 0.001))
            except TimeoutError:
                raise Problem(
                    "too-slow", "Nothing of it was kept.", headers={"connection": "close"}
                ) from None
            if message["type"] == "http.request":
                taken += len(message.get("body", b""))
                if taken > most:
                    await _drain(receive)
                    raise too_large
            return message

        return limited


async def _drain(receive: Receive) -> None:
    """Take in a little more of what is too large, so that the client comes to read why it was refused."""
    taken = 0
    try:
        async with asyncio.timeout(DRAIN_S):
            while taken < MOST_DRAINED:
                message = await receive()
                taken += len(message.get("body", b""))
                if message["type"] != "http.request" or not message.get("more_body"):
                    return
    except TimeoutError:
        return
