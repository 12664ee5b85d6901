"""The queue of jobs on both kinds of database: each done once, never lost, and never tried for ever."""

from __future__ import annotations

import datetime as dt
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from sqlalchemy import insert, select, update

from api.jobs.queue import (
    MOST_ATTEMPTS,
    Job,
    add_job,
    add_site_job,
    claim,
    fail,
    finish,
    next_due,
    put_back,
    retry,
)
from api.settings import Wait
from api.storage.clock import text_of
from api.storage.migrate import upgrade
from api.storage.schema import fleets, jobs, trail
from api.storage.store import Store, open_store
from tests.api.conftest import POSTGRES, new_database
from tests.api.running import BOATS, ended, key, quiet, running, settings, sheet

LONG = Wait(quiet_s=300.0, most_s=1000.0)
FLEETS = ("one", "two", "three", "four", "five", "six")


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    """A database with some fleets, and no server."""
    opened = open_store(url)
    upgrade(opened)
    made = [{"id": name, "name": name, "version": 0, "created_at": "2026-01-01"} for name in FLEETS]
    opened.write(lambda connection: connection.execute(insert(fleets), made))
    yield opened
    opened.close()


def site_job(store: Store, fleet: str = "one", wait: Wait | None = None) -> str:
    if wait is None:
        return store.write(lambda connection: add_site_job(connection, fleet, "A test"))
    return store.write(lambda connection: add_site_job(connection, fleet, "A test", wait))


def row_of(store: Store, job_id: str) -> tuple[str, int, str]:
    with store.read() as connection:
        row = connection.execute(select(jobs).where(jobs.c.id == job_id)).one()
    return row.state, row.attempts, row.reason


def claimed(store: Store, dead_after_s: float = 90.0) -> Job:
    job = claim(store, dead_after_s)
    assert job is not None
    return job


def test_many_workers_that_look_at_once_take_each_job_once(store: Store) -> None:
    made = {site_job(store, fleet) for fleet in FLEETS}
    with ThreadPoolExecutor(8) as workers:
        taken = list(workers.map(lambda _: claim(store), range(24)))
    assert Counter(job.id for job in taken if job is not None) == dict.fromkeys(made, 1)


def test_of_one_fleet_one_job_runs_at_a_time_the_oldest_first(store: Store) -> None:
    first = store.write(lambda c: add_job(c, "one", "assess", "A test", 1))
    second = site_job(store)
    job = claimed(store)
    assert job.id == first
    assert claim(store) is None
    finish(store, job)
    assert row_of(store, first) == ("done", 1, "")
    assert claimed(store).id == second


def test_a_job_of_a_dead_worker_is_tried_again_and_fails_in_the_end(store: Store) -> None:
    made = store.write(lambda c: add_job(c, "one", "assess", "A test", 1))
    for attempt in range(1, MOST_ATTEMPTS + 1):
        assert claimed(store, dead_after_s=0.0).attempt == attempt
        assert claim(store) is None, "a worker that gave a sign of life just now is not dead"
        assert row_of(store, made)[:2] == ("running", attempt)
    assert claim(store, dead_after_s=0.0) is None
    state, attempts, reason = row_of(store, made)
    assert (state, attempts) == ("failed", MOST_ATTEMPTS)
    assert "The program ended in the middle of it" in reason
    assert "3 times" in reason
    with store.read() as connection:
        assert connection.execute(select(trail.c.action)).scalars().all() == ["assess.failed"]


def test_a_worker_that_was_taken_for_dead_writes_nothing_any_more(store: Store) -> None:
    made = site_job(store)
    late, current = claimed(store), claimed(store, dead_after_s=0.0)
    assert (late.id, late.attempt, current.id, current.attempt) == (made, 1, made, 2)
    finish(store, late)
    fail(store, late, "too late")
    retry(store, late, "Too late")
    put_back(store, late)
    assert row_of(store, made)[:2] == ("running", 2)


def test_a_job_broken_off_by_a_stopping_server_counts_as_not_tried(store: Store) -> None:
    made = site_job(store)
    put_back(store, claimed(store))
    assert row_of(store, made)[:2] == ("queued", 0)
    retry(store, claimed(store), "The process ended")
    assert row_of(store, made) == ("queued", 1, "The process ended in the middle of it; it is tried again.")


def test_a_site_asked_for_again_is_the_same_one_and_is_put_off(store: Store) -> None:
    first = site_job(store, wait=LONG)
    before = next_due(store)
    assert before == pytest.approx(time.time() + 300.0, abs=200.0)
    assert claim(store) is None, "it is not due"
    time.sleep(0.01)
    assert site_job(store, wait=LONG) == first
    after = next_due(store)
    assert before is not None
    assert after is not None
    assert before < after


def test_a_site_is_not_put_off_for_ever(store: Store) -> None:
    site_job(store, wait=LONG)
    asked = dt.datetime.now(dt.UTC) - dt.timedelta(seconds=990)
    store.write(lambda c: c.execute(update(jobs).values(created_at=text_of(asked))))
    site_job(store, wait=LONG)
    assert next_due(store) == pytest.approx(asked.timestamp() + 1000.0, abs=0.01)


def test_a_site_asked_for_at_once_does_not_wait_for_quiet(store: Store) -> None:
    made = site_job(store, wait=LONG)
    assert site_job(store) == made
    assert claimed(store).id == made


def test_a_site_asked_for_while_one_is_made_is_another_one(store: Store) -> None:
    first = site_job(store)
    claimed(store)
    assert site_job(store, wait=LONG) != first


@pytest.mark.thorough
def test_a_site_that_waits_is_made_by_the_next_server(tmp_path: Path) -> None:
    config = settings(tmp_path, site_wait=Wait(3600.0, 3600.0))
    with running(config) as first, first.client() as officer:
        job = first.inspect(officer, "001", ("end_weight", "19 kg")).json()["site_job"]
        assert first.inspect(officer, "001", ("end_weight", "20 kg")).json()["site_job"] == job
        token = officer.headers["authorization"]
    base = open_store(config.url)
    due = next_due(base)
    assert due is not None
    assert due > time.time() + 1800.0
    base.write(lambda c: c.execute(update(jobs).values(due_at=time.time() + 0.5)))  # an hour goes by
    base.close()
    with running(config, loaded=False) as second, second.client(None) as client:
        client.headers["authorization"] = token
        assert ended(client, job)["state"] == "done"
        pages = ((config.folder / "site") / "boats").glob("001*.html")
        assert any("20 kg" in page.read_text(encoding="utf-8") for page in pages)


if POSTGRES:

    @pytest.mark.thorough
    def test_two_servers_on_one_database_do_each_job_once(tmp_path: Path) -> None:
        for url in new_database("postgresql", tmp_path):
            config = settings(tmp_path, url)
            with running(config, loaded=False) as one, running(config, loaded=False) as other:
                with one.client() as officer, other.client(None) as there:
                    there.headers.update(officer.headers)
                    asked = []
                    for number in range(4):
                        client = (officer, there)[number % 2]
                        made = client.post("/v1/fleets", json={"name": f"Fleet {number}"}, headers=key())
                        headers = {**key(), "if-match": '"0"', "content-type": "text/csv"}
                        at = f"/v1/fleets/{made.json()['id']}/revisions"
                        answer = client.post(at, content=sheet(BOATS[:2]), headers=headers)
                        asked.append(answer.json()["job"])
                    for job in asked:
                        assert ended(officer, job)["state"] == "done"
                    quiet(officer)
                with one.server.store.read() as connection:
                    rows = connection.execute(select(jobs.c.kind, jobs.c.state, jobs.c.attempts)).all()
                    actions = connection.execute(select(trail.c.action)).scalars().all()
                assert Counter(rows) == {("assess", "done", 1): 4, ("site", "done", 1): 4}
                assert Counter(actions)["upload.in-force"] == 4
