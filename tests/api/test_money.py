"""Consent and payments: the same from the command line and the interface, and nothing half recorded."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from api.command_line import app
from api.season.fleets import fleet_version
from api.season.payments import payments_made
from api.season.supplies import supplies_said
from sizing.errors import MusterError
from sizing.model import CONSENT
from tests.api.conftest import AS_IT_IS
from tests.api.running import TODAY, Running, key, running, settings

SAID = {"by": "A. Bell", "day": "2026-11-20", "price": "312.50"}
PAID = {"amount": "100.5", "currency": "EUR", "by": "A. Bell", "day": "2026-11-21", "reference": ""}
OWN = {"made_at", "made_by", "number", "boat_id", "entry_no", "boat_name"}
"""What tells one entry of a boat from another."""


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    with running(settings(tmp_path_factory.mktemp("money"), site_wait=AS_IT_IS)) as server:
        yield server


def typed(up: Running, *arguments: str) -> str:
    out: Path = up.server.settings.folder
    line = [*arguments, "--out", str(out), "--today", TODAY.isoformat()]
    result = CliRunner().invoke(app, line, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return " ".join(result.output.split())


def sent(up: Running, what: str, entry: str, role: str = "officer", **body: Any) -> Any:
    with up.client(role) as client:
        whole = {"boat_id": up.boats.get(entry, "none-0123456789ab"), **body}
        return client.post(f"/v1/fleets/{up.fleet}/{what}", json=whole, headers=key())


def all_of(up: Running, what: str) -> list[dict[str, Any]]:
    with up.client() as officer:
        found: list[dict[str, Any]] = officer.get(f"/v1/fleets/{up.fleet}/{what}").json()["items"]
    return found


def same(one: dict[str, Any], other: dict[str, Any]) -> bool:
    return {k: v for k, v in one.items() if k not in OWN} == {k: v for k, v in other.items() if k not in OWN}


def test_consent_is_recorded_alike_by_both_doors(here: Running) -> None:
    answer = sent(here, "supplies", "002", supply="own purchase", **SAID)
    assert answer.status_code == 201, answer.text
    said = typed(
        here, "supply", "003", "own purchase", "--by", "A. Bell", "--on", "2026-11-20", "--price", "312.50"
    )
    assert "entry 003, own purchase, for EUR 312.50, said by A. Bell on 2026-11-20" in said
    one, other = all_of(here, "supplies")[-2:]
    assert one == answer.json()
    assert same(one, other)
    assert (other["entry_no"], other["supply"], other["source"]) == ("003", "own purchase", "officer")


def test_payments_are_recorded_alike_by_both_doors(here: Running) -> None:
    answer = sent(here, "payments", "002", **PAID)
    assert answer.status_code == 201, answer.text
    said = typed(
        here, "payment", "003", "100.5", "--by", "A. Bell", "--on", "2026-11-21", "--currency", "eur"
    )
    assert "entry 003, EUR 100.50, by A. Bell on 2026-11-21" in said
    one, other = all_of(here, "payments")[-2:]
    assert one == answer.json()
    assert same(one, other)


def test_the_last_word_counts_and_all_stay_to_be_read(here: Running) -> None:
    for word in ("hire or borrow", CONSENT):
        sent(here, "supplies", "004", supply=word, by="A. Bell")
    words = [one["supply"] for one in all_of(here, "supplies") if one["entry_no"] == "004"]
    assert words == ["hire or borrow", CONSENT]
    with here.server.store.read() as connection:
        counts = supplies_said(connection, here.fleet)["004"]
    assert (counts.word, counts.day, counts.source) == (CONSENT, TODAY, "officer")


def test_the_chandlery_takes_payments_and_reads_no_names_of_who_agreed(here: Running) -> None:
    assert sent(here, "payments", "005", "chandlery", **PAID).status_code == 201
    assert sent(here, "supplies", "005", "chandlery", supply=CONSENT, by="A. Bell").status_code == 403
    with here.client("chandlery") as chandler:
        assert chandler.get(f"/v1/fleets/{here.fleet}/supplies").status_code == 403


def test_what_was_given_back_is_no_more_than_what_was_paid(here: Running) -> None:
    sent(here, "payments", "006", **PAID)
    refund = {**PAID, "kind": "refund"}
    assert sent(here, "payments", "006", **{**refund, "amount": "100.51"}).status_code == 409
    assert sent(here, "payments", "006", **{**refund, "amount": "60"}).status_code == 201
    assert sent(here, "payments", "006", **{**refund, "amount": "40.51"}).status_code == 409
    assert sent(here, "payments", "006", **{**refund, "amount": "40.50"}).status_code == 201


WRONG: dict[str, tuple[list[str], dict[str, Any], int, str]] = {
    "unknown word": (
        ["supply", "002", "bulk", "--by", "A"], {"supply": "bulk", "by": "A"}, 422, "one of: rally order",
    ),
    "a day to come": (
        ["supply", "002", CONSENT, "--by", "A", "--on", "2026-11-26"],
        {"supply": CONSENT, "by": "A", "day": "2026-11-26"}, 422, "the day on which it was done",
    ),
    "a price that is none": (
        ["supply", "002", CONSENT, "--by", "A", "--price", "0"],
        {"supply": CONSENT, "by": "A", "price": "0"}, 422, "a sum above 0",
    ),
    "consent of a boat that is not listed": (
        ["supply", "777", CONSENT, "--by", "A"], {"supply": CONSENT, "by": "A"}, 404, "a boat of the list",
    ),
    "payment of a boat that is not listed": (
        ["payment", "777", "5", "--by", "A"], {**PAID, "amount": "5"}, 404, "a boat of the list",
    ),
    "refund to a boat that never paid and is not listed": (
        ["payment", "777", "5", "--by", "A", "--refund"], {**PAID, "kind": "refund"}, 404,
        "a boat of the list",
    ),
    "another currency": (
        ["payment", "002", "5", "--by", "A", "--currency", "USD"], {**PAID, "currency": "USD"}, 422, "EUR",
    ),
    "the same payment twice": (
        ["payment", "002", "100.5", "--by", "A. Bell", "--on", "2026-11-21"], PAID, 409, "each payment once",
    ),
    "a negative sum": (
        ["payment", "--by", "A", "--", "002", "-5"], {**PAID, "amount": "-5"}, 422, "a sum above 0",
    ),
    "a part of a cent": (
        ["payment", "002", "1.005", "--by", "A"], {**PAID, "amount": "1.005"}, 422, "two digits",
    ),
    "nobody's payment": (["payment", "002", "5", "--by", " "], {**PAID, "by": " "}, 422, "a name"),
}  # fmt: skip


@pytest.mark.parametrize("case", WRONG)
def test_what_is_wrong_is_refused_by_both_doors_and_nothing_is_recorded(here: Running, case: str) -> None:
    line, body, status, expected = WRONG[case]
    if case == "the same payment twice" and not any(
        one["entry_no"] == "002" for one in all_of(here, "payments")
    ):
        sent(here, "payments", "002", **PAID)
    before = state(here)
    entry = next(one for one in line if one in ("002", "777"))
    if line[0] == "payment" and "--" in line:
        line = [line[0], *line[1:3], "--out", str(here.server.settings.folder), *line[3:]]
        result = CliRunner().invoke(app, line)
    else:
        out = ["--out", str(here.server.settings.folder), "--today", TODAY.isoformat()]
        result = CliRunner().invoke(app, [*line, *out])
    assert isinstance(result.exception, MusterError), (result.exception, result.output)
    assert expected in result.exception.expected
    answer = sent(here, "supplies" if line[0] == "supply" else "payments", entry, **body)
    assert answer.status_code == status, answer.text
    assert state(here) == before


def state(up: Running) -> tuple[object, ...]:
    with up.server.store.read() as connection:
        said, paid = supplies_said(connection, up.fleet), payments_made(connection, up.fleet)
        return fleet_version(connection, up.fleet), said, paid
