"""The rows of jobs: asked for, claimed by one worker, reported on, ended, and taken up again."""

from __future__ import annotations

import secrets
import time
from dataclasses import dataclass
from typing import Final

from sqlalchemy import Connection, insert, select, update

from api.storage.clock import now
from api.storage.schema import jobs
from api.storage.store import Store

MOST_ATTEMPTS: Final = 3
STALE_S: Final = 90.0
"""A worker that reported nothing for so long is taken for dead."""

BEAT_S: Final = 15.0
_REPORT_EVERY_S: Final = 0.5


@dataclass(frozen=True)
class Job:
    """A job as its worker sees it."""

    id: str
    fleet_id: str
    kind: str
    revision: int | None
    asked_by: str


def ask(connection: Connection, fleet_id: str, kind: str, by: str, revision: int | None = None) -> str:
    """Ask for a job, in the transaction that makes it needed. One waiting site job a fleet is enough."""
    if kind == "site":
        waiting = connection.execute(
            select(jobs.c.id).where(
                jobs.c.fleet_id == fleet_id, jobs.c.kind == kind, jobs.c.state == "queued"
            )
        ).scalar()
        if waiting is not None:
            return str(waiting)
    job_id = f"j{secrets.token_hex(8)}"
    connection.execute(
        insert(jobs).values(
            id=job_id, fleet_id=fleet_id, kind=kind, revision=revision, state="queued", stage="", done=0,
            total=0, attempts=0, reason="", asked_by=by, created_at=now(), beat_at=0.0,
        )
    )  # fmt: skip
    return job_id


def claim(store: Store, job_id: str | None = None) -> Job | None:
    """Take a waiting job (this one, or the oldest) for this worker alone; None if there is none to take.

    Of one fleet, one job runs at a time.
    """

    def take(connection: Connection) -> Job | None:
        busy = select(jobs.c.fleet_id).where(jobs.c.state == "running")
        query = select(jobs).where(jobs.c.state == "queued", jobs.c.fleet_id.not_in(busy))
        if job_id is not None:
            query = query.where(jobs.c.id == job_id)
        row = connection.execute(query.order_by(jobs.c.created_at, jobs.c.id).limit(1)).first()
        if row is None:
            return None
        connection.execute(
            update(jobs)
            .where(jobs.c.id == row.id)
            .values(
                state="running", attempts=row.attempts + 1, beat_at=time.time(), stage="", done=0, total=0
            )
        )
        return Job(row.id, row.fleet_id, row.kind, row.revision, row.asked_by)

    if not _any_waiting(store):
        return None
    return store.write(take)


def end(store: Store, job: Job, state: str, reason: str = "") -> None:
    """Say how a job ended: done or failed, and why."""
    store.write(
        lambda connection: connection.execute(
            update(jobs)
            .where(jobs.c.id == job.id, jobs.c.state == "running")
            .values(state=state, reason=reason, finished_at=now())
        )
    )


def take_up_again(store: Store, older_than_s: float) -> list[str]:
    """Queue anew the jobs whose worker is dead; those tried too often fail. Returns the ids queued."""

    def again(connection: Connection) -> list[str]:
        dead = jobs.c.state == "running", jobs.c.beat_at <= time.time() - older_than_s
        queued = []
        for row in connection.execute(select(jobs.c.id, jobs.c.attempts).where(*dead)).all():
            spent = row.attempts >= MOST_ATTEMPTS
            reason = (
                f"The program ended in the middle of it {row.attempts} times; it is not tried again."
                if spent
                else "The program ended in the middle of it; it was taken up again."
            )
            values = {"state": "failed", "finished_at": now()} if spent else {"state": "queued"}
            connection.execute(update(jobs).where(jobs.c.id == row.id).values(reason=reason, **values))
            if not spent:
                queued.append(str(row.id))
        return queued

    return store.write(again)


def waiting(store: Store) -> list[str]:
    """Ids of the jobs that wait, oldest first."""
    with store.read() as connection:
        query = select(jobs.c.id).where(jobs.c.state == "queued").order_by(jobs.c.created_at, jobs.c.id)
        return [str(job_id) for job_id in connection.execute(query).scalars()]


def _any_waiting(store: Store) -> bool:
    with store.read() as connection:
        return (
            connection.execute(select(jobs.c.id).where(jobs.c.state == "queued").limit(1)).first() is not None
        )


class Reporter:
    """Writes how far a job is, not oftener than twice a second; a `Progress` for the engine."""

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

    def _write(self, **values: str | int) -> None:
        self._store.write(
            lambda connection: connection.execute(
                update(jobs).where(jobs.c.id == self._job.id).values(beat_at=time.time(), **values)
            )
        )
