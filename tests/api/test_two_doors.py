"""The command line and the server, over the same fleet and by the same rules."""

from __future__ import annotations

import contextlib
import json
from pathlib import Path

import pytest

from api.running import RunRequest, run_fleet
from api.signin.roles import ROLES
from sizing.revision import ManyWithdrawnError
from tests.api.conftest import AS_IT_IS
from tests.api.running import BOATS, DEMO, TODAY, Running, key, quiet, running, settings, sheet, upload
from tests.api.test_season import made, same
from tests.test_withdrawals import BLANK, HEADER, MENDED
from tests.test_withdrawals import BOATS as LISTED

WAIVERS = """
[[waivers]]
entry_no = "003"
check = "line.lead-length"
reason = "accepted for this passage"
officer = "Safety office"
until = 2027-06-30
"""


def lacking(cells: dict[str, str]) -> None:
    """One boat without any gear, one with a short line: something of most kinds is to be made."""
    if cells["Entry No"] == "002":
        names = list(cells)
        for name in names[names.index("Drogue type") : names.index("Remarks")]:
            cells[name] = ""
        cells["Drogue type"] = "none"
    if cells["Entry No"] == "003":
        cells["Lead line"] = "9 m"


def by_hand(fleet: bytes, folder: Path, policy: Path | None = None) -> Path:
    """A run on the command line, as with --samples 0; its output folder."""
    folder.mkdir(exist_ok=True)
    (folder / "fleet.csv").write_bytes(fleet)
    run_fleet(
        RunRequest(
            folder / "fleet.csv", policy, DEMO / "prices.csv", folder / "out", None, TODAY, 0
        )
    )  # fmt: skip
    return folder / "out"


def test_both_doors_make_the_same_of_a_list(tmp_path: Path) -> None:
    """To the byte: site, order, tables, messages; also the patterns that the boats' pages offer."""
    fleet = sheet(change=lacking)
    out = by_hand(fleet, tmp_path / "by hand")
    order = {path.name: path.read_bytes() for path in (out / "order").rglob("*") if path.is_file()}
    assert {"order.xlsx", "kits.pdf", "workshop.csv", "cone-pattern-127-mm.dxf"} <= order.keys()
    with running(settings(tmp_path / "data", cutting_seconds=60.0), loaded=False) as up:
        put_in_force(up, fleet, name="Small")
        with up.client("chandlery") as chandler:
            at = f"/v1/fleets/{up.fleet}/order/files"
            names = [one["name"] for one in chandler.get(at).json()["items"]]
            served = {name: chandler.get(f"{at}/{name}") for name in names}
        same(made(out), made(up.server.settings.folder))
    assert {name: answer.content for name, answer in served.items()} == order
    kinds = {name.rpartition(".")[2]: answer.headers["content-type"] for name, answer in served.items()}
    assert kinds == {
        "csv": "text/csv; charset=utf-8", "dxf": "image/vnd.dxf", "json": "application/json",
        "pdf": "application/pdf", "svg": "image/svg+xml", "txt": "text/plain; charset=utf-8",
        "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    }  # fmt: skip
    assert list((out / "site").rglob("cone-pattern*"))


@pytest.mark.thorough
def test_a_waiver_of_the_policy_file_about_another_fleets_boat_is_told_and_stops_nothing(
    tmp_path: Path,
) -> None:
    policy = tmp_path / "rally.toml"
    policy.write_text(WAIVERS)
    lead = "findings?check=line.lead-length"
    with running(settings(tmp_path / "data", policy=policy), loaded=False) as up, up.client() as officer:
        put_in_force(up, sheet(change=lacking))
        assert officer.get(f"{up.boat('003')}/{lead}").json()["items"][0]["standing"] == "waived"
        assert not [note for note in notes(up) if "waiver" in note]
        put_in_force(up, sheet(("001", "002")))
        (told,) = [note for note in notes(up) if "waiver" in note]
        assert "“003”" in told
        assert "line.lead-length" in told
        page = officer.get(f"/site/{up.fleet}/").text
        assert "The waiver of line.lead-length for entry" in page
    out = by_hand(sheet(("001", "002")), tmp_path / "by hand", policy)
    assert told in json.loads((out / "summary.json").read_bytes())["file_notes"]


@pytest.mark.thorough
def test_a_waiver_given_to_a_boat_that_left_the_list_is_told_until_she_is_back(tmp_path: Path) -> None:
    config = settings(tmp_path / "data", site_wait=AS_IT_IS)
    with running(config, loaded=False) as up, up.client() as officer:
        put_in_force(up, sheet(change=lacking))
        body = {
            "boat_id": up.boats["003"], "check": "line.lead-length", "reason": "accepted",
            "officer": "Safety office", "until": "2027-06-30",
        }  # fmt: skip
        headers = {**key(), "if-match": up.etag(officer, "003")}
        given = officer.post(f"/v1/fleets/{up.fleet}/waivers", json=body, headers=headers)
        assert given.status_code == 201
        assert upload(officer, up.fleet, sheet(("001",)), query="?withdraw=true")["state"] == "done"
        assert any("The waiver of line.lead-length for entry “003”" in note for note in notes(up))
        assert upload(officer, up.fleet, sheet(BOATS, lacking))["state"] == "done"
        assert not any("waiver" in note for note in notes(up))
        found = officer.get(f"{up.boat('003')}/findings?check=line.lead-length").json()["items"][0]
        assert found["standing"] == "waived"


def by_upload(boats: list[str]) -> bytes:
    return "\n".join([HEADER, *boats]).encode()


REJECTED, RENUMBERED = LISTED[2].replace("6300 kg", ""), LISTED[3].replace("004", "404")


@pytest.mark.parametrize(
    ("boats", "left_out"),
    [
        pytest.param([MENDED], LISTED, marks=pytest.mark.thorough),
        ([REJECTED, RENUMBERED, *LISTED[4:]], LISTED[:2]),
        pytest.param([LISTED[0], REJECTED, RENUMBERED, *LISTED[4:]], [], marks=pytest.mark.thorough),
    ],
    ids=["mended rejects alone", "two of eleven", "one of eleven"],
)
def test_both_doors_stop_a_list_that_leaves_out_much_of_the_one_before(
    up: Running, tmp_path: Path, boats: list[str], left_out: list[str]
) -> None:
    """And name the same boats: one whose row is rejected, or whose number changed, has not withdrawn."""
    named = tuple(" ".join(row.split(",")[:2]) for row in left_out)
    by_hand(by_upload([*LISTED, BLANK]), tmp_path)
    with pytest.raises(ManyWithdrawnError) if named else contextlib.nullcontext() as stopped:
        by_hand(by_upload(boats), tmp_path)
    assert not stopped or stopped.value.boats == named
    with up.client() as officer:
        fleet = officer.post("/v1/fleets", json={"name": "Withdrawing"}, headers=key()).json()["id"]
        assert upload(officer, fleet, by_upload([*LISTED, BLANK]))["state"] == "done"
        up.settle(officer)
        before = officer.get(f"/v1/fleets/{fleet}/boats").json()
        assert len(before["items"]) == len(LISTED)
        job = upload(officer, fleet, by_upload(boats))
        told = officer.get(f"/v1/fleets/{fleet}/revisions/2").json()
        if not named:
            assert (job["state"], told["state"], told["problem"]) == ("done", "in force", None)
            return
        assert (job["state"], told["state"], told["withdraw"]) == ("failed", "refused", False)
        assert officer.get(f"/v1/fleets/{fleet}/boats").json() == before
        assert officer.get(f"/v1/fleets/{fleet}").json()["revision"] == 1
        problem = told["problem"]
        assert (problem["status"], problem["code"]) == (409, "would-withdraw")
        assert tuple(error["field"] for error in problem["errors"]) == named
        assert f"it leaves out {len(named)} of the 11 boats of upload 1" in problem["detail"]
        assert ", ".join(named[:5]) in problem["detail"] == job["reason"]
        assert "Expected: the whole list" in problem["detail"]
        assert "withdraw=true" in problem["detail"].partition("To mend it")[2]
        assert upload(officer, fleet, by_upload(boats), query="?withdraw=true")["state"] == "done"
        assert officer.get(f"/v1/fleets/{fleet}/revisions/3").json()["withdraw"] is True
        removed = officer.get(f"/v1/fleets/{fleet}/revisions/3/changes").json()["removed"]
        assert {f"{one['entry_no']} {one['boat_name']}" for one in removed} >= set(named)


@pytest.mark.parametrize("role", [role for role in ROLES if role != "officer"])
def test_the_officer_alone_says_that_boats_have_withdrawn(on_file: Running, role: str) -> None:
    with on_file.client(role) as client:
        at = f"/v1/fleets/{on_file.fleet}/revisions?withdraw=true"
        headers = {**key(), "if-match": '"1"', "content-type": "text/csv"}
        assert client.post(at, content=sheet(("001",)), headers=headers).status_code == 403


def test_an_upload_sent_again_as_a_withdrawal_needs_a_new_key(up: Running) -> None:
    """The same key is the same request: it cannot turn into one that replaces the fleet."""
    with up.client() as officer:
        at = f"/v1/fleets/{up.fleet}/revisions"
        etag = officer.get(f"/v1/fleets/{up.fleet}").headers["etag"]
        headers = {**key(), "if-match": etag, "content-type": "text/csv"}
        assert officer.post(at, content=sheet(("001",)), headers=headers).status_code == 202
        answer = officer.post(f"{at}?withdraw=true", content=sheet(("001",)), headers=headers)
        assert (answer.status_code, answer.json()["code"]) == (422, "key-used-otherwise")
        up.settle(officer)


def put_in_force(up: Running, fleet: bytes, name: str = "One") -> None:
    """Make a fleet of this list, which becomes the one looked at, and wait for its order and site."""
    with up.client() as officer:
        up.fleet = officer.post("/v1/fleets", json={"name": name}, headers=key()).json()["id"]
        job = upload(officer, up.fleet, fleet)
        assert job["state"] == "done", job
        if up.server.settings.site_wait != AS_IT_IS:
            quiet(officer)
        page = officer.get(f"/v1/fleets/{up.fleet}/boats").json()
        up.boats = {boat["entry_no"]: boat["id"] for boat in page["items"]}


def notes(up: Running) -> list[str]:
    """What the upload in force has to say about its file."""
    with up.client() as officer:
        number = officer.get(f"/v1/fleets/{up.fleet}").json()["revision"]
        told: list[str] = officer.get(f"/v1/fleets/{up.fleet}/revisions/{number}").json()["notes"]
        return told
