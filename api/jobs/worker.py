"""The one thread that hands out the jobs where the database is a file."""

from __future__ import annotations

import logging
import threading
import time
from typing import Final, Protocol

from api.jobs.queue import claim, take_up_again, waiting
from api.jobs.worker_process import WorkerProcess
from api.storage.store import Store

_LOOK_EVERY_S: Final = 5.0
_log: Final = logging.getLogger(__name__)


class Worker(Protocol):
    """Works off jobs in the background."""

    def start(self) -> None:
        """Take up what an earlier process left, and begin."""

    def wake(self, job_id: str) -> None:
        """Say that a job waits."""

    def stop(self) -> None:
        """End after the job that is being done, or without it where it takes too long."""


class ThreadWorker:
    """Works off the jobs of one server, one after the other."""

    def __init__(self, store: Store, worker_process: WorkerProcess, stop_seconds: float) -> None:
        self._store, self.worker_process, self._stop_seconds = store, worker_process, stop_seconds
        self._wake = threading.Event()
        self._ending = threading.Event()
        self._unsure = False
        self._thread = threading.Thread(target=self._work, name="jobs", daemon=True)

    def start(self) -> None:
        """Take up every job left running: no other server can be at it."""
        take_up_again(self._store, 0.0)
        self._thread.start()

    def wake(self, job_id: str) -> None:
        """Look for jobs now."""
        self._wake.set()

    def stop(self) -> None:
        """End after the job that is being done; one that takes too long is broken off and put back."""
        self._ending.set()
        self._wake.set()
        if self._thread.is_alive():
            self._thread.join(self._stop_seconds)
        if self._thread.is_alive():
            self.worker_process.break_off()
            self._thread.join()
        self.worker_process.close()

    def _work(self) -> None:
        while not self._ending.is_set():
            self._wake.clear()
            try:
                pause = self._work_off()
            except Exception:
                _log.exception("the queue of jobs could not be read or written")
                self._unsure = True
                pause = _LOOK_EVERY_S
            self._wake.wait(pause)

    def _work_off(self) -> float:
        """Do what is due; the seconds until something will be, or until the next look."""
        if self._unsure:  # how a job ended may not have been written down
            take_up_again(self._store, 0.0)
            self._unsure = False
        while not self._ending.is_set() and (job := claim(self._store)) is not None:
            self.worker_process.run(job)
        queued = waiting(self._store)
        until_due = queued[0].due_at - time.time() if queued else _LOOK_EVERY_S
        return min(max(until_due, 0.01), _LOOK_EVERY_S)
