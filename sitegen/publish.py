"""All or nothing: a reader sees the whole old site or the whole new one, whenever the process dies.

`site` is a symbolic link to one folder of `releases/` beside it. A release is written and synced under a
working name, gets the hash of its contents as its name, and then the link is replaced in one step. Where the
file system has no symbolic links, `site` is a folder: the new one is put in place of the old one by two
renames, and a crash between them leaves both, under their working names, and no `site`; the next publish puts
that right.
"""

from __future__ import annotations

import os
import secrets
import shutil
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from sitegen.reuse import sha256_of
from sizing.errors import OutputError
from sizing.on_disk import sync_files, sync_folder

KEPT: Final = 2
WORKING: Final = ".building-"
ORDER_FILE: Final = "published.txt"
STALE_AFTER_S: Final = 86_400.0


def releases_of(site: Path) -> Path:
    """Return the folder of releases that belongs to `site`."""
    return site.parent / "releases"


def current_release(site: Path) -> Path | None:
    """Return the release now published, None where there is none or it is no longer there."""
    if not site.is_symlink():
        return None
    target = site.parent / site.readlink()
    return target if target.is_dir() else None


def manifest_path(release: Path) -> Path:
    """Return the file beside a release that tells the next build of its pages."""
    return release.with_name(f"{release.name}.json")


def working_folder(site: Path) -> Path:
    """Make a fresh folder to build in, on the same file system as the site.

    Raises OutputError where `site` is something this program did not make, or cannot be written.
    """
    releases = releases_of(site)
    if not site.is_symlink() and site.exists() and not (site.is_dir() and _is_ours(site)):
        raise OutputError(
            str(site),
            "it is there already and was not made by this program",
            "a free name",
            "give another output folder, or move this one away",
        )
    try:
        releases.mkdir(parents=True, exist_ok=True)
        for stale in releases.glob(f"{WORKING}*"):
            if not _in_use(stale):
                shutil.rmtree(stale, ignore_errors=True)
        folder = releases / f"{WORKING}{os.getpid()}-{secrets.token_hex(4)}"
        folder.mkdir()
    except OSError as error:
        raise _unwritable(releases, error) from error
    return folder


def content_id(folder: Path, known: Mapping[str, str] | None = None) -> str:
    """Return the hash of a folder's contents: every file's address and the hash of its bytes.

    `known` are hashes of bytes by address; a file not among them is read.
    """
    hashes = known or {
        path.relative_to(folder).as_posix(): sha256_of(path.read_bytes())
        for path in folder.rglob("*")
        if path.is_file()
    }
    return sha256_of(*(text for item in sorted(hashes.items()) for text in item))[:16]


def publish(folder: Path, site: Path, manifest: bytes = b"", hashes: Mapping[str, str] | None = None) -> str:
    """Make the finished `folder` the site; return the release's id.

    `manifest` is kept beside the release, for the next build; `hashes` are those of all files' bytes by
    address, where they are known.
    """
    releases = releases_of(site)
    try:
        release_id = content_id(folder, hashes)
        release = releases / release_id
        if release.is_dir() and content_id(release) == release_id:
            shutil.rmtree(folder)
        else:
            if release.is_dir():  # altered since; readers may see it, so it stays until the link moves
                release = releases / f"{release_id}-{secrets.token_hex(4)}"
            _sync_tree(folder)
            folder.rename(release)
        _write_synced(manifest_path(release), manifest)
        sync_folder(releases)
        _put_in_place(release, site)
        _record(releases, release.name)
        _prune(releases)
    except OSError as error:
        raise _unwritable(site, error) from error
    return release.name


def rollback(site: Path) -> str:
    """Put the release before this one back in place; return its id.

    Raises OutputError where there is no earlier release, or where its files were altered since.
    """
    releases = releases_of(site)
    order = _order(releases)
    earlier = [name for name in order[1:] if (releases / name).is_dir()]
    if not earlier:
        raise OutputError(
            str(site), "no earlier release is kept", "an earlier release", "build the site again"
        )
    if content_id(releases / earlier[0]) != earlier[0].partition("-")[0]:
        raise OutputError(
            str(releases / earlier[0]),
            "its files were altered since it was published",
            "the release as it was",
            "build the site again from the fleet file of that day",
        )
    _put_in_place(releases / earlier[0], site)
    _record(releases, earlier[0])
    return earlier[0]


def lay_out(site: Path, folder: Path) -> None:
    """Put the site in `folder` as plain files without links, to be carried to a host; whole or not at all.

    Raises OutputError where `folder` is the site itself, holds something this program did not make, or cannot
    be written.
    """
    folder, made = folder.absolute(), site.resolve()
    inside = made in (folder.resolve(), *folder.resolve().parents) or folder.is_symlink()
    if inside or (folder.exists() and not (folder.is_dir() and _is_ours(folder))):
        raise OutputError(
            str(folder),
            "it is the site itself" if inside else "it is there already and is no site made by this program",
            "a free name, an empty folder, or one that this command laid out before",
            "give another folder; nothing was changed",
        )
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        _put_copy_in_place(made, folder)
    except OSError as error:
        raise _unwritable(folder, error) from error


def _put_in_place(release: Path, site: Path) -> None:
    link = site.parent / f".{site.name}-{os.getpid()}-{secrets.token_hex(4)}"
    link.unlink(missing_ok=True)
    try:
        link.symlink_to(os.path.relpath(release, site.parent), target_is_directory=True)
    except (OSError, NotImplementedError):
        _put_copy_in_place(release, site)
        return
    if site.is_dir() and not site.is_symlink():
        _set_aside(site)
    link.replace(site)
    sync_folder(site.parent)


def _put_copy_in_place(release: Path, site: Path) -> None:
    """The way without symbolic links: a copy, and two renames."""
    fresh = site.parent / f".{site.name}-new"
    shutil.rmtree(fresh, ignore_errors=True)
    shutil.copytree(release, fresh)
    _sync_tree(fresh)
    if site.is_dir():
        _set_aside(site)
    fresh.rename(site)
    sync_folder(site.parent)
    shutil.rmtree(site.parent / f".{site.name}-old", ignore_errors=True)


def _set_aside(site: Path) -> None:
    old = site.parent / f".{site.name}-old"
    shutil.rmtree(old, ignore_errors=True)
    site.rename(old)


def _is_ours(folder: Path) -> bool:
    return not any(folder.iterdir()) or (folder / "assets" / "muster" / "muster.css").is_file()


def _order(releases: Path) -> list[str]:
    file = releases / ORDER_FILE
    return file.read_text(encoding="ascii").split() if file.is_file() else []


def _record(releases: Path, release_id: str) -> None:
    order = [release_id, *(name for name in _order(releases) if name != release_id)]
    _write_synced(releases / ORDER_FILE, "".join(f"{name}\n" for name in order[: KEPT * 4]).encode())


def _prune(releases: Path) -> None:
    kept = set(_order(releases)[:KEPT])
    for path in releases.iterdir():
        name = path.name.removesuffix(".json")
        if path.name.startswith(".") or path.name == ORDER_FILE or name in kept:
            continue
        if path.is_dir():
            shutil.rmtree(path, ignore_errors=True)
        else:
            path.unlink(missing_ok=True)


def _write_synced(path: Path, body: bytes) -> None:
    working = path.with_name(f".{path.name}-{os.getpid()}-{secrets.token_hex(4)}")
    with working.open("wb") as stream:
        stream.write(body)
        stream.flush()
        os.fsync(stream.fileno())
    working.replace(path)


def _sync_tree(folder: Path) -> None:
    """Have all of `folder` on the disk; a file that is part of an earlier release too is there already."""
    folders = [(Path(root), names) for root, _, names in os.walk(folder, topdown=False)]
    paths = (root / name for root, names in folders for name in names)
    sync_files(path for path in paths if path.stat().st_nlink == 1)
    for root, _ in folders:
        sync_folder(root)


def _in_use(folder: Path) -> bool:
    """Whether the process that builds in `folder` still runs; where one cannot ask, whether it is fresh."""
    process = folder.name.removeprefix(WORKING).split("-")[0]
    if os.name == "nt" or not process.isdigit():
        return time.time() - folder.stat().st_mtime < STALE_AFTER_S
    try:
        os.kill(int(process), 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


def _unwritable(path: Path, error: OSError) -> OutputError:
    return OutputError(
        str(path),
        error.strerror or str(error),
        "a folder that can be written, with room to spare",
        "check its permissions and the free space, then run again",
    )
