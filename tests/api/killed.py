"""The command line in a process that is killed at a place of its own choosing, as a power cut would."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from tests.api.running import LONGEST_S

ROOT = Path(__file__).resolve().parents[2]

CHILD = r"""
import contextlib, importlib, itertools, json, os, shutil, signal, sys, threading
from pathlib import Path
from sqlalchemy import Engine, event
from api import command_line, running, season_commands, paper_work
from api.season import again, stock
from api.storage import store
import api.trail.anchors
import sitegen.publish

WRITES = ("INSERT", "UPDATE", "DELETE", "CREATE")

def tell_places(at, names, tell):
    counted, lock = itertools.count(1), threading.Lock()

    def place(name):
        with lock:
            here = next(counted)
            names.append(name)
            if at < 0 and name != "fsync":  # what is on the disk matters to a kill, not whether it is synced
                os.write(tell, f"{name}\n".encode())
                os.read(0, 1)
            if here == at:
                os.kill(os.getpid(), signal.SIGKILL)

    def before(owner, name):
        real = getattr(owner, name)
        def told(*given, **named):
            place(name)
            return real(*given, **named)
        setattr(owner, name, told)

    def around(owner, name):
        real = getattr(owner, name)
        def told(*given, **named):
            place(name)
            done = real(*given, **named)
            place(name + ", done")
            return done
        setattr(owner, name, told)

    for name in ("replace", "rename", "symlink_to", "mkdir"):
        before(Path, name)
    before(shutil, "rmtree")
    before(os, "fsync")
    around(store.Store, "write")
    event.listen(Engine, "commit", lambda _: place("commit"))

    @event.listens_for(Engine, "before_cursor_execute")
    def _(connection, cursor, statement, *rest):
        if statement.startswith(WRITES):
            place(" ".join(statement.split()[:3]))

for line in sys.stdin:
    child = os.fork()
    if child == 0:
        arguments, at, said = json.loads(line)
        tell = os.dup(1)
        written = os.open(said, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        os.dup2(written, 1)
        os.dup2(written, 2)
        names = []
        tell_places(at, names, tell)
        sys.argv = ["drogue-muster", *arguments]
        code = 70
        try:
            command_line.main()
        except SystemExit as ended:
            code = ended.code
        if at == 0:
            Path(said + ".places").write_text(json.dumps(names))
            Path(said + ".modules").write_text(json.dumps(list(sys.modules)))
        sys.stdout.flush()
        os._exit(code)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    arguments, at, said = json.loads(line)
    if at == 0:  # what it had to import is there for the next one
        for name in json.loads(Path(said + ".modules").read_text()):
            with contextlib.suppress(Exception):
                importlib.import_module(name)
    print(code, flush=True)
"""
"""A process is forked for each command: no table is read before, since threads do not live on in a fork."""


class Nursery:
    """An interpreter with its imports, from which every command is forked."""

    def __init__(self, folder: Path) -> None:
        self._said = folder / "said.txt"
        self._process = subprocess.Popen(
            [sys.executable, "-c", CHILD], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
            cwd=ROOT, env=os.environ | {"PYTHONDONTWRITEBYTECODE": "1"},
        )  # fmt: skip

    def call(self, arguments: Sequence[str | Path], kill_at: int = 0) -> int:
        """The exit code of a command that is killed at its n-th place, or not; -9 where it was killed."""
        assert self._process.stdout is not None
        self._ask(arguments, kill_at)
        return int(self._process.stdout.readline())

    def _ask(self, arguments: Sequence[str | Path], at: int) -> None:
        assert self._process.stdin is not None
        line = json.dumps([[str(one) for one in arguments], at, str(self._said)])
        self._process.stdin.write(line + "\n")
        self._process.stdin.flush()

    def stopping(self, arguments: Sequence[str | Path]) -> Iterator[str]:
        """Each place that a command comes by: it stands still there, and goes on with the next one."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._ask(arguments, -1)
        while not (name := self._process.stdout.readline().strip()).lstrip("-").isdigit():
            yield name
            self._process.stdin.write("\n")
            self._process.stdin.flush()
        assert int(name) in (0, 3), self.said()

    def places(self) -> list[str]:
        """The names of the places that the last command came by, which was not killed."""
        names: list[str] = json.loads(Path(f"{self._said}.places").read_text(encoding="utf-8"))
        return names

    def said(self) -> str:
        """What the last command printed."""
        return self._said.read_text(encoding="utf-8")

    def close(self) -> None:
        """End it."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.close()
        self._process.wait(LONGEST_S)
        self._process.stdout.close()
