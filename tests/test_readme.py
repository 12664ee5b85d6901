"""The README tells the truth: its commands are those that run, its print-out is what the program prints."""

from __future__ import annotations

import doctest
import re
from pathlib import Path

import pytest

from tests.calling import ROOT, Done
from tests.demo_run import README, commands


def test_there_are_two_commands_for_a_fresh_machine() -> None:
    run, check = commands()
    assert "drogue-muster run fleet_demo/fleet.csv" in run
    assert check.endswith("-m tests")


def test_ci_calls_the_same_test_command() -> None:
    assert commands()[1] in (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()


def test_the_print_out_is_what_the_demo_run_prints(demo_run: tuple[Path, Done]) -> None:
    out, done = demo_run
    shown = re.search(r"```text\n(.+?)\n```", README, re.DOTALL)
    assert shown is not None
    assert [line.rstrip() for line in done.stdout.splitlines()] == [
        line.rstrip() for line in shown[1].splitlines()
    ]
    for name in re.findall(r"`(\w+\.(?:csv|xlsx|json))`", README.split("| in `out`")[1].split("\n\n")[0]):
        assert list(out.rglob(name)), name


def test_the_examples_for_programs_run(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    failed, tried = doctest.testfile(str(ROOT / "README.md"), module_relative=False)
    assert tried
    assert not failed


def test_every_link_leads_somewhere() -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", README):
        assert (ROOT / target).exists(), target
