"""Speed of the wave-strike kernel, measured against scipy and against itself in one run.

Run from the project's folder: ``python -m tests.benchmarks.strike [share of the repeats]``. One-core
figures are processor time, which other work on the machine hardly disturbs, the best of several; figures on
two cores are given by the clock, which it does, and by processor time, which shows what the threads
themselves lose. Every ratio is taken inside this run.
"""

from __future__ import annotations

import math
import os
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.sparse import lil_matrix

from sizing.drogue.calibration import calibration_rigs
from sizing.drogue.strike import DEFAULT_SETTINGS, Plan, Settings, StrikeRigs, ensembles, parts, strike
from sizing.drogue.strike.kernel import advance
from sizing.drogue.strike.line import HEADS, assemble, hull_drag, room, step_limit
from sizing.drogue.strike.run import march_rows, usable_cores
from sizing.drogue.strike.sampled import sample_rows

Array = NDArray[np.float64]
ONE_CORE = replace(DEFAULT_SETTINGS, threads=1, watched_s=0.0)
"""As the samples are run; a single strike is watched for longer, and keeps the ledger."""
TWO_CORES = replace(ONE_CORE, threads=2)
ACCURACY = 1e-3


def best(work: Callable[[], Any], times: float, clock: Callable[[], float] = time.process_time) -> float:
    """Shortest time (s) of ``work`` in some runs; processor time of all threads unless told otherwise."""
    found = math.inf
    for _ in range(max(1, round(times))):
        start = clock()
        work()
        found = min(found, clock() - start)
    return found


def rig_of_152_segments() -> StrikeRigs:
    """The required rig nearest to 152 segments."""
    for pounds in range(30_000, 40_000, 250):
        _, boat = calibration_rigs((pounds,))
        if strike(boat).segments[0] >= 152:
            return boat
    raise AssertionError("no required rig has 152 segments")


def scipy_problem(boat: StrikeRigs) -> tuple[Callable[..., Array], Array, Any]:
    """Right-hand side, start and Jacobian pattern; speed and stretch alternate: a banded Jacobian."""
    row = boat.rows()[0]
    size = room(row, 3.0)
    k, m, q, at = np.zeros(size), np.zeros(size + 1), np.zeros(size + 1), np.zeros(size + 1)
    n = assemble(row, 1, 3.0, k, m, q, at, np.zeros(len(HEADS), dtype=np.int64))
    k, m, q = k[:n], m[: n + 1], q[: n + 1]
    push = row["displacement_kg"] * row["gravity_m_s2"] * math.tan(row["slope_rad"])
    hull, crest = hull_drag(row), row["crest_speed_m_s"]

    def rates(_: float, y: Array, phase: int) -> Array:
        v, e = y[0:-1:2], y[1:-1:2]
        d = v[:-1] - v[1:]
        pull = k * np.maximum(0.0, e + 1e-4 * d)
        force = -q * v * np.maximum(v, -0.3 * v)
        force[:-1] -= pull
        force[1:] += pull
        force[0] += (push, hull * (crest - v[0]) * abs(crest - v[0]), 0.0)[phase]
        out = np.empty_like(y)
        out[0:-1:2] = force / m
        out[1:-1:2] = d
        out[-1] = crest - v[0]
        return out

    y0 = np.zeros(2 * n + 2)
    y0[0] = crest
    y0[1] = -row["slack_m"]
    pattern = lil_matrix((len(y0), len(y0)))
    for i in range(len(y0) - 1):
        pattern[i, max(0, i - 3) : min(len(y0) - 1, i + 4)] = 1
    pattern[len(y0) - 1, 0] = 1
    return rates, y0, (pattern.tocsc(), k)


def scipy_run(problem: Any, method: str, rtol: float, end: float) -> float:
    """Peak bridle load by one of scipy's integrators, phase by phase."""
    integrate: Any = solve_ivp
    rates, y, (pattern, k) = problem
    extra: dict[str, Any] = {"lband": 3, "uband": 3} if method == "LSODA" else {"jac_sparsity": pattern}
    if method == "RK45":
        extra = {}
    t, peak = 0.0, 0.0
    for phase, passed in ((0, 3.0), (1, 9.0), (2, math.inf)):

        def reached(_: float, state: Array, __: int, passed: float = passed) -> float:
            return float(state[-1] - passed) if math.isfinite(passed) else 1.0

        reached.terminal = True  # type: ignore[attr-defined]
        s = integrate(
            rates,
            (t, end),
            y,
            method=method,
            events=reached,
            rtol=rtol,
            atol=rtol * 1e-2,
            args=(phase,),
            **extra,
        )
        loads = k[0] * np.maximum(0.0, s.y[1] + 1e-4 * (s.y[0] - s.y[2]))
        # A parabola through the three points round the greatest: the integrator's own points are sparse.
        i = int(loads.argmax())
        if 0 < i < len(loads) - 1:
            a, b, c = np.polyfit(s.t[i - 1 : i + 2] - s.t[i], loads[i - 1 : i + 2], 2)
            peak = max(peak, float(c - b * b / (4 * a)) if a < 0 else float(loads[i]))
        peak = max(peak, float(loads[i]))
        t, y = float(s.t[-1]), s.y[:, -1]
        if t >= end:
            break
    return peak


def against_scipy(boat: StrikeRigs, share: float) -> None:
    """Time at equal accuracy: the loosest tolerance that holds the peak within 0.1 % of a very fine run."""
    truth = strike(boat, settings=replace(ONE_CORE, step_fraction=0.02)).peak_load_n[0]
    result = strike(boat, settings=ONE_CORE)
    end = float(result.end_time_s[0])
    rows, usable = boat.rows(), np.array([True])
    ours = best(lambda: march_rows(rows, usable, ONE_CORE, ledger=False), 200 * share)
    error = result.peak_load_n[0] / truth - 1
    print(f"kernel          {ours * 1e3:9.3f} ms a run, peak off by {error:+.3%}, {end:.2f} s simulated")
    problem = scipy_problem(boat)
    quickest = math.inf
    for method, tolerances in (
        ("Radau", (1e-2, 1e-3, 1e-4)),
        ("BDF", (1e-3, 1e-4, 1e-5)),
        ("LSODA", (1e-3, 1e-4, 1e-5)),
        ("RK45", (1e-3,)),
    ):
        for rtol in tolerances:

            def run(method: str = method, rtol: float = rtol) -> float:
                return scipy_run(problem, method, rtol, end)

            error = run() / truth - 1
            within = abs(error) <= ACCURACY
            if not within and rtol != tolerances[-1]:
                continue
            spent = best(run, 3 * share)
            note = "" if within else "  (not within 0.1 %, not counted)"
            print(
                f"scipy {method:9s} {spent * 1e3:9.1f} ms at rtol {rtol:g}, peak off by {error:+.3%}, "
                f"{spent / ours:7.0f} x the kernel{note}"
            )
            quickest = min(quickest, spent if within else math.inf)
            break
    print(f"best scipy method over kernel, one core: {quickest / ours:.0f} x")


def scaling(boat: StrikeRigs, share: float) -> None:
    """One core to two, batch sizes, and runs a second, on samples of one boat of 152 segments."""
    rows = np.concatenate([sample_rows(boat, Plan(samples=1024).points()).ravel()] * 2)
    print(f"\nother work on this machine: load {os.getloadavg()[0]:.1f} on {usable_cores()} cores")
    print("batch  one core by clock    two by clock  two over one  processor time a run, one thread over two")
    for size in (1, 16, 64, 256, 1024, 2048):
        clocks, used = [], []
        for settings in (ONE_CORE, TWO_CORES):

            def run(settings: Settings = settings, batch: NDArray[np.void] = rows[:size]) -> None:
                march_rows(batch, np.ones(len(batch), dtype=bool), settings, ledger=False)

            times = share * max(2, 256 // size)
            clocks.append(best(run, times, time.perf_counter))
            used.append(best(run, times))
        print(
            f"{size:5d} {size / clocks[0]:11.0f} runs/s {size / clocks[1]:11.0f} runs/s "
            f"{clocks[0] / clocks[1]:10.2f} x {used[0] / used[1]:12.0%}"
        )


def demonstration(share: float) -> None:
    """Sixty boats of many sizes, 256 samples each, with all statistics."""
    pounds = tuple(np.linspace(4_500, 60_000, max(2, round(60 * share))))
    needed, fleet = calibration_rigs(pounds)
    strengths = parts(needed.design_load_n[:, None])
    start, used = time.perf_counter(), time.process_time()
    ensembles(fleet, strengths)
    spent, used = time.perf_counter() - start, time.process_time() - used
    print(
        f"\nensemble of {len(pounds)} boats x 256 samples, {usable_cores()} cores: {spent:.2f} s by "
        f"the clock, {len(pounds) * 256 / spent:.0f} runs/s; {used:.2f} s of processor time"
    )


def slack(boat: StrikeRigs) -> None:
    """Peak against a taut start."""
    lengths = np.array([0.0, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0])
    for pounds in (7_500, 60_000):
        _, boats = calibration_rigs((pounds,) * len(lengths))
        result = strike(replace(boats, slack_m=lengths))
        factors = result.peak_load_n / result.peak_load_n[0]
        line = ", ".join(f"{s:g} m {f:.3f}" for s, f in zip(lengths[1:], factors[1:], strict=True))
        print(f"slack at the start, peak over taut start, {pounds:,} lb: {line}")


def where_the_time_goes(boat: StrikeRigs, share: float) -> None:
    """Shares of one run: set-up, the pass over the nodes, the rest of the loop; and what the ledger adds."""
    rows, usable = boat.rows(), np.array([True])
    result = strike(boat, settings=ONE_CORE)
    n, steps = int(result.segments[0]), int(result.end_time_s[0] / result.step_s[0])
    whole = best(lambda: march_rows(rows, usable, ONE_CORE, ledger=False), 200 * share)
    ledger = best(lambda: march_rows(rows, usable, ONE_CORE, ledger=True), 100 * share)
    short = replace(ONE_CORE, end_time_s=1e-9)
    set_up = best(lambda: march_rows(rows, usable, short, ledger=False), 200 * share)
    nodes = pass_time(boat, n, steps, share)
    print(
        f"\none run of {n} segments, {steps} steps: {whole * 1e3:.3f} ms, "
        f"{whole / steps / n * 1e9:.2f} ns a node and step"
    )
    for name, part in (
        ("set-up: call, assembly, stable step", set_up),
        ("pass over the nodes", nodes),
        ("force on the boat, heads, checks", whole - set_up - nodes),
    ):
        print(f"  {name:38s} {part / whole:6.1%}")
    print(f"  with the energy ledger {ledger / whole:.2f} x")


def pass_time(boat: StrikeRigs, n: int, steps: int, share: float) -> float:
    """Time of the pass over the nodes alone in a run's steps; its driver loop is compiled here."""
    one_pass = advance

    @njit(error_model="numpy")
    def passes(kdt: Array, dtm: Array, dq: Array, v: Array, s: Array, tension: Array, times: int) -> None:
        for _ in range(times):
            one_pass(len(s), kdt, 0.1, dtm, dq, 0.3, 1e4, v, s, tension)

    row = boat.rows()[0]
    size = room(row, 3.0)
    k, m, q, at = np.zeros(size), np.zeros(size + 1), np.zeros(size + 1), np.zeros(size + 1)
    assemble(row, 1, 3.0, k, m, q, at, np.zeros(len(HEADS), dtype=np.int64))
    k, m, q = k[:n], m[: n + 1], q[: n + 1]
    dt = 0.9 * step_limit(n, k, m, q, 1e-4, 18.0)

    def work(times: int = steps) -> None:
        passes(k * dt, dt / m, q * dt / m, np.zeros(n + 1), np.zeros(n), np.zeros(n + 1), times)

    work(1)
    return best(work, 100 * share)


def lumping(boat: StrikeRigs, share: float) -> None:
    """What two and four cones a node save and cost."""
    exact = strike(boat, settings=ONE_CORE).peak_load_n[0]
    rows, usable = boat.rows(), np.array([True])
    base = best(lambda: march_rows(rows, usable, ONE_CORE, ledger=False), 100 * share)
    for cones in (2, 4):
        lumped = replace(ONE_CORE, cones_per_node=cones)
        spent = best(lambda s=lumped: march_rows(rows, usable, s, ledger=False), 100 * share)  # type: ignore[misc]
        error = strike(boat, settings=lumped).peak_load_n[0] / exact - 1
        print(f"{cones} cones a node: {base / spent:.1f} x faster, peak {error:+.2%}")


def main(share: float) -> None:
    """Print every measurement."""
    start = time.perf_counter()
    _, light = calibration_rigs((7_500,))
    strike(light)
    print(f"first strike, from the compiled cache or compiling: {time.perf_counter() - start:.2f} s")
    boat = rig_of_152_segments()
    against_scipy(boat, share)
    scaling(boat, share)
    demonstration(share)
    where_the_time_goes(boat, share)
    lumping(boat, share)
    slack(boat)
    print(f"\nall measured in {time.perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 1.0)
