"""What a run leaves out, by choice or for time, is said at its end; how many examples a property has."""

from __future__ import annotations

import gc
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from tests.browser import browser
from tests.demo_run import demo_run, shared_folder
from tests.nu_checker import HOW, WANTED

__all__ = ["browser", "demo_run", "shared_folder"]  # fixtures, found by their names here

# No limit of time: a busy machine must not fail a test.
UNTIMED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("default", UNTIMED, max_examples=10)
settings.register_profile("thorough", UNTIMED, max_examples=100)
settings.load_profile("default")

gc.disable()  # while tests are collected: what modules hold is no garbage, and looking for some takes a third

LEFT = pytest.StashKey[int]()
STARTED_S = time.monotonic()


def pytest_addoption(parser: pytest.Parser) -> None:
    told = "Begin no test later than so many minutes after the start; how many were left is said."
    parser.addoption("--within", type=float, metavar="MINUTES", help=told)


def pytest_runtest_setup(item: pytest.Item) -> None:
    within: float | None = item.config.getoption("--within")
    if within is not None and time.monotonic() - STARTED_S > 60 * within:
        pytest.skip(f"not begun within {within:g} minutes")


def pytest_configure(config: pytest.Config) -> None:
    config.stash[LEFT] = 0


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Files beside this one first: they start the whole program, and take long."""
    here = Path(__file__).parent
    items.sort(key=lambda item: item.path.parent != here)


def pytest_collection_finish() -> None:
    """What is there now stays, and is not looked through again for each small heap of garbage."""
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)
    gc.enable()


def pytest_deselected(items: Sequence[pytest.Item]) -> None:
    left = [item for item in items if "thorough" in item.keywords and "endurance" not in item.keywords]
    if left:
        left[0].config.stash[LEFT] += len(left)


def pytest_sessionfinish(session: pytest.Session) -> None:
    workeroutput = getattr(session.config, "workeroutput", None)
    if workeroutput is not None:
        workeroutput["left"] = session.config.stash[LEFT]


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any, error: object) -> None:
    """A worker of pytest-xdist has ended: each of them left out the same tests."""
    node.config.stash[LEFT] = getattr(node, "workeroutput", {}).get("left", 0)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if left := terminalreporter.config.stash[LEFT]:
        tests = "1 test was" if left == 1 else f"{left:,} tests were"
        terminalreporter.write_line(f"{tests} left for python -m tests --thorough", yellow=True)
    if not WANTED:
        terminalreporter.write_line(HOW, yellow=True)
