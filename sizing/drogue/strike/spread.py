"""Ensembles over many machines: the same function on chunks of boats, here or through a dask scheduler.

Each boat's figures come from the same compiled code on the same numbers wherever she is computed, so a
spread run equals the local one bit for bit, given the same program version and processor family on every
worker.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import fields, replace
from typing import Any

import numpy as np

from sizing.drogue.strike.ensemble import EnsembleResult, Parts, Plan, ensembles
from sizing.drogue.strike.result import Status
from sizing.drogue.strike.rig import StrikeRigs
from sizing.drogue.strike.run import DEFAULT_SETTINGS, Settings
from sizing.errors import ComputationError, missing_extra

SCHEDULER_VARIABLE = "DROGUE_MUSTER_SCHEDULER"


def run_ensembles(
    boats: StrikeRigs,
    what: Parts,
    labels: Sequence[str] | None = None,
    plan: Plan | None = None,
    settings: Settings = DEFAULT_SETTINGS,
    scheduler: str | None = None,
    progress: Callable[[int, int], None] | None = None,
    chunk_boats: int = 16,
    retries: int = 3,
) -> EnsembleResult:
    """Ensembles of every boat, here or on the workers of a dask scheduler.

    ``scheduler``: an address such as ``tcp://127.0.0.1:8786``; if None, the environment variable
    DROGUE_MUSTER_SCHEDULER; if that is not set either, this computer. ``progress(done, all)`` counts boats.
    A chunk whose worker dies goes to another worker; one that fails is tried again ``retries`` times, then
    its boats are marked failed with the reason and the others stand.
    """
    address = scheduler or os.environ.get(SCHEDULER_VARIABLE)
    if not address:
        return ensembles(boats, what, labels, plan, settings, progress)
    names = list(labels) if labels is not None else [f"boat {i + 1}" for i in range(len(boats))]
    starts = range(0, len(boats), max(1, chunk_boats))
    cuts = [slice(s, min(s + max(1, chunk_boats), len(boats))) for s in starts]
    return joined(_on_cluster(address, boats, what, names, plan or Plan(), settings, cuts, progress, retries))


def _on_cluster(
    address: str,
    boats: StrikeRigs,
    what: Parts,
    names: list[str],
    plan: Plan,
    settings: Settings,
    cuts: list[slice],
    progress: Callable[[int, int], None] | None,
    retries: int,
) -> list[EnsembleResult]:
    try:
        from distributed import Client, as_completed  # noqa: PLC0415 - a local run must not pay for it
    except ModuleNotFoundError as lost:
        raise missing_extra("cluster", lost) from None

    # A worker runs one chunk a thread already; more threads inside would only fight over its cores.
    here = replace(settings, threads=1)
    results: dict[int, EnsembleResult] = {}
    done = 0
    with Client(address, set_as_default=False) as client:  # type: ignore[no-untyped-call]

        def submit(j: int) -> Any:
            c = cuts[j]
            return client.submit(
                ensembles, boats.take(c), what.take(c), names[c], plan, here, retries=retries, pure=False
            )

        futures: dict[Any, int] = {submit(j): j for j in range(len(cuts))}
        again = dict.fromkeys(range(len(cuts)), 0)
        arrivals = as_completed(list(futures), loop=client.loop)  # type: ignore[no-untyped-call]
        for future in arrivals:
            j = futures[future]
            if future.status == "finished":
                try:
                    results[j] = future.result()
                except RuntimeError as lost:
                    # A worker that dies between finishing a chunk and handing it over takes the result with
                    # it, and the wait for its return can then fail inside the library: ask for it anew.
                    again[j] += 1
                    if again[j] <= retries:
                        fresh = submit(j)
                        futures[fresh] = j
                        arrivals.add(fresh)  # type: ignore[no-untyped-call]
                        continue
                    results[j] = _lost(names[cuts[j]], what.strength_n.shape[1], repr(lost))
            else:
                reason = repr(future.exception()) if future.status == "error" else future.status
                results[j] = _lost(names[cuts[j]], what.strength_n.shape[1], reason)
            done += cuts[j].stop - cuts[j].start
            if progress is not None:
                progress(done, len(boats))
    return [results[j] for j in range(len(cuts))]


def _lost(names: list[str], width: int, reason: str) -> EnsembleResult:
    errors = [
        ComputationError(
            f"wave strike of {name}",
            f"her computation was lost: {reason}",
            "workers that stay up",
            "run her again",
        )
        for name in names
    ]
    return EnsembleResult.without_figures(Status.LOST, errors, width)


def joined(results: Sequence[EnsembleResult]) -> EnsembleResult:
    """The results of consecutive chunks as one."""
    columns: dict[str, Any] = {}
    for f in fields(EnsembleResult):
        found = [getattr(r, f.name) for r in results]
        columns[f.name] = sum(found, ()) if f.name == "errors" else np.concatenate(found)
    return EnsembleResult(**columns)
