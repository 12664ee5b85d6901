"""Files written for people, and what is said where one cannot be."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from sizing.errors import OutputError


def write_files(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files by name into `folder`, which exists; OutputError if one cannot be written."""
    for name, content in files.items():
        try:
            (folder / name).write_bytes(content)
        except OSError as problem:
            raise OutputError(
                str(folder / name), f"it cannot be written ({problem.strerror})",
                "a folder that can be written, with room",
                "close the file elsewhere, check the folder's permissions and the room on the disk, or choose"
                " another folder",
            ) from problem  # fmt: skip
