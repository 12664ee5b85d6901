"""Which pages of an earlier release can be taken as they are: boats' pages, and the sheets of pontoons.

A page depends on its boats' records, on what is the same for the whole site, and on this program's own files.
The three go into one key a page; where the key is the same, so is every byte of the page.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.metadata import version
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Final

from sitegen.pages.frame import SearchEntry

SOURCE_SUFFIXES: Final = (".py", ".j2", ".html", ".css", ".js", ".svg", ".toml", ".csv")


@dataclass(frozen=True)
class KeptPage:
    """A page of the earlier release: its key, its files, and what search can find of it."""

    key: str
    files: tuple[str, ...]
    search: tuple[SearchEntry, ...]


@lru_cache(maxsize=1)
def program_key() -> str:
    """Return the hash of everything of this program that shapes a page, and of the libraries' versions."""
    digest = hashlib.sha256()
    for package in ("sitegen", "sizing"):
        for name, body in sorted(_sources(files(package), package)):
            digest.update(f"{name}\0{len(body)}\0".encode())
            digest.update(body)
    for library in ("mkdocs", "mkdocs-material", "jinja2", "markupsafe"):
        digest.update(f"{library} {version(library)}\n".encode())
    return digest.hexdigest()


@lru_cache(maxsize=1)
def program_text() -> str:
    """Return everything this program may say of itself, without case: its own sources and tables."""
    bodies = (body for package in ("sitegen", "sizing") for _, body in _sources(files(package), package))
    return "\n".join(body.decode("utf-8") for body in bodies).casefold()


def _sources(folder: Traversable, name: str) -> Iterable[tuple[str, bytes]]:
    for item in folder.iterdir():
        if item.is_dir():
            if item.name != "__pycache__":
                yield from _sources(item, f"{name}/{item.name}")
        elif item.name.endswith(SOURCE_SUFFIXES):
            yield f"{name}/{item.name}", item.read_bytes()


def read_manifest(path: Path) -> Mapping[str, KeptPage]:
    """Return address -> kept page; empty where there is no manifest that can be read."""
    try:
        pages = json.loads(path.read_text(encoding="utf-8"))["pages"]
        return {
            address: KeptPage(
                page["key"], tuple(page["files"]), tuple(SearchEntry(*entry) for entry in page["search"])
            )
            for address, page in pages.items()
        }
    except (OSError, ValueError, KeyError, TypeError):
        return {}


def manifest_text(pages: Mapping[str, KeptPage]) -> str:
    """Return the manifest of a release as text."""
    listed = {
        address: {
            "key": page.key,
            "files": list(page.files),
            "search": [[entry.address, entry.title, entry.text] for entry in page.search],
        }
        for address, page in sorted(pages.items())
    }
    return json.dumps({"pages": listed}, ensure_ascii=True, indent=0) + "\n"


def can_be_taken(kept: KeptPage, release: Path) -> bool:
    """Whether all files of a kept page are there."""
    return all((release / name).is_file() for name in kept.files)


def take_over(kept: KeptPage, release: Path, folder: Path) -> None:
    """Put the files of a kept page into `folder`: as links to the same bytes, or as copies."""
    for name in kept.files:
        target = folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            target.hardlink_to(release / name)
        except OSError:
            shutil.copyfile(release / name, target)
