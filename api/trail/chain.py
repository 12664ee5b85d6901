"""Records, each holding the hash of the one before it, and the check of the whole chain.

A chain alone does not show that its end was cut off. So its head is also written elsewhere (`anchors`), and
the check compares the chain with every anchor.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import Connection, bindparam, insert, select, update

from api.storage.clock import now
from api.storage.schema import trail, trail_head

START: Final = "0" * 64
_FIELDS: Final = ("seq", "at", "who", "role", "action", "fleet_id", "subject", "before", "after", "previous")
_PROBLEMS_TOLD: Final = 20
_HEAD: Final = select(trail_head.c.seq, trail_head.c.hash)
_MOVE_HEAD: Final = update(trail_head).values(seq=bindparam("seq"), hash=bindparam("hash"))


@dataclass(frozen=True)
class Actor:
    """Who does something: the label and role of a token, or the program itself."""

    name: str
    role: str
    token_id: str = ""


PROGRAM: Final = Actor("drogue-muster", "program")


@dataclass(frozen=True)
class Head:
    """The last record of the trail."""

    seq: int
    hash: str


@dataclass(frozen=True)
class TrailReport:
    """What the check of the trail found; `problems` is empty where it is whole.

    `notes` are no faults: the order of records is that of their numbers, whatever a clock said.
    """

    records: int
    head: Head
    anchors: int
    problems: tuple[str, ...]
    notes: tuple[str, ...] = ()


def record_hash(record: Mapping[str, Any]) -> str:
    """SHA-256 over every field of a record, the hash of the one before it among them."""
    fields = json.dumps([record[name] for name in _FIELDS], ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(fields.encode("ascii")).hexdigest()


def append(
    connection: Connection,
    actor: Actor,
    action: str,
    fleet_id: str,
    subject: str,
    *,
    before: object = None,
    after: object = None,
) -> Head:
    """Add one record, in the same transaction as what it tells of."""
    head = head_of(connection)
    record: dict[str, Any] = {
        "seq": head.seq + 1,
        "at": now(),
        "who": actor.name,
        "role": actor.role,
        "action": action,
        "fleet_id": fleet_id,
        "subject": subject,
        "before": json.dumps(before, ensure_ascii=False, sort_keys=True),
        "after": json.dumps(after, ensure_ascii=False, sort_keys=True),
        "previous": head.hash,
    }
    record["hash"] = record_hash(record)
    connection.execute(insert(trail), record)
    connection.execute(_MOVE_HEAD, {"seq": record["seq"], "hash": record["hash"]})
    return Head(record["seq"], record["hash"])


def head_of(connection: Connection) -> Head:
    """The end of the chain as the database has it."""
    row = connection.execute(_HEAD).one()
    return Head(row.seq, row.hash)


def verify_trail(connection: Connection, anchors: Iterable[Head] = ()) -> TrailReport:
    """Check every record, the order, the head, and that nothing an anchor tells of is missing."""
    problems: list[str] = []
    notes: list[str] = []
    before = ""
    wanted: dict[int, set[str]] = {}
    for anchor in anchors:
        wanted.setdefault(anchor.seq, set()).add(anchor.hash)
    count = sum(len(hashes) for hashes in wanted.values())
    last = Head(0, START)
    rows = connection.execution_options(yield_per=1000).execute(select(trail).order_by(trail.c.seq))
    records = 0
    for row in rows.mappings():
        records += 1
        if row["seq"] != last.seq + 1:
            problems.append(f"record {last.seq + 1} is missing: record {row['seq']} follows {last.seq}")
        if row["previous"] != last.hash:
            problems.append(f"record {row['seq']} does not continue the one before it")
        if record_hash(dict(row)) != row["hash"]:
            problems.append(f"record {row['seq']} was changed: its hash does not fit what it says")
        if wanted.pop(row["seq"], {row["hash"]}) != {row["hash"]}:
            problems.append(f"record {row['seq']} is not the one an anchor tells of")
        if row["at"] < before:
            notes.append(
                f"record {row['seq']} is of {row['at']}, the one before of {before}: a clock went back"
            )
        last, before = Head(row["seq"], row["hash"]), row["at"]
    head = head_of(connection)
    if head != last:
        problems.append(
            f"the head says {head.seq} records, the last one is {last.seq}: the end was cut or changed"
        )
    wanted.pop(0, None)
    if wanted:
        problems.append(
            f"the end was cut: an anchor tells of record {max(wanted)}, the last one is {last.seq}"
        )
    return TrailReport(records, last, count, tuple(problems[:_PROBLEMS_TOLD]), tuple(notes[:_PROBLEMS_TOLD]))
