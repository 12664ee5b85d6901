"""The README's run of the demo, made once for all tests and all their workers, and only read afterwards."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path

import pytest
from filelock import FileLock

from tests.calling import DAY, ROOT, Done, call_apart

README = (ROOT / "README.md").read_text(encoding="utf-8")
TOLD = "told.json"


def commands() -> list[str]:
    """The commands that the README gives for a fresh machine: to run, and to check."""
    return re.findall(r"```sh\n(python3 -m venv .+)\n```", README)


@pytest.fixture(scope="session")
def shared_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder for this run of the tests that all its workers see."""
    own = tmp_path_factory.getbasetemp()
    return own.parent if "PYTEST_XDIST_WORKER" in os.environ else own


@pytest.fixture(scope="session")
def demo_run(shared_folder: Path) -> tuple[Path, Done]:
    """The folder that the README's command wrote, and what it printed."""
    folder = shared_folder / "demo"
    command = commands()[0].split(".venv/bin/drogue-muster ")[1].split()
    with FileLock(shared_folder / "demo.lock"):
        if not (folder / TOLD).exists():
            folder.mkdir()
            (folder / "fleet_demo").symlink_to(ROOT / "fleet_demo")
            done = call_apart(*command, *DAY, folder=folder)
            told = {"returncode": done.returncode, "stdout": done.stdout, "stderr": done.stderr}
            (folder / TOLD).write_text(json.dumps(told), encoding="utf-8")
    told = json.loads((folder / TOLD).read_text(encoding="utf-8"))
    return folder / "out", Done(command, **told)
