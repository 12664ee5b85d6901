"""The process that does the jobs, as it looks from the server: started, handed jobs, replaced, ended.

Reading, judging and building are work for the processor. In a thread of the server they would take turns
with the answers; in a process of their own they do not.
"""

from __future__ import annotations

import logging
import multiprocessing
import signal
import threading
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess
from typing import Final

from api.jobs.child import work
from api.jobs.queue import Job, put_back, retry
from api.settings import Settings
from api.storage.store import Store

START_METHOD: Final = "spawn"
_IDLE_END_S: Final = 5.0
_NOT_STARTED: Final = 1
_AWAY: Final = 1000
"""Beyond all codes of processes: the process is there, the database went away."""

_log: Final = logging.getLogger(__name__)


class WorkerProcess:
    """Does one job after another in one process, which is kept for the next; where it died, in a new one."""

    def __init__(self, store: Store, settings: Settings) -> None:
        self._store, self._settings = store, settings
        self._lock = threading.Lock()
        self._process: SpawnProcess | None = None
        self._pipe: Connection | None = None
        self._ending = False

    @property
    def pid(self) -> int | None:
        """The process, None while there is none."""
        process = self._process
        return process.pid if process is not None and process.is_alive() else None

    def run(self, job: Job) -> None:
        """Do one claimed job to its end, or queue it again where that was not reached."""
        code = self._do(job)
        if code is None:
            return
        if self._ending or code == -signal.SIGTERM:  # asked to end, as all processes of a service are
            put_back(self._store, job)
            return
        what = _what_happened(code)
        _log.error("job %s: %s in the middle of it", job.id, what)
        retry(self._store, job, what)

    def break_off(self) -> None:
        """End the process now, whatever it is at; no other is started."""
        with self._lock:
            self._ending = True
            if self._process is not None and self._process.is_alive():
                self._process.kill()

    def close(self) -> None:
        """End the process, which has no job now."""
        with self._lock:
            self._ending = True
            if self._pipe is not None:
                self._pipe.close()
            if self._process is not None:
                self._process.join(_IDLE_END_S)
                if self._process.is_alive():
                    self._process.kill()
                    self._process.join()
                self._process.close()
            self._process = self._pipe = None

    def _do(self, job: Job) -> int | None:
        """Hand the job over and wait; None once it is done, else why not: a process's code, or _AWAY."""
        try:
            process, pipe = self._ready()
            pipe.send(job)
            wait([pipe, process.sentinel])
            if pipe.poll():
                return None if pipe.recv() == job.id else _AWAY
        except Exception as problem:  # not started, or gone while it was spoken to: the job is tried again
            if not self._ending:
                _log.warning("the process for jobs: %r", problem)
        return self._bury()

    def _ready(self) -> tuple[SpawnProcess, Connection]:
        with self._lock:
            if self._ending:
                raise EOFError("the server stops")
            if self._process is None or self._pipe is None:
                context = multiprocessing.get_context(START_METHOD)
                self._pipe, theirs = context.Pipe()
                self._process = context.Process(target=work, args=(theirs,), name="jobs", daemon=True)
                self._process.start()
                theirs.close()
                self._pipe.send(self._settings)
            return self._process, self._pipe

    def _bury(self) -> int:
        with self._lock:
            process, pipe = self._process, self._pipe
            self._process = self._pipe = None
            if pipe is not None:
                pipe.close()
            if process is None or process.pid is None:
                return _NOT_STARTED
            process.join(_IDLE_END_S)
            if process.is_alive():
                process.kill()
                process.join()
            code = process.exitcode
            process.close()
        return _NOT_STARTED if code is None else code


def _what_happened(code: int) -> str:
    if code == _AWAY:
        return "The database could not be used"
    if code < 0:
        return f"The process for jobs was ended from outside ({signal.Signals(-code).name})"
    return f"The process for jobs ended by itself (code {code})"
