"""Which pages of the release before stay as they are: those of boats.

The key of a page is the hash of all it is made from: its boat's part of the result, what is the same for the
whole site, and this program's own files. Where the key is the same, so is every byte, and a page that still
has the bytes that were checked is not made again. The day on which the site was worked out stands in one
style sheet that all pages show, and pages of boats count no days: a new day alone makes no page another one.
"""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.metadata import version
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Final

from pydantic import TypeAdapter, ValidationError

from sitegen.pages.frame import SearchEntry

LIBRARIES: Final = (
    "jinja2", "markdown", "markupsafe", "mkdocs", "mkdocs-material", "pymdown-extensions",
)  # fmt: skip
SOURCE_SUFFIXES: Final = (".py", ".j2", ".html", ".css", ".js", ".svg", ".toml", ".csv", ".md")


@dataclass(frozen=True)
class CheckedFile:
    """A file that passed the checks of a finished site: the hash of its bytes, and where else it leads.

    `leads_to` are addresses of other files, with "#" and the anchor where there is one.
    """

    sha256: str
    leads_to: tuple[str, ...] = ()


@dataclass(frozen=True)
class KeptPage:
    """What is kept of a page beside its release: its key, what search finds of it, its files by name."""

    key: str
    search: tuple[SearchEntry, ...]
    files: Mapping[str, CheckedFile]


_MANIFEST: Final = TypeAdapter(dict[str, KeptPage])


def read_manifest(path: Path) -> dict[str, KeptPage]:
    """Return the pages of a release by address; none where there is no manifest that can be read."""
    try:
        return _MANIFEST.validate_json(path.read_bytes())
    except (OSError, ValidationError):
        return {}


def manifest_of(pages: Mapping[str, KeptPage]) -> bytes:
    """Return what is to be kept beside a release."""
    return _MANIFEST.dump_json(dict(pages))


def is_unaltered(page: KeptPage, release: Path) -> bool:
    """Whether all files of a page are still there, with the very bytes that were checked."""
    try:
        return all(
            sha256_of((release / name).read_bytes()) == file.sha256 for name, file in page.files.items()
        )
    except OSError:
        return False


def take_over(pages: Iterable[KeptPage], release: Path, folder: Path) -> dict[str, CheckedFile]:
    """Put the files of pages into `folder`, as links to the same bytes or as copies; return them by name."""
    files = {name: file for page in pages for name, file in page.files.items()}
    for name in files:
        target = folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            target.hardlink_to(release / name)
        except OSError:
            shutil.copyfile(release / name, target)
    return files


def sha256_of(*parts: str | bytes) -> str:
    """Return the hash of bytes, or of several texts told apart by their lengths.

    >>> sha256_of("a", "bc") == sha256_of("ab", "c")
    False
    """
    if len(parts) == 1 and isinstance(parts[0], bytes):
        return hashlib.sha256(parts[0]).hexdigest()
    digest = hashlib.sha256()
    for part in parts:
        body = part.encode("utf-8", "surrogatepass") if isinstance(part, str) else part
        digest.update(b"%d\0" % len(body))
        digest.update(body)
    return digest.hexdigest()


@lru_cache(maxsize=1)
def program_key() -> str:
    """Return the hash of everything of this program that shapes a page, and of the libraries' versions."""
    libraries = (f"{name} {version(name)}" for name in LIBRARIES)
    return sha256_of(*libraries, *(part for source in _sources() for part in source))


@lru_cache(maxsize=1)
def program_text() -> str:
    """Return everything this program may say of itself, without case: its own sources and tables."""
    return "\n".join(body.decode("utf-8") for _, body in _sources()).casefold()


def _sources() -> list[tuple[str, bytes]]:
    """All files of ours that shape a page, by name."""

    def inside(folder: Traversable, name: str) -> Iterable[tuple[str, bytes]]:
        for item in folder.iterdir():
            if item.is_dir():
                yield from inside(item, f"{name}/{item.name}")
            elif item.name.endswith(SOURCE_SUFFIXES):
                yield f"{name}/{item.name}", item.read_bytes()

    return sorted(source for package in ("sitegen", "sizing") for source in inside(files(package), package))
