"""The ways to call `python -m tests` share out the tests: none is lost between them, none is run twice."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.__main__ import CHOICES, pytest_arguments

ROOT = Path(__file__).resolve().parent.parent
SOME = """
import pytest
from hypothesis import given, settings, strategies as st

def test_plain(): pass

@pytest.mark.thorough
def test_thorough(): pass

@pytest.mark.endurance
def test_endurance(): pass

@pytest.mark.thorough
@pytest.mark.endurance
def test_both(): pass

@given(st.integers())
def test_property(number): print("examples:", settings().max_examples)
"""


def passed(folder: Path, choice: list[str]) -> tuple[set[str], str]:
    """The tests that a choice runs, by name, and what the run printed."""
    (folder / "test_some.py").write_text(SOME, encoding="utf-8")
    line = [
        sys.executable, "-m", "pytest", "-p", "no:cacheprovider", "-p", "no:schemathesis", "-rpP",
        "-p", "tests.conftest", "-c", str(ROOT / "pyproject.toml"), f"--rootdir={folder}",
        *pytest_arguments([*choice, str(folder)]),
    ]  # fmt: skip
    done = subprocess.run(line, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    names = {row.rpartition("test_")[2] for row in done.stdout.splitlines() if row.startswith("PASSED ")}
    return names, done.stdout


@pytest.mark.thorough
def test_no_test_is_lost_or_run_twice(tmp_path: Path) -> None:
    first, told = passed(tmp_path, ["-n", "1"])
    rest, told_of_rest = passed(tmp_path, ["--thorough-rest", "-n", "0"])
    assert first == {"plain", "property"}
    assert rest == {"thorough", "property"}  # the property with more examples
    assert "1 test was left for python -m tests --thorough" in told
    assert "examples: 10" in told
    assert "examples: 100" in told_of_rest
    assert "left for" not in told_of_rest


@pytest.mark.thorough
def test_the_thorough_run_is_both_and_a_drill_is_in_neither(tmp_path: Path) -> None:
    assert passed(tmp_path, ["--thorough"])[0] == {"plain", "property", "thorough"}
    assert passed(tmp_path, ["--endurance"])[0] == {"endurance", "both"}


def test_other_arguments_are_those_of_pytest() -> None:
    assert pytest_arguments(["-k", "rope", "--thorough", "-n", "0"])[-4:] == ["-k", "rope", "-n", "0"]


def test_two_choices_are_refused() -> None:
    with pytest.raises(SystemExit, match=" and ".join(list(CHOICES)[:2])):
        pytest_arguments(list(CHOICES)[:2])


def test_what_is_not_begun_in_time_is_left_and_said(tmp_path: Path) -> None:
    _, told = passed(tmp_path, ["-n", "0", "--within", "0", "-rs"])
    assert re.search(r"SKIPPED \[2\] .*: not begun within 0 minutes", told)
    assert " passed" not in told
