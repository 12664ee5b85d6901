"""The program called as its console script calls it."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import pytest

from api.command_line import main

ROOT = Path(__file__).resolve().parent.parent
PROGRAM = [sys.executable, "-c", "from api.command_line import main; main()"]
DAY = ["--today", "2026-11-25"]


Done = subprocess.CompletedProcess[str]


def call(*arguments: str | Path) -> Done:
    """Call the program in this process, as its console script does."""
    out, err = io.StringIO(), io.StringIO()
    before = sys.argv
    sys.argv = ["drogue-muster", *map(str, arguments)]
    try:
        with redirect_stdout(out), redirect_stderr(err), pytest.raises(SystemExit) as ended:
            main()
    finally:
        sys.argv = before
    code = ended.value.code
    assert isinstance(code, int)
    assert "Traceback" not in out.getvalue() + err.getvalue()
    return subprocess.CompletedProcess(arguments, code, out.getvalue(), err.getvalue())


def call_apart(*arguments: str | Path, folder: Path | None = None) -> Done:
    """Call the program in a process of its own, in this folder."""
    done = subprocess.run(
        [*PROGRAM, *map(str, arguments)], capture_output=True, text=True, check=False, cwd=folder,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert "Traceback" not in done.stdout + done.stderr
    return done


def earlier_output(tmp_path: Path) -> Path:
    out = tmp_path / "out"
    (out / "tables").mkdir(parents=True)
    (out / "tables" / "sizing.csv").write_text("before", encoding="utf-8")
    (out / "summary.json").write_text("{}", encoding="utf-8")
    return out
