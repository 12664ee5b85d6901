"""What is found aboard: taken once, judged at once as the whole fleet is, and never written over unseen."""

from __future__ import annotations

import threading

import httpx
import pytest

from tests.api.running import Running, ended, key

LINE = ("lead_line_diameter", "9 mm")


def findings(client: httpx.Client, up: Running, entry: str) -> dict[str, dict[str, object]]:
    items = client.get(f"{up.boat(entry)}/findings?limit=200").json()["items"]
    return {one["check"]: one for one in items}


def test_a_thin_line_is_found_short_at_once_and_its_withdrawal_undoes_it(up: Running) -> None:
    with up.client("scrutineer") as scrutineer:
        before = findings(scrutineer, up, "001")
        assert before["line.strength-new"]["standing"] == "meets"
        answer = up.inspect(scrutineer, "001", LINE)
        assert answer.status_code == 201
        told = answer.json()
        assert told["inspection"]["measured"] == [
            {"field": "lead_line_diameter", "text": "9 mm", "si": pytest.approx(0.009)}
        ]
        after = findings(scrutineer, up, "001")["line.strength-new"]
        assert after["standing"] == "short"
        measures = scrutineer.get(up.boat("001")).json()["measures"]
        found = next(one for one in measures if one["field"] == "lead_line_diameter")
        assert (found["entered"], found["found"]["text"]) == ("24", "9 mm")

        number = told["inspection"]["number"]
        undone = scrutineer.post(
            f"{up.boat('001')}/inspections/{number}/withdrawal",
            json={"reason": "the wrong rope"},
            headers={**key(), "if-match": told["boat_etag"]},
        )
        assert undone.status_code == 200
        assert findings(scrutineer, up, "001") == before
        kept = scrutineer.get(f"{up.boat('001')}/inspections?limit=200").json()["items"]
        assert [one["state"] for one in kept if one["number"] == number] == ["withdrawn"]


@pytest.mark.thorough
def test_one_boat_judged_alone_is_judged_as_in_the_fleet(up: Running) -> None:
    with up.client() as officer:
        up.inspect(officer, "002", ("lead_line_diameter", "3/4 in"), ("cone_count", "31"))
        alone = officer.get(up.boat("002")).json(), findings(officer, up, "002")
        fleet = officer.get(f"/v1/fleets/{up.fleet}").headers["etag"]
        content = officer.get(f"/v1/fleets/{up.fleet}/revisions/1/file").content
        sent = {**key(), "if-match": fleet, "content-type": "text/csv"}
        job = officer.post(f"/v1/fleets/{up.fleet}/revisions", content=content, headers=sent).json()["job"]
        assert ended(officer, job)["state"] == "done"
        assert (officer.get(up.boat("002")).json(), findings(officer, up, "002")) == alone
        up.settle(officer)


def test_the_second_of_two_scrutineers_is_told_and_nothing_is_lost(up: Running) -> None:
    with up.client("scrutineer") as one, up.client("scrutineer") as other:
        seen = up.etag(one, "003")
        first = up.inspect(one, "003", ("end_weight", "15 kg"), **{"if-match": seen})
        second = up.inspect(other, "003", ("end_weight", "16 kg"), **{"if-match": seen})
        assert (first.status_code, second.status_code) == (201, 412)
        assert second.json()["code"] == "changed-meanwhile"
        assert second.headers["etag"] == first.json()["boat_etag"]


def test_concurrent_writers_lose_no_update(up: Running) -> None:
    """Six at once, each trying until received: six inspections, and as many refusals as clashes."""
    with up.client() as officer:
        before = len(officer.get(f"{up.boat('004')}/inspections?limit=200").json()["items"])

    def insist(number: int) -> None:
        with up.client("scrutineer") as client:
            for _ in range(60):
                if up.inspect(client, "004", ("cone_count", str(100 + number))).status_code == 201:
                    return
            raise AssertionError("never received")

    threads = [threading.Thread(target=insist, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with up.client() as officer:
        after = officer.get(f"{up.boat('004')}/inspections?limit=200").json()["items"]
        assert len(after) - before == 6
        assert {one["measured"][0]["text"] for one in after[before:]} == {str(100 + n) for n in range(6)}


def test_one_key_from_twenty_threads_makes_one_record(up: Running) -> None:
    with up.client("scrutineer") as client:
        before = len(client.get(f"{up.boat('005')}/inspections?limit=200").json()["items"])
        headers = {**key(), "if-match": up.etag(client, "005")}
        answers: list[httpx.Response] = []

        def send() -> None:
            answers.append(up.inspect(client, "005", ("end_weight", "33 lb"), **headers))

        threads = [threading.Thread(target=send) for _ in range(20)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert [answer.status_code for answer in answers] == [201] * 20
        assert len({answer.text for answer in answers}) == 1
        assert sum("idempotency-replayed" in answer.headers for answer in answers) == 19
        assert len(client.get(f"{up.boat('005')}/inspections?limit=200").json()["items"]) == before + 1
        again = client.post(
            f"{up.boat('005')}/inspections", json={"measurements": [], "note": "other"}, headers=headers
        )
        assert (again.status_code, again.json()["code"]) == (422, "key-used-otherwise")


def test_a_signed_inspection_is_the_officers_to_withdraw(up: Running) -> None:
    with up.client("scrutineer") as scrutineer, up.client() as officer:
        told = up.inspect(scrutineer, "006", ("condition", "good")).json()
        at = f"{up.boat('006')}/inspections/{told['inspection']['number']}"

        def send(client: httpx.Client, what: str, body: dict[str, str]) -> httpx.Response:
            return client.post(
                f"{at}/{what}", json=body, headers={**key(), "if-match": up.etag(client, "006")}
            )

        signed = send(scrutineer, "sign-off", {"statement": "seen and agreed"})
        assert (signed.status_code, signed.json()["inspection"]["state"]) == (200, "signed off")
        assert send(scrutineer, "sign-off", {"statement": "seen again"}).json()["code"] == "conflict"
        assert send(scrutineer, "withdrawal", {"reason": "changed my mind"}).status_code == 403
        assert send(officer, "withdrawal", {"reason": "another rope"}).status_code == 200
        assert send(officer, "withdrawal", {"reason": "another rope"}).json()["code"] == "conflict"


def test_the_site_follows_an_inspection(up: Running) -> None:
    with up.client() as officer:
        job = up.inspect(officer, "003", ("lead_line_length", "11 m")).json()["site_job"]
        up.settle(officer)
        assert ended(officer, job)["state"] == "done"
    pages = ((up.server.settings.folder / "site") / "boats").glob("003*.html")
    assert any("11 m" in page.read_text(encoding="utf-8") for page in pages)


@pytest.mark.parametrize(
    ("field", "value", "code"),
    [
        ("lead_line_diameter", "21.37", "no_unit"),
        ("lead_line_diameter", "21.37 kg", "wrong_dimension"),
        ("lead_line_diameter", "twenty mm", "no_number"),
        ("lead_line_diameter", "21,3756 mm", "bad_number"),
        ("lead_line_diameter", "-21.37 mm", "sign"),
        ("lead_line_diameter", "21.37 m", "out_of_range"),
        ("displacement", "8.37 tons", "which_ton"),
        ("section_diameters", "20 mm; 16.37", "no_unit"),
    ],
)
def test_a_measurement_that_cannot_be_taken_is_told_without_repeating_it(
    on_file: Running, field: str, value: str, code: str
) -> None:
    with on_file.client("scrutineer") as client:
        before = on_file.etag(client, "001")
        answer = on_file.inspect(client, "001", (field, value), ("cone_count", "7"))
        assert answer.status_code == 422
        assert [error["code"] for error in answer.json()["errors"]] == [code]
        assert value not in answer.text
        assert on_file.etag(client, "001") == before


@pytest.mark.parametrize(
    "measured",
    [
        ("condition", "splendid"),
        ("last_inspected", "2031-01-01"),
        ("made_year", "1066"),
        ("stowed_ready", "maybe"),
        ("cone_count", "many"),
    ],
)
def test_a_word_or_date_that_the_entry_sheet_would_not_take_is_refused(
    on_file: Running, measured: tuple[str, str]
) -> None:
    with on_file.client("scrutineer") as client:
        answer = on_file.inspect(client, "001", measured)
        assert (answer.status_code, answer.json()["code"]) == (422, "not-measurable")
        assert answer.json()["errors"][0]["field"] == "measurements.0"
        assert measured[1] not in answer.text


@pytest.mark.parametrize("blank", ["   ", "\u00a0\u2003\u3000", "\u200b\u200b\u200b", "\u202e\u2066\ufeff"])
def test_a_blank_is_no_measurement_no_note_and_no_reason(on_file: Running, blank: str) -> None:
    """It would take away what was entered, or sign, withdraw and waive without a word."""
    with on_file.client() as officer:
        for field in ("cone_count", "condition", "stowed_ready", "last_inspected", "made_year", "loa"):
            answer = on_file.inspect(officer, "002", (field, blank))
            assert answer.status_code == 422, (field, answer.text)
        number = on_file.inspect(officer, "002", ("cone_count", "129")).json()["inspection"]["number"]
        at = f"{on_file.boat('002')}/inspections"
        waiver = {
            "boat_id": on_file.boats["002"], "check": "line.lead-length", "reason": "Seen.",
            "officer": "Office", "until": "2027-06-30",
        }  # fmt: skip
        before = officer.get(f"{at}?limit=200").json()
        for place, body in (
            (at, {"measurements": [], "note": blank}),
            (f"{at}/{number}/sign-off", {"statement": blank}),
            (f"{at}/{number}/withdrawal", {"reason": blank}),
            (f"/v1/fleets/{on_file.fleet}/waivers", {**waiver, "reason": blank}),
            (f"/v1/fleets/{on_file.fleet}/waivers", {**waiver, "officer": blank}),
            ("/v1/fleets", {"name": blank}),
            (f"{on_file.boat('002')}/what-if", {"changes": [{"field": "cone_count", "value": blank}]}),
        ):
            sent = {**key(), "if-match": on_file.etag(officer, "002")}
            answer = officer.post(place, json=body, headers=sent)
            assert (answer.status_code, answer.json()["code"]) == (422, "not-valid"), (place, answer.text)
        assert officer.get(f"{at}?limit=200").json() == before
