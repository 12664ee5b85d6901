"""Jobs shared by several processes on one PostgreSQL, through procrastinate.

Procrastinate only says which process looks at which job when; what a job is and how far it got stands in our
own row. A message comes when the job is due; where the job was put off meanwhile, another message is sent.
A message too many does no harm: the row is claimed once. A message too few is made up for: waiting rows are
told again every few seconds. So nobody waits for a message to be sent, and a database that goes away ends
neither: the ear is opened anew until it is back.
"""

from __future__ import annotations

import asyncio
import contextlib
import datetime as dt
import logging
import threading
import time
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from typing import Any, Final

import procrastinate
from procrastinate.exceptions import AlreadyEnqueued
from procrastinate.schema import SchemaManager
from sqlalchemy import inspect, text

from api.jobs.queue import STALE_S, Waiting, claim, take_up_again, waiting
from api.jobs.worker_process import WorkerProcess
from api.storage.store import Store

QUEUE: Final = "drogue-muster"
TASK: Final = "drogue-muster.job"
_TELL_AGAIN_S: Final = 10.0
_OPEN_AGAIN_S: Final = 2.0
_TELLER: Final[dict[str, Any]] = {"min_size": 1, "max_size": 2, "timeout": 5.0}
_LISTENER: Final[dict[str, Any]] = {"timeout": 10.0}
"""Few connections, and no long wait for one: messages are told again, and listened for anew."""

_POLL_S: Final = 1.0
"""Procrastinate looks so often for messages whose time has come."""

_LOCK: Final = 7_263_106
_log: Final = logging.getLogger(__name__)


class SharedWorker:
    """Works off jobs together with the other processes on the same database."""

    def __init__(self, store: Store, worker_process: WorkerProcess, stop_seconds: float) -> None:
        self._store, self.worker_process, self._stop_seconds = store, worker_process, stop_seconds
        url = store.engine.url.set(drivername="postgresql")
        self._address = url.render_as_string(hide_password=False)
        connector = procrastinate.SyncPsycopgConnector(conninfo=self._address, **_TELLER)
        self._teller = procrastinate.App(connector=connector)
        self._telling = ThreadPoolExecutor(1, thread_name_prefix="job-messages")
        self._loop: asyncio.AbstractEventLoop | None = None
        self._ending: asyncio.Event | None = None
        self._ready = threading.Event()
        self._thread = threading.Thread(target=self._run, name="jobs", daemon=True)

    def start(self) -> None:
        """Make procrastinate's tables if they are not there, and begin."""
        self._prepare()
        self._teller.open()
        self._thread.start()
        self._ready.wait(30)

    def wake(self, job_id: str) -> None:
        """Tell all processes of a job, for the moment when it is due; nobody waits for it to be told."""
        with contextlib.suppress(RuntimeError):  # the server stops: the next one looks for what waits
            self._telling.submit(self._wake, job_id)

    def stop(self) -> None:
        """End after the job that is being done; one that takes too long is broken off and put back."""
        if self._loop is not None and self._ending is not None:
            self._loop.call_soon_threadsafe(self._ending.set)
            self._thread.join(self._stop_seconds)
            if self._thread.is_alive():
                self.worker_process.break_off()
                self._thread.join()
        self.worker_process.close()
        self._telling.shutdown(wait=False, cancel_futures=True)
        self._teller.close()
        self._telling.shutdown()

    def _wake(self, job_id: str) -> None:
        try:
            self._tell(one for one in waiting(self._store) if one.id == job_id)
        except Exception as problem:
            _log.warning("a job could not be told of, and is told again later: %r", problem)

    def _tell(self, queued: Iterable[Waiting]) -> None:
        for one in queued:
            later = one.due_at > time.time()
            at = dt.datetime.fromtimestamp(one.due_at, dt.UTC) if later else None
            lock = f"{one.id} {one.due_at:.3f}"
            task = self._teller.configure_task(TASK, queue=QUEUE, queueing_lock=lock, schedule_at=at)
            with contextlib.suppress(AlreadyEnqueued):  # the same message is on its way
                task.defer(job_id=one.id)

    def _stopping(self) -> bool:
        return self._ending is not None and self._ending.is_set()

    def _prepare(self) -> None:
        with self._store.engine.begin() as connection:
            connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
            if not inspect(connection).has_table("procrastinate_jobs"):
                connection.exec_driver_sql(SchemaManager.get_schema().replace("%", "%%"))

    def _run(self) -> None:
        asyncio.run(self._work())

    async def _work(self) -> None:
        self._loop, self._ending = asyncio.get_running_loop(), asyncio.Event()
        again = asyncio.create_task(self._tell_again())
        while not self._ending.is_set():
            try:
                await self._listen(self._ending)
            except Exception as problem:
                _log.warning("messages about jobs cannot be heard, and are listened for anew: %r", problem)
                with contextlib.suppress(TimeoutError):
                    await asyncio.wait_for(self._ending.wait(), _OPEN_AGAIN_S)
        again.cancel()
        await asyncio.gather(again, return_exceptions=True)

    async def _listen(self, ending: asyncio.Event) -> None:
        """Hear of jobs and do them until the server ends; the error that ended it where one did."""
        app = procrastinate.App(connector=procrastinate.PsycopgConnector(conninfo=self._address, **_LISTENER))

        @app.task(name=TASK, queue=QUEUE)
        def work(job_id: str) -> None:
            job = claim(self._store, job_id)
            while job is not None:
                if not self.worker_process.run(job) and self._stopping():
                    return
                job = claim(self._store)
            self.wake(job_id)  # in case it was put off

        async with app.open_async():
            worker = asyncio.create_task(
                app.run_worker_async(
                    queues=[QUEUE], name="drogue-muster", concurrency=1, install_signal_handlers=False,
                    delete_jobs="always", fetch_job_polling_interval=_POLL_S,
                )
            )  # fmt: skip
            self._ready.set()
            end = asyncio.create_task(ending.wait())
            await asyncio.wait((worker, end), return_when=asyncio.FIRST_COMPLETED)
            end.cancel()
            if worker.done():
                worker.result()
            worker.cancel()
            await asyncio.gather(worker, return_exceptions=True)

    async def _tell_again(self) -> None:
        """Tell of waiting rows whose message was lost, and of rows whose worker is dead."""
        while True:
            try:
                await asyncio.to_thread(self._look)
            except Exception as problem:
                _log.warning("waiting jobs could not be told again: %r", problem)
            await asyncio.sleep(_TELL_AGAIN_S)

    def _look(self) -> None:
        take_up_again(self._store, STALE_S)
        self._tell(waiting(self._store))
