"""Which SQLite is used: the one that is installed with the program, else the one Python came with.

SQLite 3.7.0 to 3.51.2 can lose a commit, or damage the file, when two connections write just as its log (WAL)
is reset. Where the one in use is of these, the file has a rollback journal: slower, and without that fault.
"""

from __future__ import annotations

import sqlite3
from importlib import import_module
from typing import Any, Final


def _library() -> Any:
    try:
        return import_module("pysqlite3.dbapi2")
    except ImportError:  # no wheel for this machine
        return sqlite3


library: Final = _library()
VERSION: tuple[int, ...] = library.sqlite_version_info
WAL_RESET_FAULT: Final = ((3, 7, 0), (3, 51, 2))

OURS: Final = "trail_head"
"""A table by which a database is known as this program's."""

DatabaseError: Final[type[Exception]] = library.DatabaseError
OperationalError: Final[type[Exception]] = library.OperationalError


def journal_mode() -> str:
    """The journal that is safe with the SQLite in use."""
    low, high = WAL_RESET_FAULT
    return "truncate" if low <= VERSION <= high else "wal"


def prepare(connection: Any, busy_milliseconds: int) -> None:
    """Set a new connection up for safety; transactions are begun by whoever uses it, not by the driver.

    An SQLite with the fault takes a log away once nobody else has the file open, and refuses until then.
    The other way round is no matter: a rollback journal is safe with any SQLite.
    """
    connection.isolation_level = None
    for pragma in ("synchronous=FULL", "foreign_keys=ON", f"busy_timeout={busy_milliseconds}"):
        connection.execute(f"PRAGMA {pragma}")
    tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    if tables and OURS not in tables:
        return  # the file of another program stays as it is
    try:
        connection.execute(f"PRAGMA journal_mode={journal_mode()}")
    except OperationalError:
        if journal_mode() != "wal":
            raise
        connection.execute("PRAGMA journal_mode=TRUNCATE")
