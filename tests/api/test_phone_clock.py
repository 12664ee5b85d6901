"""The time of observation by a phone's clock: kept beside the server's; it decides nothing."""

from __future__ import annotations

import datetime as dt
from typing import Any

import httpx
import pytest

from tests.api.running import Running, key
from tests.api.test_problems import is_problem

FIELD = "observed_at_phone_clock"


def ago(**parts: float) -> dt.datetime:
    return dt.datetime.now(dt.UTC).replace(microsecond=0) - dt.timedelta(**parts)


def record(up: Running, client: httpx.Client, entry: str, at: str | None, **headers: str) -> httpx.Response:
    body: dict[str, Any] = {"measurements": [{"field": "end_weight", "value": "15 kg"}], "note": "seen"}
    if at is not None:
        body[FIELD] = at
    sent = {**key(), **headers}
    sent.setdefault("if-match", up.etag(client, entry))
    return client.post(f"{up.boat(entry)}/inspections", json=body, headers=sent)


def listed(up: Running, client: httpx.Client, entry: str) -> list[dict[str, Any]]:
    items: list[dict[str, Any]] = client.get(f"{up.boat(entry)}/inspections?limit=200").json()["items"]
    return items


def test_it_is_kept_beside_the_servers_own_time_and_stands_in_the_trail(up: Running) -> None:
    seen = ago(hours=3)
    local = seen.astimezone(dt.timezone(dt.timedelta(hours=-3, minutes=-30))).isoformat()
    kept = seen.strftime("%Y-%m-%dT%H:%M:%S.000000Z")
    with up.client("scrutineer") as scrutineer, up.client() as officer:
        told = record(up, scrutineer, "001", local).json()["inspection"]
        assert told[FIELD] == kept
        assert told["made_at"] > kept
        assert listed(up, scrutineer, "001")[-1] == told
        bare = record(up, scrutineer, "001", None).json()["inspection"]
        assert bare[FIELD] is None
        records: list[dict[str, Any]] = []
        more = True
        while more:
            after_seq = f"&cursor=c{records[-1]['seq']}" if records else ""
            page = officer.get(f"/v1/trail?fleet_id={up.fleet}&limit=200{after_seq}").json()
            records += page["items"]
            more = page["next"] is not None
        after = {
            r["subject"].split()[-1]: r["after"] for r in records if r["action"] == "inspection.recorded"
        }
        assert after[told["id"]].items() >= {
            "measured": [{"field": "end_weight", "value": "15 kg"}], "note": "seen", "photo": "", FIELD: kept,
        }.items()  # fmt: skip
        assert after[bare["id"]][FIELD] is None
        assert officer.get("/v1/trail/verification").json()["whole"]


@pytest.mark.parametrize(
    ("off", "code"),
    [
        ({"minutes": -4}, ""), ({"minutes": -6}, "after_arrival"), ({"days": -400}, "after_arrival"),
        ({"days": 30}, ""), ({"days": 32}, "too_old"), ({"days": 20_000}, "too_old"),
    ],
)  # fmt: skip
def test_a_time_that_cannot_be_right_is_refused_and_the_entry_is_taken_without_it(
    up: Running, off: dict[str, float], code: str
) -> None:
    with up.client("scrutineer") as scrutineer:
        before = listed(up, scrutineer, "002")
        same = {**key(), "if-match": up.etag(scrutineer, "002")}
        answer = record(up, scrutineer, "002", ago(**off).isoformat(), **same)
        if not code:
            assert answer.status_code == 201
            return
        is_problem(answer, 422, "not-valid")
        [error] = answer.json()["errors"]
        assert (error["field"], error["code"]) == (FIELD, code)
        assert "without a time of observation" in error["mend"]
        assert listed(up, scrutineer, "002") == before
        assert record(up, scrutineer, "002", None, **same).status_code == 201


@pytest.mark.parametrize(
    "at",
    [
        "2026-11-25T10:00:00", "2026-11-25", "2026-02-30T10:00:00Z", "25 Nov 2026",
        "2026-11-25T24:30:00Z", "2026-11-25T10:00:00+25:00", "0000-01-01T00:00:00Z", "now", "",
        "0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00",
    ],
)  # fmt: skip
def test_what_is_no_moment_with_a_zone_is_refused(on_file: Running, at: str) -> None:
    with on_file.client("scrutineer") as scrutineer:
        answer = record(on_file, scrutineer, "003", at)
        is_problem(answer, 422, "not-valid")
        assert [error["field"] for error in answer.json()["errors"]] == [FIELD]


def test_what_arrives_last_counts_whatever_the_clocks_say_and_not_before_a_look(up: Running) -> None:
    """Seen at ten, sent at noon: refused while unseen what was seen at eleven; then it counts, and shows."""
    with up.client("scrutineer") as early, up.client("scrutineer") as late:
        etag = up.etag(early, "003")
        eleven = up.inspect(late, "003", ("cone_count", "111"), **{"if-match": etag})
        assert eleven.status_code == 201
        body = {
            "measurements": [{"field": "cone_count", "value": "110"}], FIELD: ago(hours=2).isoformat()
        }  # fmt: skip
        at = f"{up.boat('003')}/inspections"
        unseen = early.post(at, json=body, headers={**key(), "if-match": etag})
        is_problem(unseen, 412, "changed-meanwhile")
        found = [m for m in early.get(up.boat("003")).json()["measures"] if m["field"] == "cone_count"]
        assert found[0]["found"]["text"] == "111"
        sent = {**key(), "if-match": unseen.headers["etag"]}
        assert early.post(at, json=body, headers=sent).status_code == 201
        found = [m for m in early.get(up.boat("003")).json()["measures"] if m["field"] == "cone_count"]
        assert found[0]["found"]["text"] == "110"
        numbers = [one["number"] for one in listed(up, early, "003")]
        assert numbers == sorted(numbers), "the list stays in the order of arrival"


def test_a_key_stands_for_one_time(up: Running) -> None:
    with up.client("scrutineer") as client:
        same = {**key(), "if-match": up.etag(client, "004")}
        at = ago(minutes=10).isoformat()
        first, again = (record(up, client, "004", at, **same) for _ in range(2))
        assert (first.status_code, again.text) == (201, first.text)
        assert again.headers["idempotency-replayed"] == "true"
        is_problem(record(up, client, "004", None, **same), 422, "key-used-otherwise")
