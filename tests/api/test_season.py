"""One season behind two doors: what one door does counts at the other, and both make the same of it."""

from __future__ import annotations

import json
import shutil
import tempfile
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from api.running import RunRequest, run_fleet
from api.settings import Settings
from tests.api.conftest import AS_IT_IS
from tests.api.running import (
    BOATS,
    DEMO,
    TODAY,
    Change,
    Running,
    key,
    look_around,
    own_folder,
    quiet,
    running,
    settings,
    sheet,
    upload,
)
from tests.calling import DAY, Done, call

WEEK_1 = BOATS[:5]
SAID = {"statement": "as it stands"}
CUTTING_S = 60.0  # as on the command line


def amended(cells: dict[str, str]) -> None:
    """The second week: 002 has other cones, 003 a thinner line."""
    if cells["Entry No"] == "002":
        cells["No. of cones"] = "90"
    if cells["Entry No"] == "003":
        cells["Lead line diameter (mm)"] = "16"


def run(folder: Path, entries: tuple[str, ...], change: Change | None = None) -> Path:
    """Run a list at the command line; the season's folder. A first list is run once for all tests."""
    if not (folder / "out").exists():
        return begun(folder, (entries, change))
    return run_list(folder, entries, change)


def two_weeks(folder: Path) -> Path:
    """A season of two lists, run once for all."""
    return begun(folder, (WEEK_1, None), (BOATS, amended))


def run_list(folder: Path, entries: tuple[str, ...], change: Change | None) -> Path:
    (folder / "fleet.csv").write_bytes(sheet(entries, change))
    out = folder / "out"
    prices = None if (out / "season.sqlite").exists() else DEMO / "prices.csv"
    run_fleet(RunRequest(folder / "fleet.csv", None, prices, out, None, TODAY, 0))
    return out


def begun(folder: Path, *lists: tuple[tuple[str, ...], Change | None]) -> Path:
    """A copy of a season that has seen these lists."""
    shutil.copytree(lived(*lists), folder, symlinks=True, dirs_exist_ok=True)
    return folder / "out"


@cache
def lived(*lists: tuple[tuple[str, ...], Change | None]) -> Path:
    """Where a season with these lists lies, to be copied."""
    folder = Path(tempfile.mkdtemp(dir=own_folder()))
    if lists[:-1]:
        begun(folder, *lists[:-1])
    run_list(folder, *lists[-1])
    return folder


def served(out: Path, **changes: Any) -> Settings:
    """A server of the season in `out`, which has all its rules from there."""
    return settings(out, prices=None, cutting_seconds=CUTTING_S, **changes)


def made(out: Path) -> dict[str, bytes]:
    """Everything that was made of a season, by its place in the output folder."""
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for part in ("site", "order", "tables", "messages")
        for path in (out / part).rglob("*")
        if path.is_file()
    } | {"summary.json": (out / "summary.json").read_bytes()}


def stages_told(out: Path) -> dict[str, int]:
    stages: dict[str, int] = json.loads((out / "summary.json").read_text(encoding="utf-8"))["stages"]
    return stages


def same(one: dict[str, bytes], other: dict[str, bytes]) -> None:
    assert one.keys() == other.keys()
    assert [name for name in one if one[name] != other[name]] == []


def measured(up: Running, entry: str, *found: tuple[str, str]) -> None:
    """A scrutineer measures aboard, and the site follows."""
    with up.client("scrutineer") as scrutineer:
        answer = up.inspect(scrutineer, entry, *found)
        assert answer.status_code == 201, answer.text


@pytest.mark.thorough
def test_two_weeks_through_either_door_make_the_same(tmp_path: Path) -> None:
    """To the byte, by the same program on the same day: list, measurement, next list."""
    (tmp_path / "one").mkdir()
    out = run(tmp_path / "one", WEEK_1)
    with running(served(out), loaded=False) as up, up.client() as officer:
        quiet(officer)
        up.fleet = officer.get("/v1/fleets").json()["items"][0]["id"]
        items = officer.get(f"/v1/fleets/{up.fleet}/boats").json()["items"]
        up.boats = {boat["entry_no"]: boat["id"] for boat in items}
        assert list(up.boats) == list(WEEK_1)  # what the officer ran is there at once
        measured(up, "001", ("cone_count", "97"))
        quiet(officer)
    by_hand = made(run(tmp_path / "one", BOATS, amended))

    other = settings(tmp_path / "other", cutting_seconds=CUTTING_S)
    with running(other, loaded=False) as up, up.client() as officer:
        up.fleet = officer.post("/v1/fleets", json={"name": "Small"}, headers=key()).json()["id"]
        assert upload(officer, up.fleet, sheet(WEEK_1))["state"] == "done"
        quiet(officer)
        items = officer.get(f"/v1/fleets/{up.fleet}/boats").json()["items"]
        up.boats = {boat["entry_no"]: boat["id"] for boat in items}
        measured(up, "001", ("cone_count", "97"))
        quiet(officer)
        assert upload(officer, up.fleet, sheet(BOATS, amended))["state"] == "done"
        quiet(officer)
    same(by_hand, made(tmp_path / "other"))
    assert b"97" in by_hand["tables/findings.csv"]
    assert b"002: Grey Plover" in by_hand["tables/changes.txt"]


def test_messages_are_for_their_owner_alone(tmp_path: Path) -> None:
    assert (run(tmp_path, WEEK_1) / "messages").stat().st_mode & 0o077 == 0


def test_what_was_measured_counts_in_the_next_run_and_in_its_messages(tmp_path: Path) -> None:
    """It did not reach messages, chase list and order, which stayed as the list had them."""
    out = run(tmp_path, BOATS)
    before = made(out)
    with running(served(out), loaded=False) as up:
        look_around(up)
        measured(up, "001", ("cone_count", "60"))
        with up.client() as officer:
            quiet(officer)
        followed = made(out)
    again = made(run(tmp_path, BOATS))
    for name in ("messages/001.txt", "tables/chase.csv", "tables/findings.csv", "order/order.csv"):
        assert before[name] != followed[name], name
    same(followed, again)


def test_a_list_that_says_something_else_than_was_measured_is_told_and_counts_less(
    tmp_path: Path,
) -> None:
    """A skipper's later change of a measured value was overridden without a word to the officer."""
    out = run(tmp_path, BOATS)
    with running(served(out), loaded=False) as up:
        look_around(up)
        with up.client("scrutineer") as scrutineer:
            assert up.inspect(scrutineer, "002", ("cone_count", "97")).status_code == 201
            headers = {**key(), "if-match": up.etag(scrutineer, "002")}
            signed = scrutineer.post(f"{up.boat('002')}/inspections/1/sign-off", json=SAID, headers=headers)
            assert signed.status_code == 200, signed.text
        with up.client() as officer:
            quiet(officer)
            fleet = officer.get(f"/v1/fleets/{up.fleet}").json()
    # One function says how far the boats have come, so both doors say the same.
    assert fleet["stages"] == stages_told(out)
    assert sum(fleet["stages"].values()) == fleet["boats"]
    (tmp_path / "next.csv").write_bytes(sheet(BOATS, amended))
    for measured_differs in (True, False):  # it is told once
        done = call("run", tmp_path / "next.csv", "--out", out, "--make", "site", *DAY)
        said = " ".join(done.stdout.split())
        told = "was measured as “97” by A scrutineer on" in said and "What was measured counts." in said
        assert told == measured_differs
        assert ("inspection 1 is open again, since the list now says" in said) == measured_differs
    with running(served(out, site_wait=AS_IT_IS), loaded=False) as up:
        look_around(up)
        with up.client() as officer:
            (one,) = officer.get(f"{up.boat('002')}/inspections").json()["items"]
            assert one["state"] == "reopened"
            fleet = officer.get(f"/v1/fleets/{up.fleet}").json()
            assert fleet["stages"] == stages_told(out)
            cones = f"{up.boat('002')}/findings?check=drag.cone-count"
            assert officer.get(cones).json()["items"][0]["found"]["metric"] == "97"


@pytest.mark.thorough
def test_a_list_run_for_its_tables_alone_is_answered_about_once_a_server_is_started(tmp_path: Path) -> None:
    (tmp_path / "fleet.csv").write_bytes(sheet(WEEK_1))
    done = call(
        "run", tmp_path / "fleet.csv", "--samples", "0", "--make", "tables", "--out", tmp_path / "out", *DAY
    )
    assert done.returncode == 3, done.stderr
    with running(served(tmp_path / "out"), loaded=False) as up, up.client() as officer:
        quiet(officer)
        fleet = officer.get("/v1/fleets").json()["items"][0]
        assert fleet["boats"] == len(WEEK_1)


def test_undo_gives_back_the_list_before_to_the_byte(tmp_path: Path) -> None:
    first = made(run(tmp_path / "first", WEEK_1))
    out = two_weeks(tmp_path)
    assert made(out) != first
    done = undo(out)
    assert done.returncode == 0, done.stderr
    assert "taken back: list 2, fleet.csv. In force again: list 1" in " ".join(done.stdout.split())
    same(made(out), first)
    assert "first of the season" in undo(out).stderr


@pytest.mark.thorough
def test_a_list_that_was_taken_back_and_comes_again_makes_the_same_each_time(tmp_path: Path) -> None:
    out = two_weeks(tmp_path)
    assert undo(out).returncode == 0
    same(made(run(tmp_path, BOATS, amended)), made(run(tmp_path, BOATS, amended)))


def undo(out: Path) -> Done:
    return call("undo", "--out", out, *DAY)


@pytest.mark.thorough
def test_undo_is_refused_once_something_rests_on_the_list_and_names_it(tmp_path: Path) -> None:
    run(tmp_path, WEEK_1)
    out = run(tmp_path, BOATS)
    with running(served(out, site_wait=AS_IT_IS), loaded=False) as up:
        look_around(up)
        measured(up, "006", ("cone_count", "97"))
    (tmp_path / "delivery.csv").write_text(
        "item,quantity,unit,extra\nTWINE-WHIP,100,m,yes\n", encoding="utf-8"
    )
    done = call("receive", tmp_path / "delivery.csv", "--out", out)
    assert done.returncode == 0, done.stderr
    before = made(out)
    done = undo(out)
    assert done.returncode == 2
    said = " ".join(done.stderr.split())
    assert "inspection 1 of entry 006, by A scrutineer" in said
    assert "delivery 1, delivery.csv" in said
    same(made(out), before)


def test_a_dry_run_says_what_would_change_and_writes_nothing(tmp_path: Path) -> None:
    out = run(tmp_path, WEEK_1)
    before = {path: path.read_bytes() for path in out.rglob("*") if path.is_file()}
    (tmp_path / "next.csv").write_bytes(sheet(BOATS, amended))
    done = call("run", tmp_path / "next.csv", "--out", out, "--dry-run", *DAY)
    assert done.returncode == 3, done.stderr
    assert "cone_count: 130 -> 90" in done.stdout
    assert "dry run: nothing was written" in done.stdout
    assert {path: path.read_bytes() for path in out.rglob("*") if path.is_file()} == before
    done = call("run", tmp_path / "next.csv", "--out", tmp_path / "new", "--samples", "0", "--dry-run", *DAY)
    assert done.returncode == 3, done.stderr
    assert not (tmp_path / "new").exists()


@pytest.mark.thorough
def test_any_past_list_can_be_made_again_as_it_was(tmp_path: Path) -> None:
    first = made(run(tmp_path / "first", WEEK_1))
    out = two_weeks(tmp_path)
    second = made(out)
    for asked in ("1", "2", TODAY.isoformat()):
        done = call("publish", "--as-of", asked, "--to", tmp_path / f"as of {asked}", "--out", out)
        assert done.returncode == 0, done.stderr
    same(made(tmp_path / "as of 1"), first)
    same(made(tmp_path / "as of 2"), second)
    same(made(tmp_path / f"as of {TODAY}"), second)
    same(made(out), second)
    assert "1 of 2026-11-25, fleet.csv; 2 of" in call("publish", "--as-of", "7", "--out", out).stderr


def test_verify_says_whether_what_lies_there_is_what_the_season_gives(tmp_path: Path) -> None:
    out = run(tmp_path, WEEK_1)
    whole = call("verify", "--made", "--out", out)
    assert "files are what the season gives" in whole.stdout, whole.stderr
    page = next((out / "site" / "boats").glob("002*.html"))
    page.write_text(page.read_text(encoding="utf-8").replace("Grey Plover", "Grey Clover"), encoding="utf-8")
    (out / "tables" / "sizing.csv").unlink()
    (out / "papers" / "officers-list.pdf").write_bytes(b"%PDF-1.7\n%%EOF\n")
    next((out / "papers" / "boats").glob("*-sea-card.pdf")).unlink()
    done = call("verify", "--made", "--out", out)
    assert done.returncode == 2
    said = "".join(done.stderr.split())
    assert "4filesarenotwhattheseasongives" in said
    assert "papers/officers-list.pdf" in said
    assert f"site/boats/{page.name}" in said
    assert "tables/sizing.csv" in said
    done = call("publish", tmp_path / "carried", "--out", out, *DAY)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "carried" / "boats" / page.name).read_bytes() == page.read_bytes()
    assert "files are what the season gives" in call("verify", "--made", "--out", out).stdout


def test_two_fleets_of_one_season_lie_apart_and_have_to_be_named(tmp_path: Path) -> None:
    run(tmp_path, WEEK_1)
    out = tmp_path / "out"
    first = made(out)
    (tmp_path / "other.csv").write_bytes(sheet(BOATS[:2]))
    tall = ["--fleet", "Tall ships", "--make", "tables", *DAY]
    done = call("run", tmp_path / "other.csv", "--out", out, *tall)
    assert done.returncode == 2  # it may be a slip
    assert "add --new-fleet" in " ".join(done.stderr.split())
    done = call("run", tmp_path / "other.csv", "--out", out, "--new-fleet", *tall)
    assert done.returncode == 3, done.stderr
    same(made(out), first)
    assert list((out / "fleets").glob("*/tables/sizing.csv"))
    done = call("run", tmp_path / "other.csv", "--out", out, *DAY)
    assert done.returncode == 2
    assert "there are 2 fleets in this season" in done.stderr
    assert "“Tall ships”" in done.stderr


def test_rules_given_once_count_until_others_are_given(tmp_path: Path) -> None:
    out = run(tmp_path, WEEK_1)
    (tmp_path / "rally.toml").write_text(
        '[rally]\nname = "Long Haul"\nofficer = "Safety office"\n', encoding="utf-8"
    )
    fleet = tmp_path / "fleet.csv"
    common: list[str | Path] = ["--out", out, "--make", "order", *DAY]
    done = call("run", fleet, "--policy", tmp_path / "rally.toml", *common)
    assert done.returncode == 3, done.stderr
    assert "in force since an earlier list: price book prices.csv." in done.stdout
    done = call("run", fleet, *common)
    assert "in force since an earlier list: policy rally.toml; price book prices.csv." in done.stdout
    (tmp_path / "rally.toml").write_text("[rally\n", encoding="utf-8")
    done = call("run", fleet, "--policy", tmp_path / "rally.toml", *common)
    assert done.returncode == 2
    assert "rally.toml" in done.stderr


def test_pages_given_once_are_in_the_site_until_they_are_taken_away(tmp_path: Path) -> None:
    pages = tmp_path / "pages"
    shutil.copytree(DEMO / "pages", pages)
    (tmp_path / "fleet.csv").write_bytes(sheet(WEEK_1, amended))
    out = tmp_path / "out"
    common: list[str | Path] = ["--samples", "0", "--make", "site", "--out", out, *DAY]
    (pages / "rules.md").write_text("![](https://outside.example/x.png)\n", encoding="utf-8")
    done = call("run", tmp_path / "fleet.csv", "--pages", pages, *common)
    assert done.returncode == 3, done.stderr
    told = " ".join(done.stdout.split())
    assert "note: pages: rules.md, line 1: the picture “https://outside.example/x.png” is not in the" in told
    assert "note: pages: notices.md, line 20: entry 010 is not on the list" in told
    before = {path.name: path.read_bytes() for path in (out / "site").glob("*.html")}
    shutil.rmtree(pages)
    done = call("run", tmp_path / "fleet.csv", *common)
    assert done.returncode == 3, done.stderr
    assert "in force since an earlier list: pages (4 files)." in done.stdout
    assert before == {path.name: path.read_bytes() for path in (out / "site").glob("*.html")}
    assert (out / "site" / "pictures" / "harbour.svg").is_file()
    pages.mkdir()
    for given in (pages, tmp_path / "gone"):
        done = call("run", tmp_path / "fleet.csv", "--pages", given, *common)
        assert done.returncode == 2
        assert "pages" in done.stderr
    assert (out / "site" / "notices.html").is_file()
    done = call("run", tmp_path / "fleet.csv", "--pages", "", *common)
    assert done.returncode == 3, done.stderr
    assert not (out / "site" / "notices.html").exists()


@pytest.mark.thorough
def test_a_catalogue_of_the_club_is_kept_with_the_season(tmp_path: Path) -> None:
    """Its folder may be gone by the next list."""
    ours = tmp_path / "ours"
    ours.mkdir()
    cloths = files("sizing.catalogue").joinpath("cloths.csv").read_text(encoding="utf-8")
    (ours / "cloths.csv").write_text(
        cloths.replace("nylon rip-stop", "the club's own cloth"), encoding="utf-8"
    )
    (tmp_path / "fleet.csv").write_bytes(sheet(WEEK_1, amended))
    out = tmp_path / "out"
    common: list[str | Path] = ["--samples", "0", "--make", "order", "--out", out, *DAY]
    done = call("run", tmp_path / "fleet.csv", "--catalogue", ours, *common)
    assert done.returncode == 3, done.stderr
    shutil.rmtree(ours)
    (tmp_path / "fleet.csv").write_bytes(sheet(BOATS, amended))
    done = call("run", tmp_path / "fleet.csv", *common)
    assert done.returncode == 3, done.stderr
    assert "catalogue cloths.csv" in done.stdout
    assert "the club's own cloth" in (out / "order" / "order.csv").read_text(encoding="utf-8-sig")


def test_a_run_beside_an_open_server_is_answered_about_at_once(tmp_path: Path) -> None:
    out = run(tmp_path, WEEK_1)
    with running(served(out), loaded=False) as up, up.client() as officer:
        quiet(officer)
        run(tmp_path, BOATS, amended)
        fleet = officer.get("/v1/fleets").json()["items"][0]
        assert (fleet["boats"], fleet["revision"]) == (len(BOATS), 2)
