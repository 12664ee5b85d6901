"""Which pages of an earlier release can be taken as they are: boats' pages, and the sheets of pontoons.

A page depends on its boats' facts, on what is the same for the whole site, and on this program's own files.
The three go into one key a page; where the key is the same, so is every byte of the page.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field
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


@dataclass(frozen=True)
class Checked:
    """What a file was found to be when it passed the checks of a finished site.

    `sha256` is of its bytes; `searched_for` is the hash of the contact details that do not stand in it;
    `leads_to` are the addresses of other files it links to, with "#" and the anchor where there is one.
    """

    sha256: str
    searched_for: str
    leads_to: tuple[str, ...]


@dataclass(frozen=True)
class Manifest:
    """What is kept of a release: pages by address, and the checks of their files by name."""

    pages: Mapping[str, KeptPage] = field(default_factory=dict)
    checked: Mapping[str, Checked] = field(default_factory=dict)


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


def read_manifest(path: Path) -> Manifest:
    """Return what is kept of a release; nothing where there is no manifest that can be read."""
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))
        pages = {
            address: KeptPage(
                page["key"], tuple(page["files"]), tuple(SearchEntry(*entry) for entry in page["search"])
            )
            for address, page in kept["pages"].items()
        }
        checked = {
            name: Checked(file["sha256"], file["searched_for"], tuple(file["leads_to"]))
            for name, file in kept["checked"].items()
        }
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return Manifest()
    return Manifest(pages, checked)


def manifest_text(pages: Mapping[str, KeptPage], checked: Mapping[str, Checked]) -> str:
    """Return the manifest of a release as text; of the checks, those of the kept pages' files."""
    listed = {
        address: {
            "key": page.key,
            "files": list(page.files),
            "search": [[entry.address, entry.title, entry.text] for entry in page.search],
        }
        for address, page in sorted(pages.items())
    }
    names = sorted({name for page in pages.values() for name in page.files} & checked.keys())
    return json.dumps({"pages": listed, "checked": {name: asdict(checked[name]) for name in names}}) + "\n"


def can_be_taken(kept: KeptPage, release: Path, checked: Mapping[str, Checked]) -> bool:
    """Whether all files of a kept page are there, with the very bytes that were checked."""
    return all(name in checked and _has(release / name, checked[name].sha256) for name in kept.files)


def _has(file: Path, sha256: str) -> bool:
    try:
        return hashlib.sha256(file.read_bytes()).hexdigest() == sha256
    except OSError:
        return False


def take_over(kept: KeptPage, release: Path, folder: Path) -> None:
    """Put the files of a kept page into `folder`: as links to the same bytes, or as copies."""
    for name in kept.files:
        target = folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            target.hardlink_to(release / name)
        except OSError:
            shutil.copyfile(release / name, target)
