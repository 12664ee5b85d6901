"""Run the strike for every boat on all cores; a boat that fails is marked and the rest go on."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.drogue.strike import kernel
from sizing.drogue.strike.model import FloatArray
from sizing.drogue.strike.result import BoatStrike, Status, StrikeHistory, StrikeResult
from sizing.drogue.strike.rig import StrikeRigs, named, problems
from sizing.errors import ComputationError

LEDGER_TOLERANCE = 0.01
BLOCK_BOATS = 32


@dataclass(frozen=True)
class Settings:
    """How the equations are solved; the defaults keep the peak within 0.1 % of that of very small steps.

    ``cones_per_node`` lumps neighbouring cones, keeping mass, drag and centre: 2 or 4 move the peak of a
    required rig by less than 0.05 % and run about 3 and 4 times as fast. ``early_end`` ends a run once every
    peak is surely past and the boat was watched for ``watched_s``; ``threads`` None means every core this
    process may use.
    """

    step_fraction: float = 0.9
    end_time_s: float = 60.0
    bare_spacing_m: float = 3.0
    cones_per_node: int = 1
    watched_s: float = kernel.HELD_TIMES_S[-1]
    early_end: bool = True
    threads: int | None = None


DEFAULT_SETTINGS = Settings()


def strike(
    boats: StrikeRigs, labels: Sequence[str] | None = None, settings: Settings = DEFAULT_SETTINGS
) -> StrikeResult:
    """Strike every boat once: peak bridle load, section peaks and the energy ledger, with a status a boat.

    [CG87 5.3, 6.2]; see :mod:`sizing.drogue.strike.model` for the equations. A boat that cannot be computed
    keeps her place: status and error say why, her figures are NaN and :meth:`StrikeResult.boat` refuses to
    hand them out.
    """
    errors = list(problems(boats, labels))
    out = march_rows(boats.rows(), np.array([e is None for e in errors], dtype=bool), settings, ledger=True)
    status = statuses(out, errors, labels)
    given = out["kinetic_start_j"] + out["slope_work_j"] + out["crest_work_j"]
    kept = out["kinetic_end_j"] + out["elastic_end_j"]
    with np.errstate(invalid="ignore", over="ignore"):
        closure = (given - kept - out["cone_loss_j"] - out["line_loss_j"]) / given
    for i in np.flatnonzero(status <= Status.CARRIED):
        if not abs(closure[i]) <= LEDGER_TOLERANCE:
            status[i] = Status.LEDGER_OPEN
            errors[i] = ComputationError(
                named(labels, int(i)),
                f"the energy ledger is open by {closure[i]:.1%}",
                f"no more than {LEDGER_TOLERANCE:.0%}",
                "report this rig, its figures must not be used",
            )
    computed = status <= Status.CARRIED

    def figures(name: str) -> FloatArray:
        values = np.array(out[name], dtype=np.float64)
        values[~computed] = np.nan
        return values

    columns = {name: figures(name) for name in kernel.STRIKE.names or () if name != "code"}
    closure[~computed] = np.nan
    return StrikeResult(status=status, errors=tuple(errors), closure=closure, **columns)


def strike_strict(
    boats: StrikeRigs, labels: Sequence[str] | None = None, settings: Settings = DEFAULT_SETTINGS
) -> StrikeResult:
    """As :func:`strike`, but the first boat that cannot be computed raises her ComputationError."""
    result = strike(boats, labels, settings)
    for error in result.errors:
        if error is not None:
            raise error
    return result


def strike_history(
    boats: StrikeRigs,
    index: int = 0,
    labels: Sequence[str] | None = None,
    settings: Settings = DEFAULT_SETTINGS,
    interval_s: float = 0.01,
) -> tuple[BoatStrike, StrikeHistory]:
    """One boat's strike with its time history; raises her ComputationError if she has no figures."""
    one = boats.take(slice(index, index + 1))
    summary = strike_strict(one, None if labels is None else labels[index : index + 1], settings)
    return summary.boat(0), strike_histories(one, summary, np.array([0]), settings, interval_s)[0]


def strike_histories(
    boats: StrikeRigs,
    summary: StrikeResult,
    which: NDArray[np.int64],
    settings: Settings = DEFAULT_SETTINGS,
    interval_s: float = 0.01,
) -> list[StrikeHistory]:
    """Time history about every ``interval_s``, and envelope along the line, of some boats of a strike.

    ``summary`` is what :func:`strike` gave for the same boats; those in ``which`` have figures in it.
    """
    step, count = summary.step_s[which], summary.segments[which].astype(np.int64)
    every = np.maximum(1, np.rint(interval_s / step)).astype(np.int64)
    points = (summary.end_time_s[which] / (every * step)).astype(np.int64) + 2
    found: list[StrikeHistory] = [None] * len(which)  # type: ignore[list-item]  # filled by the blocks below

    def work(block: NDArray[np.int64]) -> None:
        widest, longest = int(count[block].max()), int(points[block].max())
        kept = _Kept.room_for(len(block), widest, longest)
        fractions = settings.step_fraction / summary.refined[which[block]]
        _march(boats.take(which[block]).rows(), fractions, every[block], kept, settings, False)
        for place, i in enumerate(block):
            used, n = kept.used[place], count[i]
            time_s, load_n, speed_m_s = kept.history[place, :used].T.copy()
            found[i] = StrikeHistory(
                time_s, load_n, speed_m_s, kept.station[place, :n].copy(), kept.envelope[place, :n].copy()
            )

    in_blocks(work, np.arange(len(which)), settings.threads)
    return found


def usable_cores() -> int:
    """Cores this process may run on."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def in_blocks(
    work: Callable[[NDArray[np.int64]], None], which: NDArray[np.int64], threads: int | None
) -> None:
    """Hand blocks of boats to threads; blocks are small enough that long and short boats even out."""
    cores = threads if threads is not None else usable_cores()
    size = max(1, min(BLOCK_BOATS, len(which) // (4 * cores)))
    blocks = [which[i : i + size] for i in range(0, len(which), size)]
    if cores == 1 or len(blocks) <= 1:
        for block in blocks:
            work(block)
        return
    with ThreadPoolExecutor(cores) as pool:
        for _ in pool.map(work, blocks):
            pass


@dataclass(frozen=True, eq=False)
class _Kept:
    """What is kept of each march of a block beside its result; nothing where there is no room."""

    station: FloatArray
    envelope: FloatArray
    history: FloatArray
    used: NDArray[np.int64]

    @classmethod
    def room_for(cls, boats: int, segments: int, points: int) -> _Kept:
        nodes = segments + 1 if segments else 0
        return cls(
            np.zeros((boats, nodes)),
            np.zeros((boats, segments)),
            np.zeros((boats, points, 3)),
            np.zeros(boats, dtype=np.int64),
        )


def _march(
    rows: NDArray[np.void],
    fractions: FloatArray,
    every: NDArray[np.int64],
    kept: _Kept,
    settings: Settings,
    ledger: bool,
) -> NDArray[np.void]:
    """A STRIKE record for each row; the one call into the compiled code."""
    out = np.zeros(len(rows), dtype=kernel.STRIKE)
    out.view(np.float64)[:] = np.nan
    kernel.march_many(
        rows, settings.cones_per_node, settings.bare_spacing_m, fractions, settings.end_time_s,
        settings.watched_s, settings.early_end, ledger, every, kept.station, kept.envelope, kept.history,
        kept.used, out,
    )  # fmt: skip
    return out


def march_rows(
    rows: NDArray[np.void], usable: NDArray[np.bool_], settings: Settings, ledger: bool
) -> NDArray[np.void]:
    """A STRIKE record for each row, NaN for boats not ``usable``; the energies only with ``ledger``."""
    out = np.zeros(len(rows), dtype=kernel.STRIKE)
    out.view(np.float64)[:] = np.nan

    def work(block: NDArray[np.int64]) -> None:
        out[block] = march_block(rows[block], settings, ledger)

    in_blocks(work, np.flatnonzero(usable), settings.threads)
    return out


def march_block(rows: NDArray[np.void], settings: Settings, ledger: bool) -> NDArray[np.void]:
    """A STRIKE record for each row, marched one after the other in this thread, nothing else kept."""
    size = len(rows)
    fractions, none = np.full(size, settings.step_fraction), np.zeros(size, dtype=np.int64)
    return _march(rows, fractions, none, _Kept.room_for(size, 0, 0), settings, ledger)


def statuses(
    out: NDArray[np.void], errors: list[ComputationError | None], labels: Sequence[str] | None
) -> NDArray[np.int8]:
    """Status of each boat from the kernel's code; adds the error of each that failed to ``errors``."""
    code = out["code"]
    status = np.full(len(out), Status.REFUSED, dtype=np.int8)
    for i, error in enumerate(errors):
        if error is not None:
            continue
        if code[i] == kernel.DIVERGED:
            status[i] = Status.DIVERGED
            found, expected = "the computation diverged", "speeds of the order of the crest speed"
        elif code[i] == kernel.TOO_STIFF:
            status[i] = Status.TOO_STIFF
            found = f"the stiffest part needs a step of {out['step_s'][i]:.1e} s"
            expected = (
                f"at most {kernel.MAX_STEPS} steps: lighter ends and very short stiff parts shorten the step"
            )
        elif not np.isfinite(out["peak_load_n"][i]):
            status[i] = Status.DIVERGED
            found, expected = "the peak load is not a number", "a finite load"
        else:
            status[i] = Status.PASSED if code[i] == kernel.PASSED else Status.CARRIED
            continue
        errors[i] = ComputationError(named(labels, i), found, expected, "check stiffness, masses and lengths")
    return status
