"""A skipper's answers: her word, judged at once, below what was measured; nothing of it lost or hidden."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import httpx
import pytest

from tests.api.conftest import AS_IT_IS
from tests.api.running import Running, key, running, settings, sheet, upload

BY = "Ada Quill"


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    with running(settings(tmp_path_factory.mktemp("answers"), site_wait=AS_IT_IS)) as server:
        yield server


def skipper(up: Running, entry: str) -> httpx.Client:
    return up.client("skipper", fleet_id=up.fleet, boat_id=up.boats[entry])


def answered(
    up: Running, entry: str, *given: dict[str, Any], client: httpx.Client | None = None, **more: Any
) -> httpx.Response:
    body = {"by": BY, "answers": list(given), **more}
    with client or skipper(up, entry) as one:
        return one.post(f"{up.boat(entry)}/answers", json=body, headers=key())


def said(field: str, value: str, **more: Any) -> dict[str, Any]:
    return {"field": field, "value": value, **more}


def measure(up: Running, entry: str, field: str) -> dict[str, Any]:
    with up.client() as officer:
        told = officer.get(up.boat(entry)).json()["measures"]
    return next(one for one in told if one["field"] == field)


def standing(up: Running, entry: str, check: str) -> str:
    with up.client() as officer:
        (one,) = officer.get(f"{up.boat(entry)}/findings?check={check}").json()["items"]
    return str(one["standing"])


def form(up: Running, entry: str) -> dict[str, Any]:
    with skipper(up, entry) as client:
        answer = client.get(f"{up.boat(entry)}/form")
    assert answer.status_code == 200, answer.text
    told: dict[str, Any] = answer.json()
    return told


def kept(up: Running) -> list[dict[str, Any]]:
    with up.client() as officer:
        told: list[dict[str, Any]] = officer.get(f"/v1/fleets/{up.fleet}/answers?limit=200").json()["items"]
    return told


def test_an_answer_closes_what_was_not_shown_and_is_marked_as_her_word(here: Running) -> None:
    """It is asked, answered, judged at once, and asked no more; the trail says who said it."""
    questions = form(here, "001")["form"]["questions"]
    fields = [one["field"] for question in questions for one in question["fields"]]
    assert 0 < len(questions) <= 10
    assert "helm_lashing" in fields or len(questions) == 10
    asked = next(f for q in questions for f in q["fields"] if f["kind"] == "choice" and not f["entered"])
    with here.client() as officer:
        before = officer.get(here.boat("001")).json()
    answer = answered(here, "001", said(asked["field"], asked["choices"][0]))
    assert answer.status_code == 201, answer.text
    with here.client() as officer:
        after = officer.get(here.boat("001")).json()
        trail = officer.get("/v1/trail?limit=200&cursor=c0").json()["items"]
    now = measure(here, "001", asked["field"])
    assert now["answered"] == {"text": asked["choices"][0], "day": now["answered"]["day"]}
    assert now["found"] is None
    assert after["met"] > before["met"]
    assert after["met_on_word"] - before["met_on_word"] == after["met"] - before["met"]
    again = form(here, "001")["form"]
    assert asked["field"] not in [f["field"] for q in again["questions"] for f in q["fields"]]
    assert asked["field"] in [one["field"] for one in again["answered"]]
    record = next(one for one in reversed(trail) if one["action"] == "answer.given")
    assert record["role"] == "skipper"
    assert record["after"]["said_by"] == BY
    assert record["after"]["answered"][0]["value"] == asked["choices"][0]


def test_her_word_stands_above_the_list_and_below_what_was_measured(here: Running) -> None:
    """Both are kept; what she says of a measured column is put to the officer."""
    listed = standing(here, "002", "drag.cone-count")
    assert answered(here, "002", said("cone_count", "20")).status_code == 201
    assert standing(here, "002", "drag.cone-count") == "short"
    with here.client() as officer:
        here.inspect(officer, "002", ("cone_count", "140"))
    assert standing(here, "002", "drag.cone-count") == listed != "short"
    number = answered(here, "002", said("cone_count", "30")).json()["numbers"]["cone_count"]
    assert standing(here, "002", "drag.cone-count") == listed, "it was measured"
    now = measure(here, "002", "cone_count")
    assert (now["found"]["text"], now["answered"], now["entered"]) == ("140", None, "130")
    (last,) = [one for one in kept(here) if one["number"] == number]
    assert last["doubt"].startswith("Measured as “140” by A officer on ")
    assert answered(here, "002", said("cone_count", "140")).status_code == 201
    assert not any(one["doubt"] for one in kept(here) if one["entry_no"] == "002"), "it says the same"


def test_a_word_is_no_paper(here: Running) -> None:
    """What a certificate or a surveyor has to show cannot be answered."""
    for field, value in (("evidence", "certificate"), ("structure_survey", "accepted")):
        assert answered(here, "003", said(field, value)).status_code == 422


def test_nothing_is_half_kept_and_the_same_again_changes_nothing(here: Running) -> None:
    before = kept(here)
    refused = answered(here, "003", said("cone_count", "120"), said("end_weight", "heavy"))
    assert refused.status_code == 422
    assert [one["field"] for one in refused.json()["errors"]] == ["answers.1"]
    assert "heavy" not in refused.text
    assert kept(here) == before
    one = answered(here, "003", said("end_weight", "14 kg")).json()
    other = answered(here, "003", said("end_weight", "14 kg")).json()
    assert one["numbers"] == other["numbers"]
    assert (one["boat_etag"], other["site_job"]) == (other["boat_etag"], "")
    assert len(kept(here)) == len(before) + 1


def test_not_known_and_measured_later_are_answers(here: Running) -> None:
    given = {"field": "cone_mouth", "state": "unknown"}, {
        "field": "line_state", "state": "later", "until": "2026-12-20",
    }  # fmt: skip
    assert answered(here, "004", *given).status_code == 201
    told = {one["field"]: one for one in kept(here) if one["entry_no"] == "004"}
    assert (told["cone_mouth"]["state"], told["line_state"]["until"]) == ("unknown", "2026-12-20")
    for wrong in (
        {"field": "cone_mouth", "state": "unknown", "value": "5 in"},
        {"field": "cone_mouth", "state": "later"},
        {"field": "cone_mouth", "state": "later", "until": "2026-11-01"},
        {"field": "cone_mouth", "state": "said"},
    ):
        assert answered(here, "004", wrong).status_code == 422, wrong


def test_two_phones_are_put_together_by_column(here: Running) -> None:
    """Sixteen saves of four phones at once lose nothing; one that overwrites unseen is refused."""
    fields = [("cone_count", "120"), ("end_weight", "15 kg"), ("lead_line_length", "24 m"),
              ("bridle_leg_length", "8 m")]  # fmt: skip
    with ThreadPoolExecutor(4) as phones:
        done = list(phones.map(lambda one: answered(here, "005", said(*one)), fields * 4))
    assert {one.status_code for one in done} == {201}
    now = {name: measure(here, "005", name)["answered"]["text"] for name, _ in fields}
    assert now == dict(fields)
    number = done[0].json()["numbers"]["cone_count"]
    assert answered(here, "005", said("cone_count", "118", over=number)).status_code == 201
    unseen = answered(here, "005", said("cone_count", "117", over=number), said("cones_torn", "2"))
    assert unseen.status_code == 409
    assert [one["code"] for one in unseen.json()["errors"]] == ["answered-meanwhile"]
    assert measure(here, "005", "cones_torn")["answered"] is None, "all of it or nothing"


def test_a_link_is_one_a_boat_told_once_and_ended_at_once(here: Running) -> None:
    at, used = f"{here.boat('006')}/link", key()
    with here.client() as officer:
        first = officer.post(at, json={"days": 5}, headers=used)
        again = officer.post(at, json={"days": 5}, headers=used)
        assert (first.status_code, again.json()["path"]) == (201, ""), "it is told once"
        secret = first.json()["path"].removeprefix("/answer/#")
        second = officer.post(at, json={"days": 5}, headers=key()).json()["path"].removeprefix("/answer/#")
        assert _reads(here, secret) == 401, "a new link ends the one before"
        assert _reads(here, second) == 200
        assert officer.post(f"{at}/end", headers=key()).status_code == 200
        here.server.tokens._known.clear()
        assert _reads(here, second) == 401
        assert officer.post(f"{at}/end", headers=key()).status_code == 404
    with here.server.store.read() as connection:
        rows = connection.exec_driver_sql("SELECT sha256, label FROM tokens").all()
        bodies = connection.exec_driver_sql("SELECT body FROM answered").scalars().all()
    assert secret not in f"{rows}{bodies}"


def _reads(up: Running, secret: str) -> int:
    headers = {"authorization": f"Bearer {secret}"}
    with httpx.Client(base_url=up.url, headers=headers, trust_env=False) as one:
        return one.get(f"{up.boat('006')}/form").status_code


def test_her_choice_goes_the_way_of_every_consent(here: Running) -> None:
    """In the words of the column, at the price that was shown; it is kept with her name."""
    told = form(here, "001")
    assert told["form"]["ways"][0]["word"] == "rally order"
    wrong = answered(here, "001", supply="rally order", price="0.01")
    assert wrong.status_code == 422
    assert answered(here, "001", supply="declined").status_code == 201
    with here.client() as officer:
        last = officer.get(f"/v1/fleets/{here.fleet}/supplies").json()["items"][-1]
    assert (last["entry_no"], last["supply"], last["by"], last["source"]) == (
        "001", "declined", BY, "skipper",
    )  # fmt: skip
    assert form(here, "001")["form"]["way"] == "declined"


def test_a_later_list_that_says_something_else_counts(here: Running) -> None:
    """And one that says what it said leaves her answer; no answer keeps a list from being taken."""

    def change(cells: dict[str, str]) -> None:
        if cells["Entry No"] == "005":
            cells["No. of cones"] = "125"

    assert measure(here, "005", "cone_count")["answered"]["text"] == "118"
    with here.client() as officer:
        assert upload(officer, here.fleet, sheet())["state"] == "done"
        assert measure(here, "005", "cone_count")["answered"]["text"] == "118"
        assert upload(officer, here.fleet, sheet(change=change))["state"] == "done"
    assert measure(here, "005", "cone_count")["answered"] is None
    (doubt,) = [one["doubt"] for one in kept(here) if one["doubt"] and one["field"] == "cone_count"]
    assert doubt.startswith("The list now says “125”, and said “130” when she answered.")


def test_a_form_shows_nothing_of_others_and_no_contact(here: Running) -> None:
    text = str(form(here, "001"))
    assert "Ida Morvelle" not in text
    assert BY not in text
    assert "Grey Plover" not in text
