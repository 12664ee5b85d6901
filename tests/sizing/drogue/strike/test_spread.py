"""Ensembles through a dask scheduler: the same bits, also when a worker is killed on the way."""

from __future__ import annotations

import os
import signal
from dataclasses import fields
from typing import Any

import numpy as np
import pytest
from distributed import Client, Future, LocalCluster

from sizing.drogue.strike import EnsembleResult, Plan, ensembles, parts, run_ensembles
from sizing.drogue.strike.spread import SCHEDULER_VARIABLE
from tests.sizing.drogue.strike.boats import design_load_n, required_fleet

FLEET_LB = tuple(np.geomspace(4_500, 60_000, 24))
PLAN = Plan(samples=64)


def same_bits(one: EnsembleResult, other: EnsembleResult) -> bool:
    """Whether two results agree in every bit and message."""
    return [str(e) for e in one.errors] == [str(e) for e in other.errors] and all(
        np.array_equal(getattr(one, f.name), getattr(other, f.name), equal_nan=True)
        for f in fields(EnsembleResult)
        if f.name != "errors"
    )


@pytest.mark.thorough
@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")
def test_two_workers_one_killed_midway_give_the_local_bits(monkeypatch: pytest.MonkeyPatch) -> None:
    fleet = required_fleet(FLEET_LB)
    weight = fleet.end_weight_kg
    weight[5] = np.nan
    what = parts(np.array([[design_load_n(lb)] for lb in FLEET_LB]))
    labels = [f"boat of {lb:.0f} lb" for lb in FLEET_LB]
    local = ensembles(fleet, what, labels, PLAN)
    assert not local.boat_ok[5]
    killed: list[int] = []
    seen: list[tuple[int, int]] = []
    with (
        LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, host="127.0.0.1", dashboard_address=None
        ) as cluster,  # type: ignore[no-untyped-call]
        Client(cluster) as client,  # type: ignore[no-untyped-call]
    ):
        workers = list(client.run(os.getpid).values())
        assert len(workers) == 2

        def progress(done: int, everything: int) -> None:
            seen.append((done, everything))
            if not killed:
                killed.append(workers[0])
                os.kill(workers[0], signal.SIGKILL)

        monkeypatch.setenv(SCHEDULER_VARIABLE, cluster.scheduler_address)
        spread = run_ensembles(fleet, what, labels, PLAN, progress=progress, chunk_boats=2)
    assert killed
    assert len(seen) == 12
    assert seen[-1] == (24, 24)
    assert same_bits(local, spread)


@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")
def test_a_result_lost_on_its_way_here_is_asked_for_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    fleet = required_fleet()
    what = parts(np.full((5, 1), 1e5))
    handed_over = Future.result
    failed: list[str] = []

    def fails_once(future: Any, timeout: Any = None) -> Any:
        if not failed:
            failed.append(future.key)
            raise RuntimeError("bound to a different event loop")
        return handed_over(future, timeout)

    with LocalCluster(
        n_workers=1, threads_per_worker=1, processes=True, host="127.0.0.1", dashboard_address=None
    ) as cluster:  # type: ignore[no-untyped-call]
        monkeypatch.setattr(Future, "result", fails_once)
        spread = run_ensembles(fleet, what, plan=PLAN, scheduler=cluster.scheduler_address, chunk_boats=2)
    assert failed
    assert same_bits(spread, ensembles(fleet, what, [f"boat {i + 1}" for i in range(5)], PLAN))


def test_without_a_scheduler_it_runs_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(SCHEDULER_VARIABLE, raising=False)
    fleet = required_fleet()
    what = parts(np.full((5, 1), 1e5))
    steps: list[tuple[int, int]] = []
    result = run_ensembles(fleet, what, plan=PLAN, progress=lambda done, n: steps.append((done, n)))
    assert same_bits(result, ensembles(fleet, what, plan=PLAN))
    assert steps == [(5, 5)]
