"""A new output beside the old one, put in its place only when it is whole."""

from __future__ import annotations

import errno
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from filelock import FileLock, Timeout

from sizing.errors import OutputError
from sizing.on_disk import sync_files

MADE_OF = ".made-of.json"
"""Says of which state of the season the outputs are; it is put in place last, when all of them are."""

PARTS = ("tables", "order", "purchase", "papers", "messages", "summary.json", MADE_OF)
STAGE = ".being-made-"
PREVIOUS = ".previous"
IN_USE = ".in-use"
SERVER = "server"
SERVER_S = 600.0
"""How long a run waits for a server that writes into the same folder."""


def refusal(folder: Path, problem: OSError) -> OutputError:
    """The clear sentence for an operating-system error met while writing below `folder`."""
    found, mend = {
        errno.ENOSPC: ("the disk is full", "make room, then run again; the previous output is untouched"),
        errno.EDQUOT: ("the disk quota is used up", "make room, then run again"),
        errno.EFBIG: ("a file there would be larger than allowed", "lift the limit, or choose another --out"),
        errno.EACCES: ("this user may not write there", "choose another --out, or change its permissions"),
        errno.EPERM: ("this user may not write there", "choose another --out, or change its permissions"),
        errno.EROFS: ("it is on a read-only disk", "choose another --out"),
        errno.ENOTDIR: ("a part of its path is a file, not a folder", "choose another --out"),
        errno.EEXIST: ("a file of that name is in the way", "choose another --out, or move that file away"),
    }.get(problem.errno or 0, (f"writing failed ({problem.strerror or problem})", "choose another --out"))
    return OutputError(f"output folder {folder}", found, "a folder that can be written", mend)


@contextmanager
def claimed(folder: Path, *, wait: bool = False) -> Iterator[None]:
    """Keep `folder` for this run alone, and make sure before any work that it can be written.

    Whoever waits stands in line behind a run that is writing there: a server does. A run waits for a server,
    whose making ends within a minute or so, and is refused beside another run. The lock file stays, and says
    who wrote there last; the lock itself ends with the process, however it ends.

    Raises
    ------
    OutputError
        the folder cannot be made or written, or another run is writing there
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        Path(tempfile.mkdtemp(prefix=STAGE, dir=folder)).rmdir()
        lock = FileLock(folder / IN_USE)
        _acquire(lock, wait=wait)
    except Timeout:
        raise OutputError(
            f"output folder {folder}", "another run is writing there", "one run at a time in a folder",
            "wait until that run has ended, or choose another --out",
        ) from None  # fmt: skip
    except OSError as problem:
        raise refusal(folder, problem) from problem
    try:
        yield
    finally:
        lock.release()


def _acquire(lock: FileLock, *, wait: bool) -> None:
    holder = Path(f"{lock.lock_file}-by")
    try:
        lock.acquire(blocking=wait)
    except Timeout:
        with suppress(OSError):
            if holder.read_text(encoding="ascii") == SERVER:
                lock.acquire(timeout=SERVER_S)
        if not lock.is_locked:
            raise
    try:
        holder.write_text(SERVER if wait else "run", encoding="ascii")
    except OSError:
        lock.release()
        raise


@contextmanager
def staged(folder: Path) -> Iterator[Path]:
    """A fresh folder to write into; its parts replace those of `folder` when the block ends well.

    If the block fails, or the process dies, the previous parts stay as they were, and so does a part that
    was not made. What a dead process left behind is cleared by the next run.

    Raises
    ------
    OutputError
        the folder cannot be made or written, or the disk is full
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _put_back(folder)
        for left in folder.glob(f"{STAGE}*"):
            shutil.rmtree(left, ignore_errors=True)
        stage = Path(tempfile.mkdtemp(prefix=STAGE, dir=folder))
    except OSError as problem:
        raise refusal(folder, problem) from problem
    try:
        yield stage
        settle(stage)
        _swap(stage, folder)
    except OSError as problem:
        raise refusal(folder, problem) from problem
    finally:
        shutil.rmtree(stage, ignore_errors=True)


def settle(stage: Path) -> None:
    """Have every byte on the disk before anything old is moved away."""
    sync_files(path for path in stage.rglob("*") if path.is_file())


def _put_back(folder: Path) -> None:
    """Give parts their names again that a process had moved away when it was killed."""
    for name in PARTS:
        if (folder / PREVIOUS / name).exists() and not (folder / name).exists():
            (folder / PREVIOUS / name).replace(folder / name)


def _swap(stage: Path, folder: Path) -> None:
    previous = folder / PREVIOUS
    shutil.rmtree(previous, ignore_errors=True)
    previous.mkdir()
    made = [name for name in PARTS if (stage / name).exists()]
    moved: list[str] = []
    try:
        for name in made:
            if (folder / name).exists():
                (folder / name).replace(previous / name)
            (stage / name).replace(folder / name)
            moved.append(name)
    except BaseException:  # Ctrl-C between two renames must be undone too
        for name in made:
            if name in moved:
                (folder / name).replace(stage / name)
            if (previous / name).exists():
                (previous / name).replace(folder / name)
        raise
    shutil.rmtree(previous, ignore_errors=True)
