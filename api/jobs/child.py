"""The process that does the jobs, as it looks from inside.

What it needs is imported late: the watch over the parent has to stand before anything that takes long.
"""

from __future__ import annotations

import contextlib
import logging
import multiprocessing
import os
import signal
import threading
from multiprocessing.connection import Connection
from typing import Final

LOG_FORMAT: Final = "%(asctime)s %(levelname)s %(name)s: %(message)s"


def work(pipe: Connection) -> None:
    """Take the settings from the pipe, then one job after another, until the pipe ends.

    A job that is done is answered with its id; with None where the database went away in the middle of it.
    """
    threading.Thread(target=_end_with_parent, name="parent-watch", daemon=True).start()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # a terminal sends it to all; the parent ends this process
    logging.basicConfig(level=logging.WARNING, format=LOG_FORMAT)
    with contextlib.suppress(EOFError):
        _work_off(pipe)


def _work_off(pipe: Connection) -> None:
    from api.jobs.priority import FullPriorityStore, give_way  # noqa: PLC0415
    from api.jobs.tasks import Tasks  # noqa: PLC0415
    from api.season.engines import Engines  # noqa: PLC0415  see above
    from api.storage.store import open_store  # noqa: PLC0415
    from api.storage.unavailable import UNAVAILABLE, DatabaseUnavailable  # noqa: PLC0415

    settings = pipe.recv()
    store = FullPriorityStore(open_store(settings.url).engine)
    give_way(settings.job_niceness)
    store.reach()
    tasks = Tasks(store, Engines(store, settings), settings)
    try:
        while True:
            job = pipe.recv()
            try:
                tasks.run(job)
            except (*UNAVAILABLE, DatabaseUnavailable) as problem:
                logging.getLogger(__name__).warning("job %s: the database went away: %s", job.id, problem)
                pipe.send(None)
            else:
                pipe.send(job.id)
    finally:
        store.close()


def _end_with_parent() -> None:
    """End at once when the parent is gone, however it went: the next server takes the job up again."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
