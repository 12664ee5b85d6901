from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

import sitegen.build
import sitegen.publish
from sitegen import SiteReport, build_site, rollback
from sitegen.publish import content_id, lay_out, publish, releases_of, working_folder
from sitegen.reuse import read_manifest
from sizing.errors import OutputError
from tests.sitegen.result_builder import FLEET, Run, make_run

PAGES = {"notices.md": b"# News\n\n![Plan](plan.png)\n", "plan.png": b"\x89PNG\r\n\x1a\n"}


def build(run: Run, folder: Path, pages: Mapping[str, bytes] = PAGES) -> SiteReport:
    return build_site(run.result, run.policy, run.catalogue, folder, pages=pages)


def release(site: Path, text: str) -> str:
    """Publish a release of one page."""
    folder = working_folder(site)
    (folder / "index.html").write_text(text)
    return publish(folder, site)


def test_two_builds_give_the_same_bytes(run: Run, tmp_path: Path) -> None:
    first = build(run, tmp_path / "a" / "site")
    second = build(run, tmp_path / "b" / "site")
    assert first.release == second.release
    assert content_id(tmp_path / "a" / "site") == content_id(tmp_path / "b" / "site")


def test_other_words_on_a_page_of_the_rally_leave_the_boats_pages_and_another_page_does_not(
    run: Run, tmp_path: Path
) -> None:
    build(run, tmp_path / "site")
    assert build(run, tmp_path / "site", PAGES | {"notices.md": b"# News\n\nNone.\n"}).pages_kept == 5
    assert build(run, tmp_path / "site", PAGES | {"rules.md": b"# Rules\n"}).pages_kept == 0, (
        "her menu has it"
    )
    assert "rules.html" in next((tmp_path / "site" / "boats").glob("*.html")).read_text(encoding="utf-8")


def test_the_site_is_a_plain_path(run: Run, tmp_path: Path) -> None:
    report = build(run, tmp_path / "site")
    assert (tmp_path / "site" / "index.html").is_file()
    assert report.release == content_id(tmp_path / "site")
    assert report.boats == 5


def test_an_unchanged_boat_is_taken_over_and_the_bytes_stay_the_same(tmp_path: Path) -> None:
    before = make_run()
    changed = [dict(boat) for boat in FLEET]
    changed[1]["berth"] = "B4"
    after = make_run(changed)
    build(before, tmp_path / "kept" / "site")
    kept = build(after, tmp_path / "kept" / "site")
    fresh = build(after, tmp_path / "fresh" / "site")
    assert (kept.pages_kept, fresh.pages_kept) == (4, 0)
    assert kept.release == fresh.release


def test_a_page_altered_by_hand_is_made_again(run: Run, tmp_path: Path) -> None:
    site = tmp_path / "site"
    first = build(run, site)
    fresh = content_id(site)
    page = next((site / "boats").glob("*.html"))
    page.write_text(page.read_text(encoding="utf-8").replace(" kg", " lb"), encoding="utf-8")
    again = build(run, site)
    assert again.pages_kept == 4
    assert content_id(site) == fresh
    assert again.release.startswith(first.release)


def test_a_page_that_is_gone_is_made_again(run: Run, tmp_path: Path) -> None:
    site = tmp_path / "site"
    build(run, site)
    fresh = content_id(site)
    next((site / "boats").glob("*.csv")).unlink()
    assert build(run, site).pages_kept == 4
    assert content_id(site) == fresh


def test_a_page_is_made_again_where_other_words_may_not_stand_in_it(tmp_path: Path) -> None:
    """A skipper's name that is a boat's name too is public, until that boat is called otherwise."""
    boats = [dict(boat) for boat in FLEET]
    boats[1]["skipper"] = boats[2]["boat_name"]
    build(make_run(boats), tmp_path / "site")
    boats[2]["boat_name"] = "Another Name"
    assert build(make_run(boats), tmp_path / "site").pages_kept == 5 - 2


def test_the_day_after_the_boat_that_changed_is_made_anew_and_no_page_shows_the_day_before(
    tmp_path: Path,
) -> None:
    before, changed = make_run(), [dict(boat) for boat in FLEET]
    changed[1]["berth"] = "B4"
    after = on_the_next_day(make_run(changed))
    build(before, tmp_path / "site")
    assert before.result.today == date(2027, 1, 15)
    made = {path: path.stat().st_ino for path in (tmp_path / "site" / "boats").resolve().glob("*.html")}
    kept = build(after, tmp_path / "site")
    assert kept.pages_kept == 4
    again = {path.name: path.stat().st_ino for path in (tmp_path / "site" / "boats").glob("*.html")}
    anew = [name for name, place in again.items() if place not in made.values()]
    assert [name.partition("-")[0] for name in anew] == [changed[1]["entry_no"]]
    texts = {path: path.read_text(encoding="utf-8") for path in (tmp_path / "site").rglob("*.html")}
    assert not [path for path, text in texts.items() if "15 January 2027" in text]
    assert all("assets/muster/day.css" in text and "Worked out <span" in text for text in texts.values())
    assert "16 January 2027" in (tmp_path / "site" / "assets" / "muster" / "day.css").read_text()
    assert kept.release == build(after, tmp_path / "fresh" / "site").release


def test_a_last_day_that_has_passed_is_told_the_day_after(tmp_path: Path) -> None:
    """A new day changes these words of a boat's page, and the page is made anew."""
    one = make_run()
    dates: dict[str, object] = {"departure": one.result.today + timedelta(days=60)}
    dates |= {"milestones": ({"name": "order placed", "due": one.result.today, "closes": "orders"},)}
    rally = one.policy.rally.model_validate(one.policy.rally.model_dump() | dates)
    before = replace(one, policy=one.policy.model_copy(update={"rally": rally}))
    build(before, tmp_path / "site")
    late = re.compile("was due by 15 January|the order closed on 15 January")
    pages = [path.read_text(encoding="utf-8") for path in (tmp_path / "site" / "boats").glob("*.html")]
    assert not any(late.search(page) for page in pages)
    kept = build(on_the_next_day(before), tmp_path / "site")
    pages = [path.read_text(encoding="utf-8") for path in (tmp_path / "site" / "boats").glob("*.html")]
    assert any(late.search(page) for page in pages)
    assert kept.release == build(on_the_next_day(before), tmp_path / "fresh" / "site").release


def on_the_next_day(run: Run) -> Run:
    return replace(run, result=replace(run.result, today=run.result.today + timedelta(days=1)))


@pytest.mark.parametrize("manifest", ["", "[]", "{", '{"boats/x.html": {"key": 1}}'])
def test_a_manifest_that_cannot_be_read_holds_no_page(tmp_path: Path, manifest: str) -> None:
    """Every page is then made anew."""
    assert read_manifest(tmp_path / "none.json") == {}
    (tmp_path / "bad.json").write_text(manifest)
    assert read_manifest(tmp_path / "bad.json") == {}


def test_of_files_taken_over_nothing_is_written_to_the_disk_again(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    build(run, tmp_path / "site")
    synced: list[int] = []
    real = os.fsync

    def watched(handle: int) -> None:
        synced.append(os.fstat(handle).st_ino)
        real(handle)

    monkeypatch.setattr(os, "fsync", watched)
    boats = [dict(boat) for boat in FLEET]
    boats[1]["berth"] = "B4"
    build(make_run(boats), tmp_path / "site")
    anew = {path.name for path in (tmp_path / "site" / "boats").iterdir() if path.stat().st_ino in synced}
    assert {name.partition("-")[0] for name in anew} == {boats[1]["entry_no"]}
    assert (tmp_path / "site" / "index.html").stat().st_ino in synced


def test_a_new_policy_makes_every_page_anew(run: Run, tmp_path: Path) -> None:
    build(run, tmp_path / "site")
    rally = run.policy.rally.model_copy(update={"name": "Renamed"})
    other = replace(run, policy=run.policy.model_copy(update={"rally": rally}))
    assert build(other, tmp_path / "site").pages_kept == 0


def test_the_last_two_are_kept_and_one_can_go_back(tmp_path: Path) -> None:
    site = tmp_path / "site"
    ids = [release(site, text) for text in ("one", "two", "three")]
    kept = {path.name for path in releases_of(site).iterdir() if path.is_dir()}
    assert kept == set(ids[1:])
    assert (site / "index.html").read_text() == "three"
    assert rollback(site) == ids[1]
    assert (site / "index.html").read_text() == "two"


def test_an_earlier_release_that_was_altered_is_not_put_back(tmp_path: Path) -> None:
    site = tmp_path / "site"
    first, _ = [release(site, text) for text in ("one", "two")]
    (releases_of(site) / first / "index.html").write_text("forged")
    with pytest.raises(OutputError, match="altered since"):
        rollback(site)
    assert (site / "index.html").read_text() == "two"


def test_without_an_earlier_release_nothing_moves(tmp_path: Path) -> None:
    release(tmp_path / "site", "one")
    with pytest.raises(OutputError, match="no earlier release"):
        rollback(tmp_path / "site")
    assert (tmp_path / "site" / "index.html").read_text() == "one"


@pytest.mark.parametrize("broken", ["verify_site", "build_shell", "publish"])
def test_a_build_that_fails_leaves_the_old_site(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, broken: str
) -> None:
    site = tmp_path / "site"
    build(run, site)
    before = content_id(site)

    def fail(*_: object, **__: object) -> None:
        raise OutputError("disk", "it is full", "room", "make room")

    monkeypatch.setattr(sitegen.build, broken, fail)
    with pytest.raises(OutputError, match="it is full"):
        build(make_run(FLEET[:2]), site)
    assert content_id(site) == before
    assert not list(releases_of(site).glob(".building-*"))


KILLED = """
import os, sys
from pathlib import Path
import sitegen.publish as p

def die(*args, **kwargs):
    os.kill(os.getpid(), 9)

def publish_and_die(site, step):
    folder = p.working_folder(site)
    (folder / "index.html").write_text("half" if step == "write" else "new")
    if step == "write":
        die()
    elif step == "rename":
        Path.rename = die
    elif step == "link":
        Path.symlink_to = die
    elif step == "replace":
        real = Path.replace
        Path.replace = lambda self, target: die() if Path(target) == site else real(self, target)
    elif step == "record":
        p._record = die
    elif step == "prune":
        p._prune = die
    p.publish(folder, site)

for step in sys.argv[2:]:
    child = os.fork()
    if not child:
        publish_and_die(Path(sys.argv[1]) / step / "site", step)
    print(step, os.waitpid(child, 0)[1])
"""
STEPS = ("write", "rename", "link", "replace", "record", "prune")


def test_whenever_the_process_dies_a_whole_site_stands(tmp_path: Path) -> None:
    for step in STEPS:
        release(tmp_path / step / "site", "old")
    root = Path(__file__).resolve().parents[2]
    line = [sys.executable, "-c", KILLED, str(tmp_path), *STEPS]
    died = subprocess.run(line, cwd=root, check=True, capture_output=True, text=True)
    assert died.stdout.split("\n")[:-1] == [f"{step} {signal.SIGKILL:d}" for step in STEPS]
    for step in STEPS:
        site = tmp_path / step / "site"
        assert (site / "index.html").read_text() == ("new" if step in {"record", "prune"} else "old"), step
        release(site, "next")
        assert (site / "index.html").read_text() == "next", step
        assert not list(releases_of(site).glob(".building-*")), step


def test_without_symbolic_links_a_folder_is_put_in_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise OSError("not here")

    monkeypatch.setattr(Path, "symlink_to", refuse)
    site = tmp_path / "site"
    for text in ("one", "two"):
        folder = working_folder(site)
        (folder / "assets" / "muster").mkdir(parents=True)
        (folder / "assets" / "muster" / "muster.css").write_text("")
        (folder / "index.html").write_text(text)
        publish(folder, site)
        assert (site / "index.html").read_text() == text
    assert not site.is_symlink()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["releases", "site"]


def test_what_is_carried_to_a_host_is_a_plain_folder_that_each_time_is_replaced_whole(
    run: Run, tmp_path: Path
) -> None:
    site, carried = tmp_path / "site", tmp_path / "carried" / "away"
    build(run, site)
    lay_out(site, carried)
    assert content_id(carried) == content_id(site)
    assert not any(path.is_symlink() for path in (carried, *carried.rglob("*")))
    assert all(path.stat().st_nlink == 1 for path in carried.rglob("*") if path.is_file())
    (carried / "of-before.html").write_text("no page of this site")
    lay_out(site, carried)
    assert content_id(carried) == content_id(site)
    assert [path.name for path in carried.parent.iterdir()] == ["away"], "nothing is left beside it"


@pytest.mark.parametrize("where", ["site", "site/boats/here", "photographs", "linked", "a file"])
def test_a_site_is_carried_nowhere_where_it_would_overwrite_something(
    run: Run, tmp_path: Path, where: str
) -> None:
    build(run, tmp_path / "site")
    (tmp_path / "photographs").mkdir()
    (tmp_path / "photographs" / "stern.jpg").write_bytes(b"a picture")
    (tmp_path / "linked").symlink_to("photographs")
    (tmp_path / "a file").write_text("kept")
    before = content_id(tmp_path)
    with pytest.raises(OutputError, match="nothing was changed"):
        lay_out(tmp_path / "site", tmp_path / where)
    assert content_id(tmp_path) == before


def test_a_folder_of_somebody_else_is_not_touched(run: Run, tmp_path: Path) -> None:
    (tmp_path / "site").mkdir()
    (tmp_path / "site" / "thesis.txt").write_text("years of work")
    with pytest.raises(OutputError, match="not made by this program"):
        build(run, tmp_path / "site")
    assert (tmp_path / "site" / "thesis.txt").read_text() == "years of work"


def test_a_folder_that_cannot_be_written_says_so(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputError, match="can be written"):
        working_folder(tmp_path / "file" / "site")


def test_the_environment_is_as_it_was(run: Run, tmp_path: Path) -> None:
    before = dict(os.environ)
    build(run, tmp_path / "site")
    changed = {k for k in {*before, *os.environ} if before.get(k) != os.environ.get(k)}
    assert changed <= {"NO_MKDOCS_2_WARNING"}  # the theme sets this one when it is imported


def test_progress_is_told_to_the_end(run: Run, tmp_path: Path) -> None:
    told: list[tuple[str, int, int]] = []
    build_site(run.result, run.policy, run.catalogue, tmp_path / "site",
               progress=lambda what, done, total: told.append((what, done, total)))  # fmt: skip
    assert told[-1][1] == told[-1][2] > 0
