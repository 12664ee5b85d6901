"""Signing in: no open door, tokens that end, guessing that is stopped, and secrets that are nowhere."""

from __future__ import annotations

import logging
import socket
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import event, select, update

from api.season.tokens import make_token, revoke_token
from api.settings import Limits
from api.signin import Guesses, LockedOut, RateLimit, Tokens, TooManyRequests
from api.signin import guesses as guesses_module
from api.signin.tokens import REMEMBERED_S, list_tokens
from api.storage import schema
from api.storage.migrate import upgrade
from api.storage.schema import tokens
from api.storage.store import Store, open_store
from sizing.errors import MusterError
from tests.api.running import LONGEST_S, Running, running, settings, wait_for


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


def guessers(store: Store, now: list[float], many: int, **limits: float) -> list[Guesses]:
    """As many processes as asked for, on one database, by one clock."""
    chosen = replace(Limits(guesses=3, guess_window_s=60, lock_out_s=300), **limits)  # type: ignore[arg-type]
    return [Guesses(store, chosen, clock=lambda: now[0]) for _ in range(many)]


def test_guessing_locks_the_address_out_for_a_while(store: Store) -> None:
    now = [0.0]
    (guesses,) = guessers(store, now, 1)
    for _ in range(2):
        guesses.wrong("a")
    now[0] = 61.0  # the window has passed: the count begins anew
    guesses.wrong("a")
    guesses.refuse_locked("a")
    for _ in range(2):
        guesses.wrong("a")
    with pytest.raises(LockedOut) as locked:
        guesses.refuse_locked("a")
    assert locked.value.wait_s == pytest.approx(300)
    guesses.wrong("b")
    now[0] += 301
    guesses.refuse_locked("a")
    guesses.wrong("a")


def test_a_lock_counts_for_every_process_and_over_a_restart(store: Store) -> None:
    now = [1000.0]
    one, other = guessers(store, now, 2)
    one.wrong("192.0.2.7")
    other.wrong("192.0.2.7")
    one.wrong("192.0.2.7")
    now[0] += 100
    with pytest.raises(LockedOut) as locked:
        other.wrong("192.0.2.7")
    assert locked.value.wait_s == pytest.approx(200)
    (restarted,) = guessers(store, now, 1)
    with pytest.raises(LockedOut):
        restarted.wrong("192.0.2.7")
    restarted.wrong("192.0.2.8")


def test_guessers_with_many_addresses_fill_no_table(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Locks outlive counts there, an IPv6 network is one guesser, and what has ended is taken away."""
    monkeypatch.setattr(guesses_module, "MOST_ROWS", 5)
    now = [0.0]
    (guesses,) = guessers(store, now, 1)
    for _ in range(3):
        guesses.wrong("2001:db8::1")
    for number in range(20):
        guesses.wrong(f"192.0.2.{number}")
    assert kept_rows(store) == 5
    (restarted,) = guessers(store, now, 1)
    with pytest.raises(LockedOut):
        restarted.wrong("2001:db8::ffff:9")
    now[0] = 301.0
    guesses.wrong("198.51.100.1")
    assert kept_rows(store) == 1


def kept_rows(store: Store) -> int:
    with store.read() as connection:
        return len(connection.execute(select(schema.guesses)).all())


def test_a_guess_costs_one_write_until_the_lock_and_none_after(store: Store) -> None:
    written: list[str] = []
    event.listen(store.engine, "before_cursor_execute", lambda *told: written.append(told[2]))
    (guesses,) = guessers(store, [0.0], 1)
    for _ in range(3):
        guesses.wrong("a")
    assert sum(text.startswith("UPDATE") for text in written) == 3
    written.clear()
    for _ in range(100):
        with pytest.raises(LockedOut):
            guesses.wrong("a")
    assert written == []


def test_a_caller_that_asks_too_fast_waits_for_the_window() -> None:
    now = [0.0]
    rate_limit = RateLimit(Limits(requests=5, request_window_s=10), clock=lambda: now[0])
    for _ in range(5):
        rate_limit.count("t1")
    with pytest.raises(TooManyRequests):
        rate_limit.count("t1")
    rate_limit.count("t2")
    now[0] = 10.0
    rate_limit.count("t1")


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


WRONG = {"authorization": f"Bearer dm_{'A' * 43}"}


def test_a_token_that_counts_still_does_from_a_locked_address_and_one_that_ended_locks_nobody(
    tmp_path: Path,
) -> None:
    """All phones of a dock share one address: neither a prankster nor an old phone may lock them out."""
    config = settings(tmp_path, limits=Limits(guesses=3))
    with running(config, loaded=False) as up:
        old = up.token("scrutineer")
        row = list_tokens(up.server.store)[0]
        revoke_token(up.server.store, str(row["id"]))
        with up.client(None) as client:
            for _ in range(10):
                answer = client.get("/v1/me", headers={"authorization": f"Bearer {old}"})
                assert (answer.status_code, answer.json()["code"]) == (401, "bad-token")
                assert "has ended" in answer.json()["detail"]
            assert [client.get("/v1/me", headers=WRONG).status_code for _ in range(5)] == [401] * 3 + [
                429
            ] * 2
    with running(config, loaded=False) as again, again.client("scrutineer") as scrutineer:
        assert scrutineer.get("/v1/me", headers=WRONG).status_code == 429
        assert scrutineer.get("/v1/me").status_code == 200
        assert scrutineer.get("/v1/me", headers=WRONG).status_code == 429


def test_the_use_of_a_token_is_noted_and_its_secret_is_in_no_log(
    on_file: Running, caplog: pytest.LogCaptureFixture
) -> None:
    """Wherever a client puts it: header, address, query, body, or a request that is none; right or wrong."""
    host, _, port = on_file.url.removeprefix("http://").partition(":")
    with caplog.at_level(logging.DEBUG):
        secret = on_file.token("officer")
        for word in (secret, f"dm_{'B' * 43}"):
            signed = f"authorization: Bearer {word}"
            for raw in (
                f"GET /v1/me HTTP/1.1\r\nhost: x\r\n{signed}\r\nconnection: close\r\n\r\n",
                f"GET /v1/me?token={word} HTTP/1.1\r\nhost: x\r\n{signed}\r\nconnection: close\r\n\r\n",
                f"GET /dock/{word} HTTP/1.1\r\nhost: x\r\nconnection: close\r\n\r\n",
                f"POST /v1/fleets HTTP/1.1\r\nhost: x\r\n{signed}\r\nidempotency-key: {word}\r\n"
                "content-type: application/json\r\nconnection: close\r\n"
                f"content-length: {len(word)}\r\n\r\n{word}",
                f"{word} {word}\r\n\r\n",
            ):
                with socket.create_connection((host, int(port)), timeout=LONGEST_S) as client:
                    client.sendall(raw.encode())
                    answer = b""
                    while part := client.recv(65536):
                        answer += part
                assert answer.startswith(b"HTTP/1.1 ")
                assert word.encode() not in answer
            assert word[3:] not in caplog.text
        wait_for(lambda: any(row["last_used_at"] for row in list_tokens(on_file.server.store)))
