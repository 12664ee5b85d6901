"""A store that cannot be used, or not as it is: a sentence with a remedy, and nothing lost.

What is done to the store first stands in a table, and what is said of it then. The message is what the
command line prints before it ends with exit code 2.
"""

from __future__ import annotations

import contextlib
import os
import random
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import Connection, insert, select, text, update

from api.jobs.queue import add_job, claim
from api.settings import Settings
from api.storage import store as storage
from api.storage.migrate import current, upgrade
from api.storage.schema import fleets, jobs, trail
from api.storage.store import Store, file_of, open_store
from api.trail import Head, append, chain, head_of, read_anchors, refuse_cut, verify_trail, write_anchor
from api.trail.chain import PROGRAM
from sizing.errors import MusterError

ROOT = Path(__file__).resolve().parents[2]
MAIN = "from api.command_line import main; main()"
NOBODY = 65534
NOISE = random.Random(7).randbytes(50_000)  # noqa: S311  nothing secret


def add(store: Store, name: str, filler: str = "") -> None:
    """One write as every act makes it: a row and its record in the trail."""

    def write(connection: Connection) -> None:
        connection.execute(insert(fleets).values(id=name, name=name, version=0, created_at="2026-01-01"))
        append(connection, PROGRAM, "fleet.made", name, name, after={"name": name, "filler": filler})

    store.write(write)


def season(path: Path, many: int = 40) -> None:
    """A store with some hundred pages."""
    store = open_store(f"sqlite:///{path}")
    upgrade(store)
    for number in range(many):
        add(store, f"f{number}", "x" * 5000)
    store.close()


def names(store: Store) -> set[str]:
    with store.read() as connection:
        assert not verify_trail(connection).problems
        return set(connection.execute(select(fleets.c.id)).scalars())


def used(path: Path) -> None:
    """What every command does: open, bring up to date, write."""
    store = open_store(f"sqlite:///{path}")
    try:
        upgrade(store)
        add(store, "new")
    finally:
        store.close()


def random_bytes(path: Path) -> None:
    path.write_bytes(NOISE)


def cut(path: Path) -> None:
    season(path)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2 + 100])


def pages_overwritten(path: Path) -> None:
    season(path)
    kept = bytearray(path.read_bytes())
    kept[4096 : 4096 * 80] = (NOISE * 7)[: 4096 * 79]
    path.write_bytes(kept)


def a_table_as_text(path: Path) -> None:
    path.write_text("entry_no,boat_name\r\n" + "001,Heron\r\n" * 200)


def of_another_program(path: Path) -> None:
    with contextlib.closing(sqlite3.connect(path)) as base, base:
        base.execute("CREATE TABLE bookmarks (address TEXT)")
        base.execute("INSERT INTO bookmarks VALUES ('here')")


def of_another_program_with_steps(path: Path) -> None:
    of_another_program(path)
    with contextlib.closing(sqlite3.connect(path)) as base, base:
        base.execute("CREATE TABLE alembic_version (version_num TEXT)")
        base.execute("INSERT INTO alembic_version VALUES ('0001')")


def of_a_newer_program(path: Path) -> None:
    season(path, 1)
    with contextlib.closing(sqlite3.connect(path)) as base, base:
        base.execute("UPDATE alembic_version SET version_num = '9999'")


def a_folder(path: Path) -> None:
    path.mkdir()


FILES = [
    (random_bytes, "not a database", "restore the last backup"),
    (a_table_as_text, "not a database", "move it away"),
    (cut, "malformed", "restore the last backup"),
    (pages_overwritten, "malformed", "keep this file"),
    (of_another_program, r"tables of another program \(bookmarks\)", "nothing was changed"),
    (of_another_program_with_steps, "tables of another program", "nothing was changed"),
    (of_a_newer_program, "step “9999”", "install the newer version"),
    (a_folder, "unable to open", "choose another folder"),
]


@pytest.mark.parametrize(("make", "found", "mend"), FILES, ids=[one[0].__name__ for one in FILES])
def test_a_file_that_is_no_store_is_refused_and_left_as_it_is(
    tmp_path: Path, make: Callable[[Path], None], found: str, mend: str
) -> None:
    path = tmp_path / "season.sqlite"
    make(path)
    before = None if path.is_dir() else path.read_bytes()
    with pytest.raises(MusterError, match=found) as refused:
        used(path)
    assert (refused.value.where, mend in refused.value.mend) == (f"database file {path}", True)
    assert before is None or path.read_bytes() == before


@pytest.mark.parametrize("make", [random_bytes, cut, of_another_program_with_steps, of_a_newer_program])
def test_the_command_line_ends_with_the_sentence_and_exit_code_2(
    tmp_path: Path, make: Callable[[Path], None]
) -> None:
    path = file_of(Settings(tmp_path).url)
    assert path is not None
    make(path)
    done = subprocess.run(
        [sys.executable, "-c", MAIN, "token", "list", "--out", str(tmp_path)],
        capture_output=True, text=True, check=False, cwd=ROOT,
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (2, "")
    assert "to mend:" in done.stderr
    assert path.name in done.stderr.replace("\n", "")
    assert "Traceback" not in done.stderr


def test_a_server_database_of_another_program_is_refused_and_left_as_it_is(url: str) -> None:
    store = open_store(url)
    with store.engine.begin() as connection:
        connection.execute(text("CREATE TABLE bookmarks (address TEXT)"))
    with pytest.raises(MusterError, match=r"another program \(bookmarks\)"):
        upgrade(store)
    assert current(store) is None
    store.close()


@contextlib.contextmanager
def only_reading(folder: Path, file: Path | None) -> Iterator[None]:
    """Neither can be written, by a user whom the system holds to it."""
    folder.chmod(0o555)
    if file is not None:
        file.chmod(0o444)
    as_root = os.geteuid() == 0
    if as_root:
        os.seteuid(NOBODY)
    try:
        yield
    finally:
        if as_root:
            os.seteuid(0)
        folder.chmod(0o755)


@pytest.mark.parametrize("there", [True, False])
def test_a_folder_that_cannot_be_written_is_told(there: bool) -> None:
    with tempfile.TemporaryDirectory() as name:  # which others than its maker can enter
        folder = Path(name) / "out"
        folder.parent.chmod(0o755)
        folder.mkdir()
        path = folder / "season.sqlite"
        if there:
            season(path, 1)
        with only_reading(folder, path if there else None), pytest.raises(MusterError) as refused:
            used(path)
        assert refused.value.where == f"database file {path}"
        assert "permissions" in refused.value.mend
        if there:
            path.chmod(0o600)
            store = open_store(f"sqlite:///{path}")
            assert names(store) == {"f0"}
            store.close()


FILLS_UP = """
import resource, sys
from api.storage.migrate import upgrade
from api.storage.store import open_store
from sizing.errors import MusterError
from tests.api.test_store_trouble import add
store = open_store(sys.argv[1])
upgrade(store)
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[2]), resource.RLIM_INFINITY))
for number in range(1000):
    try:
        add(store, f"g{number}", "x" * 50_000)
    except MusterError as problem:
        print("REFUSED", problem)
        break
    print(f"g{number}", flush=True)
"""


def test_a_disk_that_fills_up_in_the_middle_of_a_write_keeps_what_was_written(tmp_path: Path) -> None:
    """The limit on file size stands in for it: the same writes fail."""
    path = tmp_path / "season.sqlite"
    season(path, 3)
    done = subprocess.run(
        [sys.executable, "-c", FILLS_UP, f"sqlite:///{path}", "2000000"],
        capture_output=True, text=True, check=False, cwd=ROOT,
    )  # fmt: skip
    *written, refused = done.stdout.splitlines()
    assert "make room" in refused, done.stdout + done.stderr
    assert written
    store = open_store(f"sqlite:///{path}")
    upgrade(store)
    assert names(store) == {"f0", "f1", "f2", *written}
    add(store, "after")
    store.close()


def test_a_full_disk_is_told_and_the_transaction_did_not_happen(tmp_path: Path) -> None:
    """SQLite itself says that it is full, from a limit on the pages of the file."""
    path = tmp_path / "season.sqlite"
    season(path, 3)
    store = open_store(f"sqlite:///{path}")
    upgrade(store)

    def fill(connection: Connection) -> None:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
        connection.exec_driver_sql(f"PRAGMA max_page_count={pages + 2}")
        for number in range(10):
            connection.execute(
                insert(fleets).values(id=f"h{number}", name="x" * 5000, version=0, created_at="x")
            )

    with pytest.raises(MusterError, match="full") as refused:
        store.write(fill)
    assert "make room" in refused.value.mend
    store.close()
    again = open_store(f"sqlite:///{path}")
    assert names(again) == {"f0", "f1", "f2"}
    again.close()


def test_a_second_writer_waits_and_is_told_when_the_first_does_not_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "season.sqlite"
    season(path, 1)
    monkeypatch.setattr(storage, "BUSY_MILLISECONDS", 50)
    first, second = (open_store(f"sqlite:///{path}") for _ in range(2))

    def meanwhile(connection: Connection) -> None:
        connection.execute(update(fleets).values(name="of the first"))
        with pytest.raises(MusterError, match="locked") as refused:
            add(second, "too soon")
        assert "wait until the other program is done" in refused.value.mend

    first.write(meanwhile)
    add(second, "after")
    assert names(first) == {"f0", "after"}
    first.close()
    second.close()


def test_a_clock_that_went_back_leaves_the_trail_in_order_and_is_noted(
    url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Records are in the order of their numbers; no time is made up."""
    store = open_store(url)
    upgrade(store)
    times = iter(
        ["2027-05-02T10:00:00.000000Z", "2027-05-01T10:00:00.000000Z", "2027-05-03T10:00:00.000000Z"]
    )
    monkeypatch.setattr(chain, "now", lambda: next(times))
    for name in ("a", "b", "c"):
        add(store, name)
    with store.read() as connection:
        report = verify_trail(connection)
        kept = connection.execute(select(trail.c.subject, trail.c.at).order_by(trail.c.seq)).all()
    assert [subject for subject, _ in kept] == ["a", "b", "c"]
    assert kept[1].at < kept[0].at
    assert report.problems == ()
    (note,) = report.notes
    assert note.startswith("record 2 is of 2027-05-01")
    store.close()


@pytest.mark.parametrize(
    ("state", "column", "ahead_s", "taken"),
    [
        ("queued", "due_at", 3e7, True), ("queued", "due_at", 600, False),
        ("running", "beat_at", 3e7, True), ("running", "beat_at", 600, False),
    ],
)  # fmt: skip
def test_a_job_of_before_the_clock_was_set_back_does_not_wait_until_it_was_right(
    url: str, state: str, column: str, ahead_s: float, taken: bool
) -> None:
    store = open_store(url)
    upgrade(store)
    add(store, "one")
    store.write(lambda connection: add_job(connection, "one", "site", "An officer"))
    moment = time.time() + ahead_s
    store.write(lambda c: c.execute(update(jobs).values({"state": state, "attempts": 1, column: moment})))
    assert (claim(store) is not None) is taken
    store.close()


def test_a_folder_copied_elsewhere_goes_on(tmp_path: Path) -> None:
    """Nothing in it depends on where it is, or on which file it was."""
    here, there = tmp_path / "here", tmp_path / "another machine" / "out"
    here.mkdir()
    season(here / "season.sqlite", 2)
    first = open_store(f"sqlite:///{here / 'season.sqlite'}")
    upgrade(first)
    add(first, "left open")
    shutil.copytree(here, there)  # with its log, since the program did not end
    first.close()
    shutil.rmtree(here)
    for round_no in range(2):
        store = open_store(f"sqlite:///{there / 'season.sqlite'}")
        upgrade(store)
        add(store, f"there {round_no}")
        store.close()
    store = open_store(f"sqlite:///{there / 'season.sqlite'}")
    assert names(store) == {"f0", "f1", "left open", "there 0", "there 1"}
    assert str(tmp_path).encode() not in (there / "season.sqlite").read_bytes()
    store.close()


def test_an_older_store_is_told_by_its_anchors_and_lost_anchors_stop_nothing(
    url: str, tmp_path: Path
) -> None:
    anchors = tmp_path / "trail-anchors.jsonl"
    store = open_store(url)
    upgrade(store)
    with store.read() as connection:
        refuse_cut(connection, anchors)
    add(store, "one")
    with store.read() as connection:
        write_anchor(anchors, head_of(connection))
        refuse_cut(connection, anchors)
    write_anchor(anchors, Head(5, "a" * 64))
    with store.read() as connection:
        with pytest.raises(MusterError, match="tells of record 5, the last one is 1") as refused:
            refuse_cut(connection, anchors)
        assert str(anchors) in refused.value.mend
        anchors.unlink()
        refuse_cut(connection, anchors)
        assert read_anchors(anchors) == ()
        assert verify_trail(connection, read_anchors(anchors)).anchors == 0
    store.close()


def test_the_store_is_for_its_owner_alone(tmp_path: Path) -> None:
    path = tmp_path / "season.sqlite"
    store = open_store(f"sqlite:///{path}")
    upgrade(store)
    add(store, "one")
    assert all(one.stat().st_mode & 0o077 == 0 for one in tmp_path.glob("season.sqlite*"))
    assert store.damage() == ()
    store.close()
