"""The rows of jobs: added, due, claimed by one worker, finished, and queued again where the worker died.

One queue on both kinds of database, and no library: writers stand in line (`Store.write`), so that a job is
claimed once, by however many servers share the database.
"""

from __future__ import annotations

import secrets
import time
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import ColumnElement, Connection, Row, func, insert, or_, select, update

from api.season.acts import FAILED_LIST, FAILED_SITE, record
from api.settings import Wait
from api.storage.clock import now, seconds_of
from api.storage.schema import jobs, revisions
from api.storage.store import Store
from api.trail.chain import PROGRAM

MOST_ATTEMPTS: Final = 3
STALE_S: Final = 90.0
"""A worker that reported nothing for so long is taken for dead."""
AHEAD_S: Final = 86_400.0
"""No wait is so long: a time further ahead is from before the clock was set back."""

AT_ONCE: Final = Wait(0.0, 0.0)


@dataclass(frozen=True)
class Job:
    """A job as its worker sees it.

    `attempt` tells this worker from one that had the job before: a worker that lost its job writes nothing.
    """

    id: str
    fleet_id: str
    kind: str
    revision: int | None
    asked_by: str
    attempt: int


def add_job(
    connection: Connection, fleet_id: str, kind: str, by: str, revision: int | None = None, wait_s: float = 0
) -> str:
    """Queue a job, in the transaction that makes it needed; due in `wait_s` seconds. Returns its id."""
    job_id = f"j{secrets.token_hex(8)}"
    connection.execute(
        insert(jobs).values(
            id=job_id, fleet_id=fleet_id, kind=kind, revision=revision, state="queued", stage="", done=0,
            total=0, attempts=0, reason="", asked_by=by, created_at=now(), beat_at=0.0,
            due_at=time.time() + wait_s,
        )
    )  # fmt: skip
    return job_id


def add_site_job(connection: Connection, fleet_id: str, by: str, wait: Wait = AT_ONCE) -> str:
    """Queue the making of a fleet's site, for when no more is written to the fleet. Returns the job's id.

    A site job that waits already is put off instead, so that one site follows many writes.
    """
    here = jobs.c.fleet_id == fleet_id, jobs.c.kind == "site", jobs.c.state == "queued"
    row = connection.execute(select(jobs.c.id, jobs.c.created_at).where(*here)).first()
    if row is None:
        return add_job(connection, fleet_id, "site", by, wait_s=min(wait.quiet_s, wait.most_s))
    due = min(time.time() + wait.quiet_s, seconds_of(row.created_at) + wait.most_s)
    connection.execute(update(jobs).where(jobs.c.id == row.id).values(due_at=due))
    return str(row.id)


def claim(store: Store, dead_after_s: float = STALE_S) -> Job | None:
    """Take the oldest job that is due for this worker alone; None if there is none.

    Of one fleet, one job runs at a time. Jobs whose worker has given no sign of life for `dead_after_s` are
    queued again first, or failed where they were tried too often.
    """
    clock = time.time()
    due = (jobs.c.state == "queued") & _past(jobs.c.due_at, clock)
    dead = (jobs.c.state == "running") & _past(jobs.c.beat_at, clock - dead_after_s)

    def take(connection: Connection) -> Job | None:
        for left in connection.execute(select(jobs).where(dead)).all():
            _queue_again(connection, _job(left, left.attempts), "The program ended")
        busy = select(jobs.c.fleet_id).where(jobs.c.state == "running")
        query = select(jobs).where(due, jobs.c.fleet_id.not_in(busy)).order_by(jobs.c.created_at, jobs.c.id)
        row = connection.execute(query.limit(1)).first()
        if row is None:
            return None
        attempt = row.attempts + 1
        started = {"state": "running", "beat_at": time.time(), "stage": "", "done": 0, "total": 0}
        connection.execute(update(jobs).where(jobs.c.id == row.id).values(attempts=attempt, **started))
        return _job(row, attempt)

    with store.read() as connection:  # a look costs no lock
        if connection.execute(select(jobs.c.id).where(or_(due, dead)).limit(1)).first() is None:
            return None
    return store.write(take)


def _past(moment: ColumnElement[float], clock: float) -> ColumnElement[bool]:
    return (moment <= clock) | (moment > clock + AHEAD_S)


def next_due(store: Store) -> float | None:
    """When the next waiting job is due, in seconds since 1970; None if none waits."""
    with store.read() as connection:
        query = select(func.min(jobs.c.due_at)).where(jobs.c.state == "queued")
        return connection.execute(query).scalar()


def is_owned(connection: Connection, job: Job) -> bool:
    """Whether the job is still this worker's, and was not given to another because this one seemed dead."""
    return connection.execute(select(jobs.c.id).where(*_own(job))).first() is not None


def finish(store: Store, job: Job) -> None:
    """Say that a job is done."""
    done = {"state": "done", "reason": "", "finished_at": now()}
    store.write(lambda c: c.execute(update(jobs).where(*_own(job)).values(**done)))


def fail(store: Store, job: Job, reason: str, problem: str = "") -> None:
    """Say that a job failed for good, and why; the upload it was to read is refused.

    `problem` is what was wrong with the list itself, for a problem document.
    """

    def write(connection: Connection) -> None:
        if is_owned(connection, job):
            _fail(connection, job, reason, problem)

    store.write(write)


def put_back(store: Store, job: Job) -> None:
    """Queue again a job that was broken off because the server stops; it counts as not tried."""
    back = {"state": "queued", "attempts": job.attempt - 1}
    store.write(lambda c: c.execute(update(jobs).where(*_own(job)).values(**back)))


def retry(store: Store, job: Job, what: str) -> None:
    """Queue again a job in whose midst `what` happened, or fail it where it was tried too often."""

    def write(connection: Connection) -> None:
        if is_owned(connection, job):
            _queue_again(connection, job, what)

    store.write(write)


def _job(row: Row[Any], attempt: int) -> Job:
    return Job(row.id, row.fleet_id, row.kind, row.revision, row.asked_by, attempt)


def _own(job: Job) -> tuple[ColumnElement[bool], ...]:
    return jobs.c.id == job.id, jobs.c.state == "running", jobs.c.attempts == job.attempt


def _queue_again(connection: Connection, job: Job, what: str) -> None:
    if job.attempt >= MOST_ATTEMPTS:
        reason = f"{what} in the middle of it. It was tried {job.attempt} times; it is not tried again."
        _fail(connection, job, reason)
        return
    reason = f"{what} in the middle of it; it is tried again."
    connection.execute(update(jobs).where(*_own(job)).values(state="queued", reason=reason))


def _fail(connection: Connection, job: Job, reason: str, problem: str = "") -> None:
    if job.kind == "assess":
        mine = (
            revisions.c.fleet_id == job.fleet_id,
            revisions.c.number == job.revision,
            revisions.c.state == "received",  # one that came into force before stays what it is
        )
        refused = {"state": "refused", "reason": reason, "problem": problem}
        connection.execute(update(revisions).where(*mine).values(refused))
    act = FAILED_LIST if job.kind == "assess" else FAILED_SITE
    record(connection, PROGRAM, act, job.fleet_id, job.id, after={"reason": reason})
    failed = {"state": "failed", "reason": reason, "finished_at": now()}
    connection.execute(update(jobs).where(*_own(job)).values(**failed))
