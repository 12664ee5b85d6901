"""A whole copy of the data, checked when it is made, and put back only when it is whole.

It is a folder of CSV tables and of files as they were received, or the ZIP of one: it can be read without
this program, and moved between SQLite and PostgreSQL.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import tempfile
import zipfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path, PurePosixPath
from typing import IO, Any, Final

from sqlalchemy import Connection, MetaData, String, Table, collate, func, insert, select, update

from api.storage import migrate
from api.storage.backup_text import README
from api.storage.cells import cell_of, path_of, value_of
from api.storage.clock import now
from api.storage.schema import metadata, trail, trail_head
from api.storage.store import Store
from api.trail.anchors import read_anchors, write_anchor
from api.trail.chain import Head, TrailReport, verify_trail
from sizing.errors import MusterError
from sizing.on_disk import sync_files, sync_folder
from sizing.spreadsheet import csv_bytes, rows_of

MANIFEST: Final = "manifest.json"
FORMAT: Final = 2
_ROWS_AT_ONCE: Final = 500
_NOT_AS_WRITTEN: Final = (LookupError, ValueError, TypeError, AttributeError)

Open = Callable[[str], IO[bytes]]


@dataclass(frozen=True)
class BackupReport:
    """What a backup holds: rows by table, and the hash of every file by its path."""

    path: Path
    step: str
    rows: dict[str, int]
    files: dict[str, str]
    head: Head


def export(store: Store, anchors: Path, target: Path) -> BackupReport:
    """Write everything into the new folder `target`, verify it as written, and anchor the head of the trail.

    Raises MusterError where the trail is not whole, or something has this name: nothing is overwritten.
    """
    with _work_beside(target) as work:
        report = _write_folder(store, anchors, work / "folder")
        sync_files(work / "folder" / name for name in report.files)
        (work / "folder").rename(target)
        sync_folder(target.parent)
    write_anchor(anchors, report.head)
    return replace(report, path=target)


def backup(store: Store, anchors: Path, target: Path) -> BackupReport:
    """The same in one file: the ZIP of such a folder."""
    with _work_beside(target) as work:
        written = _write_folder(store, anchors, work / "folder")
        packed = work / "packed"
        packed.touch(mode=0o600)  # it holds contact details
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            for name in (*written.files, MANIFEST):
                archive.write(work / "folder" / name, name)
        report = verify_backup(packed)
        sync_files([packed])
        packed.replace(target)
        sync_folder(target.parent)
    write_anchor(anchors, report.head)
    return replace(report, path=target)


def verify_backup(path: Path) -> BackupReport:
    """Read a backup whole: every hash, every row, the end of the trail; MusterError at the first fault."""
    if not path.exists():
        raise MusterError(f"backup {path}", "there is no such file", "a backup file", "correct the name")
    try:
        with _opened(path) as read:
            manifest = json.loads(_content(read, MANIFEST))
            if manifest["format"] != FORMAT:
                raise _broken(path, f"its format is {manifest['format']}")
            files = {str(name): str(digest) for name, digest in manifest["files"].items()}
            for name, digest in files.items():
                if _sha256(read, name) != digest:
                    raise _broken(path, f"its file {name} is not as it was written")
            rows = {str(name): int(count) for name, count in manifest["rows"].items()}
            for name, count in rows.items():
                if _table_file(name) not in files or sum(1 for _ in _rows(read, name)) != count + 1:
                    raise _broken(path, f"its table {name} has not the {count} rows it was written with")
            head = Head(manifest["head"]["seq"], manifest["head"]["hash"])
            if rows.get(trail.name) != head.seq:
                raise _broken(path, "its trail does not end where the manifest says")
            return BackupReport(path, manifest["step"], rows, files, head)
    except (OSError, zipfile.BadZipFile, *_NOT_AS_WRITTEN) as problem:
        raise _broken(path, "it cannot be read as a backup") from problem


def restore(store: Store, path: Path, anchors: Path) -> BackupReport:
    """Fill an empty database from a backup, and check the trail there; all or nothing.

    Raises MusterError where the backup is not whole, or the database is not empty: nothing is overwritten.
    """
    report = verify_backup(path)
    _refuse_older(report.head, read_anchors(anchors))
    store.reach()
    if migrate.current(store) is not None:
        with store.read() as connection:
            if connection.execute(select(func.count()).select_from(trail)).scalar_one():
                raise MusterError("restore", "the database holds data", "an empty database",
                                  "restore into a new folder or a new database")  # fmt: skip
    migrate.upgrade(store, report.step)

    def fill(connection: Connection) -> None:
        tables = MetaData()
        tables.reflect(connection)  # as they were at the backup's step
        with _opened(path) as read:
            for table in tables.sorted_tables:
                if table.name not in report.rows or table.name == trail_head.name:
                    continue
                for batch in _batches(read, table):
                    connection.execute(insert(table), batch)
        connection.execute(update(trail_head).values(seq=report.head.seq, hash=report.head.hash))
        if (jobs := tables.tables.get("jobs")) is not None:
            # Whoever was at it has another database: left so, the fleet would wait for it.
            connection.execute(update(jobs).where(jobs.c.state == "running").values(state="queued"))
        _refuse_broken(verify_trail(connection, [report.head, *read_anchors(anchors)]), "the backup")

    store.write(fill)
    migrate.upgrade(store)
    write_anchor(anchors, report.head)
    return report


@contextmanager
def _work_beside(target: Path) -> Iterator[Path]:
    """A folder for this user alone, beside `target` and on the same disk; it is gone at the end."""
    if target.exists():
        raise MusterError(str(target), "there is already a file of this name", "a new file name",
                          "give another name; a backup never replaces another")  # fmt: skip
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=f".{target.name}-", dir=target.parent) as work:
            yield Path(work)
    except OSError as problem:
        raise MusterError(
            str(target), f"it cannot be written ({problem.strerror})", "a folder that can be written",
            "choose another place, with room on the disk",
        ) from problem  # fmt: skip


def _write_folder(store: Store, anchors: Path, folder: Path) -> BackupReport:
    folder.mkdir(mode=0o700)
    files: dict[str, str] = {}
    taken: set[str] = set()

    def keep(name: str, pieces: Iterable[bytes]) -> str:
        digest, path = hashlib.sha256(), folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as handle:
            for piece in pieces:
                digest.update(piece)
                handle.write(piece)
        files[name] = digest.hexdigest()
        return name

    def cells(table: Table, row: Any) -> list[Any]:
        return [
            cell_of(
                value, table.c[name],
                lambda data, name=name: keep(path_of(table, row, name, taken), [data]),  # type: ignore[misc]
            )
            for name, value in row.items()
        ]  # fmt: skip

    def pieces(connection: Connection, table: Table, count: dict[str, int]) -> Iterator[bytes]:
        yield csv_bytes([[column.name for column in table.c]])
        rows = connection.execution_options(yield_per=_ROWS_AT_ONCE).execute(
            select(table).order_by(*(_in_order(key, store) for key in table.primary_key.columns))
        )
        count[table.name] = 0
        for some in rows.mappings().partitions():
            count[table.name] += len(some)
            yield csv_bytes(cells(table, row) for row in some)

    with store.read() as connection:
        _refuse_broken(verify_trail(connection, read_anchors(anchors)), "the database")
        rows: dict[str, int] = {}
        for table in metadata.sorted_tables:
            if "passing" not in table.info:
                keep(_table_file(table.name), pieces(connection, table, rows))
        head = connection.execute(select(trail_head)).mappings().one()
    keep("README.txt", [README.encode()])
    manifest = {
        "format": FORMAT, "step": migrate.current(store), "made_at": now(),
        "head": {"seq": head["seq"], "hash": head["hash"]}, "rows": rows, "files": files,
    }  # fmt: skip
    keep(MANIFEST, [json.dumps(manifest, indent=2).encode()])
    return verify_backup(folder)


def _in_order(key: Any, store: Store) -> Any:
    """By the bytes of text, as SQLite does, so that both kinds of database give the same table."""
    return key if store.is_sqlite or not isinstance(key.type, String) else collate(key, "C")


@contextmanager
def _opened(path: Path) -> Iterator[Open]:
    """How a file of a backup is opened, by its path in it."""
    if path.is_file():
        with zipfile.ZipFile(path) as archive:
            yield archive.open
        return

    def read(name: str) -> IO[bytes]:
        parts = PurePosixPath(name)
        if parts.is_absolute() or ".." in parts.parts or "\\" in name or ":" in name:
            raise ValueError(name)
        return (path / parts).open("rb")

    yield read


def _content(read: Open, name: str) -> bytes:
    with read(name) as handle:
        return handle.read()


def _sha256(read: Open, name: str) -> str:
    digest = hashlib.sha256()
    with read(name) as handle:
        while piece := handle.read(1 << 20):
            digest.update(piece)
    return digest.hexdigest()


def _rows(read: Open, table: str) -> Iterator[list[str]]:
    """The rows of a table, the header first, exactly as they were written."""
    with read(_table_file(table)) as handle, io.TextIOWrapper(handle, "utf-8", newline="") as text:
        yield from rows_of(text)


def _batches(read: Open, table: Table) -> Iterator[list[dict[str, Any]]]:
    rows = _rows(read, table.name)
    columns = [table.c[name] for name in next(rows)]
    batch: list[dict[str, Any]] = []
    for row in rows:
        pairs = zip(columns, row, strict=True)
        batch.append({column.name: value_of(cell, column, partial(_content, read)) for column, cell in pairs})
        if len(batch) == _ROWS_AT_ONCE:
            yield batch
            batch = []
    if batch:
        yield batch


def _table_file(table: str) -> str:
    return f"tables/{table}.csv"


def _refuse_older(head: Head, anchors: Iterable[Head]) -> None:
    last = max((anchor.seq for anchor in anchors), default=0)
    if last > head.seq:
        raise MusterError(
            "restore",
            f"the anchors beside these data tell of record {last}, and the backup ends at {head.seq}: what "
            "was written in between is not in it", "a backup as new as the data it replaces",
            "use a later backup; if there is none, restore into a new folder, keep the old one, and enter "
            "again what is missing",
        )  # fmt: skip


def _refuse_broken(report: TrailReport, what: str) -> None:
    if report.problems:
        raise MusterError(
            f"audit trail of {what}", "; ".join(report.problems[:3]), "a trail that is whole",
            "go back to an earlier backup, and find out who can write to the database",
        )  # fmt: skip


def _broken(path: Path, found: str) -> MusterError:
    return MusterError(f"backup {path.name}", found, "a backup as the program wrote it",
                       "take another backup; this one cannot be trusted")  # fmt: skip
