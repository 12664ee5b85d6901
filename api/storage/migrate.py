"""Bringing a database to the form this program works with, or back."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, inspect, text

from api.storage.sqlite import OURS
from api.storage.store import Store, file_of, open_store
from sizing.errors import MusterError

FOLDER: Final = Path(__file__).resolve().parent / "migrations"
_LOCK: Final = 7_263_105


def upgrade(store: Store, step: str = "head") -> None:
    """Take every step up to `step`. Several processes may ask at once; one of them does it.

    Raises MusterError where the database cannot be used, is of another program, or was made by a newer one.
    """
    store.reach()

    def take(connection: Connection) -> None:
        _refuse_others(connection, store.where)
        command.upgrade(_config(connection), step)

    _in_turn(store, take)


def downgrade(store: Store, step: str) -> None:
    """Take steps back down to `step` ("base" for nothing at all). What those tables held is gone."""
    _in_turn(store, lambda connection: command.downgrade(_config(connection), step))


def current(store: Store) -> str | None:
    """The step the database is at, None for an empty one."""
    with store.read() as connection:
        return MigrationContext.configure(connection).get_current_revision()


def is_made(url: str) -> bool:
    """Whether there is a database with tables of this program; none is made by asking."""
    path = file_of(url)
    if path is not None and not path.is_file():
        return False
    store = open_store(url)
    try:
        store.reach()
        return current(store) is not None
    finally:
        store.close()


def newest() -> str:
    """The step this program works with."""
    head = ScriptDirectory.from_config(_config(None)).get_current_head()
    assert head is not None
    return head


def _config(connection: Connection | None) -> Config:
    config = Config()
    config.set_main_option("script_location", str(FOLDER).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config


def _in_turn(store: Store, steps: Callable[[Connection], None]) -> None:
    """Change the tables in one transaction, while no other does."""
    with store.in_words(), store.engine.connect() as connection:
        writer = connection.execution_options(writes=True)
        with writer.begin():
            if not store.is_sqlite:
                writer.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
            steps(writer)


def _refuse_others(connection: Connection, where: str) -> None:
    """A database of another program is not filled with our tables, one of a newer program not touched."""
    tables = set(inspect(connection).get_table_names()) - {"alembic_version"}
    if tables and OURS not in tables:
        raise MusterError(
            where, f"it holds tables of another program ({', '.join(sorted(tables)[:3])})",
            "a database of this program, or an empty one",
            "choose another one; nothing was changed in this",
        )  # fmt: skip
    at = MigrationContext.configure(connection).get_current_revision()
    known = {script.revision for script in ScriptDirectory.from_config(_config(None)).walk_revisions()}
    if at is not None and at not in known:
        raise MusterError(
            where, f"it is at step “{at}”, which this program does not know",
            "a database made by this or an older version", "install the newer version of the program",
        )  # fmt: skip
