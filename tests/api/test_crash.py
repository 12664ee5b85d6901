"""A server killed while it writes, again and again: nothing it said it had is lost, nothing is half."""

from __future__ import annotations

import contextlib
import json
import os
import secrets
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from sqlalchemy import exists, func, select, update

from api.http.server import only_server
from api.season.tokens import make_token
from api.storage import sqlite
from api.storage.schema import (
    answered,
    entries,
    findings,
    fleets,
    inspections,
    jobs,
    results,
    revisions,
    trail,
)
from api.storage.store import open_store
from api.trail import read_anchors, verify_trail
from sitegen.publish import content_id
from sizing.errors import MusterError
from tests.api.conftest import KINDS, new_database
from tests.api.running import LONGEST_S, key, quiet, running, settings, wait_for

ROOT = Path(__file__).resolve().parents[2]
STEPS = 6
"""After so many steps of a site job, in turn, its server is killed."""

PAUSE_S = 0.03
"""Between tries while no server listens, so that the next one comes up."""


def free_port() -> int:
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        return int(listening.getsockname()[1])


def fleet_maker(url: str, token: str, received: list[str], stop: threading.Event) -> None:
    """Make one fleet after another, which costs no judging; remember those the server said it has."""
    with httpx.Client(base_url=url, headers=signed(token), timeout=LONGEST_S, trust_env=False) as client:
        while not stop.is_set():
            name = secrets.token_hex(8)
            try:
                if client.post("/v1/fleets", json={"name": name}, headers=key()).status_code == 201:
                    received.append(name)
            except httpx.HTTPError:
                time.sleep(PAUSE_S)


def signed(token: str) -> dict[str, str]:
    return {"authorization": f"Bearer {token}"}


def inspector(url: str, token: str, at: str, received: list[str], stop: threading.Event) -> None:
    """Record one note after another; remember those the server said it has."""
    headers = signed(token)
    with httpx.Client(base_url=url, headers=headers, timeout=LONGEST_S, trust_env=False) as client:
        while not stop.is_set():
            try:
                etag = client.get(at).headers.get("etag", '"0"')
                note = secrets.token_hex(8)
                weight = {"field": "end_weight", "value": f"{20 + len(received) % 9} kg"}
                body = {"measurements": [weight], "note": note}
                answer = client.post(f"{at}/inspections", json=body, headers={**key(), "if-match": etag})
                if answer.status_code == 201:
                    received.append(note)
            except httpx.HTTPError:
                time.sleep(PAUSE_S)


def rounds(few: int, more: int, hundreds: int) -> list[Any]:
    """So often on a file by default, more on every kind of database, and by the hundred where asked for."""
    chosen = [pytest.param("sqlite", few)] if few else []
    for kind in KINDS:
        chosen.append(pytest.param(kind, more, marks=pytest.mark.thorough))
        chosen.append(pytest.param(kind, hundreds, marks=pytest.mark.endurance))
    return chosen


class Nursery:
    """An interpreter with its imports, from which every server is forked, so that a round is short."""

    def __init__(self, folder: Path) -> None:
        self._child = 0
        port = free_port()
        self.url = f"http://127.0.0.1:{port}"
        self._log = folder / "servers.log"
        with self._log.open("w") as log:
            self._process = subprocess.Popen(
                [sys.executable, "-c", NURSERY, str(port)],
                stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=log, text=True, cwd=ROOT,
            )  # fmt: skip

    def said(self) -> str:
        """What the servers wrote of themselves."""
        return f"The servers wrote:\n{self._log.read_text()[-5000:]}"

    def start(self, folder: Path, url: str, *, sites: bool) -> None:
        """Begin a server of these data, which perhaps makes no site; one of a test that failed ends."""
        self.kill()
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps([str(folder), url, sites]) + "\n")
        self._process.stdin.flush()
        self._child = self._line()

    def kill(self) -> None:
        """End the server as a power cut does, and wait until it is gone."""
        if self._child:
            os.kill(self._child, signal.SIGKILL)
            assert self._line() == self._child
            self._child = 0

    def close(self) -> None:
        self.kill()
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.close()
        self._process.wait(LONGEST_S)
        self._process.stdout.close()

    def _line(self) -> int:
        assert self._process.stdout is not None
        return int(self._process.stdout.readline())


@pytest.fixture(scope="module")
def nursery(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Nursery]:
    """Of all servers here, one after the other."""
    made = Nursery(tmp_path_factory.mktemp("nursery"))
    yield made
    made.close()


def officer_token(url: str) -> str:
    store = open_store(url)
    try:
        return make_token(store, label="An officer", role="officer", days=1)
    finally:
        store.close()


@pytest.mark.parametrize(("kind", "many"), rounds(4, 24, 300))
def test_killed_again_and_again_while_writing(kind: str, many: int, tmp_path: Path, nursery: Nursery) -> None:
    """Each kill comes at another moment; every eighth waits for an inspection, which takes longer.

    Sites are left for the end, where whatever job waits is done, or failed and says why.
    """
    for url in new_database(kind, tmp_path):
        killed_while_writing(url, tmp_path, many, nursery)


def killed_while_writing(url: str, tmp_path: Path, many: int, nursery: Nursery) -> None:
    with running(settings(tmp_path, url)) as up:
        boat = up.boat("001")
    token = officer_token(url)
    notes: list[str] = []
    names: list[str] = []
    stop = threading.Event()
    threads = [
        threading.Thread(target=inspector, args=(nursery.url, token, boat, notes, stop)),
        threading.Thread(target=fleet_maker, args=(nursery.url, token, names, stop)),
        threading.Thread(target=fleet_maker, args=(nursery.url, token, names, stop)),
    ]
    try:
        for thread in threads:
            thread.start()
        for round_no in range(many):
            nursery.start(tmp_path, url, sites=False)
            wait_for(Grown(notes if round_no % 8 == 7 else names), nursery.said)
            time.sleep(0.013 * (round_no % 7))
            nursery.kill()
    finally:
        stop.set()
        for thread in threads:
            thread.join()
    kept_notes, kept_names = whole(tmp_path, url)
    assert len(names) >= many - many // 8
    assert len(notes) >= many // 8
    assert set(notes) <= kept_notes, "what was acknowledged is there"
    assert set(names) <= kept_names
    as_if_long_ago(url)
    with running(settings(tmp_path, url), loaded=False) as up, up.client() as officer:
        quiet(officer)
        told = jobs_of(url)
    assert {state for state, _ in told} <= {"done", "failed"}
    assert all(reason for state, reason in told if state == "failed")
    whole(tmp_path, url)


@pytest.mark.parametrize(("kind", "many"), rounds(0, 6, 100))
def test_killed_while_a_site_is_published_a_reader_sees_a_whole_one(
    kind: str, many: int, tmp_path: Path, nursery: Nursery
) -> None:
    """After another step of the job each time; the name of a release is the hash of all that is in it."""
    for url in new_database(kind, tmp_path):
        killed_while_publishing(url, tmp_path, many, nursery)


def killed_while_publishing(url: str, tmp_path: Path, many: int, nursery: Nursery) -> None:
    config = settings(tmp_path, url)
    with running(config) as up:
        fleet, boat = up.fleet, up.boat("001")
    site = config.folder / "site"
    broken_off = 0
    for round_no in range(many):
        token = officer_token(url)
        nursery.start(tmp_path, url, sites=True)
        with httpx.Client(
            base_url=nursery.url, headers=signed(token), timeout=LONGEST_S, trust_env=False
        ) as client:
            wait_for(Answers(client), nursery.said)
            weight = {"field": "end_weight", "value": f"{20 + round_no % 40} kg"}
            body = {"measurements": [weight], "note": f"round {round_no}"}
            headers = {**key(), "if-match": client.get(boat).headers["etag"]}
            answer = client.post(f"{boat}/inspections", json=body, headers=headers)
            assert answer.status_code == 201, answer.text
            wait_for(At(client, answer.json()["site_job"], 1 + round_no % STEPS), nursery.said)
            broken_off += client.get(f"/v1/jobs/{answer.json()['site_job']}").json()["state"] == "running"
        nursery.kill()
        as_if_long_ago(url)
        assert content_id(site.resolve()) == site.resolve().name
    assert broken_off, "no kill fell into the work"
    with running(config, loaded=False) as up, up.client() as officer:
        quiet(officer)
        page = officer.get(f"/site/{fleet}/")
        assert page.status_code == 200
        assert content_id(site.resolve()) == site.resolve().name
        (own,) = (site / "boats").glob("001*.html")
        last = f"{20 + (many - 1) % 40} kg"
        assert last in own.read_text(encoding="utf-8"), "the last state is published in the end"
        order = officer.get(f"/v1/fleets/{fleet}/order/files/order.json")
        assert order.status_code == 200
    whole(tmp_path, url)


class Grown:
    """Whether a list is longer than it was."""

    def __init__(self, grows: list[str]) -> None:
        self.grows, self.was = grows, len(grows)

    def __call__(self) -> bool:
        return len(self.grows) > self.was


class Answers:
    """Whether a server answers."""

    def __init__(self, client: httpx.Client) -> None:
        self.client = client

    def __call__(self) -> bool:
        try:
            return self.client.get("/ready").status_code == 200
        except httpx.HTTPError:
            return False


class At:
    """Whether a job has come to its n-th step, or is done already."""

    def __init__(self, client: httpx.Client, job: str, step: int) -> None:
        self.client, self.job, self.step = client, job, step
        self.seen: set[str] = set()

    def __call__(self) -> bool:
        told = self.client.get(f"/v1/jobs/{self.job}").json()
        assert told["state"] != "failed", told
        if told["state"] == "running":
            self.seen.add(told["stage"])
        return len(self.seen) >= self.step or bool(told["state"] == "done")


def as_if_long_ago(url: str) -> None:
    """The sign of life of a killed server is old, as it is after the minutes in which nobody restarts it."""
    store = open_store(url)
    store.write(lambda connection: connection.execute(update(jobs).values(beat_at=0.0, due_at=0.0)))
    store.close()


def jobs_of(url: str) -> list[tuple[str, str]]:
    """State and reason of every job."""
    store = open_store(url)
    try:
        with store.read() as connection:
            return [(row.state, row.reason) for row in connection.execute(select(jobs))]
    finally:
        store.close()


def whole(folder: Path, url: str) -> tuple[set[str], set[str]]:
    """The data are sound, the trail whole, with every record told; the notes and names that are there."""
    store = open_store(url)
    if store.is_sqlite:
        with contextlib.closing(sqlite.library.connect(str(store.engine.url.database))) as base:
            assert base.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            assert base.execute("PRAGMA foreign_key_check").fetchall() == []
    with store.read() as connection:
        report = verify_trail(connection, read_anchors(settings(folder, url).anchors))
        assert report.problems == ()
        rows = connection.execute(select(inspections.c.id, inspections.c.note)).all()
        ids, notes = {row.id for row in rows}, {row.note for row in rows}
        told = connection.execute(select(trail.c.subject).where(trail.c.action == "inspection.recorded"))
        assert {subject.split()[1] for subject in told.scalars()} == ids
        bodies = connection.execute(select(answered.c.body).where(answered.c.status == 201)).scalars()
        documents = [json.loads(body) for body in bodies]
        assert {one["inspection"]["id"] for one in documents if "inspection" in one} == ids
        names = set(connection.execute(select(fleets.c.name)).scalars())
        made = connection.execute(select(func.count()).where(trail.c.action == "fleet.made")).scalar_one()
        assert made == len(names)
        for table in (results, findings):
            lost = select(func.count()).where(
                ~exists().where(entries.c.fleet_id == table.c.fleet_id, entries.c.boat_id == table.c.boat_id)
            )
            assert connection.execute(lost).scalar_one() == 0
        judged = connection.execute(select(func.count()).select_from(results)).scalar_one()
        assert judged == connection.execute(select(func.count()).select_from(entries)).scalar_one()
        in_force = select(revisions.c.fleet_id, revisions.c.number).where(revisions.c.state == "in force")
        taken = select(fleets.c.id, fleets.c.revision).where(fleets.c.revision.is_not(None))
        assert sorted(connection.execute(in_force).all()) == sorted(connection.execute(taken).all())
    store.close()
    return notes, names


NURSERY = """
import json, multiprocessing, multiprocessing.forkserver, os, sys
import api.jobs.worker_process
from pathlib import Path
from api.http.server import serve
from api.settings import Wait
from tests.api.running import settings
# Nothing is read before the fork: the threads that read tables do not live on in a child.
for line in sys.stdin:
    folder, url, sites = json.loads(line)
    if sites and api.jobs.worker_process.START_METHOD != "forkserver":
        multiprocessing.set_forkserver_preload(["tests.api.prefork"])
        multiprocessing.forkserver.ensure_running()
        multiprocessing.forkserver._forkserver.ensure_running = lambda: None  # all servers use this one's
        api.jobs.worker_process.START_METHOD = "forkserver"
    child = os.fork()
    if child == 0:
        light = {} if sites else {"strike_samples": None, "site_wait": Wait(3600.0, 3600.0)}
        serve(settings(Path(folder), url, **light), "127.0.0.1", int(sys.argv[1]))
        os._exit(0)
    print(child, flush=True)
    os.waitpid(child, 0)
    print(child, flush=True)
"""


def test_a_second_server_on_the_same_file_is_refused(tmp_path: Path) -> None:
    config = settings(tmp_path)
    with only_server(config), pytest.raises(MusterError, match="another server"), only_server(config):
        raise AssertionError("two at once")
    with only_server(config):
        pass
