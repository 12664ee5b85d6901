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
    nodes = np.zeros((10, room(row, spacing) + 1))
    k, m, q, at, kdt, dtm, dq = nodes[0], nodes[1], nodes[2], nodes[3], nodes[4], nodes[5], nodes[6]
    v, s, tension = nodes[7], nodes[8], nodes[9]
    head = np.zeros(len(HEADS), dtype=np.int64)
    n = assemble(row, lump, spacing, k, m, q, at, head)
    surge = math.pi * sea.height_m / sea.period_s
    w = 2.0 * math.pi / sea.period_s
    hull = hull_drag(row)
    drag = 0.0
    for i in range(n + 1):
        drag += q[i]
    drift = math.sqrt(sea.wind_n / (hull + drag))
    dt = fraction * step_limit(n, k, m, q, row.loss_time_s, 3.0 * (surge + drift))
    if not (settle + counted) * sea.period_s / dt < MAX_STEPS:
        out.code = TOO_STIFF
        return
    steps = math.ceil(sea.period_s / dt)
    dt = sea.period_s / steps
    for i in range(n + 1):
        kdt[i] = k[i] * dt
        dtm[i] = dt / m[i]
        dq[i] = q[i] * dtm[i] if i > 0 else 0.0
        v[i] = drift
    ratio = row.loss_time_s / dt
    back = row.backward_drag_factor
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
        if runs_away(n, v, RUNAWAY * (surge + drift)):
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
