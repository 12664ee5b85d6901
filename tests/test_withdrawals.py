"""A list that leaves out much of the fleet stops before it replaces anything, unless that is meant."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.calling import DAY, Done, call

HEADER = "entry_no,boat_name,boat_type,loa,transom_width,displacement"
BOATS = [
    f"{n:03},Boat {n},sailing monohull,{9 + n / 10:.1f} m,2.9 m,{6000 + 100 * n} kg" for n in range(1, 12)
]
BLANK = "012,Dunlin,sailing monohull,11.6 m,2.9 m,"
MENDED = f"{BLANK}8400 kg"


def run(folder: Path, boats: list[str], *options: str | Path, header: str = HEADER) -> Done:
    """Run a list of these boats, without strikes."""
    fleet = folder / "fleet.csv"
    fleet.write_text("\n".join([header, *boats]) + "\n", encoding="utf-8")
    return call("run", fleet, "--samples", "0", *options, *DAY)


def everything(folder: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture(scope="module")
def earlier(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The output of a run of twelve rows, one of them rejected."""
    folder = tmp_path_factory.mktemp("earlier")
    done = run(folder, [*BOATS, BLANK], "--out", folder / "out")
    assert done.returncode == 3, done.stderr
    return folder / "out"


def stops(done: Done, gone: int, named: str) -> None:
    said = " ".join(done.stderr.split())
    assert done.returncode == 2, done.stdout
    assert f"it leaves out {gone} of the 11 boats" in said
    assert named in said
    assert "--withdraw" in said
    assert "rejects.csv belong back in it" in said


def season(earlier: Path, tmp_path: Path) -> Path:
    """That run's season, to go on with."""
    return shutil.copytree(earlier, tmp_path / "out", symlinks=True)


def test_mended_rejects_run_on_their_own_replace_nothing(earlier: Path, tmp_path: Path) -> None:
    """As the officer would: the rejected row mended in rejects.csv, and that file run."""
    out = season(earlier, tmp_path)
    before = everything(out)
    rejects = (out / "tables" / "rejects.csv").read_text(encoding="utf-8-sig")
    mended = rejects.replace(BLANK, MENDED)
    assert mended != rejects
    header, *rows = mended.splitlines()
    stops(run(tmp_path, rows, "--out", out, header=header), 11, "001 Boat 1, 002 Boat 2, 003 Boat 3")
    assert everything(out) == before


def test_one_of_eleven_may_withdraw_and_two_are_asked_about(earlier: Path, tmp_path: Path) -> None:
    """A boat whose row is rejected now is still on the list, and so is one whose number changed."""
    out = season(earlier, tmp_path)
    rejected = BOATS[2].replace("6300 kg", "")
    renumbered = BOATS[3].replace("004", "404")
    stops(run(tmp_path, [rejected, renumbered, *BOATS[4:]], "--out", out), 2, ": 001 Boat 1, 002 Boat 2")
    done = run(tmp_path, [BOATS[0], rejected, renumbered, *BOATS[4:]], "--out", out)
    assert done.returncode == 3, done.stderr
    assert "1 withdrawn" in done.stdout


def test_withdrawals_that_are_meant_go_through(earlier: Path, tmp_path: Path) -> None:
    done = run(tmp_path, BOATS[:2], "--out", season(earlier, tmp_path), "--withdraw")
    assert done.returncode == 0, done.stderr
    assert "9 withdrawn" in done.stdout


def test_a_season_that_cannot_be_read_is_no_leave_to_replace_it(tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "season.sqlite").write_bytes(b"{" * 4096)
    done = run(tmp_path, BOATS[:1], "--out", out)
    assert done.returncode == 2
    assert "to mend" in done.stderr
    assert [path.name for path in out.iterdir()] == ["season.sqlite"]
