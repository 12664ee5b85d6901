"""Pages made by other processes are the same pages."""

from __future__ import annotations

import os
import signal
from concurrent.futures import Future, ProcessPoolExecutor
from pathlib import Path

import pytest

import sitegen.page_workers
from sitegen import build_site
from sitegen.boat_facts import BoatFacts, Gatherer
from sitegen.page_workers import MadePage, Rules, boat_made, boats_made
from tests.sitegen.result_builder import TODAY, Run


@pytest.fixture
def in_processes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sitegen.page_workers, "_processes", lambda _: 2)


@pytest.mark.thorough
@pytest.mark.usefixtures("in_processes")
def test_a_site_made_in_processes_has_the_same_bytes(run: Run, site: Path, tmp_path: Path) -> None:
    report = build_site(run.result, run.policy, run.catalogue, tmp_path / "site")
    assert report.release == site.resolve().name


@pytest.mark.usefixtures("in_processes")
def test_a_process_that_dies_costs_no_page(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    gatherer = Gatherer(run.result, run.policy, run.catalogue)
    rules = Rules(run.policy, run.catalogue, TODAY)
    rows = range(len(gatherer))
    expected = [boat_made(gatherer.facts(row), rules) for row in rows]
    real = ProcessPoolExecutor.submit

    def submit_and_kill(self: ProcessPoolExecutor, *args: object, **kwargs: object) -> object:
        future: object = real(self, *args, **kwargs)  # type: ignore[arg-type]
        for process in list(self._processes.values()):
            os.kill(process.pid or 0, signal.SIGKILL)
        return future

    monkeypatch.setattr(ProcessPoolExecutor, "submit", submit_and_kill)
    assert list(boats_made(rows, gatherer.facts, rules)) == expected


@pytest.mark.usefixtures("in_processes")
def test_a_page_handed_in_as_the_pool_breaks_is_not_waited_for_without_end(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The standard library's pool may never answer such a one: here it never does."""
    gatherer = Gatherer(run.result, run.policy, run.catalogue)
    rules = Rules(run.policy, run.catalogue, TODAY)
    rows = range(len(gatherer))

    def submit_to_a_breaking_pool(self: ProcessPoolExecutor, *_: object) -> Future[MadePage]:
        self._broken = "a process ended"  # type: ignore[assignment]
        return Future()

    monkeypatch.setattr(sitegen.page_workers, "LOOK_EVERY_S", 0.01)
    monkeypatch.setattr(ProcessPoolExecutor, "submit", submit_to_a_breaking_pool)
    expected = [boat_made(gatherer.facts(row), rules) for row in rows]
    assert list(boats_made(rows, gatherer.facts, rules)) == expected


def test_few_boats_are_made_here(run: Run) -> None:
    gatherer = Gatherer(run.result, run.policy, run.catalogue)
    gathered: list[int] = []

    def gather(row: int) -> BoatFacts:
        gathered.append(row)
        return gatherer.facts(row)

    boats = boats_made([2, 0], gather, Rules(run.policy, run.catalogue, TODAY))
    assert [(page.frame.title, list(gathered)) for page in boats] == [
        ("Twin Spoon (003)", [2]), ("Grey Plover (001)", [2, 0]),
    ], "one boat at a time, in the order of the pages"  # fmt: skip
