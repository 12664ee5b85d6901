"""A season that moves from one kind of database to the other and back, with every value as it was."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Column, Connection, Float, Integer, LargeBinary, String, Table, insert, select

from api.storage.backup import backup, export, restore, verify_backup
from api.storage.backup_text import TABLES
from api.storage.cells import FILE, is_received
from api.storage.migrate import current, upgrade
from api.storage.packing import packed
from api.storage.schema import fleets, guesses, metadata, trail, trail_head
from api.storage.store import Store, open_store
from api.trail import append, read_anchors
from api.trail.chain import Actor
from sizing.errors import MusterError
from tests.api.conftest import KINDS, new_database

HOSTILE = (
    "=1+1", "+49 30 1", "-", "@sum", "\t tab", "\r\nline", "a\rb", "a\nb", "ends\r\n", '"', 'say ""so',
    "'", "'=1", "''=1", "\\N", "\\F tables/fleets.csv", "\\B eA==", "\\", "\\\\N", "", " ", " =1", "😀 é ＝1",
    "a,b;c|d", "<b>&amp;", "\ufeffmark", "\x85\u2028end", "../../up.csv", "nul", "C:\\x", "x" * 32_001,
    "=" + "1" * 40_000, "007", "1e5", "TRUE",
)  # fmt: skip
BYTES = (b"", bytes(range(256)), b"entry_no\r\n001\r\n", b"\\N", "😀".encode(), bytes(range(256)) * 200)
KEPT = [table for table in metadata.sorted_tables if "passing" not in table.info]
MADE = {trail.name, trail_head.name, fleets.name}


def value(column: Column[Any], row: int, turn: int) -> Any:
    """Something awkward of the column's kind; NULL in its turn where it may be."""
    if column.name == "fleet_id":
        return "f=1"
    if column.nullable and (row + turn) % 4 == 0:
        return None
    if isinstance(column.type, Integer):
        return row if column.primary_key or column.name == "number" else (-1) ** row * row
    if isinstance(column.type, Float):
        return (0.1 + row) * 10.0 ** (row % 20 - 8)
    if isinstance(column.type, LargeBinary):
        content = BYTES[(row + turn) % len(BYTES)]
        return packed(content) if is_received(column) else content
    text = HOSTILE[(row if column.primary_key else row + turn) % len(HOSTILE)]
    if column.name in ("id", "sha256", "key", "place"):
        text = f"{text[:8]}{row}"
    assert isinstance(column.type, String)
    return text[: column.type.length]


def fill(store: Store) -> None:
    """Every table, a row for each awkward text."""
    upgrade(store)

    def write(connection: Connection) -> None:
        connection.execute(insert(fleets).values(id="f=1", name="=A1", version=0, created_at="-1"))
        for table in KEPT:
            if table.name not in MADE:
                rows = [
                    {column.name: value(column, row, turn) for turn, column in enumerate(table.c)}
                    for row in range(len(HOSTILE))
                ]
                connection.execute(
                    insert(table), [one for one in unlike(table, rows) if "\0" not in str(one)]
                )
        connection.execute(insert(guesses).values(source="a", wrong=1, locked=0, forget_at=1.0))
        for text in HOSTILE:
            append(
                connection, Actor(text[:80], "officer"), "told", "f=1", text, before=text, after={text: None}
            )

    store.write(write)


def unlike(table: Table, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Those of different keys: a long text is cut to what the key takes."""
    keys = [column.name for column in table.primary_key.columns]
    return list({tuple(row[key] for key in keys): row for row in rows}.values())


@pytest.fixture
def season(tmp_path: Path) -> Iterator[Store]:
    store = open_store(f"sqlite:///{tmp_path / 'season.sqlite'}")
    fill(store)
    yield store
    store.close()


def rows_of(store: Store, table: Table) -> list[tuple[Any, ...]]:
    with store.read() as connection:
        return sorted(
            (tuple(bytes(v) if isinstance(v, memoryview) else v for v in row)
             for row in connection.execute(select(table))),
            key=repr,
        )  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_there_and_back_with_the_same_hashes_and_the_same_values(
    kind: str, season: Store, tmp_path: Path
) -> None:
    """A file, as a folder into the other database, as a backup into a file again."""
    first = export(season, tmp_path / "anchors", tmp_path / "exported")
    assert set(first.rows) == {table.name for table in KEPT} == set(TABLES)
    (tmp_path / "there").mkdir()
    for url in new_database(kind, tmp_path / "there"):
        there, back = open_store(url), open_store(f"sqlite:///{tmp_path / 'back.sqlite'}")
        restore(there, tmp_path / "exported", tmp_path / "there-anchors")
        second = backup(there, tmp_path / "there-anchors", tmp_path / "saved.zip")
        restore(back, tmp_path / "saved.zip", tmp_path / "back-anchors")
        third = export(back, tmp_path / "back-anchors", tmp_path / "again")
        assert first.files == second.files == third.files
        assert first.rows == second.rows == third.rows
        assert first.head == second.head == third.head == read_anchors(tmp_path / "back-anchors")[-1]
        for table in KEPT:
            assert rows_of(season, table) == rows_of(there, table) == rows_of(back, table), table.name
        assert rows_of(back, guesses) == []
        there.close()
        back.close()


def test_the_folder_can_be_read_without_the_program(season: Store, tmp_path: Path) -> None:
    """By any reader of CSV; nothing in it runs as a formula; what was received lies under its own name."""
    report = export(season, tmp_path / "anchors", tmp_path / "out")
    folder = tmp_path / "out"
    assert "tables/NAME.csv" in (folder / "README.txt").read_text()
    manifest = json.loads((folder / "manifest.json").read_text())
    assert manifest["head"] == {"seq": report.head.seq, "hash": report.head.hash}
    there = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert there == {*manifest["files"], "manifest.json"}
    assert all(path.stat().st_mode & 0o077 == 0 for path in (folder, *folder.rglob("*")) if path.is_file())
    lists = 0
    for name in report.rows:
        text = (folder / "tables" / f"{name}.csv").read_bytes().decode()
        for row in csv.DictReader(io.StringIO(text, newline="")):
            for column, cell in row.items():
                number = isinstance(metadata.tables[name].c[column].type, Integer | Float)
                assert number or not cell.lstrip().startswith(("=", "+", "-", "@")), cell
            if name == "revisions":
                content = folder / row["content"].removeprefix(FILE)
                assert content.read_bytes() in BYTES
                assert content.parent == folder / "received" / "lists" / "f_1" / row["number"]
                lists += row["filename"] == "..\\..\\up.csv" or content.name.endswith("up.csv")
    assert lists


def a_byte(folder: Path) -> None:
    path = folder / "tables" / "fleets.csv"
    path.write_bytes(path.read_bytes().replace(b"A1", b"A2"))


def a_received_file(folder: Path) -> None:
    next(
        path for path in (folder / "received").rglob("*") if path.is_file() and path.stat().st_size
    ).write_bytes(b"x")


def a_file_lost(folder: Path) -> None:
    next(path for path in (folder / "received").rglob("*") if path.is_file()).unlink()


def a_path_out_of_it(folder: Path) -> None:
    path = folder / "manifest.json"
    told = json.loads(path.read_text())
    told["files"]["../season.sqlite"] = "0" * 64
    path.write_text(json.dumps(told))


def no_manifest(folder: Path) -> None:
    (folder / "manifest.json").unlink()


def another_head(folder: Path) -> None:
    path = folder / "manifest.json"
    path.write_text(path.read_text().replace('"seq": ', '"seq": 1'))


@pytest.mark.parametrize(
    "change", [a_byte, a_received_file, a_file_lost, a_path_out_of_it, no_manifest, another_head]
)
def test_a_folder_that_was_changed_is_refused(
    season: Store, tmp_path: Path, change: Callable[[Path], None]
) -> None:
    export(season, tmp_path / "anchors", tmp_path / "out")
    change(tmp_path / "out")
    with pytest.raises(MusterError, match="backup out"):
        verify_backup(tmp_path / "out")
    empty = open_store(f"sqlite:///{tmp_path / 'empty.sqlite'}")
    with pytest.raises(MusterError, match="backup out"):
        restore(empty, tmp_path / "out", tmp_path / "other-anchors")
    assert current(empty) is None
    empty.close()


def test_nothing_is_overwritten_and_nothing_half_is_left(season: Store, tmp_path: Path) -> None:
    for name, write in (("out", export), ("out.zip", backup)):
        write(season, tmp_path / "anchors", tmp_path / name)
        with pytest.raises(MusterError, match="already"):
            write(season, tmp_path / "anchors", tmp_path / name)
    season.write(lambda c: c.execute(insert(fleets).values(id="z", name="a\0b", version=0, created_at="x")))
    before = {path.name for path in tmp_path.iterdir()}
    for name, write in (("more", export), ("more.zip", backup)):
        with pytest.raises(MusterError, match=r"table fleets, column name: it has a zero byte"):
            write(season, tmp_path / "anchors", tmp_path / name)
    assert {path.name for path in tmp_path.iterdir()} == before
