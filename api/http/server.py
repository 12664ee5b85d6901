"""The server process: one address, no access log, and one shape of errors also for what is not HTTP."""

from __future__ import annotations

import logging
import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

import h11
import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from api.http.app import make_app
from api.http.problems import problem_response
from api.settings import Settings
from api.storage.migrate import upgrade
from api.storage.store import open_store
from sizing.errors import MusterError

LOCK: Final = "server.lock"
_GRACE_S: Final = 30
_REFUSED: Final = {"connection": "close", "x-content-type-options": "nosniff"}


class ShapedProtocol(H11Protocol):
    """A connection on which a request that breaks the rules of HTTP is answered with a problem document."""

    def send_400_response(self, msg: str) -> None:
        """Answer, and end the connection."""
        answer = problem_response("bad-request", "This is not a request in HTTP/1.1.", headers=_REFUSED)
        for event in (
            h11.Response(status_code=400, headers=answer.raw_headers, reason=b"Bad Request"),
            h11.Data(data=bytes(answer.body)),
            h11.EndOfMessage(),
        ):
            self.transport.write(self.conn.send(event) or b"")
        self.transport.close()


def configured(settings: Settings, host: str, port: int) -> uvicorn.Config:
    """How the server runs: no access log (addresses and tokens stay out of logs), no server name."""
    return uvicorn.Config(
        make_app(settings),
        host=host,
        port=port,
        http=ShapedProtocol,
        ws="none",
        access_log=False,
        server_header=False,
        log_level="warning",
        timeout_keep_alive=15,
        timeout_graceful_shutdown=_GRACE_S,
        h11_max_incomplete_event_size=64 * 1024,
    )


def serve(settings: Settings, host: str, port: int) -> None:
    """Run until stopped; MusterError where another process serves the same file."""
    logging.basicConfig(level=logging.WARNING, format="%(asctime)s %(levelname)s %(name)s: %(message)s")
    with only_server(settings):
        store = open_store(settings.url)
        try:
            upgrade(store)  # a database that cannot be used is reported before anything listens
        finally:
            store.close()
        uvicorn.Server(configured(settings, host, port)).run()


@contextmanager
def only_server(settings: Settings) -> Iterator[None]:
    """Hold the folder of a database file for this process; on PostgreSQL several may serve."""
    if settings.database_url and not settings.database_url.startswith("sqlite"):
        yield
        return
    settings.folder.mkdir(parents=True, exist_ok=True)
    path = settings.folder / LOCK
    with path.open("a+b") as handle:
        if not _lock(handle.fileno()):
            raise MusterError(
                f"folder {settings.folder}", "another server works in it", "one server for one database file",
                "stop the other one, or use PostgreSQL to run several",
            )  # fmt: skip
        yield


def _lock(descriptor: int) -> bool:
    if os.name == "nt":
        import msvcrt  # noqa: PLC0415  there on Windows only

        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
        except OSError:
            return False
        return True
    import fcntl  # noqa: PLC0415  not there on Windows

    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
