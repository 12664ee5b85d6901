"""Priorities of the process for jobs: it gives way, but not in the middle of a transaction."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

from sqlalchemy import Connection, Engine

from api.storage.store import Store

Result = TypeVar("Result")


class FullPriorityStore(Store):
    """A store whose transactions keep the priority the process had when the store was made.

    Whoever writes has the database to himself. A process that gives way to all others would be left waiting
    in the middle of its transaction, and every scrutineer with it. On Linux each thread has a priority of its
    own; elsewhere `give_way` counts for the whole process, and the transaction gives way too.
    """

    def __init__(self, engine: Engine) -> None:
        super().__init__(engine)
        self._writer = ThreadPoolExecutor(1, thread_name_prefix="writes")
        self._writer.submit(int).result()  # a thread takes its priority from the one that starts it

    def write(self, work: Callable[[Connection], Result]) -> Result:
        """As `Store.write`, in the thread that writes."""
        return self._writer.submit(super().write, work).result()

    def close(self) -> None:
        """End the thread, and close every connection."""
        self._writer.shutdown()
        super().close()


def give_way(niceness: int) -> None:
    """Let every process that answers somebody come first: people wait for an answer, nobody for a job."""
    if hasattr(os, "nice"):
        os.nice(niceness)
