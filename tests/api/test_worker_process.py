"""The process for jobs: what becomes of a job when it dies, or the server stops, or the server dies."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from sqlalchemy import select

from api.jobs.worker_process import WorkerProcess
from api.storage.schema import jobs, trail
from api.storage.store import open_store
from tests.api.running import LONGEST_S, Running, ended, quiet, running, settings, sheet, upload, wait_for

ROOT = Path(__file__).resolve().parents[2]


def worker_process_of(up: Running) -> WorkerProcess:
    return up.server.worker.worker_process


def state_of(up: Running, job: str) -> str:
    with up.server.store.read() as connection:
        return str(connection.execute(select(jobs.c.state).where(jobs.c.id == job)).scalar_one())


def runs(pid: int) -> bool:
    """Whether the process is there and not merely waiting to be buried."""
    stat = Path(f"/proc/{pid}/stat")
    return stat.exists() and stat.read_text().rpartition(")")[2].split()[0] != "Z"


def stopped_process(up: Running, officer: httpx.Client) -> int:
    """The process for jobs after it has done one, stopped, so that the next stays in its hands undone."""
    assert ended(officer, up.ask_for_site())["state"] == "done"
    pid = worker_process_of(up).pid
    assert pid is not None
    os.kill(pid, signal.SIGSTOP)
    return pid


@pytest.fixture
def up(tmp_path: Path) -> Iterator[Running]:
    """A server of this test alone."""
    with running(settings(tmp_path)) as server:
        yield server


def test_a_job_whose_process_was_killed_is_done_by_another(up: Running) -> None:
    with up.client() as officer:
        first = stopped_process(up, officer)
        job = up.ask_for_site()
        wait_for(lambda: state_of(up, job) == "running")
        os.kill(first, signal.SIGKILL)
        told = ended(officer, job)
        assert (told["state"], told["attempts"]) == ("done", 2)
        assert worker_process_of(up).pid not in (None, first)


@pytest.mark.thorough
def test_an_upload_whose_process_is_killed_again_and_again_is_refused_with_the_reason(up: Running) -> None:
    stop = threading.Event()

    def kill() -> None:
        while not stop.wait(0.02):
            if (pid := worker_process_of(up).pid) is not None:
                with contextlib.suppress(ProcessLookupError):
                    os.kill(pid, signal.SIGKILL)

    killer = threading.Thread(target=kill)
    killer.start()
    try:
        with up.client() as officer:
            told = upload(officer, up.fleet, sheet())
            revision = officer.get(f"/v1/fleets/{up.fleet}/revisions/2").json()
    finally:
        stop.set()
        killer.join()
    assert (told["state"], told["attempts"]) == ("failed", 3)
    assert "ended from outside (SIGKILL)" in told["reason"]
    assert "3 times" in told["reason"]
    assert (revision["state"], revision["reason"]) == ("refused", told["reason"])
    with up.server.store.read() as connection:
        assert "assess.failed" in connection.execute(select(trail.c.action)).scalars().all()


@pytest.mark.thorough
def test_a_stopping_server_ends_its_process_and_the_job_waits_for_the_next(tmp_path: Path) -> None:
    config = settings(tmp_path, stop_seconds=0.2)
    with running(config) as first, first.client() as officer:
        pid = stopped_process(first, officer)
        job = first.ask_for_site()
        wait_for(lambda: state_of(first, job) == "running")
    assert not runs(pid)
    store = open_store(config.url)
    with store.read() as connection:
        row = connection.execute(select(jobs).where(jobs.c.id == job)).one()
    store.close()
    assert (row.state, row.attempts) == ("queued", 0)
    with running(config, loaded=False) as second, second.client() as officer:
        assert ended(officer, job)["state"] == "done"


SERVER = """
import sys, time
from pathlib import Path
from tests.api.running import key, running, settings, wait_for
if __name__ == "__main__":
    with running(settings(Path(sys.argv[1])), loaded=False) as up, up.client() as officer:
        up.fleet = officer.post("/v1/fleets", json={"name": "One"}, headers=key()).json()["id"]
        up.ask_for_site()
        wait_for(lambda: up.server.worker.worker_process.pid is not None)
        print(up.server.worker.worker_process.pid, flush=True)
        time.sleep(600)
"""


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="processes are looked up in /proc")
def test_a_killed_server_leaves_no_process_behind(tmp_path: Path) -> None:
    script = tmp_path / "server.py"
    script.write_text(SERVER, encoding="utf-8")
    server = subprocess.Popen(
        [sys.executable, script, tmp_path], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert server.stdout is not None
    with server.stdout:
        child = int(server.stdout.readline())
    assert runs(child)
    server.send_signal(signal.SIGKILL)
    server.wait(LONGEST_S)
    wait_for(lambda: not runs(child))


@pytest.mark.thorough
def test_answers_come_while_a_job_is_stuck(up: Running) -> None:
    with up.client() as officer:
        pid = stopped_process(up, officer)
        try:
            job = up.inspect(officer, "001", ("end_weight", "15 kg")).json()["site_job"]
            wait_for(lambda: state_of(up, job) == "running")
            assert up.inspect(officer, "001", ("end_weight", "16 kg")).status_code == 201
        finally:
            os.kill(pid, signal.SIGCONT)
        quiet(officer)
        assert state_of(up, job) == "done"
