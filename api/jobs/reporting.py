"""What a worker says while it is at a job: how far it is, and that it is alive."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from sqlalchemy import update

from api.jobs.queue import Job
from api.storage.schema import jobs
from api.storage.store import Store

BEAT_S: Final = 15.0
_REPORT_EVERY_S: Final = 0.5
_log: Final = logging.getLogger(__name__)


class Reporter:
    """Writes how far a job is, at most twice a second; a `Progress` for the engine."""

    def __init__(self, store: Store, job: Job) -> None:
        self._store, self._job = store, job
        self._last = 0.0
        self._stage = ""

    def __call__(self, what: str, done: int, total: int) -> None:
        """Note the step and how many of its parts are done."""
        clock = time.monotonic()
        if what == self._stage and clock - self._last < _REPORT_EVERY_S:
            return
        self._last, self._stage = clock, what
        self._write(stage=what[:120], done=done, total=total)

    def beat(self) -> None:
        """Say that the worker is alive."""
        self._write()

    @contextmanager
    def beating(self) -> Iterator[None]:
        """Say every few seconds that this worker is alive, however long a step takes."""
        stop = threading.Event()

        def beat() -> None:
            while not stop.wait(BEAT_S):
                try:
                    self.beat()
                except Exception:
                    _log.exception("a sign of life could not be written")

        thread = threading.Thread(target=beat, name="job-beat", daemon=True)
        thread.start()
        try:
            yield
        finally:
            stop.set()
            thread.join()

    def _write(self, **values: str | int) -> None:
        own = jobs.c.id == self._job.id, jobs.c.attempts == self._job.attempt
        self._store.write(
            lambda connection: connection.execute(
                update(jobs).where(*own).values(beat_at=time.time(), **values)
            )
        )
