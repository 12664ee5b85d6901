"""Connections and transactions: one way to read, one way to write, on both kinds of database."""

from __future__ import annotations

import random
import re
import sqlite3
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final, TypeVar

from sqlalchemy import Connection, Engine, Select, create_engine, event, make_url, select
from sqlalchemy.dialects import sqlite
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError
from sqlalchemy.pool import QueuePool

from api.storage.schema import trail_head
from sizing.errors import MusterError

Result = TypeVar("Result")

TRIES: Final = 8
RETRY_STATES: Final = ("40001", "40P01")
"""A serialisation failure and a deadlock: PostgreSQL undid the transaction, and it may be tried again."""

BUSY_MILLISECONDS: Final = 15_000
WAL_RESET_BUG: Final = ((3, 7, 0), (3, 51, 2))


class Store:
    """A database with its transactions. `write` is whole or did not happen; writers stand in line."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self.is_sqlite = engine.dialect.name == "sqlite"
        self._own = threading.local()
        self._opened: list[sqlite3.Connection] = []
        self._compiled: dict[int, str] = {}

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """A transaction that only reads, over one state of the data."""
        with self.engine.connect() as connection:
            if not self.is_sqlite:  # SQLite reads one state anyway
                connection.execution_options(isolation_level="REPEATABLE READ")
            with connection.begin():
                yield connection

    def write(self, work: Callable[[Connection], Result]) -> Result:
        """Run `work` in one transaction while no other writes; it may run again after a clash."""
        for attempt in range(TRIES):
            try:
                with self.engine.connect() as connection:
                    writer = connection.execution_options(writes=True)
                    with writer.begin():
                        if not self.is_sqlite:
                            writer.execute(select(trail_head.c.seq).with_for_update())
                        return work(writer)
            except DBAPIError as problem:
                if attempt == TRIES - 1 or not _may_try_again(problem):
                    raise
                time.sleep(random.uniform(0.005, 0.02) * 2**attempt)  # noqa: S311  spreads writers, no secret
        raise AssertionError("unreachable")

    def one(self, query: Select[Any], parameters: Mapping[str, Any]) -> tuple[Any, ...] | None:
        """The first row of one prepared query, by the shortest way; `query` must live as long as the store.

        One statement is one state of the data, so that SQLite is asked without a transaction around it.
        """
        if not self.is_sqlite:
            with self.engine.connect() as connection:
                row = connection.execute(query, parameters).first()
            return None if row is None else tuple(row)
        text = self._compiled.get(id(query))
        if text is None:
            text = str(query.compile(dialect=sqlite.dialect(paramstyle="named")))
            self._compiled[id(query)] = text
        found: tuple[Any, ...] | None = self._raw().execute(text, parameters).fetchone()
        return found

    def _raw(self) -> sqlite3.Connection:
        """A connection of this thread alone, for `one`."""
        raw: sqlite3.Connection | None = getattr(self._own, "connection", None)
        if raw is None:
            raw = sqlite3.connect(
                str(self.engine.url.database), isolation_level=None, check_same_thread=False
            )
            raw.execute(f"PRAGMA busy_timeout={BUSY_MILLISECONDS}")
            self._own.connection = raw
            self._opened.append(raw)
        return raw

    def close(self) -> None:
        """Close every connection."""
        for raw in self._opened:
            raw.close()
        self._opened.clear()
        self._own = threading.local()
        self.engine.dispose()


def open_store(url: str) -> Store:
    """Connect to SQLite or PostgreSQL; MusterError where the address is of neither."""
    try:
        parsed = make_url(url)
    except ArgumentError:
        parsed = None
    name = parsed.get_backend_name() if parsed is not None else ""
    try:
        if parsed is not None and name == "sqlite" and parsed.database:
            return Store(_sqlite(Path(parsed.database)))
        if parsed is not None and name == "postgresql":
            return Store(
                create_engine(
                    parsed.set(drivername="postgresql+psycopg"),
                    pool_size=10,
                    max_overflow=20,
                    pool_pre_ping=True,
                )
            )
    except NoSuchModuleError:
        pass
    raise MusterError(
        "database address", "it is neither a SQLite file nor a PostgreSQL server",
        "sqlite:////folder/file.sqlite or postgresql://user@host/database",
        "correct the address; leave it out to keep everything in one file",
    )  # fmt: skip


def _sqlite(path: Path) -> Engine:
    path.parent.mkdir(parents=True, exist_ok=True)
    engine = create_engine(
        f"sqlite:///{path}",
        poolclass=QueuePool,
        pool_size=10,
        max_overflow=20,
        connect_args={"check_same_thread": False, "timeout": BUSY_MILLISECONDS / 1000},
    )

    @event.listens_for(engine, "connect")
    def _prepare(connection: sqlite3.Connection, _record: Any) -> None:
        connection.isolation_level = None  # transactions are begun below, not by the driver
        for pragma in (
            "journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", f"busy_timeout={BUSY_MILLISECONDS}",
        ):  # fmt: skip
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _may_try_again(problem: DBAPIError) -> bool:
    state = getattr(problem.orig, "sqlstate", None)
    if state is not None:
        return state in RETRY_STATES
    return isinstance(problem.orig, sqlite3.OperationalError) and re.search(
        r"locked|busy", str(problem.orig)
    ) is not None  # fmt: skip


def sqlite_warning(version: tuple[int, ...] = sqlite3.sqlite_version_info) -> str | None:
    """What to say at start of an SQLite that can lose a commit when its log is reset, or None.

    >>> sqlite_warning((3, 51, 3)) is None
    True
    """
    low, high = WAL_RESET_BUG
    if not low <= version <= high:
        return None
    return (
        f"SQLite {'.'.join(map(str, version))} has a rare fault in its log (3.7.0 to 3.51.2): two "
        "connections that write just as the log is reset can damage the file. Use SQLite 3.51.3 or newer, or "
        "PostgreSQL, and take backups."
    )
