"""A client that asks from several connections at once, and counts."""

from __future__ import annotations

import asyncio
import json
import socket
import time
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from typing import Any

from tests.api.running import key

Step = Callable[[asyncio.StreamReader, asyncio.StreamWriter, dict[str, Any]], Awaitable[None]]
CREATED = 201


@dataclass(frozen=True)
class Load:
    """One kind of request, from so many connections."""

    name: str
    port: int
    step: Step
    connections: int


@dataclass(frozen=True)
class Measured:
    """Requests a second, and the time within which 50 and 99 of a hundred were answered."""

    name: str
    rate: float
    p50_ms: float
    p99_ms: float


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


def measure(loads: Sequence[Load], seconds: float) -> list[Measured]:
    """Ask all of these at once for so long."""
    return asyncio.run(_measure(loads, seconds))


async def _measure(loads: Sequence[Load], seconds: float) -> list[Measured]:
    times: dict[str, list[float]] = {load.name: [] for load in loads}
    until = time.perf_counter() + seconds

    async def ask(load: Load, number: int) -> None:
        reader, writer = await asyncio.open_connection("127.0.0.1", load.port)
        state: dict[str, Any] = {"number": number}
        while time.perf_counter() < until:
            began = time.perf_counter()
            await load.step(reader, writer, state)
            times[load.name].append(time.perf_counter() - began)
        writer.close()

    began = time.perf_counter()
    await asyncio.gather(*(ask(load, number) for load in loads for number in range(load.connections)))
    spent = time.perf_counter() - began
    return [_measured(name, sorted(took), spent) for name, took in times.items()]


def _measured(name: str, times: list[float], spent: float) -> Measured:
    return Measured(
        name, len(times) / spent, times[len(times) // 2] * 1e3, times[int(len(times) * 0.99)] * 1e3
    )


def reading(path: str, headers: dict[str, str]) -> Step:
    """Read one address again and again."""
    sent = request("GET", path, headers)

    async def one(reader: asyncio.StreamReader, writer: asyncio.StreamWriter, _state: dict[str, Any]) -> None:
        status, _ = await exchange(reader, writer, sent)
        assert status == 200, status

    return one


def inserting() -> Step:
    """Have one row kept after another by the bare route."""
    sent = request("POST", "/durable", {"content-type": "application/json"}, _body(21))

    async def one(reader: asyncio.StreamReader, writer: asyncio.StreamWriter, _state: dict[str, Any]) -> None:
        status, _ = await exchange(reader, writer, sent)
        assert status == CREATED, status

    return one


def writing(boats: list[str], headers: dict[str, str]) -> Step:
    """Record one inspection after another, each connection on its own boat, each with another figure."""

    async def one(reader: asyncio.StreamReader, writer: asyncio.StreamWriter, state: dict[str, Any]) -> None:
        path = boats[state["number"]]
        if "etag" not in state:
            _, told = await exchange(reader, writer, request("GET", path, headers))
            state["etag"], state["turn"] = told["etag"], 0
        state["turn"] += 1
        own = {**headers, **key(), "if-match": state["etag"], "content-type": "application/json"}
        body = _body(15 + state["turn"] % 40)
        status, told = await exchange(reader, writer, request("POST", f"{path}/inspections", own, body))
        assert status == CREATED, status
        state["etag"] = told["etag"]

    return one


def _body(kilograms: int) -> bytes:
    measured = [{"field": "end_weight", "value": f"{kilograms} kg"}]
    return json.dumps({"measurements": measured, "note": "seen"}).encode()


def free_port() -> int:
    """A port nobody listens at."""
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        return int(listening.getsockname()[1])


def answers(port: int) -> bool:
    """Whether somebody listens there."""
    with socket.socket() as asking:
        return asking.connect_ex(("127.0.0.1", port)) == 0
