"""The snapshot as a file: written whole or not at all, and refused unless every part of it is right."""

from __future__ import annotations

import errno
import os
import re
import tempfile
from pathlib import Path
from typing import Final

from pydantic import BaseModel, ConfigDict, ValidationError

from sizing.errors import InputError, OutputError
from sizing.revision.snapshot import FORMAT, VERSION, Snapshot

MOST_BYTES: Final = 1_000_000_000
_EXPECTED: Final = "the snapshot.json of an earlier run, as the program wrote it"
_MEND: Final = "give the snapshot.json from the output folder of an earlier run, or run without one"


class _Head(BaseModel):
    model_config = ConfigDict(extra="ignore", strict=True)

    format: str
    format_version: int


def snapshot_bytes(snapshot: Snapshot) -> bytes:
    """Return a snapshot as JSON; the same snapshot gives the same bytes."""
    return snapshot.model_dump_json().encode("utf-8") + b"\n"


def write_snapshot(snapshot: Snapshot, path: Path) -> None:
    """Write a snapshot; what stood at `path` before stays until the new one is whole.

    Raises
    ------
    OutputError
        the file cannot be written; nothing is changed
    """
    stage = ""
    try:
        handle, stage = tempfile.mkstemp(prefix=f".{path.name}-", dir=path.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(snapshot_bytes(snapshot))
            file.flush()
            os.fsync(file.fileno())
        Path(stage).replace(path)
    except OSError as problem:
        if stage:
            Path(stage).unlink(missing_ok=True)
        found = (
            "the disk is full" if problem.errno == errno.ENOSPC else f"writing failed ({problem.strerror})"
        )
        raise OutputError(
            f"snapshot {path}",
            found,
            "a folder that can be written, with room",
            "choose another output folder",
        ) from problem


def read_snapshot(path: Path) -> Snapshot:
    """Read the snapshot of an earlier run.

    Raises
    ------
    InputError
        unreadable, not a snapshot, cut short, of another format version, or at odds with itself
    """
    where = f"snapshot {path.name}"
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= MOST_BYTES else b""
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or "no such file name"
        raise InputError(where, f"it cannot be read ({reason})", _EXPECTED, _MEND) from problem
    if size > MOST_BYTES:
        raise InputError(where, f"it is {size:,} bytes long", f"at most {MOST_BYTES:,} bytes", _MEND)
    return parse_snapshot(data, where)


def parse_snapshot(data: bytes, where: str) -> Snapshot:
    """Read the bytes of a snapshot; `where` names it in messages. Raises InputError."""
    if not data.strip():
        raise InputError(where, "it is empty", _EXPECTED, _MEND)
    try:
        head = _Head.model_validate_json(data)
    except ValidationError as problem:
        raise InputError(where, _not_a_snapshot(problem), _EXPECTED, _MEND) from None
    if head.format != FORMAT:
        raise InputError(where, "it is a file of another kind", _EXPECTED, _MEND)
    if head.format_version != VERSION:
        raise InputError(
            where, f"it is of format version {head.format_version}", f"format version {VERSION}",
            "run the earlier fleet file again with this version of the program, and give its new snapshot",
        )  # fmt: skip
    try:
        return Snapshot.model_validate_json(data)
    except ValidationError as problem:
        first = problem.errors(include_url=False, include_context=False, include_input=False)[0]
        place = ".".join(re.sub(r"[^\w.-]", "?", str(part))[:60] for part in first["loc"]) or "the snapshot"
        message = first["msg"].removeprefix("Value error, ")[:200]
        found = f"{place}: {message}; {problem.error_count()} of its parts cannot be used"
        raise InputError(where, found, _EXPECTED, _MEND) from None


def _not_a_snapshot(problem: ValidationError) -> str:
    kinds = {
        error["type"]
        for error in problem.errors(include_url=False, include_context=False, include_input=False)
    }
    if "json_invalid" in kinds:
        return "it is not whole JSON: it was cut short, or is a file of another kind"
    return "it does not say which format it has"
