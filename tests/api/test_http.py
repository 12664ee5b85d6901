"""The rules of HTTP itself: HEAD, ranges, held pages, bodies in chunks, and heads that could be misread."""

from __future__ import annotations

import json

import pytest

from tests.api.running import Running, exchange
from tests.api.test_problems import GOOD, is_problem


@pytest.mark.parametrize(
    "place", ["/v1/me", "/v1/fleets", "/health", "/dock/", "/docs/", "/openapi.json", "", "boat"]
)
def test_head_is_answered_like_get_without_the_body(on_file: Running, place: str) -> None:
    """Every server has to take GET and HEAD, and HEAD is GET without content [RFC 9110, 9.1 and 9.3.2]."""
    address = {"": f"/site/{on_file.fleet}/", "boat": on_file.boat("003")}.get(place, place)
    with on_file.client() as officer:
        got, head = officer.get(address), officer.head(address)
        assert (head.status_code, head.content) == (got.status_code, b"")
        for name in ("content-type", "content-length", "etag", "allow", "content-security-policy"):
            assert head.headers.get(name) == got.headers.get(name), name
        assert officer.head("/v1/none").status_code == 404


@pytest.mark.parametrize(
    "twice",
    [
        [("authorization", "Bearer x"), ("authorization", "{token}")],
        [("authorization", "{token}"), ("content-type", "text/csv"), ("content-type", "application/json")],
        [("authorization", "{token}"), ("content-encoding", "identity"), ("content-encoding", "gzip")],
        [("authorization", "{token}"), ("transfer-encoding", "chunked"), ("content-length", "5")],
    ],
)
def test_a_request_that_could_be_read_in_two_ways_is_refused(
    on_file: Running, twice: list[tuple[str, str]]
) -> None:
    with on_file.client("scrutineer") as client:
        token, before = client.headers["authorization"], on_file.etag(client, "001")
        lines = [f"{name}: {value}".format(token=token) for name, value in twice]
        if not any(line.startswith("content-type") for line in lines):
            lines.append("content-type: application/json")
        body = json.dumps(GOOD)
        chunked = any(line.startswith("transfer-encoding") for line in lines)
        lines += ["connection: close"] if chunked else [f"content-length: {len(body)}", "connection: close"]
        head = f"POST {on_file.boat('001')}/inspections HTTP/1.1\r\nhost: x\r\nif-match: {before}\r\n"
        head += f"idempotency-key: {'k' * 20}\r\n" + "\r\n".join(lines) + "\r\n\r\n"
        sent = f"{len(body):x}\r\n{body}\r\n0\r\n\r\n" if chunked else body
        got = exchange(on_file, (head + sent).encode())
        assert got.startswith(b"HTTP/1.1 400"), got[:200]
        assert json.loads(got.partition(b"\r\n\r\n")[2])["code"] == "bad-request"
        assert on_file.etag(client, "001") == before


@pytest.mark.parametrize(
    "first",
    [
        b"\x00\x01nonsense",
        b"GET /v1/\xff HTTP/1.1\r\nHost: x",
        b"GET /v1/me?q=\xff HTTP/1.1\r\nHost: x",
        b"GET /v1/me HTTP/1.1\r\nHost: x\r\nX: a\x00b",
        b"GET /v1/me HTTP/1.1\r\nHost: x\r\nHost: y",
        b"GET /v1/me HTTP/1.1",
        b"GET /v1/me HTTP/1.1\r\nHost: x\r\nBad name: y",
        b"POST /v1/fleets HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\nContent-Length: 6",
        b"POST /v1/fleets HTTP/1.1\r\nHost: x\r\nContent-Length: -1",
        b"POST /v1/fleets HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: gzip",
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03",
    ],
)
def test_a_head_that_breaks_the_rules_of_http_is_a_problem(on_file: Running, first: bytes) -> None:
    got = exchange(on_file, first + b"\r\n\r\n")
    head, _, body = got.partition(b"\r\n\r\n")
    assert head.startswith(b"HTTP/1.1 400")
    assert b"application/problem+json" in head
    assert json.loads(body)["code"] == "bad-request"


def test_what_http_allows_of_a_body_is_taken(on_file: Running) -> None:
    """Chunks with an extension and a trailer [RFC 9112, 7.1], and 100-continue [RFC 9110, 10.1.1]."""
    body = json.dumps({"measurements": [], "note": "in chunks"})
    chunks = f"7;name=value\r\n{body[:7]}\r\n{len(body) - 7:x}\r\n{body[7:]}\r\n0\r\nX-Sum: 1\r\n\r\n"
    ways = (
        ("transfer-encoding: chunked\r\ntrailer: X-Sum", chunks),
        (f"content-length: {len(body)}\r\nexpect: 100-continue", body),
    )
    for number, (told, sent) in enumerate(ways):
        with on_file.client("scrutineer") as client:
            head = (
                f"POST {on_file.boat('003')}/inspections HTTP/1.1\r\nhost: x\r\nconnection: close\r\n"
                f"authorization: {client.headers['authorization']}\r\ncontent-type: application/json\r\n"
                f"if-match: {on_file.etag(client, '003')}\r\nidempotency-key: chunks-{number}\r\n"
                f"{told}\r\n\r\n"
            )
            got = exchange(on_file, (head + sent).encode())
        assert b"HTTP/1.1 201" in got, got[:300]


@pytest.mark.parametrize(
    ("asked", "status"),
    [
        ("bytes=0-9", 206), ("bytes=-5", 206), ("bytes=9999999-", 416), ("bytes=abc", 200),
        ("bytes=5-2", 200), ("items=0-1", 200), ("bytes=0-1,3-4", 200),
        ("bytes=" + "9" * 4_000 + "-", 200), ("", 200),
    ],
)  # fmt: skip
def test_a_part_of_a_file_of_the_site(on_file: Running, asked: str, status: int) -> None:
    """What is no range is ignored; one beyond the end is 416 with the length [RFC 9110, 14.2, 15.5.17]."""
    with on_file.client(None) as nobody:
        page = f"/site/{on_file.fleet}/index.html"
        whole = nobody.get(page)
        got = nobody.get(page, headers={"range": asked, "accept-encoding": "identity"})
        if status == 416:
            is_problem(got, 416, "no-such-part")
            assert got.headers["content-range"] == f"bytes */{len(whole.content)}"
        else:
            assert got.status_code == status
            assert got.content in whole.content


def test_a_page_that_is_held_already_is_not_sent_again(on_file: Running) -> None:
    with on_file.client(None) as nobody:
        for page in (f"/site/{on_file.fleet}/", "/docs/", "/dock/"):
            etag = nobody.get(page).headers["etag"]
            for held in (etag, f'"other", {etag}', f"W/{etag}"):
                again = nobody.get(page, headers={"if-none-match": held})
                assert (again.status_code, again.content) == (304, b""), (page, held)
            assert nobody.get(page, headers={"if-none-match": '"other"'}).status_code == 200
            assert nobody.get(page, headers={"if-modified-since": "nonsense"}).status_code == 200


@pytest.mark.parametrize(
    ("said", "zipped"),
    [
        ("gzip", True), ("br, gzip;q=0.5", True), ("gzip;q=0", False), ("br, x-gzip ; q=0.000, *", False),
        ("identity", False), ("gzip;q=0.001", True),
    ],
)  # fmt: skip
def test_a_coding_that_is_refused_is_not_used(on_file: Running, said: str, zipped: bool) -> None:
    """A weight of nought refuses [RFC 9110, 12.4.2, 12.5.3]."""
    with on_file.client(None) as nobody:
        answer = nobody.get("/openapi.json", headers={"accept-encoding": said})
        assert (answer.headers.get("content-encoding") == "gzip") is zipped
        assert answer.json()["openapi"] == "3.1.0"


@pytest.mark.parametrize(
    "target", ["/health", "http://dock.example/health", "HTTP://dock.example:80/health?"]
)
def test_a_target_that_is_a_whole_address_is_read_as_its_path(on_file: Running, target: str) -> None:
    """A server has to take it [RFC 9112, 3.2.2]."""
    sent = f"GET {target} HTTP/1.1\r\nhost: dock.example\r\nconnection: close\r\n\r\n"
    assert exchange(on_file, sent.encode()).endswith(b'{"status":"runs"}')
    slash = f"GET {target.replace('health', '%2fhealth')} HTTP/1.1\r\nhost: x\r\nconnection: close\r\n\r\n"
    assert b" 404 " in exchange(on_file, slash.encode()).split(b"\r\n")[0]
