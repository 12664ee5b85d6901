"""To have on the disk what was written, before anything relies on it."""

from __future__ import annotations

import os
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Final

AT_ONCE: Final = 16
"""Files waited for together: a disk takes hardly longer for many than for one."""


def sync_files(paths: Iterable[Path]) -> None:
    """Wait until every byte of the files is on the disk. Raises OSError for a file that is not there."""
    with ThreadPoolExecutor(AT_ONCE) as pool:
        list(pool.map(_sync_file, paths))


def sync_folder(folder: Path) -> None:
    """Wait until the names in a folder are on the disk."""
    if os.name == "nt":
        return  # folders cannot be opened there
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _sync_file(path: Path) -> None:
    with path.open("rb") as stream:
        os.fsync(stream.fileno())
