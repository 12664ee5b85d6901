"""Reading: boats found by name, number or berth, results with their versions, findings filtered, what-if."""

from __future__ import annotations

import typing

import pytest

from api.http.boats import StandingWord
from sizing.model import Standing
from tests.api.running import BOATS, Running, key


def test_the_words_of_the_filter_are_those_of_the_engine() -> None:
    assert set(typing.get_args(StandingWord)) == {standing.words for standing in Standing}


@pytest.mark.parametrize(
    ("words", "entries"),
    [
        ("plover", ["002"]),
        ("PLOVER", ["002"]),
        ("00", list(BOATS)),
        ("b4", ["004"]),
        ("%", []),
        ("_", []),
        ("", list(BOATS)),
    ],
)
def test_a_boat_is_found_by_name_number_or_berth(up: Running, words: str, entries: list[str]) -> None:
    with up.client("scrutineer") as client:
        page = client.get(f"/v1/fleets/{up.fleet}/boats", params={"q": words}).json()
        assert [boat["entry_no"] for boat in page["items"]] == entries


def test_pages_follow_each_other_without_gap_or_repeat(up: Running) -> None:
    with up.client("scrutineer") as client:
        seen, cursor = [], None
        for _ in range(10):
            params = {"limit": 4, **({"cursor": cursor} if cursor else {})}
            page = client.get(f"/v1/fleets/{up.fleet}/boats", params=params).json()
            seen += [boat["entry_no"] for boat in page["items"]]
            cursor = page["next"]
            if cursor is None:
                break
        assert seen == list(BOATS)
        whole, cursor = [], None
        while True:
            params = {"limit": 37, **({"cursor": cursor} if cursor else {})}
            page = client.get(f"/v1/fleets/{up.fleet}/findings", params=params).json()
            whole += [one["id"] for one in page["items"]]
            cursor = page["next"]
            if cursor is None:
                break
        each = [client.get(f"{up.boat(entry)}/findings?limit=200").json()["items"] for entry in BOATS]
        assert whole == [finding["id"] for findings in each for finding in findings]
        assert len(whole) == len(set(whole)) > 6 * 37


def test_a_boat_read_again_unchanged_costs_no_body(up: Running) -> None:
    with up.client("scrutineer") as client:
        for path in (up.boat("001"), f"{up.boat('001')}/requirement", f"/v1/fleets/{up.fleet}",
                     f"/v1/fleets/{up.fleet}/boats"):  # fmt: skip
            first = client.get(path)
            again = client.get(path, headers={"if-none-match": first.headers["etag"]})
            assert (first.status_code, again.status_code, again.content) == (200, 304, b"")
            assert client.get(path, headers={"if-none-match": '"other"'}).status_code == 200


def test_findings_are_filtered(up: Running) -> None:
    with up.client("scrutineer") as client:
        wanted = {"standing": "meets", "level": "shall", "family": "line"}
        items = client.get(f"/v1/fleets/{up.fleet}/findings", params={**wanted, "limit": 200}).json()["items"]
        assert items
        assert all(one[name] == word for one in items for name, word in wanted.items())
        one = client.get(f"{up.boat('001')}/findings", params={"check": "line.lead-length"}).json()["items"]
        assert [(f["check"], f["entry_no"]) for f in one] == [("line.lead-length", "001")]


def test_a_requirement_shows_how_every_figure_was_worked_out(up: Running) -> None:
    """CG87 6.2: at 20,000 lb about 15,720 lbf; boat 006 has 16,000 lb, between 7,500 lbf and that."""
    with up.client("scrutineer") as client:
        need = client.get(f"{up.boat('006')}/requirement").json()
        load = next(w for w in need["workings"] if w["id"].startswith("design"))
        assert 7_500 * 4.4482 < load["value"]["si"] < 15_720 * 4.4482
        assert load["inputs"]
        assert "CG87" in load["source"]
        assert need["sections"][0]["name"] == "lead line"


def test_what_if_sizes_anew_and_keeps_nothing(up: Running) -> None:
    with up.client("skipper") as skipper:
        before = skipper.get(up.boat("001"))
        changes = [{"field": "displacement", "value": "9 t"}, {"field": "cone_count", "value": "20"}]
        answer = skipper.post(f"{up.boat('001')}/what-if", json={"changes": changes})
        assert answer.status_code == 200
        boat = answer.json()["boat"]
        assert boat["figures"]["displacement_used_kg"] == 9000.0
        assert boat["figures"]["cones"] > before.json()["figures"]["cones"]
        assert boat["strike"]["peak"]["si"] > before.json()["strike"]["peak"]["si"]
        cones = next(f for f in answer.json()["findings"] if f["check"] == "drag.cone-count")
        assert cones["standing"] == "short"
        assert skipper.get(up.boat("001")).headers["etag"] == before.headers["etag"]


def test_answers_are_zipped_where_the_client_takes_it(up: Running) -> None:
    with up.client("scrutineer") as client:
        zipped = client.get(f"{up.boat('001')}/requirement", headers={"accept-encoding": "gzip"})
        plain = client.get(f"{up.boat('001')}/requirement", headers={"accept-encoding": "identity"})
        assert zipped.headers["content-encoding"] == "gzip"
        assert "content-encoding" not in plain.headers
        assert zipped.json() == plain.json()


def test_a_waiver_sets_aside_and_its_withdrawal_brings_back(up: Running) -> None:
    with up.client() as officer:
        told = up.inspect(officer, "006", ("lead_line_length", "9 m")).json()
        standing = f"{up.boat('006')}/findings?check=line.lead-length"
        assert officer.get(standing).json()["items"][0]["standing"] == "short"
        body = {
            "boat_id": up.boats["006"], "check": "line.lead-length", "reason": "accepted for this passage",
            "officer": "Safety office", "until": "2027-06-30",
        }  # fmt: skip
        at = f"/v1/fleets/{up.fleet}/waivers"
        given = officer.post(at, json=body, headers={**key(), "if-match": told["boat_etag"]})
        assert given.status_code == 201
        finding = officer.get(standing).json()["items"][0]
        assert finding["standing"] == "waived"
        assert finding["found"]["si"] == 9.0
        assert "accepted for this passage" in finding["note"]
        twice = officer.post(at, json=body, headers={**key(), "if-match": given.json()["boat_etag"]})
        assert (twice.status_code, twice.json()["code"]) == (409, "conflict")
        number = given.json()["waiver"]["number"]
        back = officer.post(
            f"{at}/{number}/withdrawal", json={"reason": "line replaced"},
            headers={**key(), "if-match": given.json()["boat_etag"]},
        )  # fmt: skip
        assert back.status_code == 200
        assert officer.get(standing).json()["items"][0]["standing"] == "short"
        assert [w["state"] for w in officer.get(at).json()["items"] if w["number"] == number] == ["withdrawn"]
        number = told["inspection"]["number"]
        undone = officer.post(
            f"{up.boat('006')}/inspections/{number}/withdrawal", json={"reason": "test over"},
            headers={**key(), "if-match": back.json()["boat_etag"]},
        )  # fmt: skip
        assert undone.status_code == 200


def test_health_answers_everybody(up: Running) -> None:
    with up.client(None) as nobody:
        assert nobody.get("/health").json() == {"status": "runs"}
        assert nobody.get("/ready").json() == {"status": "ready"}


def test_metrics_count_requests_and_jobs(up: Running) -> None:
    with up.client() as officer:
        text = officer.get("/metrics").text
        assert 'drogue_muster_requests_total{method="GET",status="200"}' in text
        assert 'drogue_muster_jobs{state="done"}' in text
        assert up.fleet not in text
