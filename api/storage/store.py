"""Connections and transactions: one way to read, one way to write, on both kinds of database."""

from __future__ import annotations

import os
import random
import re
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Final, TypeVar

from sqlalchemy import Connection, Engine, Select, create_engine, event, make_url, select
from sqlalchemy.dialects.sqlite import dialect as sqlite_dialect
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError
from sqlalchemy.pool import QueuePool

from api.storage import sqlite
from api.storage.schema import trail_head
from api.storage.unavailable import moved, unavailable
from sizing.errors import MusterError, OutputError, missing_extra

Result = TypeVar("Result")

TRIES: Final = 8
RETRY_STATES: Final = ("40001", "40P01")
"""A serialisation failure and a deadlock: PostgreSQL undid the transaction, and it may be tried again."""

BUSY_MILLISECONDS: Final = 15_000
POOL_WAIT_S: Final = 10
ANSWERS_SOON: Final = {
    "connect_timeout": 5, "keepalives_idle": 20, "keepalives_interval": 5, "keepalives_count": 3,
    "tcp_user_timeout": 20_000,
}  # fmt: skip
"""For PostgreSQL: a server that vanished is noticed within seconds, not after many minutes."""

_NO_FILE: Final = (-1, -1)
_MOVED: Final = (-2, -2)


class Store:
    """A database with its transactions. `write` is whole or did not happen; writers stand in line."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self.is_sqlite = engine.dialect.name == "sqlite"
        self._own = threading.local()
        self._opened: list[Any] = []
        self._compiled: dict[int, str] = {}
        self._file: tuple[int, int] | None = None

    @property
    def where(self) -> str:
        """What a message calls it; no user and no password."""
        at = self.engine.url
        return f"database file {at.database}" if self.is_sqlite else f"database {at.database} at {at.host}"

    @contextmanager
    def in_words(self) -> Iterator[None]:
        """What the driver says of a database that cannot be used, as DatabaseUnavailable."""
        try:
            yield
        except DBAPIError as problem:
            told = unavailable(problem, self.where)
            if told is None:
                raise
            raise told from problem

    def reach(self) -> None:
        """Connect once; DatabaseUnavailable, with the reason, where that cannot be."""
        with self.in_words(), self.engine.connect() as connection:
            connection.execute(select(1))
        self.refuse_moved()

    def refuse_moved(self) -> None:
        """DatabaseUnavailable from when the file is not the one first seen: what is written would be lost."""
        if not self.is_sqlite:
            return
        path = str(self.engine.url.database)
        try:
            found = os.stat(path)  # noqa: PTH116  a path object costs more than the call
        except OSError:
            here = _NO_FILE
        else:
            here = found.st_dev, found.st_ino
        if self._file is None:
            self._file = here
        elif self._file != here:
            self._file = _MOVED  # connections may be open to either: only a new start is sure
            raise moved(path)

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """A transaction that only reads, over one state of the data."""
        if self._file is not None:
            self.refuse_moved()
        with self.in_words(), self.engine.connect() as connection:
            if not self.is_sqlite:  # SQLite reads one state anyway
                connection.execution_options(isolation_level="REPEATABLE READ")
            with connection.begin():
                yield connection

    def write(self, work: Callable[[Connection], Result]) -> Result:
        """Run `work` in one transaction while no other writes; it may run again after a clash."""
        if self._file is not None:
            self.refuse_moved()
        with self.in_words():
            return self._write(work)

    def _write(self, work: Callable[[Connection], Result]) -> Result:
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
            with self.in_words(), self.engine.connect() as connection:
                row = connection.execute(query, parameters).first()
            return None if row is None else tuple(row)
        text = self._compiled.get(id(query))
        if text is None:
            text = str(query.compile(dialect=sqlite_dialect(paramstyle="named")))
            self._compiled[id(query)] = text
        try:
            found: tuple[Any, ...] | None = self._raw().execute(text, parameters).fetchone()
        except sqlite.DatabaseError as problem:
            raise unavailable(problem, self.where) or problem from None
        return found

    def _raw(self) -> Any:
        """A connection of this thread alone, for `one`."""
        raw = getattr(self._own, "connection", None)
        if raw is None:
            there = f"{Path(str(self.engine.url.database)).absolute().as_uri()}?mode=rw"
            raw = sqlite.library.connect(there, uri=True, isolation_level=None, check_same_thread=False)
            raw.execute(f"PRAGMA busy_timeout={BUSY_MILLISECONDS}")
            self._own.connection = raw
            self._opened.append(raw)
        return raw

    def damage(self) -> tuple[str, ...]:
        """What SQLite finds wrong with its file as a whole; a server looks after its own."""
        if not self.is_sqlite:
            return ()
        with self.read() as connection:
            said = connection.exec_driver_sql("PRAGMA integrity_check(3)").scalars().all()
        return tuple(str(line) for line in said if line != "ok")

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
                    pool_timeout=POOL_WAIT_S,
                    pool_pre_ping=True,
                    hide_parameters=True,
                    connect_args=dict(ANSWERS_SOON),
                )
            )
    except NoSuchModuleError:
        pass
    except ModuleNotFoundError as lost:
        raise missing_extra("server", lost) from None
    raise MusterError(
        "database address", "it is neither a SQLite file nor a PostgreSQL server",
        "sqlite:////folder/file.sqlite or postgresql://user@host/database",
        "correct the address; leave it out to keep everything in one file",
    )  # fmt: skip


def file_of(url: str) -> Path | None:
    """The file of a SQLite address, None for any other."""
    try:
        parsed = make_url(url)
    except ArgumentError:
        return None
    return Path(parsed.database) if parsed.get_backend_name() == "sqlite" and parsed.database else None


def _sqlite(path: Path) -> Engine:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise OutputError(
            f"folder {path.parent}", f"it cannot be made ({problem.strerror})",
            "a folder that can be written", "choose another folder for the data, or change the permissions",
        ) from problem  # fmt: skip
    engine = create_engine(
        f"sqlite:///{path}",
        module=sqlite.library,
        poolclass=QueuePool,
        pool_size=10,
        max_overflow=20,
        pool_timeout=POOL_WAIT_S,
        hide_parameters=True,  # what people sent stays out of errors, and so of the log
        connect_args={"check_same_thread": False, "timeout": BUSY_MILLISECONDS / 1000},
    )

    @event.listens_for(engine, "do_connect")
    def _make(*_arguments: Any) -> None:
        _make_private(path)

    @event.listens_for(engine, "connect")
    def _prepare(connection: Any, _record: Any) -> None:
        sqlite.prepare(connection, BUSY_MILLISECONDS)

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _make_private(path: Path) -> None:
    """Make the file for this user alone, since it holds contact details; its log is made like it."""
    with suppress(OSError):  # what stands in the way is reported when it is opened
        os.close(os.open(path, os.O_CREAT | os.O_EXCL, 0o600))


def _may_try_again(problem: DBAPIError) -> bool:
    state = getattr(problem.orig, "sqlstate", None)
    if state is not None:
        return state in RETRY_STATES
    return isinstance(problem.orig, sqlite.OperationalError) and re.search(
        r"locked|busy", str(problem.orig)
    ) is not None  # fmt: skip
