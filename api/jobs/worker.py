"""The one thread that works off the jobs where the database is a file."""

from __future__ import annotations

import logging
import threading
from typing import Final, Protocol

from api.jobs.queue import claim, take_up_again
from api.jobs.tasks import Tasks

_LOOK_EVERY_S: Final = 5.0
_log: Final = logging.getLogger(__name__)


class Worker(Protocol):
    """Works off jobs in the background."""

    def start(self) -> None:
        """Take up what an earlier process left, and begin."""

    def wake(self, job_id: str) -> None:
        """Say that a job waits."""

    def stop(self) -> None:
        """End after the job that is being done."""


class ThreadWorker:
    """Works off the jobs of one process, one after the other."""

    def __init__(self, tasks: Tasks) -> None:
        self._tasks = tasks
        self._wake = threading.Event()
        self._ending = threading.Event()
        self._thread = threading.Thread(target=self._work, name="jobs", daemon=True)

    def start(self) -> None:
        """Take up every job left running: no other process can be at it."""
        take_up_again(self._tasks.store, 0.0)
        self._thread.start()

    def wake(self, job_id: str) -> None:
        """Look for jobs now."""
        self._wake.set()

    def stop(self) -> None:
        """Wait for the job that is being done, then end."""
        self._ending.set()
        self._wake.set()
        if self._thread.is_alive():
            self._thread.join()

    def _work(self) -> None:
        while not self._ending.is_set():
            self._wake.clear()
            try:
                while not self._ending.is_set() and (job := claim(self._tasks.store)) is not None:
                    self._tasks.run(job)
            except Exception:
                _log.exception("the queue of jobs could not be read")
            self._wake.wait(_LOOK_EVERY_S)
