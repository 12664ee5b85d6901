"""What the base install can do without the extras, and what it says where one is needed."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
WITHOUT = """
import sys
EXTRAS = {"fastapi", "starlette", "uvicorn", "psycopg", "dask", "distributed"}
class NotInstalled:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in EXTRAS:
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)
sys.meta_path.insert(0, NotInstalled())
"""


def without_extras(program: str, *arguments: str | Path) -> subprocess.CompletedProcess[str]:
    """Run a program as if the packages of the extras were not installed."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    environment.pop("DROGUE_MUSTER_DATABASE", None)
    return subprocess.run(
        [sys.executable, "-c", WITHOUT + program, *map(str, arguments)],
        capture_output=True, text=True, check=False, env=environment,
    )  # fmt: skip


MAIN = "from api.command_line import main; main()"


@pytest.mark.parametrize(
    ("extra", "command"),
    [
        ("server", ["serve", "--out"]),
        ("server", ["token", "list", "--database", "postgresql://nobody@127.0.0.1:1/none", "--out"]),
    ],
)
def test_what_needs_the_server_extra_says_what_to_install(
    tmp_path: Path, extra: str, command: list[str]
) -> None:
    done = without_extras(MAIN, *command, tmp_path / "data")
    assert done.returncode == 2
    assert f"'.[{extra}]'" in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "data").exists()


def test_a_scheduler_needs_the_cluster_extra_and_says_so() -> None:
    program = (
        "import numpy as np\n"
        "from sizing.drogue.strike.spread import run_ensembles\n"
        "from tests.sizing.drogue.strike.boats import design_load_n, required_fleet\n"
        "from sizing.drogue.strike import parts\n"
        "what = parts(np.array([[design_load_n(10_000)]]))\n"
        "run_ensembles(required_fleet((10_000,)), what, scheduler='tcp://127.0.0.1:1')\n"
    )
    done = without_extras(program)
    assert "MusterError" in done.stderr
    assert "'.[cluster]'" in done.stderr


def test_the_base_install_makes_tokens_and_backups(tmp_path: Path) -> None:
    """The data of a server can be looked after where none can be started."""
    data = ("--out", tmp_path / "data")
    made = without_extras(MAIN, "token", "make", "B. Vennor", "--role", "officer", *data)
    assert made.returncode == 0, made.stderr
    assert "token: dm_" in made.stdout
    saved = without_extras(MAIN, "backup", tmp_path / "saved.zip", *data)
    assert "written and checked" in saved.stdout, saved.stderr
