"""Clients that keep a connection without use: slow heads, bodies nobody reads, answers not taken."""

from __future__ import annotations

import contextlib
import json
import socket
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from api.serving_commands import PER_ADDRESS
from api.settings import Limits
from tests.api.running import Running, running, settings, wait_for

GET = b"GET /health HTTP/1.1\r\nhost: x\r\n\r\n"
BIG = 24 * 1024 * 1024
"""More than the buffers of both ends together hold."""


@pytest.fixture(scope="module")
def strict(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """A server that waits a quarter of a second for a head, and half a second for an answer to be taken."""
    folder = tmp_path_factory.mktemp("strict")
    limits = Limits(head_seconds=0.25, answer_seconds=0.5, answer_bytes=256 * 1024)
    with running(settings(folder, limits=limits), loaded=False) as up:
        site = up.server.settings.site_of("f" + "0" * 12)
        site.mkdir(parents=True)
        (site / "big.bin").write_bytes(b"x" * BIG)
        yield up


def connect(up: Running, source: str = "127.0.0.1") -> socket.socket:
    host, _, port = up.url.removeprefix("http://").partition(":")
    return socket.create_connection((host, int(port)), timeout=20, source_address=(source, 0))


def all_of(client: socket.socket) -> bytes:
    """What comes until the server ends the connection."""
    got = b""
    with contextlib.suppress(ConnectionResetError):
        while part := client.recv(65536):
            got += part
    return got


def asks(client: socket.socket) -> bool:
    """Ask for the health and read the answer; whether it is one."""
    client.sendall(GET)
    answer = b""
    while not answer.endswith(b'{"status":"runs"}'):
        part = client.recv(4096)
        if not part:
            return False
        answer += part
    return b" 200 " in answer.split(b"\r\n")[0]


def problem(answer: bytes) -> tuple[int, str]:
    """Status and code of an answer that is a problem document."""
    head, _, body = answer.partition(b"\r\n\r\n")
    assert b"content-type: application/problem+json" in head.lower()
    assert b"connection: close" in head.lower()
    return int(head.split()[1]), str(json.loads(body)["code"])


def dribble(client: socket.socket, piece: bytes) -> bytes:
    """Send a little again and again until the server ends the connection; what it answered."""
    with contextlib.suppress(BrokenPipeError, ConnectionResetError):
        for _ in range(1000):
            client.sendall(piece)
            time.sleep(0.02)
        pytest.fail("the server reads on for ever")
    return all_of(client)


def open_connections(up: Running) -> int:
    return len(up.uvicorn.server_state.connections)


def test_a_head_that_does_not_end_is_answered_and_the_connection_ended(strict: Running) -> None:
    with connect(strict) as client:
        client.sendall(b"GET /health HTTP/1.1\r\nhost: x\r\n")
        assert problem(all_of(client)) == (408, "too-slow")
    with connect(strict) as client:
        client.sendall(b"GET /health HTTP/1.1\r\nhost: x\r\nx-a: ")
        dribble(client, b"a")
    wait_for(lambda: open_connections(strict) == 0, 10)


def test_a_connection_on_which_nothing_is_said_is_ended(strict: Running) -> None:
    with connect(strict) as client:
        assert all_of(client) == b""


def test_a_second_head_has_to_end_too(strict: Running) -> None:
    with connect(strict) as client:
        assert asks(client)
        client.sendall(b"GET /he")
        assert problem(all_of(client)) == (408, "too-slow")


def test_a_body_that_nobody_reads_any_more_holds_nothing(strict: Running) -> None:
    head = b"POST /v1/fleets HTTP/1.1\r\nhost: x\r\ncontent-length: 60000\r\n\r\n"
    with connect(strict) as client:
        client.sendall(head)
        assert b" 401 " in client.recv(4096).split(b"\r\n")[0]
        dribble(client, b"a")
    wait_for(lambda: open_connections(strict) == 0, 10)


def test_an_answer_that_is_not_taken_is_broken_off(strict: Running) -> None:
    """A reader that takes nothing, and one that takes a little now and then; a steady one gets it whole."""
    asked = f"GET /site/f{'0' * 12}/big.bin HTTP/1.1\r\nhost: x\r\nconnection: close\r\n\r\n".encode()
    for pause in (None, 0.1):
        with socket.socket() as client:
            client.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            client.settimeout(20)
            host, _, port = strict.url.removeprefix("http://").partition(":")
            client.connect((host, int(port)))
            client.sendall(asked)
            wait_for(lambda: open_connections(strict) == 1, 10)
            until = time.monotonic() + 20
            while open_connections(strict):
                assert time.monotonic() < until, "the server waits for ever"
                if pause is not None:
                    with contextlib.suppress(ConnectionResetError):
                        client.recv(512)
                time.sleep(pause or 0.1)
    with connect(strict) as client:
        client.sendall(asked)
        assert len(all_of(client)) > BIG


def test_where_all_connections_are_kept_the_one_that_waited_longest_gives_way(tmp_path: Path) -> None:
    limited = settings(tmp_path, limits=Limits(connections=6))
    with running(limited, loaded=False) as up, contextlib.ExitStack() as held:
        idle = [held.enter_context(connect(up)) for _ in range(6)]
        assert all(asks(client) for client in idle)
        for _ in range(3):
            with connect(up) as fresh:
                assert asks(fresh)
        assert all_of(idle[0]) == b""
        assert asks(idle[-1])


def test_one_address_holds_its_part_of_the_connections_and_no_more(tmp_path: Path) -> None:
    """What waits longest of its own gives way, never what another address holds."""
    limited = settings(tmp_path, limits=Limits(connections=20, connections_per_address=3))
    with running(limited, loaded=False) as up, contextlib.ExitStack() as held:
        other = held.enter_context(connect(up, "127.0.0.2"))
        assert asks(other)
        idle = [held.enter_context(connect(up)) for _ in range(3)]
        assert all(asks(client) for client in idle)
        assert open_connections(up) == 4
        fresh = held.enter_context(connect(up))
        assert asks(fresh)
        assert all_of(idle[0]) == b""
        assert asks(other)
        assert asks(idle[-1])
        assert open_connections(up) == 4


def test_an_address_all_of_whose_connections_are_at_work_is_told_so_and_no_other_is(tmp_path: Path) -> None:
    limits = Limits(connections=20, connections_per_address=2, requests=1000)
    with running(settings(tmp_path, limits=limits), loaded=False) as up, contextlib.ExitStack() as held:
        at_work(up, held, 2)
        with connect(up) as client:
            client.sendall(GET)
            assert problem(all_of(client)) == (503, "too-busy")
        with connect(up, "127.0.0.2") as client:
            assert asks(client)


def test_the_command_has_the_documented_default() -> None:
    assert PER_ADDRESS == Limits().connections_per_address == Limits().connections // 2


def at_work(up: Running, held: contextlib.ExitStack, count: int) -> None:
    """Keep so many connections at a body on its way, of a caller who signed in."""
    token = up.token("officer")
    head = (
        f"POST /v1/fleets HTTP/1.1\r\nhost: x\r\nauthorization: Bearer {token}\r\n"
        "content-type: application/json\r\nidempotency-key: 12345678\r\ncontent-length: 20\r\n\r\n{"
    )
    for number in range(count):
        busy = held.enter_context(connect(up))
        busy.sendall(head.encode())
        wait_for(lambda most=number + 1: len(up.uvicorn.server_state.tasks) == most, 10)  # type: ignore[misc]


def test_where_every_connection_is_at_work_one_more_is_told_so(tmp_path: Path) -> None:
    """A body on its way that the server waits for is work, for a caller who signed in."""
    limits = Limits(connections=2, requests=1000)
    with running(settings(tmp_path, limits=limits), loaded=False) as up, contextlib.ExitStack() as held:
        at_work(up, held, 2)
        with connect(up) as client:
            client.sendall(GET)
            answer = all_of(client)
        assert problem(answer) == (503, "too-busy")
        assert b"retry-after:" in answer.lower()
