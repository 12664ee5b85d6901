"""A database that goes away and comes back: nobody waits for it longer than has to be, and the jobs go on."""

from __future__ import annotations

import errno
import logging
import multiprocessing
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine, make_url, select, text, update
from sqlalchemy.exc import OperationalError

from api.jobs import worker, worker_process
from api.jobs.queue import STALE_S, Job
from api.jobs.tasks import Tasks
from api.jobs.worker_process import WorkerProcess
from api.season import publishing
from api.storage.schema import jobs, revisions
from tests.api.conftest import POSTGRES, SERVER, new_database
from tests.api.running import Running, ended, key, running, settings, sheet, upload, wait_for

pytestmark = pytest.mark.thorough

GONE = OperationalError("statement", None, Exception("the connection is lost"))


@pytest.fixture(scope="module")
def put_in_force(up: Running) -> Job:
    """An upload that was put in force."""
    with up.client() as officer:
        fleet = str(officer.post("/v1/fleets", json={"name": "Returns"}, headers=key()).json()["id"])
        told = upload(officer, fleet, sheet())
        assert told["state"] == "done"
        up.settle(officer)
    return Job(told["id"], fleet, "assess", 1, "An officer", 1)


@pytest.fixture
def job(up: Running, put_in_force: Job, monkeypatch: pytest.MonkeyPatch) -> Iterator[Job]:
    """The job of that upload, which this test has once more.

    On a file the server takes whatever runs without it for a job that a dead one left, and would do it too.
    """
    monkeypatch.setattr(up.server.worker, "_dead_after_s", STALE_S)
    store, this = up.server.store, jobs.c.id == put_in_force.id
    running_again = {"state": "running", "reason": "", "attempts": 1, "beat_at": time.time() + 3600}
    store.write(lambda c: c.execute(update(jobs).where(this).values(**running_again)))
    yield put_in_force
    store.write(lambda c: c.execute(update(jobs).where(this).values(state="failed")))


def row_of(up: Running, job: Job) -> tuple[str, str]:
    with up.server.store.read() as connection:
        row = connection.execute(select(jobs.c.state, jobs.c.reason).where(jobs.c.id == job.id)).one()
    return row.state, row.reason


def tasks_of(up: Running) -> Tasks:
    return Tasks(up.server.store, up.server.engines, up.server.settings)


def test_an_upload_put_in_force_whose_job_is_done_again_stays_in_force(up: Running, job: Job) -> None:
    """As where the process, or the database, goes away between the two transactions."""
    tasks_of(up).run(job)
    assert row_of(up, job) == ("done", "")
    with up.server.store.read() as connection:
        state = select(revisions.c.state).where(revisions.c.fleet_id == job.fleet_id)
        assert connection.execute(state).scalars().all() == ["in force"]


def test_a_job_in_whose_midst_the_database_went_away_is_not_refused_for_it(
    up: Running, job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone(*_: object) -> None:
        raise GONE

    monkeypatch.setattr(Tasks, "_assess", gone)
    with pytest.raises(OperationalError):
        tasks_of(up).run(job)
    assert row_of(up, job)[0] == "running", "it is not written down as failed"


def test_it_is_queued_anew_by_whoever_handed_it_out(
    up: Running, job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    ours, theirs = multiprocessing.Pipe()
    never_ends, kept_open = multiprocessing.Pipe()

    class Process:
        sentinel = never_ends.fileno()
        pid, exitcode = 1, None

        def is_alive(self) -> bool:
            return True

    again: list[str] = []
    monkeypatch.setattr(worker_process, "retry", lambda _store, _job, what: again.append(what))
    handing = WorkerProcess(up.server.store, up.server.settings)
    monkeypatch.setattr(handing, "_ready", lambda: (Process(), ours))
    theirs.send(None)
    handing.run(job)
    assert again == ["The database could not be used"]
    assert theirs.recv() == job
    kept_open.close()


def test_a_full_disk_is_told_as_such(up: Running, job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(publishing, "build_site", full)
    tasks_of(up).run(Job(job.id, job.fleet_id, "site", None, "An officer", 1))
    state, reason = row_of(up, job)
    assert state == "failed"
    assert "the disk is full" in reason
    assert "/" not in reason  # where the server keeps its data is nobody's business
    assert "To mend it: make room" in reason


if POSTGRES:

    def test_the_jobs_go_on_after_the_database_was_away(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
    ) -> None:
        """Every connection is ended and none let in, until the worker has met that; then it is back."""
        monkeypatch.setattr(worker, "_LOOK_EVERY_S", 0.1)
        for url in new_database("postgresql", tmp_path):
            name = make_url(url).database
            engine = create_engine(
                make_url(SERVER).set(drivername="postgresql+psycopg"), isolation_level="AUTOCOMMIT"
            )
            with running(settings(tmp_path, url)) as up, up.client() as officer, engine.connect() as admin:
                with caplog.at_level(logging.WARNING):
                    admin.execute(text(f"ALTER DATABASE {name} ALLOW_CONNECTIONS false"))
                    admin.execute(
                        text("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = :name"),
                        {"name": name},
                    )
                    wait_for(lambda: "queue of jobs could not be read" in caplog.text)
                    admin.execute(text(f"ALTER DATABASE {name} ALLOW_CONNECTIONS true"))
                answer = up.inspect(officer, "001", ("cone_count", "141"))
                assert answer.status_code == 201
                assert ended(officer, answer.json()["site_job"])["state"] == "done"
            engine.dispose()
