"""A database that cannot be used, reported in plain words and never as a traceback."""

from __future__ import annotations

from typing import Final

from sqlalchemy.exc import DBAPIError, InterfaceError, OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError

from api.storage import sqlite
from sizing.errors import MusterError

UNAVAILABLE: Final = (OperationalError, InterfaceError, PoolTimeoutError, sqlite.OperationalError)
"""What is raised where a database is gone, full, locked too long, or lets nobody in."""

_LONGEST: Final = 300
_BUSY: Final = ("one that no other program writes to for long",
                "wait until the other program is done, or end it, and give the command again")  # fmt: skip
_ROOM: Final = ("room on the disk", "make room, and give the command again; nothing of it was written")
_RIGHTS: Final = ("a file and a folder that can be written",
                  "change their permissions, or choose another folder; nothing was changed")  # fmt: skip
_WHOLE: Final = ("a whole database of this program",
                 "keep this file, and restore the last backup into a new folder; if it is a file of something"
                 " else, move it away")  # fmt: skip
_FILE: Final = {
    5: _BUSY, 6: _BUSY, 8: _RIGHTS, 3: _RIGHTS, 14: _RIGHTS, 23: _RIGHTS, 13: _ROOM, 11: _WHOLE, 26: _WHOLE,
    10: ("a disk that can be read and written, with room on it",
         "make room and check the disk, and give the command again; nothing of it was written"),
}  # fmt: skip
"""By SQLite's result code: what is expected, and how to mend it."""

_SERVER: Final = (
    "a database that answers and lets this user in",
    "check that it runs, and the address, the name, the user and the permissions; nothing was changed",
)
_SERVER_STATES: Final = ("08", "25006", "28", "3D", "40", "42501", "53", "55P03", "57", "58", "XX")
"""How the states begin in which PostgreSQL says that it cannot do its work; others are a fault of ours."""


class DatabaseUnavailable(MusterError):  # noqa: N818  a state, answered as a problem document
    """The database does not answer, or is not the one that was opened."""


def unavailable(problem: Exception, where: str) -> DatabaseUnavailable | None:
    """The sentence for a database that cannot be used, None where the fault is another.

    The driver's reason is a part of it, and holds no password.
    """
    said = problem.orig if isinstance(problem, DBAPIError) else problem
    reason = (str(said).strip().splitlines() or ["no reason was given"])[0][:_LONGEST]
    if isinstance(said, sqlite.DatabaseError):
        told = _FILE.get(getattr(said, "sqlite_errorcode", 0) & 0xFF)
    else:
        state = getattr(said, "sqlstate", None)
        out = isinstance(problem, OperationalError | InterfaceError) if state is None else None
        told = _SERVER if out or (state or "").startswith(_SERVER_STATES) else None
    return None if told is None else DatabaseUnavailable(where, f"it cannot be used ({reason})", *told)


def moved(path: str) -> DatabaseUnavailable:
    """The sentence for a database file that is not where it was when it was opened."""
    return DatabaseUnavailable(
        f"database file {path}", "it was moved, replaced or deleted while the program runs",
        "the file that was opened", "stop the program, put the file back, and start it again",
    )  # fmt: skip
