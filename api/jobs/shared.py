"""Jobs shared by several processes on one PostgreSQL, through procrastinate.

Procrastinate only says which process looks at which job when; what a job is and how far it got stands in our
own row. A message too many does no harm: the row is claimed once. A message too few is made up for: waiting
rows are told again every few seconds.
"""

from __future__ import annotations

import asyncio
import logging
import threading
from typing import Final

import procrastinate
from procrastinate.schema import SchemaManager
from sqlalchemy import inspect, text

from api.jobs.queue import STALE_S, claim, take_up_again, waiting
from api.jobs.tasks import Tasks

QUEUE: Final = "drogue-muster"
TASK: Final = "drogue-muster.job"
_TELL_AGAIN_S: Final = 10.0
_LOCK: Final = 7_263_106
_log: Final = logging.getLogger(__name__)


class SharedWorker:
    """Works off jobs together with the other processes on the same database."""

    def __init__(self, tasks: Tasks) -> None:
        self._tasks = tasks
        url = tasks.store.engine.url.set(drivername="postgresql")
        self._address = url.render_as_string(hide_password=False)
        self._teller = procrastinate.App(connector=procrastinate.SyncPsycopgConnector(conninfo=self._address))
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
        """Tell all processes of a job."""
        self._teller.configure_task(TASK, queue=QUEUE).defer(job_id=job_id)

    def stop(self) -> None:
        """Wait for the job that is being done, then end."""
        if self._loop is not None and self._ending is not None:
            self._loop.call_soon_threadsafe(self._ending.set)
            self._thread.join()
        self._teller.close()

    def _prepare(self) -> None:
        engine = self._tasks.store.engine
        with engine.begin() as connection:
            connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
            if not inspect(connection).has_table("procrastinate_jobs"):
                connection.exec_driver_sql(SchemaManager.get_schema().replace("%", "%%"))

    def _run(self) -> None:
        asyncio.run(self._work())

    async def _work(self) -> None:
        self._loop, self._ending = asyncio.get_running_loop(), asyncio.Event()
        app = procrastinate.App(connector=procrastinate.PsycopgConnector(conninfo=self._address))

        @app.task(name=TASK, queue=QUEUE)
        def work(job_id: str) -> None:
            job = claim(self._tasks.store, job_id)
            while job is not None:
                self._tasks.run(job)
                job = claim(self._tasks.store)

        async with app.open_async():
            worker = asyncio.create_task(
                app.run_worker_async(
                    queues=[QUEUE], name="drogue-muster", concurrency=1, install_signal_handlers=False,
                    delete_jobs="always",
                )
            )  # fmt: skip
            again = asyncio.create_task(self._tell_again())
            self._ready.set()
            await self._ending.wait()
            again.cancel()
            worker.cancel()
            await asyncio.gather(worker, again, return_exceptions=True)

    async def _tell_again(self) -> None:
        """Tell of waiting rows whose message was lost, and of rows whose worker is dead."""
        while True:
            try:
                await asyncio.to_thread(self._look)
            except Exception:
                _log.exception("waiting jobs could not be told again")
            await asyncio.sleep(_TELL_AGAIN_S)

    def _look(self) -> None:
        take_up_again(self._tasks.store, STALE_S)
        for job_id in waiting(self._tasks.store):
            self.wake(job_id)
