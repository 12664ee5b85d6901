"""The tables of both kinds of database: up and down, written in turn, saved and put back."""

from __future__ import annotations

import contextlib
import importlib.util
import shutil
import sqlite3
import threading
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import Connection, func, insert, inspect, select, text, update
from sqlalchemy.exc import DBAPIError

from api.jobs.queue import add_site_job, claim
from api.season.tokens import make_token
from api.signin import Tokens
from api.storage import migrate, sqlite
from api.storage import store as storage
from api.storage.backup import backup, restore, verify_backup
from api.storage.migrate import current, downgrade, newest, upgrade
from api.storage.schema import entries, fleets, metadata, tokens, trail
from api.storage.store import Store, open_store
from api.storage.unavailable import DatabaseUnavailable
from api.trail import append, read_anchors, verify_trail
from api.trail.chain import PROGRAM
from sizing.errors import MusterError
from tests.api.conftest import KINDS, new_database
from tests.api.running import Running

FAULTY = (3, 51, 2)
"""The last SQLite that can lose a commit when its log is reset."""


@pytest.fixture(params=[*KINDS, "sqlite with the fault"])
def store(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Store]:
    """An empty database of either kind; a file with a log, and with a rollback journal."""
    kind, _, fault = request.param.partition(" ")
    if kind == "sqlite":
        monkeypatch.setattr(sqlite, "VERSION", FAULTY if fault else (3, 51, 3))
    for url in new_database(kind, tmp_path):
        opened = open_store(url)
        yield opened
        opened.close()


def make_fleet(store: Store, name: str) -> None:
    def write(connection: Connection) -> None:
        connection.execute(insert(fleets).values(id=name, name=name, version=0, created_at="2026-01-01"))
        append(connection, PROGRAM, "fleet.made", name, name, after={"name": name})

    store.write(write)


def test_the_steps_make_the_tables_the_program_works_with(store: Store) -> None:
    upgrade(store)
    assert current(store) == newest()
    with store.read() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []
    upgrade(store)


LATER_STEP = """
import sqlalchemy as sa
from alembic import op

revision, down_revision, branch_labels, depends_on = "9001", "{newest}", None, None


def upgrade():
    op.add_column("fleets", sa.Column("harbour", sa.Text(), nullable=False, server_default="not known"))


def downgrade():
    with op.batch_alter_table("fleets") as fleets:
        fleets.drop_column("harbour")
"""


def test_an_older_database_is_brought_up_with_what_it_holds_and_taken_down_again(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By a step that is added after the newest: it goes up and down over data, and down to nothing."""
    before = newest()
    upgrade(store)
    make_fleet(store, "old")
    folder = tmp_path / "migrations"
    shutil.copytree(migrate.FOLDER, folder)
    (folder / "versions" / "step_9001_later.py").write_text(LATER_STEP.replace("{newest}", before))
    monkeypatch.setattr(migrate, "FOLDER", folder)
    secret = make_token(store, label="An officer", role="officer", days=1)
    upgrade(store)
    with store.read() as connection:
        rows = connection.execute(text("SELECT name, harbour FROM fleets")).all()
        assert [tuple(row) for row in rows] == [("old", "not known")]
        assert not verify_trail(connection).problems
    assert (current(store), newest()) == ("9001", "9001")
    assert Tokens(store).find(secret) is not None
    downgrade(store, before)
    with store.read() as connection:
        assert connection.execute(select(fleets.c.name)).scalars().all() == ["old"]
        assert "harbour" not in {column["name"] for column in inspect(connection).get_columns("fleets")}
        assert not verify_trail(connection).problems
    downgrade(store, "base")
    with store.read() as connection:
        assert set(inspect(connection).get_table_names()) <= {"alembic_version"}
    upgrade(store)
    assert current(store) == newest()


def test_a_database_of_a_newer_program_is_left_alone(store: Store) -> None:
    upgrade(store)
    store.write(
        lambda connection: connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    )
    with pytest.raises(MusterError, match="newer version"):
        upgrade(store)


def test_read_modify_write_from_many_threads_loses_nothing(store: Store) -> None:
    upgrade(store)
    make_fleet(store, "one")

    def count(connection: Connection) -> None:
        version = connection.execute(select(fleets.c.version)).scalar_one()
        connection.execute(update(fleets).values(version=version + 1))

    def many() -> None:
        for _ in range(20):
            store.write(count)

    threads = [threading.Thread(target=many) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with store.read() as connection:
        assert connection.execute(select(fleets.c.version)).scalar_one() == 160


@pytest.mark.parametrize("state", ["40001", "40P01"])
def test_a_transaction_that_the_server_undid_is_tried_again(store: Store, state: str) -> None:
    upgrade(store)
    if store.is_sqlite:
        failure: Exception = sqlite.OperationalError("database is locked")
    else:
        failure = Exception("undone")
        failure.sqlstate = state  # type: ignore[attr-defined]
    tries: list[int] = []

    def clash(connection: Connection) -> str:
        connection.execute(insert(fleets).values(id=f"f{len(tries)}", name="x", version=0, created_at="x"))
        tries.append(1)
        if len(tries) < 3:
            raise DBAPIError("statement", None, failure)
        return "done"

    assert store.write(clash) == "done"
    with store.read() as connection:
        assert connection.execute(select(fleets.c.id)).scalars().all() == ["f2"]


def test_another_failure_is_not_tried_again(store: Store) -> None:
    upgrade(store)
    make_fleet(store, "one")
    tries = []

    def twice(connection: Connection) -> None:
        tries.append(1)
        connection.execute(insert(fleets).values(id="one", name="x", version=0, created_at="x"))

    with pytest.raises(DBAPIError):
        store.write(twice)
    assert len(tries) == 1


def pragmas(store: Store, *names: str) -> tuple[object, ...]:
    with store.read() as connection:
        return tuple(connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in names)


@pytest.mark.parametrize(
    ("version", "journal"),
    [
        ((3, 6, 23), "wal"), ((3, 7, 0), "truncate"), ((3, 40, 1), "truncate"), (FAULTY, "truncate"),
        ((3, 51, 3), "wal"), ((3, 53, 4), "wal"),
    ],
)  # fmt: skip
def test_a_file_is_opened_for_safety(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, version: tuple[int, ...], journal: str
) -> None:
    """The fault is in 3.7.0 to 3.51.2 [sqlite.org/wal.html, section 11]."""
    monkeypatch.setattr(sqlite, "VERSION", version)
    store = open_store(f"sqlite:///{tmp_path / 'a.sqlite'}")
    upgrade(store)
    found = pragmas(store, "journal_mode", "synchronous", "foreign_keys", "busy_timeout")
    assert found == (journal, 2, 1, 15000)
    store.close()


def test_a_file_is_taken_over_from_either_sqlite_with_what_it_holds(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The fault may be with the next to open it: the log goes, and comes back where it is safe."""
    url = f"sqlite:///{tmp_path / 'a.sqlite'}"
    for number, (version, journal) in enumerate([((3, 53, 4), "wal"), (FAULTY, "truncate")] * 2):
        monkeypatch.setattr(sqlite, "VERSION", version)
        store = open_store(url)
        upgrade(store)
        make_fleet(store, f"fleet {number}")
        assert pragmas(store, "journal_mode") == (journal,)
        store.close()
        assert (tmp_path / "a.sqlite").read_bytes()[18:20] == (b"\2\2" if journal == "wal" else b"\1\1")
    store = open_store(url)
    with store.read() as connection:
        assert connection.execute(select(func.count()).select_from(fleets)).scalar_one() == 4
        assert not verify_trail(connection).problems
    store.close()


def test_a_log_in_use_elsewhere_is_not_written_by_an_sqlite_with_the_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And a rollback journal in use elsewhere stays one, since it is safe with any."""
    url = f"sqlite:///{tmp_path / 'a.sqlite'}"
    monkeypatch.setattr(storage, "BUSY_MILLISECONDS", 200)
    monkeypatch.setattr(sqlite, "VERSION", (3, 53, 4))
    first = open_store(url)
    upgrade(first)
    monkeypatch.setattr(sqlite, "VERSION", FAULTY)
    second = open_store(url)
    with first.read() as reading:
        reading.execute(select(fleets)).all()
        with pytest.raises(DatabaseUnavailable, match="locked"):
            upgrade(second)
    first.close()
    upgrade(second)
    monkeypatch.setattr(sqlite, "VERSION", (3, 53, 4))
    third = open_store(url)
    with second.read() as reading:
        reading.execute(select(fleets)).all()
        assert pragmas(third, "journal_mode") == ("truncate",)
    second.close()
    third.close()


def test_the_sqlite_in_use_is_the_one_installed_with_the_program() -> None:
    """Where there is one, which its lock file says of every machine it has a wheel for."""
    with contextlib.closing(sqlite.library.connect(":memory:")) as base:
        (version,) = base.execute("SELECT sqlite_version()").fetchone()
    assert tuple(map(int, version.split("."))) == sqlite.VERSION
    installed = importlib.util.find_spec("pysqlite3") is not None
    assert (sqlite.library is not sqlite3) == installed


@pytest.mark.parametrize("address", ["", "nonsense", "mysql://a@b/c", "sqlite://"])
def test_an_address_of_another_kind_is_refused_with_a_sentence(address: str) -> None:
    with pytest.raises(MusterError, match="SQLite"):
        open_store(address)


def test_a_backup_is_whole_and_goes_into_either_kind_of_database(
    up: Running, either_url: str, tmp_path: Path
) -> None:
    target = tmp_path / "saved.zip"
    with up.client() as officer:
        up.settle(officer)
    with up.server.store.read() as connection:
        boats = connection.execute(select(func.count()).select_from(entries)).scalar_one()
    report = backup(up.server.store, up.server.settings.anchors, target)
    assert report.rows["entries"] == boats >= len(up.boats)
    assert read_anchors(up.server.settings.anchors)[-1] == report.head
    with pytest.raises(MusterError, match="already a file"):
        backup(up.server.store, up.server.settings.anchors, target)
    empty = open_store(either_url)
    try:
        restore(empty, target, tmp_path / "anchors.jsonl")
        again = tmp_path / "again.zip"
        assert backup(empty, tmp_path / "anchors.jsonl", again).rows == report.rows
        with zipfile.ZipFile(target) as one, zipfile.ZipFile(again) as other:
            for name in one.namelist():
                if name != "manifest.json":
                    assert one.read(name) == other.read(name), name
        with pytest.raises(MusterError, match="holds data"):
            restore(empty, target, tmp_path / "anchors.jsonl")
    finally:
        empty.close()


def test_a_backup_that_was_changed_or_cut_is_refused(on_file: Running, tmp_path: Path) -> None:
    target = tmp_path / "saved.zip"
    backup(on_file.server.store, on_file.server.settings.anchors, target)
    changed = tmp_path / "changed.zip"
    with zipfile.ZipFile(target) as old, zipfile.ZipFile(changed, "w") as new:
        for name in old.namelist():
            new.writestr(name, old.read(name).replace(b"Pocket Almanac", b"Pocket Armanac"))
    cut = tmp_path / "cut.zip"
    cut.write_bytes(target.read_bytes()[:-2000])
    for path in (changed, cut, tmp_path / "none.zip"):
        with pytest.raises(MusterError, match="backup"):
            verify_backup(path)
        store = open_store(f"sqlite:///{tmp_path / path.stem}.sqlite")
        with pytest.raises(MusterError):
            restore(store, path, tmp_path / "anchors.jsonl")
        assert current(store) is None
        store.close()


def test_a_job_that_ran_while_the_backup_was_made_waits_where_it_is_restored(
    store: Store, tmp_path: Path
) -> None:
    """Else nothing more would be done for its fleet by a server that runs there already."""
    upgrade(store)
    made = open_store(f"sqlite:///{tmp_path / 'made.sqlite'}")
    upgrade(made)
    make_fleet(made, "one")
    asked = made.write(lambda connection: add_site_job(connection, "one", "An officer"))
    assert claim(made) is not None
    backup(made, tmp_path / "anchors", tmp_path / "one.zip")
    made.close()
    restore(store, tmp_path / "one.zip", tmp_path / "other-anchors")
    again = claim(store)
    assert again is not None
    assert (again.id, again.attempt) == (asked, 2)


def test_tokens_are_kept_as_hashes_alone(store: Store) -> None:
    upgrade(store)
    secret = make_token(store, label="An officer", role="officer", days=1)
    with store.read() as connection:
        kept = str(connection.execute(select(tokens)).all()) + str(connection.execute(select(trail)).all())
    assert secret.removeprefix("dm_") not in kept
