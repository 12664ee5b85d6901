"""A boat lying to her drogue in a regular wave, marched in time with the pass of the strike, compiled."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numba import njit

from sizing.drogue.strike.kernel import (
    DIVERGED,
    MAX_STEPS,
    PASSED,
    RUNAWAY,
    TOO_STIFF,
    advance,
    runs_away,
)
from sizing.drogue.strike.line import HEADS, assemble, hull_drag, room, step_limit

SEA = np.dtype([("height_m", "f8"), ("period_s", "f8"), ("wind_n", "f8")])
RIDE = np.dtype(
    [
        ("greatest_n", "f8"),
        ("least_n", "f8"),
        ("mean_n", "f8"),
        ("slack_share", "f8"),
        ("before_n", "f8"),
        ("code", "f8"),
    ]
)


@njit(cache=True, nogil=True, error_model="numpy")
def ride(
    row: Any, sea: Any, lump: int, spacing: float, fraction: float, settle: int, counted: int, out: Any
) -> None:
    """March one boat for ``settle`` then ``counted`` waves; before_n: the peak of the last settling ones."""
    size = room(row, spacing)
    k, m, q, at = np.zeros(size), np.zeros(size + 1), np.zeros(size + 1), np.zeros(size + 1)
    head = np.zeros(len(HEADS), dtype=np.int64)
    n = assemble(row, lump, spacing, k, m, q, at, head)
    k, m, q = k[:n], m[: n + 1], q[: n + 1]
    surge = math.pi * sea.height_m / sea.period_s
    w = 2.0 * math.pi / sea.period_s
    hull = hull_drag(row)
    drift = math.sqrt(sea.wind_n / (hull + q.sum()))
    dt = fraction * step_limit(n, k, m, q, row.loss_time_s, 3.0 * (surge + drift))
    if not (settle + counted) * sea.period_s / dt < MAX_STEPS:
        out.code = TOO_STIFF
        return
    steps = math.ceil(sea.period_s / dt)
    dt = sea.period_s / steps
    kdt = k * dt
    dtm = dt / m
    dq = q * dtm
    dq[0] = 0.0
    ratio = row.loss_time_s / dt
    back = row.backward_drag_factor
    v = np.full(n + 1, drift)
    s, tension = np.zeros(n), np.zeros(n + 1)
    s[0] = -k[0] * row.slack_m
    greatest, before, least, total, slack = 0.0, 0.0, math.inf, 0.0, 0
    for cycle in range(settle + counted):
        high = 0.0
        for j in range(steps):
            grown = surge * min(1.0, 0.5 * (cycle + j / steps))
            angle = w * dt * j
            water = grown * math.cos(angle) - v[0]
            force = hull * water * abs(water) - m[0] * grown * w * math.sin(angle) + sea.wind_n
            advance(n, kdt, ratio, dtm, dq, back, force, v, s, tension)
            load = tension[0]
            high = max(high, load)
            if cycle >= settle:
                least = min(least, load)
                total += load
                slack += load <= 0.0
        if cycle >= settle:
            greatest = max(greatest, high)
        elif cycle >= settle - counted:
            before = max(before, high)
        if runs_away(v, RUNAWAY * (surge + drift)):
            out.code = DIVERGED
            return
    out.greatest_n = greatest
    out.least_n = least
    out.mean_n = total / (counted * steps)
    out.slack_share = slack / (counted * steps)
    out.before_n = before
    out.code = PASSED


@njit(cache=True, nogil=True, error_model="numpy")
def ride_many(
    rows: Any, seas: Any, lump: int, spacing: float, fraction: float, settle: int, counted: int, out: Any
) -> None:
    """Ride every boat of a block, each in her own sea."""
    for b in range(rows.shape[0]):
        ride(rows[b], seas[b], lump, spacing, fraction, settle, counted, out[b])
