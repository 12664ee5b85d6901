"""A database that does not answer, reported in plain words and never as a traceback."""

from __future__ import annotations

from typing import Final

from sqlalchemy.exc import DBAPIError, InterfaceError, OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError

from api.storage import sqlite
from sizing.errors import MusterError

UNAVAILABLE: Final = (OperationalError, InterfaceError, PoolTimeoutError, sqlite.OperationalError)
"""What is raised where a database is gone, full, locked too long, or lets nobody in."""

_LONGEST: Final = 300


class DatabaseUnavailable(MusterError):  # noqa: N818  a state, answered as a problem document
    """The database does not answer, or is not the one that was opened."""


def unavailable(problem: DBAPIError) -> DatabaseUnavailable:
    """The sentence for a connection that failed; the driver's reason holds no password."""
    reason = str(problem.orig).strip().splitlines() or ["no reason was given"]
    return DatabaseUnavailable(
        "database", f"it cannot be used ({reason[0][:_LONGEST]})",
        "a database that answers and lets this user in",
        "check that it runs, and the address, the name, the user and the permissions; nothing was changed",
    )  # fmt: skip


def moved(path: str) -> DatabaseUnavailable:
    """The sentence for a database file that is not where it was when it was opened."""
    return DatabaseUnavailable(
        f"database file {path}", "it was moved, replaced or deleted while the program runs",
        "the file that was opened", "stop the program, put the file back, and start it again",
    )  # fmt: skip
