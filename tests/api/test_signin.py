"""Signing in: no open door, tokens that end, guessing that is stopped, and secrets that are nowhere."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import select, update

from api.settings import Limits
from api.signin import Guard, LockedOut, Tokens, TooManyRequests, make_token, revoke_token
from api.signin.tokens import REMEMBERED_S, list_tokens
from api.storage.migrate import upgrade
from api.storage.schema import tokens
from api.storage.store import Store, open_store
from sizing.errors import MusterError
from tests.api.running import Running, running, settings, wait_for


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    opened = open_store(url)
    upgrade(opened)
    yield opened
    opened.close()


def test_a_fresh_server_has_no_open_door(on_file: Running) -> None:
    """Every address of the description, and every one of its methods, but health."""
    with on_file.client(None) as nobody:
        paths = nobody.get("/openapi.json").json()["paths"]
        tried = 0
        for path, operations in paths.items():
            for method in operations:
                address = path.replace("{fleet_id}", on_file.fleet).replace("{boat_id}", on_file.boats["001"])
                address = address.replace("{number}", "1").replace("{name}", "order.csv")
                answer = nobody.request(method, address.replace("{job_id}", "j" + "0" * 16))
                open_to_all = path in ("/health", "/ready")
                assert answer.status_code == (200 if open_to_all else 401), (method, path)
                tried += 1
        assert tried > 25


@pytest.mark.parametrize(
    "header",
    [
        "",
        "Bearer",
        "Basic dXNlcjpwYXNz",
        "Bearer dm_x",
        "Bearer dm_" + "A" * 43,
        "Token dm_" + "A" * 43,
        "Bearer " + "A" * 4000,
    ],
)
def test_what_is_no_token_is_refused(on_file: Running, header: str) -> None:
    with on_file.client(None) as nobody:
        answer = nobody.get("/v1/me", headers={"authorization": header} if header else {})
        assert answer.status_code == 401
        assert answer.headers["content-type"] == "application/problem+json"
        assert answer.headers["www-authenticate"].startswith("Bearer")


def test_a_token_ends_by_its_date_and_by_revocation(store: Store) -> None:
    secret = make_token(store, label="A scrutineer", role="scrutineer", days=1)
    found = Tokens(store).find(secret)
    assert found is not None
    assert (found.role, found.label, found.fleet_id) == ("scrutineer", "A scrutineer", None)
    store.write(lambda c: c.execute(update(tokens).values(expires_at="2026-01-01T00:00:00.000000Z")))
    assert Tokens(store).find(secret) is None
    other = make_token(store, label="A chandler", role="chandlery", days=1)
    known = Tokens(store)
    token = known.find(other)
    assert token is not None
    known.note_use(token)
    revoke_token(store, token.id)
    assert Tokens(store).find(other) is None
    assert REMEMBERED_S <= 5, "a server that knows the token already forgets it soon"
    row = next(row for row in list_tokens(store) if row["id"] == token.id)
    assert row["last_used_at"] is not None
    assert "sha256" not in row


@pytest.mark.parametrize(
    "wrong",
    [
        {"role": "captain"},
        {"days": 0},
        {"days": 4000},
        {"label": ""},
        {"label": "x" * 81},
        {"role": "skipper"},
        {"boat_id": "001-7a3e6b16cb75"},
        {"fleet_id": "fffffffffffff"},
    ],
)
def test_a_token_that_makes_no_sense_is_not_made(store: Store, wrong: dict[str, object]) -> None:
    asked: dict[str, object] = {"label": "x", "role": "officer", "days": 1, **wrong}
    with pytest.raises(MusterError):
        make_token(store, **asked)  # type: ignore[arg-type]
    with store.read() as connection:
        assert connection.execute(select(tokens)).all() == []


def test_guessing_locks_the_address_out_for_a_while() -> None:
    now = [0.0]
    guard = Guard(Limits(guesses=3, guess_window_s=60, lock_out_s=300), clock=lambda: now[0])
    for _ in range(2):
        guard.wrong("a")
    now[0] = 61.0  # the window has passed: the count begins anew
    guard.wrong("a")
    guard.refuse_locked("a")
    for _ in range(2):
        guard.wrong("a")
    with pytest.raises(LockedOut) as locked:
        guard.refuse_locked("a")
    assert locked.value.wait_s == pytest.approx(300)
    guard.refuse_locked("b")
    now[0] += 301
    guard.refuse_locked("a")


def test_a_caller_that_asks_too_fast_waits_for_the_window() -> None:
    now = [0.0]
    guard = Guard(Limits(requests=5, request_window_s=10), clock=lambda: now[0])
    for _ in range(5):
        guard.count("t1")
    with pytest.raises(TooManyRequests):
        guard.count("t1")
    guard.count("t2")
    now[0] = 10.0
    guard.count("t1")


def test_guessing_and_haste_are_told_as_problems_with_a_time_to_wait(tmp_path: Path) -> None:
    limits = Limits(guesses=4, requests=5)
    with running(settings(tmp_path, limits=limits), loaded=False) as up:
        officer, guesser = up.client(), up.client(None)
        with officer, guesser:
            statuses = [officer.get("/v1/me").status_code for _ in range(6)]
            assert statuses == [200] * 5 + [429]
            answers = [
                guesser.get("/v1/me", headers={"authorization": f"Bearer dm_{'A' * 43}"}) for _ in range(5)
            ]
            assert [a.status_code for a in answers] == [401] * 4 + [429]
            assert answers[-1].json()["code"] == "locked-out"
            assert int(answers[-1].headers["retry-after"]) > 200


def test_the_use_of_a_token_is_noted_and_its_secret_is_in_no_log(
    on_file: Running, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.DEBUG):
        secret = on_file.token("officer")
        with on_file.client(None) as client:
            client.headers["authorization"] = f"Bearer {secret}"
            assert client.get("/v1/me").status_code == 200
            client.post("/v1/fleets", content=b"{", headers={"content-type": "application/json"})
        wait_for(lambda: any(row["last_used_at"] for row in list_tokens(on_file.server.store)), 10)
    assert secret not in caplog.text
    assert secret[3:] not in caplog.text
