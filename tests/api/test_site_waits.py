"""One site follows many inspections: it waits for quiet, not for ever, and over a restart."""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import insert, select, update

from api.jobs.queue import ask, ask_for_site, claim, waiting
from api.settings import Wait
from api.storage.clock import text_of
from api.storage.migrate import upgrade
from api.storage.schema import fleets, jobs
from api.storage.store import Store, open_store
from tests.api.running import ended, quiet, running, settings, wait_for

LONG = Wait(quiet_s=300.0, most_s=1000.0)


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    """A database with one fleet, and no worker."""
    opened = open_store(url)
    upgrade(opened)
    one = {"id": "one", "name": "One", "version": 0, "created_at": "2026-01-01"}
    opened.write(lambda connection: connection.execute(insert(fleets).values(one)))
    yield opened
    opened.close()


def test_a_site_asked_for_again_is_the_same_one_and_is_put_off(store: Store) -> None:
    first, new = store.write(lambda c: ask_for_site(c, "one", "A test", LONG))
    (before,) = waiting(store)
    assert new
    assert before.due_at == pytest.approx(time.time() + 300.0, abs=60.0)
    assert claim(store) is None, "it is not due"
    time.sleep(0.05)
    assert store.write(lambda c: ask_for_site(c, "one", "A test", LONG)) == (first, False)
    (after,) = waiting(store)
    assert before.due_at < after.due_at


def test_a_site_is_not_put_off_for_ever(store: Store) -> None:
    job, _ = store.write(lambda c: ask_for_site(c, "one", "A test", LONG))
    asked = dt.datetime.now(dt.UTC) - dt.timedelta(seconds=990)
    store.write(lambda c: c.execute(update(jobs).values(created_at=text_of(asked))))
    store.write(lambda c: ask_for_site(c, "one", "A test", LONG))
    (one,) = waiting(store)
    assert one.id == job
    assert one.due_at == pytest.approx(asked.timestamp() + 1000.0, abs=0.01)


def test_a_site_asked_for_at_once_does_not_wait_for_quiet(store: Store) -> None:
    job, _ = store.write(lambda c: ask_for_site(c, "one", "A test", LONG))
    assert store.write(lambda c: ask(c, "one", "site", "A test")) == job
    claimed = claim(store)
    assert claimed is not None
    assert claimed.id == job


def test_a_site_asked_for_while_one_is_made_is_another_one(store: Store) -> None:
    first = store.write(lambda c: ask(c, "one", "site", "A test"))
    assert claim(store) is not None
    second, new = store.write(lambda c: ask_for_site(c, "one", "A test", LONG))
    assert new
    assert second != first


def test_one_site_follows_many_inspections(url: str, tmp_path: Path) -> None:
    with running(settings(tmp_path, url, site_wait=Wait(1.5, 30.0))) as up, up.client() as officer:
        told = [
            up.inspect(officer, "001", ("end_weight", f"{15 + turn} kg")).json()["site_job"]
            for turn in range(6)
        ]
        assert len(set(told)) == 1
        assert ended(officer, told[0])["state"] == "done"
        quiet(officer)
        with up.server.store.read() as connection:
            made = connection.execute(select(jobs.c.id).where(jobs.c.kind == "site")).scalars().all()
        assert len(made) == 2, "the one of the upload, and the one of all six inspections"
        pages = (up.server.settings.site_of(up.fleet) / "boats").glob("001*.html")
        assert any("20 kg" in page.read_text(encoding="utf-8") for page in pages)


def test_a_site_that_waits_is_made_by_the_next_server(url: str, tmp_path: Path) -> None:
    config = settings(tmp_path, url, site_wait=Wait(3600.0, 3600.0))
    with running(config) as first, first.client() as officer:
        job = first.inspect(officer, "001", ("end_weight", "19 kg")).json()["site_job"]
        token = officer.headers["authorization"]
    base = open_store(url)
    (kept,) = waiting(base)
    assert kept.id == job
    assert kept.due_at > time.time() + 1800.0
    base.write(lambda c: c.execute(update(jobs).values(due_at=time.time() + 0.5)))  # an hour goes by
    base.close()
    with running(config, loaded=False) as second, second.client(None) as client:
        client.headers["authorization"] = token
        wait_for(lambda: client.get(f"/v1/jobs/{job}").json()["state"] == "done", 60)
