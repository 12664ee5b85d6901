"""`rollback` as the safety officer calls it."""

from __future__ import annotations

from pathlib import Path

from fleet_demo import fleet_csv
from tests.calling import call

HEADER = "entry_no,boat_name,boat_type,loa,transom_width,displacement\n"


def run(out: Path, name: str) -> None:
    fleet = out.parent / "fleet.csv"
    fleet.write_text(f"{HEADER}1,{name},sailing monohull,11.6 m,2.9 m,8.5 t\n", encoding="utf-8")
    done = call("run", fleet, "--out", out, "--samples", "0", "--today", "2026-11-25")
    assert done.returncode == 0, done.stderr


def title(out: Path) -> str:
    return (out / "site" / "index.html").read_text(encoding="utf-8")


def test_the_earlier_site_comes_back_and_goes_again(tmp_path: Path) -> None:
    out = tmp_path / "out"
    run(out, "Plover")
    run(out, "Dunlin")
    assert "Dunlin" in title(out)
    back = call("rollback", out)
    assert back.returncode == 0
    assert "Plover" in title(out)
    assert "Dunlin" in (out / "tables" / "sizing.csv").read_text(encoding="utf-8")
    assert "still those of the last run" in " ".join(back.stdout.split())
    assert call("rollback", out).returncode == 0
    assert "Dunlin" in title(out)


def test_where_there_is_nothing_to_go_back_to_it_says_so(tmp_path: Path) -> None:
    none = call("rollback", tmp_path / "nowhere")
    assert none.returncode == 2
    assert "there is no site in it" in " ".join(none.stderr.split())
    assert not (tmp_path / "nowhere").exists()
    run(tmp_path / "out", "Plover")
    one = call("rollback", tmp_path / "out")
    assert one.returncode == 2
    assert "no earlier release is kept" in " ".join(one.stderr.split())
    assert "Plover" in title(tmp_path / "out")


def test_a_file_is_no_output_folder() -> None:
    done = call("rollback", fleet_csv())
    assert done.returncode == 2
    assert "output folder of a run" in " ".join(done.stderr.split())
