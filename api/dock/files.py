"""The dock page's files in memory, under one version worked out from all of them.

The page names its files below that version, and so does the worker that keeps them on a phone: what a phone
holds is one version as a whole, whenever the program is replaced.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from sizing.words import words_for

PAGE: Final = Path(__file__).resolve().parent / "page"
ANSWER_PAGE: Final = Path(__file__).resolve().parents[1] / "answer" / "page"
STYLE: Final = "dock.css"
FIRST: Final = "index.html"
WORKER: Final = "worker.js"
WORDS: Final = "words.js"
"""Made from the vocabulary."""


@dataclass(frozen=True)
class DockFiles:
    """All files, `version` and names put into the page and the worker."""

    version: str
    files: Mapping[str, bytes]

    def at(self, path: str) -> tuple[str, bytes] | None:
        """Name and content of the file at a path below /dock/; None where there is none.

        >>> dock_files().at("another-version/dock.js") is None
        True
        """
        if path in {"", WORKER}:
            name = path or FIRST
            return name, self.files[name]
        version, _, name = path.partition("/")
        if version != self.version or name in {FIRST, WORKER} or name not in self.files:
            return None
        return name, self.files[name]


def dock_files(folder: Path = PAGE) -> DockFiles:
    """Read the files of the page."""
    files = _read(folder)
    words = json.dumps(words_for("scrutineer"), ensure_ascii=False)
    files[WORDS] = f"export const WORDS = {words};\n".encode()
    return _versioned(files, "dock")


def answer_files(folder: Path = ANSWER_PAGE) -> DockFiles:
    """Read the files of the skipper's form, which has style, mark and worker of the dock page."""
    dock = _read(PAGE)
    shared = {name: dock[name] for name in (STYLE, "mark.svg", WORKER)}
    return _versioned(shared | _read(folder), "answer")


def _read(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir()) if path.is_file()}


def _versioned(files: dict[str, bytes], shell: str) -> DockFiles:
    """Put version and names of the files into page and worker; `shell` is what the worker keeps them as."""
    told = b"".join(name.encode() + b"\0" + content + b"\0" for name, content in files.items())
    version = hashlib.sha256(told).hexdigest()[:16]
    names = " ".join(name for name in files if name not in {FIRST, WORKER})
    for name in (FIRST, WORKER):
        text = files[name].decode().replace("{version}", version).replace("{names}", names)
        text = text.replace("{shell}", shell)
        files[name] = text.encode()
    return DockFiles(version, files)
