"""A real server on a port of this machine, a small fleet in it, and a client for each role."""

from __future__ import annotations

import atexit
import contextlib
import csv
import datetime as dt
import io
import logging
import secrets
import shutil
import socket
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Any

import httpx
import uvicorn
from filelock import FileLock
from sqlalchemy import update

from api.http.context import Server
from api.http.server import configured
from api.jobs.queue import add_site_job
from api.season.tokens import make_token
from api.settings import Limits, Settings, Wait
from api.storage.backup import backup, restore
from api.storage.schema import jobs
from api.storage.store import open_store

DEMO = Path(__file__).resolve().parents[2] / "fleet_demo"
TODAY = dt.date(2026, 11, 25)
BOATS = ("001", "002", "003", "004", "005", "006")
NAMES = ("Pocket Almanac", "Grey Plover", "Salt Ledger", "Orange Peel", "Half Tide", "Lantern")
SECRET_MAIL = "skipper@boat.example"  # noqa: S105  an invented address that must appear nowhere


def settings(folder: Path, url: str = "", **changes: Any) -> Settings:
    """Settings of a test server: no wave sampled, short cutting, no rate limit in the way."""
    base = Settings(
        folder, url, prices=DEMO / "prices.csv", strike_samples=0,
        cutting_seconds=2.0, limits=Limits(
            requests=1_000_000, link_requests=1_000_000, guesses=1_000_000
        ), today=TODAY,
        site_wait=Wait(quiet_s=0.1, most_s=1.0), job_niceness=0,
    )  # fmt: skip
    return replace(base, **changes)


def cells_of(number: int) -> dict[str, str]:
    """One sound boat of an entry list; headers give units to bare figures in some columns."""
    return {
        "Entry No": f"{number:03}",
        "Yacht name": NAMES[number - 1],
        "Skipper": "Ida Morvelle",
        "E-mail": SECRET_MAIL,
        "Type": "sailing monohull",
        "Make / model": "Pellarn 34",
        "Berth": f"B{number}",
        "LOA (ft)": f"{33 + number}",
        "Transom width": "2.7 m",
        "Displacement (lb)": f"{13_000 + 500 * number:,}",
        "Displacement basis": "loaded",
        "Gear supply": "rally order",
        "Drogue type": "series drogue",
        "No. of cones": "130",
        "Cone size": "127 mm",
        "Cone spacing": "508 mm",
        "Cone fabric": "light rip-stop",
        "Lead line": "24 m",
        "Lead line diameter (mm)": "24",
        "Section sizes": "24 mm; 20 mm",
        "Rope material": "nylon double braid",
        "Rope condition": "good",
        "Splices or knots": "spliced",
        "Bridle leg": "7 m",
        "Bridle rope diameter (mm)": "24",
        "End wt": "14 kg",
        "Strong point": "dedicated plate",
        "Attachment rating": "70 kN",
        "Thimbles": "reinforced",
        "Shackle strength": "100 kN",
        "Ready to run": "yes",
        "Year made": "2022",
        "Last inspected": "2026-09-12",
        "Overall condition": "good",
        "Evidence": "measured by scrutineer",
        "Evidence date": "2026-10-17",
        "Remarks": "Bag in the locker.",
    }


SAVED = "saved.zip"
LONGEST_S = 300.0  # for whatever has to come: a machine with much else to do is no fault of the program

Change = Callable[[dict[str, str]], None]


def sheet(entries: tuple[str, ...] = BOATS, change: Change | None = None) -> bytes:
    """A small entry list: these boats, each after `change`, and one row that cannot be taken."""
    out = io.StringIO()
    writer = csv.DictWriter(out, list(cells_of(1)), lineterminator="\n", restval="")
    writer.writeheader()
    for entry in entries:
        cells = cells_of(int(entry))
        if change is not None:
            change(cells)
        writer.writerow(cells)
    writer.writerow({"Entry No": "900", "Yacht name": "Half Told"})
    return out.getvalue().encode()


@dataclass
class Running:
    """A server that answers at `url`."""

    url: str
    server: Server
    uvicorn: uvicorn.Server
    fleet: str = ""
    boats: dict[str, str] = field(default_factory=dict)

    def token(self, role: str, **scope: Any) -> str:
        """A new token."""
        return make_token(self.server.store, label=f"A {role}", role=role, days=2, **scope)

    def client(self, role: str | None = "officer", **scope: Any) -> httpx.Client:
        """A client signed in with a new token of this role, or not at all."""
        if role == "skipper" and not scope:
            scope = {"fleet_id": self.fleet, "boat_id": self.boats["001"]}
        headers = {"authorization": f"Bearer {self.token(role, **scope)}"} if role else {}
        return httpx.Client(base_url=self.url, headers=headers, timeout=LONGEST_S, trust_env=False)

    def boat(self, entry_no: str) -> str:
        """Address of a boat."""
        return f"/v1/fleets/{self.fleet}/boats/{self.boats[entry_no]}"

    def etag(self, client: httpx.Client, entry_no: str) -> str:
        """Her present version."""
        return str(client.get(self.boat(entry_no)).headers["etag"])

    def inspect(
        self, client: httpx.Client, entry_no: str, *measured: tuple[str, str], **headers: str
    ) -> httpx.Response:
        """Record an inspection on top of her present version."""
        body = {"measurements": [{"field": f, "value": v} for f, v in measured], "note": "seen"}
        sent = {**key(), **headers}
        sent.setdefault("if-match", self.etag(client, entry_no))
        return client.post(f"{self.boat(entry_no)}/inspections", json=body, headers=sent)

    def ask_for_site(self) -> str:
        """Have the site made at once; the job that makes it."""
        job = self.server.store.write(lambda connection: add_site_job(connection, self.fleet, "A test"))
        self.server.worker.wake()
        return job

    def settle(self, officer: httpx.Client) -> None:
        """Have all jobs done, those too that wait for further writes."""
        due = update(jobs).where(jobs.c.state == "queued").values(due_at=0.0)
        self.server.store.write(lambda connection: connection.execute(due))
        self.server.worker.wake()
        quiet(officer)


def key() -> dict[str, str]:
    """A header with a new key."""
    return {"idempotency-key": secrets.token_hex(8)}


@contextlib.contextmanager
def running(config: Settings, *, loaded: bool = True) -> Iterator[Running]:
    """Serve on a free port of this machine, with the small fleet in force, her order and site made."""
    if loaded:
        copy_loaded(config)
    with serving(config) as up:
        if loaded:
            look_around(up)
        yield up


@contextlib.contextmanager
def serving(config: Settings) -> Iterator[Running]:
    """Serve what is there; a server that does not start fails at once, with what it logged."""
    with socket.socket(proto=socket.IPPROTO_TCP) as listening:  # else asyncio does not set TCP_NODELAY
        listening.bind(("127.0.0.1", 0))
        port = listening.getsockname()[1]
        server = uvicorn.Server(configured(config, "127.0.0.1", port))
        logged = Logged()
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        with logged.listening():
            thread.start()
            wait_for(lambda: server.started or not thread.is_alive(), logged.text)
        assert server.started, f"the server did not start:\n{logged.text()}"
        app: Any = server.config.app
        try:
            yield Running(f"http://127.0.0.1:{port}", app.state.server, server)
        finally:
            server.should_exit = True
            thread.join(LONGEST_S)


class Logged(logging.Handler):
    """What a server logs while it starts."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Keep a line."""
        self.lines.append(self.format(record))

    def text(self) -> str:
        """All of it."""
        return "\n".join(self.lines) or "it logged nothing"

    @contextlib.contextmanager
    def listening(self) -> Iterator[None]:
        """Hear what the server and the program say."""
        loggers = [logging.getLogger(), logging.getLogger("uvicorn.error")]
        for one in loggers:
            one.addHandler(self)
        try:
            yield
        finally:
            for one in loggers:
                one.removeHandler(self)


SHARED: Path | None = None
"""A folder that all workers of a test run see, where there is one."""


@cache
def own_folder() -> Path:
    """A folder of this process, which is gone with it."""
    folder = Path(tempfile.mkdtemp(prefix="drogue-muster-tests-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


@cache
def loaded_data() -> Path:
    """Folder of a server with the small fleet in force, and a backup of it; made once for all workers."""
    there = SHARED or own_folder()
    with FileLock(there / "loaded.lock"):
        folder = there / "loaded"
        return folder if (folder / SAVED).exists() else _load(folder)


def _load(folder: Path) -> Path:
    config = settings(folder / "data")
    with serving(config) as up, up.client() as officer:
        fleet = officer.post("/v1/fleets", json={"name": "Small"}, headers=key()).json()["id"]
        job = upload(officer, fleet, sheet())
        assert job["state"] == "done", job
        quiet(officer)
    store = open_store(config.url)
    backup(store, config.anchors, folder / SAVED)
    store.close()
    return folder


def copy_loaded(config: Settings) -> None:
    """Give a server that is not started yet the small fleet, as if it had read her list itself."""
    made = loaded_data()
    shutil.copytree(made / "data", config.folder, dirs_exist_ok=True, symlinks=True)
    if not config.database_url:
        return
    store = open_store(config.url)
    restore(store, made / SAVED, config.anchors)
    store.close()


def look_around(up: Running) -> None:
    """Note the one fleet and her boats."""
    with up.client() as officer:
        (one,) = officer.get("/v1/fleets").json()["items"]
        up.fleet = one["id"]
        page = officer.get(f"/v1/fleets/{up.fleet}/boats").json()
        up.boats = {boat["entry_no"]: boat["id"] for boat in page["items"]}
        assert set(up.boats) == set(BOATS)


def upload(
    client: httpx.Client, fleet: str, content: bytes, kind: str = "text/csv", query: str = ""
) -> dict[str, Any]:
    """Upload an entry list and wait for its job to end."""
    etag = client.get(f"/v1/fleets/{fleet}").headers["etag"]
    headers = {**key(), "if-match": etag, "content-type": kind}
    answer = client.post(f"/v1/fleets/{fleet}/revisions{query}", content=content, headers=headers)
    assert answer.status_code == 202, answer.text
    return ended(client, answer.json()["job"])


def ended(client: httpx.Client, job: str) -> dict[str, Any]:
    """A job once it has ended."""
    state: dict[str, Any] = {}

    def is_over() -> bool:
        state.update(client.get(f"/v1/jobs/{job}").json())
        return state["state"] in ("done", "failed")

    wait_for(is_over, lambda: f"the job: {state}")
    return state


def quiet(officer: httpx.Client) -> None:
    """Wait until no job waits or runs."""
    told: list[str] = []

    def nothing_to_do() -> bool:
        told[:] = [line for line in officer.get("/metrics").text.splitlines() if "jobs{" in line]
        return not any(f'state="{state}"' in line for line in told for state in ("queued", "running"))

    wait_for(nothing_to_do, lambda: f"jobs: {told}")


def exchange(up: Running, sent: bytes, wait_s: float = LONGEST_S) -> bytes:
    """Send bytes as they are, and read until the server ends the connection."""
    host, port = up.url.removeprefix("http://").split(":")
    with socket.create_connection((host, int(port)), timeout=wait_s) as connection:
        connection.sendall(sent)
        got = b""
        while part := connection.recv(65536):
            got += part
        return got


def wait_for(true: Callable[[], bool], seen: Callable[[], str] = str) -> None:
    """Wait until it is true, however busy the machine; after five minutes fail, and tell what was seen."""
    until = time.monotonic() + LONGEST_S
    pause_s = 0.02
    while not true():
        assert time.monotonic() < until, f"waited in vain for {LONGEST_S} s. {seen()}"
        time.sleep(pause_s)
        pause_s = min(1.25 * pause_s, 0.2)  # asking costs the time of what is waited for
