"""A whole copy of the data in one file, checked when it is made, and put back only when it is whole.

The file is a ZIP: one JSON-lines file a table, and a manifest with the hash of each, the step of the tables
and the head of the trail. It can be read without this program, and moved between SQLite and PostgreSQL.
"""

from __future__ import annotations

import base64
import hashlib
import json
import os
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, LargeBinary, MetaData, Table, func, insert, select, update

from api.storage import migrate
from api.storage.clock import now
from api.storage.schema import metadata, trail, trail_head
from api.storage.store import Store
from api.trail.anchors import read_anchors, write_anchor
from api.trail.chain import Head, TrailReport, verify_trail
from sizing.errors import MusterError

MANIFEST: Final = "manifest.json"
FORMAT: Final = 1
_ROWS_AT_ONCE: Final = 500


@dataclass(frozen=True)
class BackupReport:
    """What a backup holds."""

    path: Path
    step: str
    rows: dict[str, int]
    head: Head


def backup(store: Store, anchors: Path, target: Path) -> BackupReport:
    """Write everything to `target`, verify it as written, and anchor the head of the trail.

    Raises MusterError where the trail is not whole, or the file is there already: nothing is overwritten.
    """
    if target.exists():
        raise MusterError(str(target), "there is already a file of this name", "a new file name",
                          "give another name; a backup never replaces another")  # fmt: skip
    part = target.with_name(f"{target.name}.part")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        part.touch(mode=0o600)  # it holds contact details
        with store.read() as connection, zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as archive:
            _refuse_broken(verify_trail(connection, read_anchors(anchors)), "the database")
            kept = (table for table in metadata.sorted_tables if "passing" not in table.info)
            written = {table.name: _dump(connection, table, archive) for table in kept}
            head = connection.execute(select(trail_head)).mappings().one()
            manifest = {
                "format": FORMAT,
                "step": migrate.current(store),
                "made_at": now(),
                "head": {"seq": head["seq"], "hash": head["hash"]},
                "tables": written,
            }
            archive.writestr(MANIFEST, json.dumps(manifest, indent=2))
        report = verify_backup(part)
        with part.open("rb") as handle:
            os.fsync(handle.fileno())
        part.replace(target)
    except OSError as problem:
        raise MusterError(
            str(target), f"it cannot be written ({problem.strerror})", "a folder that can be written",
            "choose another place, with room on the disk",
        ) from problem  # fmt: skip
    finally:
        part.unlink(missing_ok=True)
    write_anchor(anchors, report.head)
    return BackupReport(target, report.step, report.rows, report.head)


def verify_backup(path: Path) -> BackupReport:
    """Read a backup whole: every hash, every row, the chain of the trail; MusterError at the first fault."""
    if not path.is_file():
        raise MusterError(f"backup {path}", "there is no such file", "a backup file", "correct the name")
    try:
        with zipfile.ZipFile(path) as archive:
            manifest = json.loads(archive.read(MANIFEST))
            if manifest["format"] != FORMAT:
                raise _broken(path, f"its format is {manifest['format']}")
            rows = {
                name: _check(path, archive, name, written) for name, written in manifest["tables"].items()
            }
            head = Head(manifest["head"]["seq"], manifest["head"]["hash"])
            if rows.get(trail.name) != head.seq:
                raise _broken(path, "its trail does not end where the manifest says")
            return BackupReport(path, manifest["step"], rows, head)
    except (OSError, zipfile.BadZipFile, KeyError, ValueError, TypeError) as problem:
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
        with zipfile.ZipFile(path) as archive:
            for table in tables.sorted_tables:
                if table.name not in report.rows or table.name == trail_head.name:
                    continue
                for batch in _batches(archive, table):
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


def _dump(connection: Connection, table: Table, archive: zipfile.ZipFile) -> dict[str, Any]:
    digest, count = hashlib.sha256(), 0
    rows = connection.execution_options(yield_per=_ROWS_AT_ONCE).execute(
        select(table).order_by(*table.primary_key.columns)
    )
    with archive.open(_name(table.name), "w", force_zip64=True) as handle:
        for row in rows.mappings():
            line = (json.dumps({k: _plain(v) for k, v in row.items()}, ensure_ascii=True) + "\n").encode()
            digest.update(line)
            handle.write(line)
            count += 1
    return {"rows": count, "sha256": digest.hexdigest()}


def _check(path: Path, archive: zipfile.ZipFile, name: str, written: dict[str, Any]) -> int:
    digest, count = hashlib.sha256(), 0
    with archive.open(_name(name)) as handle:
        for line in handle:
            digest.update(line)
            count += 1
    if digest.hexdigest() != written["sha256"] or count != written["rows"]:
        raise _broken(path, f"its table {name} is not as it was written")
    return count


def _batches(archive: zipfile.ZipFile, table: Table) -> Iterator[list[dict[str, Any]]]:
    binary = {column.name for column in table.c if isinstance(column.type, LargeBinary)}
    batch: list[dict[str, Any]] = []
    with archive.open(_name(table.name)) as handle:
        for line in handle:
            row = json.loads(line)
            batch.append(
                {k: base64.b64decode(v) if k in binary and v is not None else v for k, v in row.items()}
            )
            if len(batch) == _ROWS_AT_ONCE:
                yield batch
                batch = []
    if batch:
        yield batch


def _plain(value: object) -> object:
    return base64.b64encode(value).decode("ascii") if isinstance(value, bytes | memoryview) else value


def _name(table: str) -> str:
    return f"{table}.jsonl"


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
