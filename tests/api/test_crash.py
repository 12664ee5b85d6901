"""A server killed while it writes, again and again: nothing it said it had is lost, nothing is half."""

from __future__ import annotations

import contextlib
import json
import os
import secrets
import signal
import socket
import sqlite3
import subprocess
import sys
import threading
import time
from pathlib import Path

import httpx
import pytest

from api.http.server import alone
from api.signin import make_token
from api.storage.store import open_store
from api.trail import read_anchors, verify_trail
from sizing.errors import MusterError
from tests.api.running import key, running, settings, wait_for

ROUNDS = 50
PAUSE_S = 0.03
"""Between tries while no server listens, so that the next one comes up."""
SERVER = """
import sys
from pathlib import Path
from api.http.server import serve
from tests.api.running import settings
serve(settings(Path(sys.argv[1]), strikes=None), "127.0.0.1", int(sys.argv[2]))
"""


def free_port() -> int:
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        return int(listening.getsockname()[1])


def fleet_maker(url: str, token: str, received: list[str], stop: threading.Event) -> None:
    """Make one fleet after another, which costs no judging; remember those the server said it has."""
    with httpx.Client(base_url=url, headers=signed(token), timeout=10, trust_env=False) as client:
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
    with httpx.Client(base_url=url, headers=headers, timeout=10, trust_env=False) as client:
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


def test_killed_fifty_times_while_writing(tmp_path: Path) -> None:
    """The interpreter and its imports are loaded once and each round forks it, so that a round is short.

    A kill comes at another moment of each round; every twelfth waits for an inspection, which takes longer.
    """
    with running(settings(tmp_path)) as up:
        boat = up.boat("001")
    store = open_store(settings(tmp_path).url)
    token = make_token(store, label="An officer", role="officer", days=1)
    store.close()
    notes: list[str] = []
    names: list[str] = []
    port = free_port()
    nursery = subprocess.Popen(
        [sys.executable, "-c", NURSERY, str(tmp_path), str(port)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=Path(__file__).parents[2],
    )  # fmt: skip
    assert nursery.stdin is not None
    assert nursery.stdout is not None
    stop = threading.Event()
    url = f"http://127.0.0.1:{port}"
    threads = [
        threading.Thread(target=inspector, args=(url, token, boat, notes, stop)),
        threading.Thread(target=fleet_maker, args=(url, token, names, stop)),
        threading.Thread(target=fleet_maker, args=(url, token, names, stop)),
    ]
    try:
        for thread in threads:
            thread.start()
        for round_no in range(ROUNDS):
            nursery.stdin.write("go\n")
            nursery.stdin.flush()
            child = int(nursery.stdout.readline())
            awaited = notes if round_no % 12 == 11 else names
            wait_for(Grown(awaited), 60)
            time.sleep(0.013 * (round_no % 7))
            os.kill(child, signal.SIGKILL)
            assert int(nursery.stdout.readline()) == child
    finally:
        stop.set()
        for thread in threads:
            thread.join()
        nursery.stdin.close()
        nursery.wait(10)
        nursery.stdout.close()
    kept_notes, kept_names = whole(tmp_path)
    assert len(names) >= ROUNDS * 0.8
    assert len(notes) >= ROUNDS // 12
    assert set(notes) <= kept_notes, "what was acknowledged is there"
    assert set(names) <= kept_names


class Grown:
    """Whether a list is longer than it was."""

    def __init__(self, grows: list[str]) -> None:
        self.grows, self.was = grows, len(grows)

    def __call__(self) -> bool:
        return len(self.grows) > self.was


def whole(folder: Path) -> tuple[set[str], set[str]]:
    """The file is sound, the trail is whole and tells of every record; the notes and names that are there."""
    path = settings(folder).url.removeprefix("sqlite:///")
    with contextlib.closing(sqlite3.connect(path)) as base:
        assert base.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert base.execute("PRAGMA foreign_key_check").fetchall() == []
        notes = {note for (note,) in base.execute("SELECT note FROM inspections")}
        ids = {row for (row,) in base.execute("SELECT id FROM inspections")}
        told = base.execute("SELECT subject FROM trail WHERE action = 'inspection.recorded'")
        assert {subject.split()[1] for (subject,) in told} == ids
        answered = base.execute("SELECT body FROM answered WHERE status = 201")
        in_answers = {json.loads(body)["inspection"]["id"] for (body,) in answered if "inspection" in body}
        assert in_answers == ids
        names = {name for (name,) in base.execute("SELECT name FROM fleets")}
        made = base.execute("SELECT COUNT(*) FROM trail WHERE action = 'fleet.made'").fetchone()[0]
        assert made == len(names)
    store = open_store(settings(folder).url)
    try:
        with store.read() as connection:
            report = verify_trail(connection, read_anchors(settings(folder).anchors))
        assert report.problems == ()
    finally:
        store.close()
    return notes, names


NURSERY = f"""
import os, sys
import api.http.server, tests.api.running
for line in sys.stdin:
    child = os.fork()
    if child == 0:
        exec({SERVER!r})
        os._exit(0)
    print(child, flush=True)
    os.waitpid(child, 0)
    print(child, flush=True)
"""


def test_a_second_server_on_the_same_file_is_refused(tmp_path: Path) -> None:
    config = settings(tmp_path)
    with alone(config), pytest.raises(MusterError, match="another server"), alone(config):
        raise AssertionError("two at once")
    with alone(config):
        pass
