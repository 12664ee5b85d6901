"""The one thread of a server that hands out jobs, on either kind of database."""

from __future__ import annotations

import logging
import threading
import time
from typing import Final

from api.jobs.queue import STALE_S, claim, next_due
from api.jobs.worker_process import WorkerProcess
from api.storage.store import Store

_LOOK_EVERY_S: Final = 2.0
"""How soon a job that another server queued, or that a dead one left, is seen."""

_log: Final = logging.getLogger(__name__)


class Worker:
    """Works off jobs, one after the other, beside the other servers of the database."""

    def __init__(self, store: Store, worker_process: WorkerProcess, stop_seconds: float) -> None:
        self._store, self.worker_process, self._stop_seconds = store, worker_process, stop_seconds
        # One server alone works on a file: whatever runs there while its thread looks was left by a dead one.
        self._dead_after_s = 0.0 if store.is_sqlite else STALE_S
        self._wake = threading.Event()
        self._ending = threading.Event()
        self._thread = threading.Thread(target=self._work, name="jobs", daemon=True)

    def start(self) -> None:
        """Take up what an earlier server left, and begin."""
        self._thread.start()

    def wake(self) -> None:
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
                pause = _LOOK_EVERY_S
            self._wake.wait(pause)

    def _work_off(self) -> float:
        """Do what is due; the seconds until something will be, or until the next look."""
        while not self._ending.is_set() and (job := claim(self._store, self._dead_after_s)) is not None:
            self.worker_process.run(job)
        due = next_due(self._store)
        return _LOOK_EVERY_S if due is None else min(max(due - time.time(), 0.01), _LOOK_EVERY_S)
