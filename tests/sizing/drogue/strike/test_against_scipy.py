"""The compiled march against scipy's stiff integrator on the same equations, written here a second time.

Positions instead of elongations, numpy instead of compiled loops, an adaptive implicit method instead of a
fixed explicit step, phases cut by events instead of by step: what they share is the model alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.sparse import lil_matrix

from sizing.drogue.strike import DEFAULT_SLOPE_RAD, HELD_TIMES_S, strike
from tests.sizing.drogue.strike.boats import required_columns, required_rig

Array = NDArray[np.float64]


def chain(c: dict[str, Any]) -> tuple[Array, Array, Array]:
    """Compliances between nodes, node masses and node drags of a rig in three cone sections."""
    pieces = round(c["lead_length_m"] / 3.0)
    one = c["lead_length_m"] / pieces
    give = [c["bridle_length_m"] / c["bridle_ea_n"]] + [one / c["lead_ea_n"]] * pieces
    weight = [c["bridle_length_m"] * c["bridle_mass_kg_per_m"]] + [one * c["lead_mass_kg_per_m"]] * pieces
    own = [0.0] * pieces + [0.0]
    cones = [0] * (pieces + 1)
    pitch = c["cone_pitch_m"]
    joined = False
    for j in range(3):
        ea, mu = c["section_ea_n"][0][j], c["section_mass_kg_per_m"][0][j]
        for _ in range(c["section_cones"][0][j]):
            if not joined:  # the last piece of the lead line and the first pitch are one segment
                give[-1] += pitch / ea
                weight[-1] += pitch * mu
                own[-1], cones[-1], joined = 1.5, 1, True
                continue
            give.append(pitch / ea)
            weight.append(pitch * mu)
            own.append(1.5)
            cones.append(1)
    tail = c["section_length_m"][0][2] - c["section_cones"][0][2] * pitch
    give.append(tail / ea)
    weight.append(tail * mu)
    own.append(c["end_weight_kg"])
    cones.append(0)
    mass = np.array([c["displacement_kg"] * 1.05, *own])
    half = 0.5 * np.array(weight)
    mass[:-1] += half
    mass[1:] += half
    drag = 0.5 * 1025.0 * 1.2 * c["cone_mouth_area_m2"] * np.array([0, *cones], dtype=float)
    drag[-1] += 0.5 * 1025.0 * 1.0 * (c["end_weight_kg"] / 7850.0) ** (2 / 3)
    return 1.0 / np.array(give), mass, drag


@dataclass(frozen=True)
class Radau:
    """Peak bridle load (N) and its time, time on the crest (s), speed and run at HELD_TIMES_S (m/s, m)."""

    peak_n: float
    when_s: float
    crest_s: float
    speed: Array
    run: Array


def by_radau(c: dict[str, Any], slack_m: float, rtol: float = 1e-6) -> Radau:
    """The strike by Radau, phase by phase, until the last of the times at which the boat is looked at."""
    k, mass, drag = chain(c)
    n = len(mass)
    crest, displacement = 39 * 0.3048, c["displacement_kg"]
    hull = 0.5 * 1025.0 * 0.3 * (displacement / 1025.0) ** (2 / 3)
    push = displacement * 9.80665 * math.tan(DEFAULT_SLOPE_RAD)

    def load(y: Array) -> Array:
        x, v = y[:n], y[n:]
        e = x[:-1] - x[1:]
        e[0] -= slack_m
        return k * np.maximum(0.0, e + 1e-4 * (v[:-1] - v[1:]))

    def rates(phase: int) -> Any:
        def f(_: float, y: Array) -> Array:
            v, pull = y[n:], load(y)
            force = -drag * v * np.abs(v) * np.where(v < 0, 0.3, 1.0)
            force[:-1] -= pull
            force[1:] += pull
            if phase == 0:
                force[0] += push
            elif phase == 1:
                force[0] += hull * (crest - v[0]) * abs(crest - v[0])
            return np.concatenate([v, force / mass])

        return f

    pattern = lil_matrix((2 * n, 2 * n))
    for i in range(n):
        pattern[i, n + i] = 1
        for j in range(max(0, i - 1), min(n, i + 2)):
            pattern[n + i, j] = 1
            pattern[n + i, n + j] = 1
    y = np.zeros(2 * n)
    y[n] = crest
    t, peak, when, crest_s = 0.0, 0.0, 0.0, math.nan
    held: dict[float, tuple[float, float]] = {}
    for phase, passed in ((0, 3.0), (1, 9.0), (2, math.inf)):
        crest_s = t
        end = 20.0 if math.isfinite(passed) else max(t, HELD_TIMES_S[-1]) + 0.01

        def reached(time: float, state: Array, passed: float = passed) -> float:
            return float(crest * time - state[0] - passed) if math.isfinite(passed) else 1.0

        reached.terminal = True  # type: ignore[attr-defined]
        s = solve_ivp(
            rates(phase),
            (t, end),
            y,
            method="Radau",
            events=reached,
            rtol=rtol,
            atol=1e-6,
            jac_sparsity=pattern,
            dense_output=True,
        )
        times = np.linspace(t, s.t[-1], 4001)
        assert s.sol is not None
        loads = np.array([load(s.sol(u))[0] for u in times])
        if loads.max() > peak:
            peak, when = float(loads.max()), float(times[loads.argmax()])
        for at in HELD_TIMES_S:
            if t <= at <= s.t[-1]:
                held[at] = float(s.sol(at)[n]), float(s.sol(at)[0])
        t, y = float(s.t[-1]), s.y[:, -1]
    both = np.array([held[at] for at in HELD_TIMES_S])
    return Radau(peak, when, crest_s, both[:, 0], both[:, 1])


@pytest.mark.parametrize(("displacement_lb", "slack_m"), [(4_500, 0.0), (7_500, 2.0), (30_000, 0.0)])
def test_the_strike_is_that_of_the_stiff_integrator(displacement_lb: int, slack_m: float) -> None:
    """scipy.integrate.solve_ivp, Radau IIA of order 5; peaks agree within about 0.05 % in fact."""
    c = required_columns(displacement_lb)
    theirs = by_radau({**c, "section_cones": [list(map(int, c["section_cones"][0]))]}, slack_m, rtol=1e-5)
    ours = strike(required_rig(displacement_lb, slack_m=slack_m))
    assert ours.peak_load_n[0] == pytest.approx(theirs.peak_n, rel=1e-3)
    assert ours.peak_time_s[0] == pytest.approx(theirs.when_s, abs=0.01)
    assert ours.crest_time_s[0] == pytest.approx(theirs.crest_s, abs=0.01)
    assert ours.held_speed_m_s[0] == pytest.approx(theirs.speed, abs=0.02)
    assert ours.held_run_m[0] == pytest.approx(theirs.run, abs=0.02)
