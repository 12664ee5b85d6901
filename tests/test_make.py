"""--make: what is asked for is made as a whole run makes it, nothing else, and nothing old passes for new."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fleet_demo import prices_csv
from tests.calling import DAY, Done, call

FLEET = """entry_no,boat_name,boat_type,loa,transom_width,displacement,displacement_basis
1,Plover,sailing monohull,11.6 m,2.9 m,8400 kg,loaded
2,Knot,sailing monohull,12.2 m,3.1 m,8 tons,loaded
"""
ORDER = {"order/order.xlsx", "order/order.json", "order/cuts.csv"}
FILES = {
    "tables": {"tables/sizing.csv", "tables/sizing_columns.csv", "tables/findings.csv"},
    "order": ORDER,
    "papers": {
        *ORDER,
        "order/loft/kits.pdf",
        "order/cards/sea-cards.pdf",
        "papers/officers-list.pdf",
        "papers/scrutineers-sheets-1-letter.pdf",
        "tables/chase.csv",
        "messages/1.txt",
    },
    "site": {"site/index.html"},
}
ALWAYS = {"tables/rejects.csv", "summary.json"}


def run(folder: Path, *more: str | Path) -> Done:
    fleet = folder / "fleet.csv"
    fleet.write_text(FLEET, encoding="utf-8")
    return call(
        "run", fleet, "--prices", prices_csv(), "--out", folder / "out", "--samples", "0", *DAY, *more
    )


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("whole")
    assert run(folder).returncode == 3
    return folder / "out"


@pytest.mark.parametrize("make", [["tables"], ["order"], ["papers,tables"], ["order", "Site"]], ids=" ".join)
def test_what_is_asked_for_is_made_and_nothing_else(make: list[str], tmp_path: Path, whole: Path) -> None:
    done = run(tmp_path, *(word for part in make for word in ("--make", part)))
    assert done.returncode == 3, done.stderr
    out = tmp_path / "out"
    wanted = {part.lower() for word in make for part in word.split(",")}
    made = ALWAYS.union(*(FILES[part] for part in wanted))
    others = set[str]().union(*FILES.values()) - made
    assert [name for name in made if not (out / name).is_file()] == []
    assert [name for name in others if (out / name).exists()] == []
    for name in made - {"summary.json"}:
        assert (out / name).read_bytes() == (whole / name).read_bytes(), name
    assert json.loads((out / "summary.json").read_text(encoding="utf-8"))["made"] == sorted(wanted)
    assert ("order: " in done.stdout) == ("tables" not in wanted or len(wanted) > 1)


def test_what_is_left_of_an_earlier_run_is_said(tmp_path: Path) -> None:
    assert run(tmp_path).returncode == 3
    out = tmp_path / "out"
    order = (out / "order" / "order.json").read_bytes()
    done = run(tmp_path, "--make", "tables")
    assert "left as an earlier run made them, not of this run: site, order, papers, messages\n" in done.stdout
    assert (out / "order" / "order.json").read_bytes() == order
    assert not (out / "tables" / "chase.csv").exists()


def test_a_part_that_is_none_ends_with_a_sentence(tmp_path: Path) -> None:
    done = run(tmp_path, "--make", "tables,pages")
    assert done.returncode == 2
    assert "“pages” is no part of the output" in done.stderr.replace("\n", " ").replace("│ │", "")
    assert not (tmp_path / "out").exists()


def test_tables_alone_leave_the_next_list_something_to_be_compared_with(tmp_path: Path) -> None:
    """Nothing is planned or ordered for tables: the last list worked out whole is compared."""
    assert run(tmp_path).returncode == 3
    done = run(tmp_path, "--make", "tables")
    assert "since the earlier run" not in done.stdout
    assert not (tmp_path / "out" / "tables" / "changes.txt").exists()
    (tmp_path / "fleet.csv").write_text(FLEET.replace("8 tons", "8 t"), encoding="utf-8")
    done = call("run", tmp_path / "fleet.csv", "--out", tmp_path / "out", "--make", "order", *DAY)
    assert done.returncode == 0, done.stderr
    assert "since the earlier run: 1 put right" in done.stdout
