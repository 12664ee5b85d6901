"""The rows of jobs: asked for, due, claimed by one worker, ended, and taken up again."""

from __future__ import annotations

import secrets
import time
from dataclasses import dataclass
from typing import Final

from sqlalchemy import ColumnElement, Connection, insert, select, update

from api.settings import Wait
from api.storage.clock import now, seconds_of
from api.storage.schema import jobs, revisions
from api.storage.store import Store
from api.trail import append
from api.trail.chain import PROGRAM

MOST_ATTEMPTS: Final = 3
STALE_S: Final = 90.0
"""A worker that reported nothing for so long is taken for dead."""


@dataclass(frozen=True)
class Job:
    """A job as its worker sees it.

    `attempt` tells this worker from one that had the job before it: whoever has it no more writes nothing.
    """

    id: str
    fleet_id: str
    kind: str
    revision: int | None
    asked_by: str
    attempt: int


@dataclass(frozen=True)
class Waiting:
    """A job that waits, and when it is due, in seconds since 1970."""

    id: str
    due_at: float


def ask(connection: Connection, fleet_id: str, kind: str, by: str, revision: int | None = None) -> str:
    """Ask for a job at once, in the transaction that makes it needed; returns its id.

    One waiting site job a fleet is enough: it is that one then.
    """
    if kind == "site":
        return ask_for_site(connection, fleet_id, by, Wait(0.0, 0.0))[0]
    return _new(connection, fleet_id, kind, by, revision, time.time())


def ask_for_site(connection: Connection, fleet_id: str, by: str, wait: Wait) -> tuple[str, bool]:
    """Ask for the site to follow once no more is written; the id of the job, and whether it is a new one.

    Asked again while it waits, the job is put off, so that one site follows many writes.
    """
    clock = time.time()
    here = jobs.c.fleet_id == fleet_id, jobs.c.kind == "site", jobs.c.state == "queued"
    row = connection.execute(select(jobs.c.id, jobs.c.created_at).where(*here)).first()
    if row is None:
        return _new(connection, fleet_id, "site", by, None, clock + min(wait.quiet_s, wait.most_s)), True
    due = min(clock + wait.quiet_s, seconds_of(row.created_at) + wait.most_s)
    connection.execute(update(jobs).where(jobs.c.id == row.id).values(due_at=due))
    return str(row.id), False


def _new(
    connection: Connection, fleet_id: str, kind: str, by: str, revision: int | None, due_at: float
) -> str:
    job_id = f"j{secrets.token_hex(8)}"
    connection.execute(
        insert(jobs).values(
            id=job_id, fleet_id=fleet_id, kind=kind, revision=revision, state="queued", stage="", done=0,
            total=0, attempts=0, reason="", asked_by=by, created_at=now(), beat_at=0.0, due_at=due_at,
        )
    )  # fmt: skip
    return job_id


def claim(store: Store, job_id: str | None = None) -> Job | None:
    """Take a job that is due (this one, or the oldest) for this worker alone; None if there is none.

    Of one fleet, one job runs at a time.
    """

    def take(connection: Connection) -> Job | None:
        busy = select(jobs.c.fleet_id).where(jobs.c.state == "running")
        query = select(jobs).where(*_due(), jobs.c.fleet_id.not_in(busy))
        if job_id is not None:
            query = query.where(jobs.c.id == job_id)
        row = connection.execute(query.order_by(jobs.c.created_at, jobs.c.id).limit(1)).first()
        if row is None:
            return None
        attempt = row.attempts + 1
        started = {"state": "running", "beat_at": time.time(), "stage": "", "done": 0, "total": 0}
        connection.execute(update(jobs).where(jobs.c.id == row.id).values(attempts=attempt, **started))
        return Job(row.id, row.fleet_id, row.kind, row.revision, row.asked_by, attempt)

    with store.read() as connection:  # a look costs no lock
        if connection.execute(select(jobs.c.id).where(*_due()).limit(1)).first() is None:
            return None
    return store.write(take)


def waiting(store: Store) -> list[Waiting]:
    """The jobs that wait, the one due first at the head."""
    with store.read() as connection:
        query = select(jobs.c.id, jobs.c.due_at).where(jobs.c.state == "queued")
        rows = connection.execute(query.order_by(jobs.c.due_at, jobs.c.created_at, jobs.c.id))
        return [Waiting(row.id, row.due_at) for row in rows]


def has_it_still(connection: Connection, job: Job) -> bool:
    """Whether the job is still this worker's: it may have been taken for dead, and another have the job."""
    query = select(jobs.c.id).where(*_own(job))
    return connection.execute(query).first() is not None


def end(store: Store, job: Job) -> None:
    """Say that a job is done."""
    ended = {"state": "done", "reason": "", "finished_at": now()}
    store.write(lambda c: c.execute(update(jobs).where(*_own(job)).values(**ended)))


def refuse(store: Store, job: Job, reason: str) -> None:
    """Say that a job failed for good, and why; the upload it was to read is refused."""

    def write(connection: Connection) -> None:
        if has_it_still(connection, job):
            _fail(connection, job, reason)

    store.write(write)


def let_go(store: Store, job: Job) -> None:
    """Put back a job that was broken off because the server stops; it counts as not tried."""
    back = {"state": "queued", "attempts": job.attempt - 1}
    store.write(lambda c: c.execute(update(jobs).where(*_own(job)).values(**back)))


def try_again(store: Store, job: Job, what: str) -> bool:
    """Queue anew a job in whose midst `what` happened, or fail it where that was once too often."""

    def write(connection: Connection) -> bool:
        return has_it_still(connection, job) and _again(connection, job, what)

    return store.write(write)


def take_up_again(store: Store, older_than_s: float) -> list[str]:
    """Queue anew the jobs whose worker is dead; those tried too often fail. Returns the ids queued."""

    def again(connection: Connection) -> list[str]:
        dead = jobs.c.state == "running", jobs.c.beat_at <= time.time() - older_than_s
        left = [
            Job(row.id, row.fleet_id, row.kind, row.revision, row.asked_by, row.attempts)
            for row in connection.execute(select(jobs).where(*dead)).all()
        ]
        return [job.id for job in left if _again(connection, job, "The program ended")]

    return store.write(again)


def _due() -> tuple[ColumnElement[bool], ...]:
    return jobs.c.state == "queued", jobs.c.due_at <= time.time()


def _own(job: Job) -> tuple[ColumnElement[bool], ...]:
    return jobs.c.id == job.id, jobs.c.state == "running", jobs.c.attempts == job.attempt


def _again(connection: Connection, job: Job, what: str) -> bool:
    if job.attempt >= MOST_ATTEMPTS:
        reason = f"{what} in the middle of it. It was tried {job.attempt} times; it is not tried again."
        _fail(connection, job, reason)
        return False
    reason = f"{what} in the middle of it; it was taken up again."
    connection.execute(update(jobs).where(*_own(job)).values(state="queued", reason=reason))
    return True


def _fail(connection: Connection, job: Job, reason: str) -> None:
    if job.kind == "assess":
        mine = revisions.c.fleet_id == job.fleet_id, revisions.c.number == job.revision
        connection.execute(update(revisions).where(*mine).values(state="refused", reason=reason))
    append(connection, PROGRAM, f"{job.kind}.failed", job.fleet_id, job.id, after={"reason": reason})
    failed = {"state": "failed", "reason": reason, "finished_at": now()}
    connection.execute(update(jobs).where(*_own(job)).values(**failed))
