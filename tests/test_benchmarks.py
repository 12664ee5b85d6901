"""Every benchmark still runs, on next to nothing: its figures mean nothing here."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.calling import ROOT

FOLDER = ROOT / "tests" / "benchmarks"
LEAST = {
    "api": "0.2",
    "cutting": "3",
    "intake": "300",
    "muster": "3",
    "ropes_together": "4",
    "season_store": "3",
    "site": "4",
    "slips": "",
    "strike": "0.01",
}


def test_every_benchmark_is_tried() -> None:
    run_by_hand = {path.stem for path in FOLDER.glob("*.py") if "__main__" in path.read_text("utf-8")}
    assert run_by_hand == set(LEAST)


OF_FRESH_COPIES = {"muster"}
"""Which compile the program anew, several times."""


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(name, marks=pytest.mark.endurance if name in OF_FRESH_COPIES else pytest.mark.thorough)
        for name in LEAST
    ],
)
def test_it_runs_and_prints_ratios(name: str, tmp_path: Path) -> None:
    line = [sys.executable, "-m", f"tests.benchmarks.{name}", LEAST[name]]
    done = subprocess.run(line, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert re.search(r"\d%| x |times|against|of bare", done.stdout), done.stdout
