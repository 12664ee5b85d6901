"""Requests a second and the slowest percent: a boat read and an inspection write, against a bare route.

Run by hand: python -m tests.benchmarks.api [seconds for each]. The bare route is FastAPI with nothing around
it, answering as many bytes as the boat. Each server is a process of its own, and so is the client.
"""

from __future__ import annotations

import asyncio
import json
import multiprocessing
import socket
import sys
import tempfile
import time
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import uvicorn

from api.http.server import ShapedProtocol, configured
from api.signin import make_token
from api.storage.store import open_store
from tests.api.running import key, running, settings, wait_for

CONNECTIONS = 8
SPAWN = multiprocessing.get_context("spawn")


@dataclass(frozen=True)
class Measured:
    """Requests a second, and the time within which 50 and 99 of a hundred were answered."""

    name: str
    rate: float
    p50_ms: float
    p99_ms: float


def bare(port: int, size: int) -> None:
    """Serve one route with nothing around it."""
    from fastapi import FastAPI, Response  # noqa: PLC0415

    app = FastAPI()
    text = json.dumps({"filler": "x" * size})

    @app.get("/bare")
    async def answer() -> Response:
        return Response(text, media_type="application/json")

    uvicorn.run(app, host="127.0.0.1", port=port, http=ShapedProtocol, access_log=False, log_level="error")


def whole(folder: str, port: int) -> None:
    """Serve the program as it is."""
    uvicorn.Server(configured(settings(Path(folder)), "127.0.0.1", port)).run()


async def exchange(
    reader: asyncio.StreamReader, writer: asyncio.StreamWriter, sent: bytes
) -> tuple[int, dict[str, str]]:
    """One request and its answer on an open connection."""
    writer.write(sent)
    head = (await reader.readuntil(b"\r\n\r\n")).decode("latin-1").split("\r\n")
    headers = {n.lower(): v.strip() for n, _, v in (line.partition(":") for line in head[1:] if line)}
    await reader.readexactly(int(headers.get("content-length", "0")))
    return int(head[0].split()[1]), headers


def request(method: str, path: str, headers: dict[str, str], body: bytes = b"") -> bytes:
    """The bytes of a request."""
    lines = [f"{method} {path} HTTP/1.1", "host: x", *(f"{n}: {v}" for n, v in headers.items())]
    return ("\r\n".join([*lines, f"content-length: {len(body)}", "", ""])).encode() + body


async def measure(
    name: str, port: int, seconds: float, one: Callable[..., Awaitable[None]], many: int
) -> Measured:
    """Ask from so many connections for so long."""
    times: list[float] = []
    until = time.perf_counter() + seconds

    async def ask(number: int) -> None:
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        state: dict[str, Any] = {"number": number}
        while time.perf_counter() < until:
            began = time.perf_counter()
            await one(reader, writer, state)
            times.append(time.perf_counter() - began)
        writer.close()

    began = time.perf_counter()
    await asyncio.gather(*(ask(number) for number in range(many)))
    spent = time.perf_counter() - began
    times.sort()
    return Measured(
        name, len(times) / spent, times[len(times) // 2] * 1e3, times[int(len(times) * 0.99)] * 1e3
    )


def reading(path: str, headers: dict[str, str]) -> Callable[..., Awaitable[None]]:
    """Read one address again and again."""
    sent = request("GET", path, headers)

    async def one(reader: asyncio.StreamReader, writer: asyncio.StreamWriter, _state: dict[str, Any]) -> None:
        status, _ = await exchange(reader, writer, sent)
        assert status == 200, status

    return one


def writing(boats: list[str], headers: dict[str, str]) -> Callable[..., Awaitable[None]]:
    """Record one inspection after another, each connection on its own boat."""
    body = json.dumps({"measurements": [{"field": "end_weight", "value": "21 kg"}], "note": "seen"}).encode()

    async def one(reader: asyncio.StreamReader, writer: asyncio.StreamWriter, state: dict[str, Any]) -> None:
        path = boats[state["number"]]
        if "etag" not in state:
            _, told = await exchange(reader, writer, request("GET", path, headers))
            state["etag"] = told["etag"]
        own = {**headers, **key(), "if-match": state["etag"], "content-type": "application/json"}
        status, told = await exchange(reader, writer, request("POST", f"{path}/inspections", own, body))
        assert status == 201, status
        state["etag"] = told["etag"]

    return one


def free_port() -> int:
    """A port nobody listens at."""
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        return int(listening.getsockname()[1])


def answers(port: int) -> bool:
    """Whether somebody listens there."""
    with socket.socket() as asking:
        return asking.connect_ex(("127.0.0.1", port)) == 0


def main(seconds: float) -> None:
    """Measure in turn, twice, and print the better of each with its ratio to the bare route."""
    with tempfile.TemporaryDirectory() as folder:
        with running(settings(Path(folder))) as up:
            boats = [up.boat(entry) for entry in up.boats]
            with up.client() as officer:
                size = len(officer.get(boats[0]).content)
        store = open_store(settings(Path(folder)).url)
        signed = {"authorization": f"Bearer {make_token(store, label='Bench', role='officer', days=1)}"}
        store.close()
        ports = free_port(), free_port()
        servers = [
            SPAWN.Process(target=bare, args=(ports[0], size), daemon=True),
            SPAWN.Process(target=whole, args=(folder, ports[1]), daemon=True),
        ]
        for server in servers:
            server.start()
        wait_for(lambda: all(answers(port) for port in ports), 60)
        tries: list[tuple[str, int, Callable[..., Awaitable[None]], int]] = [
            ("bare route", ports[0], reading("/bare", {}), CONNECTIONS),
            ("boat read", ports[1], reading(boats[0], signed), CONNECTIONS),
            ("inspection write", ports[1], writing(boats, signed), 2),
        ]
        best: dict[str, Measured] = {}
        for _ in range(2):
            for name, port, one, many in tries:
                got = asyncio.run(measure(name, port, seconds, one, many))
                if name not in best or got.rate > best[name].rate:
                    best[name] = got
        for server in servers:
            server.terminate()
            server.join()
    base = best["bare route"]
    print(f"{size} bytes a boat; {CONNECTIONS} connections read, 2 write; {seconds:g} s each, better of two")
    for name, got in best.items():
        ratio, slowest = got.rate / base.rate, got.p99_ms / base.p99_ms
        print(
            f"{name:18} {got.rate:8.0f} /s ({ratio:5.2f} of bare)   p50 {got.p50_ms:7.2f} ms   "
            f"p99 {got.p99_ms:7.2f} ms ({slowest:5.2f} x bare)"
        )


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 4.0)
