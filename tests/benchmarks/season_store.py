"""How large the store of a season grows, and how long a boat of it takes to read.

`python -m tests.benchmarks.season_store [boats] [lists]`, 5,000 and 20 by default: lists of believable boats,
some amended each week, every list with its snapshot, and the ready answers of the one in force. Says besides
how small each way of packing makes a snapshot, and how long it takes.
"""

from __future__ import annotations

import json
import lzma
import secrets
import sys
import tempfile
import time
import zlib
from collections.abc import Callable
from pathlib import Path

from sqlalchemy import Connection, func, insert, select

from api.judging.run import Engine, FleetRun
from api.season.lists import list_report, ready_answers
from api.settings import Settings
from api.storage.boats import REQUIREMENT, RESULT, keep_fleet, kept_text
from api.storage.clock import now
from api.storage.migrate import upgrade
from api.storage.packing import packed
from api.storage.schema import entries, findings, fleets, requirements, results, revisions
from api.storage.store import Store, open_store
from sizing.intake import read_fleet
from sizing.revision import snapshot_of
from sizing.revision.snapshot_file import snapshot_bytes
from tests.benchmarks.intake import fleet_csv

PACKED: dict[str, Callable[[bytes], bytes]] = {
    "zlib 6": lambda data: zlib.compress(data, 6),
    "zlib 9": lambda data: zlib.compress(data, 9),
    "lzma 1": lambda data: lzma.compress(data, preset=1),
    "lzma 6": lambda data: lzma.compress(data, preset=6),
}
UNPACKED: tuple[Callable[[bytes], bytes], ...] = (
    zlib.decompress,
    zlib.decompress,
    lzma.decompress,
    lzma.decompress,
)
AMENDED = 50
"""In every list another one in so many boats has another berth, so that no two lists are the same bytes."""


def amended(sheet: bytes, week: int) -> bytes:
    """The list of a later week."""
    head, *rows = sheet.split(b"\r\n" if b"\r\n" in sheet else b"\n")
    for place in range(week % AMENDED, len(rows), AMENDED):
        rows[place] = rows[place].replace(b"Boat", f"Boat of week {week}".encode(), 1)
    return b"\r\n".join([head, *rows])


def main(boats: int, lists: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        settings = Settings(Path(folder), strike_samples=None, cutting_seconds=1.0)
        engine = Engine.of(settings)
        sheet = fleet_csv(boats)
        started = time.perf_counter()
        run = engine.judged(read_fleet(sheet, "list.csv", today=settings.day()), {}, settings.day())
        result = engine.finish(run, settings.day())
        print(f"{len(run.keys):,} boats judged and planned in {time.perf_counter() - started:.0f} s")
        snapshot = snapshot_bytes(
            snapshot_of(result, run.rules.policy, run.rules.catalogue, key=secrets.token_bytes(32))
        )
        how = tell_packing(snapshot)
        store = open_store(settings.url)
        upgrade(store)
        keep_season(store, run, sheet, lists, how(snapshot))
        tell_size(store, Path(folder), lists)
        tell_reading(store, run)
        store.close()


def tell_packing(snapshot: bytes) -> Callable[[bytes], bytes]:
    print(f"snapshot: {len(snapshot) / 1e6:.2f} MB as text")
    for (name, pack), unpack in zip(PACKED.items(), UNPACKED, strict=True):
        began = time.perf_counter()
        small = pack(snapshot)
        middle = time.perf_counter()
        assert unpack(small) == snapshot
        ended = time.perf_counter()
        print(
            f"  {name}: {len(small) / 1e6:.2f} MB, {(middle - began) * 1e3:.0f} ms to pack, "
            f"{(ended - middle) * 1e3:.0f} ms to unpack"
        )
    return PACKED["zlib 6"]


def keep_season(store: Store, run: FleetRun, sheet: bytes, lists: int, snapshot: bytes) -> None:
    report = json.dumps(list_report(run), ensure_ascii=False)
    kept = ready_answers(run)

    def write(connection: Connection) -> None:
        connection.execute(insert(fleets).values(id="f1", name="Rally", version=1, created_at=now()))
        for number in range(1, lists + 1):
            content = amended(sheet, number)
            connection.execute(
                insert(revisions).values(
                    fleet_id="f1", number=number, filename="list.csv", media_type="text/csv", sha256="0" * 64,
                    size=len(content), content=packed(content), state="superseded", reason="", report=report,
                    uploaded_at=now(), uploaded_by="An officer", withdraw=0, problem="", snapshot=snapshot,
                )
            )  # fmt: skip
        keep_fleet(connection, "f1", 1, kept)

    began = time.perf_counter()
    store.write(write)
    print(
        f"written in {time.perf_counter() - began:.1f} s; {sum(len(one.findings) for one in kept):,} findings"
    )


def tell_size(store: Store, folder: Path, lists: int) -> None:
    with store.engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
        size = sum(path.stat().st_size for path in folder.glob("*.sqlite*"))
        print(f"the store after {lists} lists: {size / 1e6:.1f} MB; aimed at: under 200")
        for table in (revisions, entries, results, requirements, findings):
            lengths = (func.coalesce(func.sum(func.length(column)), 0) for column in table.c)
            row = connection.execute(select(func.count(), *lengths).select_from(table)).one()
            print(f"  {table.name}: {row[0]:,} rows, {sum(row[1:]) / 1e6:.1f} MB in values")


def tell_reading(store: Store, run: FleetRun) -> None:
    """Against the shortest read of the same store, in the same run."""
    bare, shortest = select(fleets.c.version), 0.0
    for name, query in (("a row of one number", bare), ("a boat", RESULT), ("her requirement", REQUIREMENT)):
        keys = run.keys[:: max(len(run.keys) // 500, 1)]
        began = time.perf_counter()
        for key in keys:
            row = store.one(query, {"fleet": "f1", "boat": key})
            assert row is not None
            if query is not bare:
                kept_text(*row[1:])
        took = (time.perf_counter() - began) / len(keys)
        shortest = shortest or took
        print(f"  {name}: {took * 1e6:.0f} µs, {took / shortest:.1f} times the first")


if __name__ == "__main__":
    main(*(int(given) for given in (*sys.argv[1:], *("5000", "20")[len(sys.argv) - 1 :])))
