"""The tables of both kinds of database: up and down, written in turn, saved and put back."""

from __future__ import annotations

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
from api.signin import Tokens, make_token
from api.storage import migrate
from api.storage.backup import backup, restore, verify_backup
from api.storage.migrate import current, downgrade, newest, upgrade
from api.storage.schema import entries, fleets, metadata, tokens, trail
from api.storage.store import Store, open_store, sqlite_warning
from api.trail import append, read_anchors, verify_trail
from api.trail.chain import PROGRAM
from sizing.errors import MusterError
from tests.api.running import Running, quiet


@pytest.fixture
def store(url: str) -> Iterator[Store]:
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
        failure: Exception = sqlite3.OperationalError("database is locked")
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


def test_a_file_is_opened_for_safety(tmp_path: Path) -> None:
    store = open_store(f"sqlite:///{tmp_path / 'a.sqlite'}")
    with store.read() as connection:
        wanted = {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "busy_timeout": 15000}
        for pragma, value in wanted.items():
            assert connection.exec_driver_sql(f"PRAGMA {pragma}").scalar() == value
    store.close()


@pytest.mark.parametrize(
    ("version", "warned"),
    [((3, 6, 23), False), ((3, 7, 0), True), ((3, 40, 1), True), ((3, 51, 2), True), ((3, 51, 3), False)],
)
def test_versions_of_sqlite_that_can_lose_a_commit_are_told(version: tuple[int, ...], warned: bool) -> None:
    assert (sqlite_warning(version) is not None) is warned


@pytest.mark.parametrize("address", ["", "nonsense", "mysql://a@b/c", "sqlite://"])
def test_an_address_of_another_kind_is_refused_with_a_sentence(address: str) -> None:
    with pytest.raises(MusterError, match="SQLite"):
        open_store(address)


def test_a_backup_is_whole_and_goes_into_either_kind_of_database(
    up: Running, url: str, tmp_path: Path
) -> None:
    target = tmp_path / "saved.zip"
    with up.client() as officer:
        quiet(officer)
    with up.server.store.read() as connection:
        boats = connection.execute(select(func.count()).select_from(entries)).scalar_one()
    report = backup(up.server.store, up.server.settings.anchors, target)
    assert report.rows["entries"] == boats >= len(up.boats)
    assert read_anchors(up.server.settings.anchors)[-1] == report.head
    with pytest.raises(MusterError, match="already a file"):
        backup(up.server.store, up.server.settings.anchors, target)
    empty = open_store(url)
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
