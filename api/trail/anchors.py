"""The head of the trail, written apart from the database, so that a cut end shows."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import IO

from sqlalchemy import Connection

from api.storage.clock import now
from api.trail.chain import Head, head_of
from sizing.errors import MusterError


def write_anchor(path: Path, head: Head) -> None:
    """Add the head to the file of anchors, and have it on the disk."""
    path.parent.mkdir(parents=True, exist_ok=True)
    line = json.dumps({"seq": head.seq, "hash": head.hash, "at": now()})
    with path.open("ab") as handle:
        _end_at_a_line(path, handle)
        handle.write(f"{line}\n".encode())
        handle.flush()
        os.fsync(handle.fileno())


def _end_at_a_line(path: Path, handle: IO[bytes]) -> None:
    """Take away a line that was cut when the process or the disk ended: the next one has to stand alone."""
    written = path.read_bytes()
    if not written.endswith(b"\n"):
        handle.truncate(written.rfind(b"\n") + 1)


def read_anchors(path: Path) -> tuple[Head, ...]:
    """All anchors of a file, none if there is no such file; MusterError for a line that holds no anchor."""
    if not path.exists():
        return ()
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    anchors = []
    for number, line in enumerate(lines, start=1):
        try:
            read = json.loads(line)
            anchors.append(Head(int(read["seq"]), str(read["hash"])))
        except (ValueError, KeyError, TypeError) as problem:
            if number == len(lines) and not line.endswith("\n"):
                break  # the process died while writing it; the record it tells of is in the chain
            raise MusterError(
                f"{path.name}, line {number}", "it is no anchor of the trail",
                "a line as the program wrote it",
                "restore the file from a backup; do not edit it",
            ) from problem  # fmt: skip
    return tuple(anchors)


def refuse_cut(connection: Connection, path: Path) -> None:
    """MusterError where the anchors tell of later records than the database has: it is of an earlier day."""
    head, told = head_of(connection), max((anchor.seq for anchor in read_anchors(path)), default=0)
    if told > head.seq:
        raise MusterError(
            "audit trail", f"the end was cut: an anchor tells of record {told}, the last one is {head.seq}",
            "the database as it was left",
            f"put the later database back, or restore the last backup into a new folder; only if what was "
            f"written in between is to be given up, move {path} away and keep it",
        )  # fmt: skip
