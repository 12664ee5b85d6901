"""Requests a second and the slowest percent: a boat read and an inspection write, against bare routes.

Run by hand: python -m tests.benchmarks.api [seconds for each]. The read stands against a FastAPI route with
nothing around it that answers as many bytes, the write against one that keeps one row in one durable
transaction. Each server is a process of its own, and so is the client. Writes are measured with the site
following at once, again and again, and with no site made; reads also while both go on.
"""

from __future__ import annotations

import contextlib
import json
import multiprocessing
import os
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import wraps
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

import uvicorn

from api.http.server import configured
from api.judging.run import Engine
from api.season.tokens import make_token
from api.settings import Wait
from api.storage.store import Store, open_store
from tests.api.running import running, settings, wait_for
from tests.benchmarks.load import (
    Load,
    Measured,
    answers,
    free_port,
    inserting,
    measure,
    reading,
    writing,
)
from tests.benchmarks.yardsticks import bare, commit_ms

READERS, WRITERS = 8, 2
SPAWN = multiprocessing.get_context("spawn")
NO_SITE, SITE_AT_ONCE = Wait(3600.0, 3600.0), Wait(0.0, 0.0)
SPENT = "spent.json"


def whole(folder: str, port: int, wait: Wait) -> None:
    """Serve the program as it is, and write down where the time of its writes went."""
    spent: dict[str, list[float]] = {"judging": [], "transaction": []}
    Engine.boat = timed(Engine.boat, spent["judging"])  # type: ignore[method-assign]
    Store.write = timed(Store.write, spent["transaction"])  # type: ignore[method-assign]
    config = replace(settings(Path(folder)), site_wait=wait, stop_seconds=1.0, job_niceness=10)
    signal.signal(signal.SIGTERM, signal.SIG_IGN)  # uvicorn heeds it, and sends it once more at its end
    uvicorn.Server(configured(config, "127.0.0.1", port)).run()
    middle = {name: sorted(took)[len(took) // 2] * 1e3 for name, took in spent.items() if took}
    (Path(folder) / SPENT).write_text(json.dumps(middle), encoding="utf-8")


def timed(work: Callable[..., Any], spent: list[float]) -> Callable[..., Any]:
    """The same work, its time written down."""

    @wraps(work)
    def one(*given: Any, **named: Any) -> Any:
        began = time.perf_counter()
        try:
            return work(*given, **named)
        finally:
            spent.append(time.perf_counter() - began)

    return one


@contextlib.contextmanager
def serving(process: BaseProcess, port: int) -> Iterator[None]:
    """A server in a process of its own, stopped in good order."""
    process.start()
    try:
        wait_for(lambda: answers(port))
        yield
    finally:
        process.terminate()
        process.join()


def best_of(loads: list[Load], seconds: float, rounds: int = 2) -> list[Measured]:
    """Each measured in turn, twice, and the better one."""
    best: dict[str, Measured] = {}
    for _ in range(rounds):
        for load in loads:
            (got,) = measure([load], seconds)
            if load.name not in best or got.rate > best[load.name].rate:
                best[load.name] = got
    return list(best.values())


def tell(got: Measured, base: Measured) -> None:
    """One line, with its ratio to the yardstick."""
    print(
        f"{got.name:42} {got.rate:8.0f} /s ({got.rate / base.rate:5.2f} of bare)  p50 {got.p50_ms:7.2f} ms  "
        f"p99 {got.p99_ms:7.2f} ms ({got.p99_ms / base.p99_ms:5.2f} x bare)"
    )


def main(seconds: float) -> None:
    """Measure, and print every figure with its ratio to the bare route of its kind."""
    with tempfile.TemporaryDirectory() as folder:
        with running(settings(Path(folder))) as up:
            boats = [up.boat(entry) for entry in up.boats]
            with up.client() as officer:
                size = len(officer.get(boats[0]).content)
        store = open_store(settings(Path(folder)).url)
        signed = {"authorization": f"Bearer {make_token(store, label='Bench', role='officer', days=1)}"}
        store.close()
        load_before = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
        bare_port, port = free_port(), free_port()
        read = Load("boat read", port, reading(boats[0], signed), READERS)
        write = Load("inspection write, no site made", port, writing(boats, signed), WRITERS)
        with serving(SPAWN.Process(target=bare, args=(bare_port, size, folder)), bare_port):
            bare_loads = [
                Load("bare route", bare_port, reading("/bare", {}), READERS),
                Load("bare route, one durable insert", bare_port, inserting(), WRITERS),
            ]
            with serving(SPAWN.Process(target=whole, args=(folder, port, NO_SITE)), port):
                bare_read, bare_write, quiet_read, quiet_write = best_of([*bare_loads, read, write], seconds)
        spent = json.loads((Path(folder) / SPENT).read_text(encoding="utf-8"))
        with serving(SPAWN.Process(target=whole, args=(folder, port, SITE_AT_ONCE)), port):
            (busy_write,) = best_of([replace(write, name="inspection write, sites made on end")], seconds)
            names = "boat read, beside writes and sites", "inspection write, beside reads and sites"
            beside = [replace(read, name=names[0]), replace(write, name=names[1])]
            busy = measure(beside, 2 * seconds)
        commit = commit_ms(Path(folder))
    print(
        f"{size} bytes a boat; {READERS} connections read, {WRITERS} write; {seconds:g} s each, better of "
        f"two; load before: {load_before:.1f} on {os.cpu_count()} cores"
    )
    for got, base in ((bare_read, bare_read), (quiet_read, bare_read), (busy[0], bare_read)):
        tell(got, base)
    for got in (bare_write, quiet_write, busy_write, busy[1]):
        tell(got, bare_write)
    rest = quiet_write.p50_ms - spent["judging"] - spent["transaction"]
    judging, transaction = spent["judging"], spent["transaction"]
    print(
        f"of one write's {quiet_write.p50_ms:.1f} ms: judging {judging:.1f}, transaction {transaction:.1f} "
        f"(one bare durable commit: {commit:.1f}), request and answer {rest:.1f}"
    )


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 4.0)
