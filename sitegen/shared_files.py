"""Files that are the same for every boat, such as pattern sheets: checked, and offered under `downloads/`."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Final

from sizing.errors import OutputError
from sizing.model import ConeSize
from sizing.order.loft.pattern_names import pattern_stem
from sizing.policy import SizingRules

FOLDER: Final = "downloads"
KINDS: Final[Mapping[str, bytes]] = {".pdf": b"%PDF-", ".dxf": b"", ".svg": b"<", ".csv": b"", ".txt": b""}
"""Kinds that may be offered, and how such a file begins."""
BINARY: Final = frozenset({".pdf"})
MOST_BYTES: Final = 5_000_000
NAME: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,60}\.[a-z]{3}")
ACTIVE: Final = re.compile(
    rb"/(?:URI|JavaScript|JS|Launch|EmbeddedFile|SubmitForm|GoToR|AA|OpenAction|ObjStm)\b"
)
STREAM: Final = re.compile(rb"\bstream\r?\n.*?endstream", re.DOTALL)
"""What is packed in a PDF may hold any letters by chance; what acts is outside, or in an object stream."""
SIZED: Final = re.compile(r"cone-pattern-\d+(-\d)?-mm(-small-end-\d+(-\d)?-mm)?")
CONTROL: Final = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


@dataclass(frozen=True)
class SharedFile:
    """One file as offered: its address relative to the site, and what the link says."""

    address: str
    title: str


def shared_files(downloads: Mapping[str, bytes]) -> tuple[SharedFile, ...]:
    """Check the files and return them by name.

    Raises OutputError for a name, a kind, a size or contents that may not be offered.
    """
    for name, body in sorted(downloads.items()):
        found = _fault(name, body)
        if found:
            raise OutputError(
                f"download {name[:80]!r}",
                found,
                f"a file of at most {MOST_BYTES // 1_000_000} MB that only shows or lists something: "
                f"{', '.join(sorted(KINDS))}",
                "report this as a fault of the program; the old site was left as it was",
            )
    return tuple(
        SharedFile(f"{FOLDER}/{name}", _title(name, len(body))) for name, body in sorted(downloads.items())
    )


def files_for(
    files: tuple[SharedFile, ...], cones: Collection[ConeSize], rules: SizingRules
) -> tuple[SharedFile, ...]:
    """Return the files offered to a boat: of the cone patterns, only those of her cones."""
    hers = {pattern_stem(size, rules) for size in cones}
    sized = {file: SIZED.match(PurePosixPath(file.address).name) for file in files}
    return tuple(file for file, found in sized.items() if found is None or found.group() in hers)


def _fault(name: str, body: bytes) -> str:
    """Return what is wrong with a file, "" where nothing is."""
    kind = PurePosixPath(name).suffix
    if not NAME.fullmatch(name) or kind not in KINDS:
        return "a name or a kind that is not offered"
    if not body or len(body) > MOST_BYTES:
        return f"{len(body):,} bytes"
    if not body.startswith(KINDS[kind]):
        return "contents that are not of its kind"
    if kind in BINARY:
        active = ACTIVE.search(STREAM.sub(b"", body))
        return f"something that acts or leads outside ({active.group().decode('ascii')})" if active else ""
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError:
        return "text that is not UTF-8"
    return "control characters" if CONTROL.search(text) else ""


def _title(name: str, size: int) -> str:
    """What the link says.

    >>> _title("cone-pattern-A4.pdf", 34_200)
    'Cone pattern A4 (PDF, 34 kB)'
    """
    path = PurePosixPath(name)
    words = re.sub(r"[-_]+", " ", path.stem)
    return f"{words[0].upper()}{words[1:]} ({path.suffix[1:].upper()}, {max(size // 1000, 1):,} kB)"
