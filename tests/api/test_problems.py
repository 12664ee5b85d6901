"""Errors: one shape everywhere, stable codes, and nothing of what was sent comes back in it."""

from __future__ import annotations

import asyncio
import json
import socket
import time
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import httpx
import pytest
from starlette.responses import Response
from starlette.types import Receive, Scope, Send

from api.http.gate import Gate
from api.http.metrics import Metrics
from api.http.problems import CODES, Problem, problem_response
from api.settings import Limits
from tests.api.running import Running, exchange, key, running, settings, sheet, wait_for

SECRET = "hush-4711-hush"  # noqa: S105  sent everywhere, and looked for in every answer


def is_problem(answer: httpx.Response, status: int, code: str | None = None) -> dict[str, Any]:
    """The one shape of errors."""
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    body: dict[str, Any] = answer.json()
    assert set(body) - {"errors"} == {"type", "title", "status", "code", "detail"}
    assert body["status"] == status == CODES[body["code"]][0]
    assert body["title"] == CODES[body["code"]][1]
    assert body["type"] == f"urn:drogue-muster:problem:{body['code']}"
    for error in body.get("errors", []):
        assert set(error) in ({"field", "code", "expected"}, {"field", "code", "expected", "mend"})
    assert code is None or body["code"] == code
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert SECRET not in answer.text
    return body


def test_the_shape_is_built_in_one_place() -> None:
    answer = problem_response("not-valid", "see", errors=[{"field": "a", "code": "b", "expected": "c"}])
    assert answer.media_type == "application/problem+json"
    assert json.loads(bytes(answer.body)) == {
        "type": "urn:drogue-muster:problem:not-valid",
        "title": "The request does not fit what is expected",
        "status": 422,
        "code": "not-valid",
        "detail": "see",
        "errors": [{"field": "a", "code": "b", "expected": "c"}],
    }
    assert Problem("too-large").status == 413


@pytest.mark.parametrize(
    "address",
    [
        "/nope",
        f"/{SECRET}",
        "/v1",
        "/v1/fleets/",
        "/docs/../x",
        "/site/../server.lock",
        "/v1/%00",
        "/v1/%ff%fe",
        "/v1/%ed%a0%80",
        "//v1/me",
        "/v1//me",
        "/v1%2fme",
        "/v1/fleets%2F{fleet}",
        "/v1/" + "a" * 50_000,
        "/a" * 20_000,
    ],
)
def test_an_address_that_is_none(on_file: Running, address: str) -> None:
    with on_file.client() as officer:
        is_problem(officer.get(address.replace("{fleet}", on_file.fleet)), 404, "not-found")


def test_a_method_that_is_not_taken_names_those_that_are(on_file: Running) -> None:
    with on_file.client() as officer:
        answer = officer.delete(f"{on_file.boat('001')}/inspections")
        is_problem(answer, 405, "method-not-allowed")
        assert answer.headers["allow"] == "GET, HEAD, POST"
        is_problem(officer.patch("/health"), 405)
        is_problem(officer.post("/dock/"), 405)
        is_problem(officer.options("/v1/me"), 405)
        withdrawal = officer.get(f"{on_file.boat('001')}/inspections/1/withdrawal")
        is_problem(withdrawal, 405)
        assert withdrawal.headers["allow"] == "POST"


GOOD: dict[str, Any] = {"measurements": [{"field": "cone_count", "value": "120"}], "note": "seen"}


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"", 400),
        (b"{", 400),
        (b'"text"', 422),
        (b"[]", 422),
        (b"null", 422),
        (b'{"note": NaN, "measurements": []}', 422),
        (b'{"measurements": Infinity}', 422),
        (b"\xff\xfe{}", 400),
        (b'{"measurements": [], "note": "\\ud800"}', 400),
        (b'{"measurements": [], "note": "a\\u0000b"}', 422),
        (b'{"measurements": [], "note": "\x01"}', 400),
        (b"[" * 60_000, 400),
        (b"[" * 10_000 + b"]" * 10_000, 400),
        (b'{"a":' * 10_000 + b"1" + b"}" * 10_000, 400),
        (b'{"measurements": [], "note": ' + b"[" * 10_000 + b"]" * 10_000 + b"}", 400),
        (b'{"measurements": [], "note": "one", "note": "two"}', 400),
        (b'{"measurements": [{"field": "cone_count", "value": "1", "value": "2"}]}', 400),
        (b'{"measurements": [], "note": ' + b"9" * 5_000 + b"}", 400),
        (b'{"measurements": [], "note": 1e999}', 422),
        (b'{"measurements": [{"field": "loa", "value": "1e400 m"}]}', 422),
        ('{"measurements": [], "note": "x"}'.encode("utf-16"), 400),
        (b'\xef\xbb\xbf{"measurements": [], "note": "x"}', 400),
        (b'{"measurements": [], "note": "\xff"}', 400),
        (b'{"measurements": [], "note": "x"} and more', 400),
        (json.dumps({**GOOD, SECRET: 1}).encode(), 422),
        (json.dumps({**GOOD, "note": SECRET * 200}).encode(), 422),
        (json.dumps({**GOOD, "note": 7}).encode(), 422),
        (json.dumps({**GOOD, "photo": f"../{SECRET} x"}).encode(), 422),
        (json.dumps({**GOOD, "measurements": [{"field": SECRET, "value": "1"}]}).encode(), 422),
        (json.dumps({**GOOD, "measurements": [{"field": "cone_count", "value": 120}]}).encode(), 422),
        (json.dumps({**GOOD, "measurements": [{"field": "cone_count", "value": SECRET}]}).encode(), 422),
        (json.dumps({**GOOD, "measurements": [{"field": "email", "value": SECRET}]}).encode(), 422),
        (json.dumps({**GOOD, "measurements": GOOD["measurements"] * 61}).encode(), 422),
        (json.dumps({**GOOD, "measurements": GOOD["measurements"] * 2}).encode(), 422),
        (json.dumps({"measurements": [], "note": " "}).encode(), 422),
        (json.dumps({"measurements": [], "note": "x" * 70_000}).encode(), 413),
    ],
)
def test_a_body_that_does_not_fit_changes_nothing(up: Running, body: bytes, status: int) -> None:
    with up.client("scrutineer") as client:
        before = up.etag(client, "002")
        headers = {**key(), "if-match": before, "content-type": "application/json"}
        answer = client.post(f"{up.boat('002')}/inspections", content=body, headers=headers)
        is_problem(answer, status)
        assert up.etag(client, "002") == before


@pytest.mark.parametrize(
    "kind",
    [
        "",
        "text/plain",
        "application/jsonx",
        "application/json; charset=latin-1",
        "multipart/form-data; boundary=x",
        "application/x-www-form-urlencoded",
    ],
)
def test_a_content_type_is_taken_strictly(on_file: Running, kind: str) -> None:
    with on_file.client() as officer:
        headers = {**key(), "if-match": on_file.etag(officer, "001"), "content-type": kind}
        answer = officer.post(f"{on_file.boat('001')}/inspections", content=json.dumps(GOOD), headers=headers)
        is_problem(answer, 415, "wrong-content-type")
        headers = {**key(), "if-match": '"0"', "content-type": kind}
        answer = officer.post(f"/v1/fleets/{on_file.fleet}/revisions", content=b"a,b", headers=headers)
        is_problem(answer, 415, "wrong-content-type")


@pytest.mark.parametrize(
    ("headers", "status", "code"),
    [
        ({"idempotency-key": None}, 428, "no-idempotency-key"),
        ({"if-match": None}, 428, "no-if-match"),
        ({"idempotency-key": "short"}, 400, "bad-request"),
        ({"idempotency-key": "x" * 129}, 400, "bad-request"),
        ({"idempotency-key": "with space"}, 400, "bad-request"),
        ({"if-match": "*"}, 400, "bad-request"),
        ({"if-match": "bare"}, 400, "bad-request"),
        ({"if-match": '"a", "b"'}, 400, "bad-request"),
        ({"if-match": f'"{SECRET}"'}, 412, "changed-meanwhile"),
        ({"content-encoding": "gzip"}, 415, "wrong-content-type"),
    ],
)
def test_headers_of_a_write(on_file: Running, headers: dict[str, str | None], status: int, code: str) -> None:
    with on_file.client("scrutineer") as client:
        sent: dict[str, str | None] = {**key(), "if-match": on_file.etag(client, "001"), **headers}
        kept = {name: value for name, value in sent.items() if value is not None}
        is_problem(client.post(f"{on_file.boat('001')}/inspections", json=GOOD, headers=kept), status, code)


@pytest.mark.parametrize(
    "query",
    [
        "limit=0",
        "limit=201",
        "limit=x",
        "limit=1e9",
        "cursor=c",
        "cursor=12",
        f"cursor={SECRET}",
        "open_shalls=perhaps",
        "q=%00",
        "q=" + "x" * 81,
        "q=%0a",
        "q=%ff",
        "q=%ed%a0%80",
        "limit=1&limit=1",
        "limit=1;limit=2",
        "limit[]=1",
        "limit=" + "9" * 5_000,
        "q=" + "x" * 50_000,
        f"{SECRET}=1",
    ],
)
def test_queries_are_bounded(on_file: Running, query: str) -> None:
    with on_file.client() as officer:
        is_problem(officer.get(f"/v1/fleets/{on_file.fleet}/boats?{query}"), 422, "not-valid")


@pytest.mark.parametrize("part", ["x", "F" + "0" * 12, "f" + "0" * 13, "f%00" + "0" * 11, SECRET])
def test_ids_are_bounded(on_file: Running, part: str) -> None:
    with on_file.client() as officer:
        is_problem(officer.get(f"/v1/fleets/{part}"), 422, "not-valid")


@pytest.mark.parametrize(
    "until", ["2027-02-30", "tomorrow", "1999-12-31", "2101-01-01", 20270501, "2027-05-01T00:00"]
)
def test_dates_are_dates(on_file: Running, until: object) -> None:
    with on_file.client() as officer:
        body = {
            "boat_id": on_file.boats["001"],
            "check": "line.lead-length",
            "reason": "seen",
            "officer": "O",
        }
        headers = {**key(), "if-match": on_file.etag(officer, "001")}
        answer = officer.post(
            f"/v1/fleets/{on_file.fleet}/waivers", json={**body, "until": until}, headers=headers
        )
        is_problem(answer, 422, "not-valid")


def test_a_failure_nobody_foresaw_is_a_problem_too(on_file: Running, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_arguments: object) -> None:
        raise RuntimeError(SECRET)

    monkeypatch.setattr(type(on_file.server.store), "one", fail)
    with httpx.Client(base_url=on_file.url, trust_env=False) as client:
        is_problem(client.get("/v1/me", headers={"authorization": f"Bearer dm_{'B' * 43}"}), 500, "internal")


def test_more_requests_at_once_than_are_answered_are_refused_as_a_problem() -> None:
    """Those under way are answered, and once they are there is room again."""
    go_on = asyncio.Event()
    answers: list[dict[str, Any]] = []

    async def app(_scope: Scope, _receive: Receive, send: Send) -> None:
        await go_on.wait()
        await Response("done")(_scope, _receive, send)

    gate = Gate(app, Limits(requests_at_once=2), Metrics())

    async def ask() -> int:
        said: list[Any] = []

        async def send(message: Any) -> None:
            said.append(message)

        async def receive() -> Any:
            return {"type": "http.request", "body": b""}

        await gate({"type": "http", "method": "GET", "path": "/", "headers": []}, receive, send)
        answers.append({name.decode(): value.decode() for name, value in said[0]["headers"]})
        return int(said[0]["status"])

    async def all_of_them() -> list[int]:
        under_way = [asyncio.ensure_future(ask()) for _ in range(2)]
        await asyncio.sleep(0)
        refused = await ask()
        go_on.set()
        return [refused, *await asyncio.gather(*under_way), await ask()]

    with ThreadPoolExecutor(1) as apart:  # where no browser's loop runs
        assert apart.submit(asyncio.run, all_of_them()).result() == [503, 200, 200, 200]
    assert answers[0]["content-type"] == "application/problem+json"
    assert answers[0]["retry-after"] == "5"


def test_a_slow_or_broken_upload_is_ended_and_leaves_nothing(tmp_path: Any) -> None:
    limits = Limits(body_seconds=0.02, requests=10_000)
    with running(settings(tmp_path, limits=limits)) as up:
        with up.client() as officer:
            before = officer.get(f"/v1/fleets/{up.fleet}/revisions").json()
            token = officer.headers["authorization"]
            etag = officer.get(f"/v1/fleets/{up.fleet}").headers["etag"]
        head = (
            f"POST /v1/fleets/{up.fleet}/revisions HTTP/1.1\r\nHost: x\r\nAuthorization: {token}\r\n"
            f"If-Match: {etag}\r\nIdempotency-Key: {'k' * 12}\r\nContent-Type: text/csv\r\n"
            "Content-Length: 999\r\n\r\n"
        ).encode()
        began = time.monotonic()
        got = exchange(up, head + b"half a file")
        assert time.monotonic() - began > 0.3
        assert got.startswith(b"HTTP/1.1 408")
        assert json.loads(got.partition(b"\r\n\r\n")[2])["code"] == "too-slow"
        host, port = up.url.removeprefix("http://").split(":")
        with socket.create_connection((host, int(port))) as connection:
            connection.sendall(head + b"half a file")
        wait_for(lambda: not up.uvicorn.server_state.connections)
        with up.client() as officer:
            assert officer.get(f"/v1/fleets/{up.fleet}/revisions").json() == before


def test_an_upload_past_the_limit_is_refused_by_length_and_by_count(tmp_path: Any) -> None:
    limits = Limits(upload_bytes=20_000, requests=10_000)
    with running(settings(tmp_path, limits=limits)) as up, up.client() as officer:
        before = officer.get(f"/v1/fleets/{up.fleet}/revisions").json()
        headers = {
            "if-match": officer.get(f"/v1/fleets/{up.fleet}").headers["etag"],
            "content-type": "text/csv",
        }
        at = f"/v1/fleets/{up.fleet}/revisions"
        is_problem(officer.post(at, content=b"x" * 20_001, headers={**headers, **key()}), 413, "too-large")

        def parts() -> Any:
            for _ in range(30):
                yield b"x" * 1000

        is_problem(officer.post(at, content=parts(), headers={**headers, **key()}), 413, "too-large")
        assert officer.get(f"/v1/fleets/{up.fleet}/revisions").json() == before
        assert len(sheet()) < 20_000
