"""The snapshot as bytes: refused unless every part of it is right."""

from __future__ import annotations

import re
from typing import Final

from pydantic import BaseModel, ConfigDict, ValidationError

from sizing.errors import InputError
from sizing.revision.snapshot import FORMAT, VERSION, Snapshot

_EXPECTED: Final = "what was found for an earlier list, as the program kept it"
_MEND: Final = "go back to the last backup of the season"


class _Head(BaseModel):
    model_config = ConfigDict(extra="ignore", strict=True)

    format: str
    format_version: int


def snapshot_bytes(snapshot: Snapshot) -> bytes:
    """Return a snapshot as JSON; the same snapshot gives the same bytes."""
    return snapshot.model_dump_json().encode("utf-8") + b"\n"


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
            "run the list in force again with this version of the program",
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
