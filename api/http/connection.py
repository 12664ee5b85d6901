"""One connection: HTTP/1.1 that never waits for ever for its client, and errors in the one shape.

A server has so many sockets, and a client that keeps one without use takes it from the others. So every wait
for a client ends: for the head of a request, for what is left of a body nobody reads, and for an answer to be
taken. And when all connections are in use, the one that has waited longest for its client gives way. One
address has a part of them alone, and past it one of its own gives way.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterable
from typing import Any, ClassVar, Final

import h11
from starlette.types import Receive, Scope, Send
from uvicorn.protocols.http.h11_impl import STATUS_PHRASES, H11Protocol

from api.http.problems import problem_response
from api.settings import Limits
from api.signin.guesses import source_of

_RETRY_S: Final = 5


class ShapedProtocol(H11Protocol):
    """A connection with limits, where a request that is none is answered with a problem document."""

    limits: ClassVar[Limits] = Limits()
    _late: asyncio.TimerHandle | None = None
    _taking: asyncio.TimerHandle | None = None
    _waits_since: float | None = None
    _left: int = 0
    _source: str = ""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take the connection if there is room, or can be made; else answer that there is none."""
        others = self._shaped()
        super().connection_made(transport)
        self._source = source_of(self.client[0] if self.client else "unknown")
        own = [one for one in others if one._source == self._source]
        full = len(others) >= self.limits.connections
        if len(own) >= self.limits.connections_per_address:
            room = _make_room(own)
        else:
            room = not full or _make_room(others)
        if not room:
            self.app = _too_busy
        self._note_waiting()

    def connection_lost(self, exc: Exception | None) -> None:
        """End every wait."""
        super().connection_lost(exc)
        for timer in (self._late, self._taking):
            if timer is not None:
                timer.cancel()

    def data_received(self, data: bytes) -> None:
        """Read on, and note whether the client has now sent what was waited for."""
        super().data_received(data)
        self._note_waiting()

    def on_response_complete(self) -> None:
        """The answer is written; the client has to take it, and may ask again."""
        super().on_response_complete()
        self._note_waiting()
        self._watch_taking()

    def pause_writing(self) -> None:
        """The client is slow to take the answer."""
        super().pause_writing()
        self._note_waiting()
        self._watch_taking()

    def resume_writing(self) -> None:
        """The client took enough of the answer to be given more."""
        super().resume_writing()
        self._note_waiting()

    def send_400_response(self, msg: str) -> None:
        """Answer a request that cannot be read, and end the connection."""
        self._refuse("bad-request", "This is not a request in HTTP/1.1.")

    def _note_waiting(self) -> None:
        """Begin or end the wait for the client: for a head, or for a body that nobody reads any more."""
        head, ours = self.conn.their_state is h11.IDLE, self.conn.our_state
        awaited = head or (ours is h11.DONE and self.conn.their_state is h11.SEND_BODY)
        if not awaited and self._late is not None:
            self._late.cancel()
            self._late = None
        # Between requests the server's own time to keep a connection counts, until something more arrives.
        if awaited and self._late is None and self.timeout_keep_alive_task is None:
            self._late = self.loop.call_later(self.limits.head_seconds, self._too_late)
        if not awaited and not self.flow.write_paused:
            self._waits_since = None
        elif self._waits_since is None:
            self._waits_since = self.loop.time()

    def _too_late(self) -> None:
        if self.transport.is_closing():
            return
        if self.conn.our_state is h11.IDLE and self.conn.trailing_data[0]:
            self._refuse("too-slow", "The head of the request did not arrive in time.")
        else:
            self.transport.abort()

    def _refuse(self, code: str, detail: str) -> None:
        answer = problem_response(code, detail)
        headers = [*answer.raw_headers, (b"connection", b"close"), (b"x-content-type-options", b"nosniff")]
        for event in (
            h11.Response(
                status_code=answer.status_code, headers=headers, reason=STATUS_PHRASES[answer.status_code]
            ),
            h11.Data(data=bytes(answer.body)),
            h11.EndOfMessage(),
        ):
            self.transport.write(self.conn.send(event) or b"")
        self.transport.close()
        self._watch_taking()

    def _watch_taking(self) -> None:
        """Look after a while how much of what is written now was taken."""
        if self._taking is not None:
            self._taking.cancel()
            self._taking = None
        self._left = self.transport.get_write_buffer_size()
        if self._left:
            self._taking = self.loop.call_later(self.limits.answer_seconds, self._look_at_taking)

    def _look_at_taking(self) -> None:
        """End the connection if too little was taken since the last look; else look again later."""
        left = self.transport.get_write_buffer_size()
        if left and self._left - left < min(self.limits.answer_bytes, self._left):
            self.transport.abort()
        else:
            self._watch_taking()

    def _shaped(self) -> list[ShapedProtocol]:
        return [one for one in self.connections if isinstance(one, ShapedProtocol)]


def _make_room(among: Iterable[ShapedProtocol]) -> bool:
    """End the connection that has waited longest for its client; False where every one is at work."""
    waiting = [
        (one._waits_since, number, one) for number, one in enumerate(among) if one._waits_since is not None
    ]
    if not waiting:
        return False
    _, _, longest = min(waiting)
    longest.transport.abort()
    longest.connections.discard(longest)  # the next one that comes looks for another
    return True


async def _too_busy(scope: Scope, receive: Receive, send: Send) -> Any:
    """Answer that every connection is in use, of all or of this address, and end this one."""
    headers = {"retry-after": str(_RETRY_S), "connection": "close", "x-content-type-options": "nosniff"}
    detail = "Try again in a few seconds."
    await problem_response("too-busy", detail, headers=headers)(scope, receive, send)
