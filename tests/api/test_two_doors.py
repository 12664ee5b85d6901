"""The command line and the server, over the same fleet and by the same rules."""

from __future__ import annotations

from pathlib import Path

import pytest

from api.running import RunRequest, run_fleet
from sizing.errors import PolicyError
from tests.api.running import BOATS, DEMO, TODAY, Running, key, quiet, running, settings, sheet, upload

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
            folder / "fleet.csv", policy, DEMO / "prices.csv", folder / "out", None, TODAY, 0, None, None,
            None, None, "",
        )
    )  # fmt: skip
    return folder / "out"


def test_both_doors_give_the_same_order_and_papers(tmp_path: Path) -> None:
    """To the byte; also the patterns that the boats' pages offer."""
    fleet = sheet(change=lacking)
    out = by_hand(fleet, tmp_path / "by hand")
    made = {path.name: path.read_bytes() for path in (out / "order").rglob("*") if path.is_file()}
    assert {"order.xlsx", "kits.pdf", "workshop.csv", "cone-pattern-127-mm.dxf"} <= made.keys()
    with running(settings(tmp_path / "data", cutting_seconds=60.0), loaded=False) as up:
        put_in_force(up, fleet)
        with up.client("chandlery") as chandler:
            at = f"/v1/fleets/{up.fleet}/order/files"
            names = [one["name"] for one in chandler.get(at).json()["items"]]
            served = {name: chandler.get(f"{at}/{name}") for name in names}
        offered = {path.name for path in up.server.settings.site_of(up.fleet).rglob("cone-pattern*")}
    assert {name: answer.content for name, answer in served.items()} == made
    kinds = {name.rpartition(".")[2]: answer.headers["content-type"] for name, answer in served.items()}
    assert kinds == {
        "csv": "text/csv; charset=utf-8", "dxf": "image/vnd.dxf", "json": "application/json",
        "pdf": "application/pdf", "svg": "image/svg+xml",
        "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    }  # fmt: skip
    assert offered == {path.name for path in (out / "site").rglob("cone-pattern*")} != set()


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
        assert "A waiver in the policy file is about entry" in page
    with pytest.raises(PolicyError, match="no accepted boat"):
        by_hand(sheet(("001", "002")), tmp_path / "by hand", policy)


def test_a_waiver_given_to_a_boat_that_left_the_list_is_told_until_she_is_back(tmp_path: Path) -> None:
    with running(settings(tmp_path / "data"), loaded=False) as up, up.client() as officer:
        put_in_force(up, sheet(change=lacking))
        body = {
            "boat_id": up.boats["003"], "check": "line.lead-length", "reason": "accepted",
            "officer": "Safety office", "until": "2027-06-30",
        }  # fmt: skip
        headers = {**key(), "if-match": up.etag(officer, "003")}
        given = officer.post(f"/v1/fleets/{up.fleet}/waivers", json=body, headers=headers)
        assert given.status_code == 201
        assert upload(officer, up.fleet, sheet(("001",)))["state"] == "done"
        assert any("A waiver given to this fleet is about entry “003”" in note for note in notes(up))
        assert upload(officer, up.fleet, sheet(BOATS, lacking))["state"] == "done"
        assert not any("waiver" in note for note in notes(up))
        found = officer.get(f"{up.boat('003')}/findings?check=line.lead-length").json()["items"][0]
        assert found["standing"] == "waived"


def put_in_force(up: Running, fleet: bytes) -> None:
    """Make a fleet of this list, which becomes the one looked at, and wait for its order and site."""
    with up.client() as officer:
        up.fleet = officer.post("/v1/fleets", json={"name": "One"}, headers=key()).json()["id"]
        job = upload(officer, up.fleet, fleet)
        assert job["state"] == "done", job
        quiet(officer)
        page = officer.get(f"/v1/fleets/{up.fleet}/boats").json()
        up.boats = {boat["entry_no"]: boat["id"] for boat in page["items"]}


def notes(up: Running) -> list[str]:
    """What the upload in force has to say about its file."""
    with up.client() as officer:
        number = officer.get(f"/v1/fleets/{up.fleet}").json()["revision"]
        told: list[str] = officer.get(f"/v1/fleets/{up.fleet}/revisions/{number}").json()["notes"]
        return told
