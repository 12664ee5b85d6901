"""The strike marched in time, compiled: the pass of a step, the losses, the early end.

Nothing here is parallel: `run.py` hands blocks of boats to threads, and the compiled code releases the
lock. Each boat is marched alone in plain IEEE doubles (no fast-math, no sum split over vector lanes), so
her figures do not depend on the batch, its order or the number of threads. Loops run from 0 on shifted
views because the compiler then makes vector instructions of them; with an index i - 1 it does not.

To be compiled soon, `march_many` is the one entry, with one signature, and arrays are copied by loops: a
slice set from a slice brings the making of its error message along, longer to compile than the whole march.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numba import njit

from sizing.drogue.strike.line import HEADS, assemble, hull_drag, room, step_limit

HELD_TIMES_S = (1.0, 2.0, 4.0)
"""When speed and run are noted, counted from the moment the crest takes her at its own speed."""

STRIKE = np.dtype(
    [
        ("peak_load_n", "f8"),
        ("peak_time_s", "f8"),
        ("speed_at_peak_m_s", "f8"),
        ("run_at_peak_m", "f8"),
        ("head_peak_n", "f8", (len(HEADS),)),
        ("held_speed_m_s", "f8", (len(HELD_TIMES_S),)),
        ("held_run_m", "f8", (len(HELD_TIMES_S),)),
        ("crest_time_s", "f8"),
        ("slope_work_j", "f8"),
        ("crest_work_j", "f8"),
        ("kinetic_start_j", "f8"),
        ("kinetic_end_j", "f8"),
        ("elastic_end_j", "f8"),
        ("cone_loss_j", "f8"),
        ("line_loss_j", "f8"),
        ("end_time_s", "f8"),
        ("step_s", "f8"),
        ("segments", "f8"),
        ("refined", "f8"),
        ("code", "f8"),
    ]
)
PASSED, CARRIED, DIVERGED, TOO_STIFF = 0, 1, 2, 3
CHECK_STEPS = 64
MAX_STEPS = 20_000_000
RUNAWAY = 100.0
KNOCK_STEPS = 250
KNOCK_REFINED = 4.0
# With unsigned indices the compiler knows that i + 1 is no index from the end, and makes vector instructions.
_ONE = np.uint64(1)


@njit(cache=True, nogil=True, error_model="numpy")
def advance(
    top: int,
    kdt: Any,
    ratio: float,
    dtm: Any,
    dq: Any,
    back: float,
    force: float,
    v: Any,
    s: Any,
    tension: Any,
) -> None:
    """One step of nodes 0 to ``top``: elastic part s = k e, tension-only load, then speed by pull and drag.

    ``force`` pulls node 0, the boat, forward. A node's speed is set once both its segments have read the
    old one, so one pass does; the tension inboard is carried along.
    """
    inboard = force
    for i in range(np.uint64(top)):
        x = v[i]
        w = kdt[i] * (x - v[i + _ONE])
        a = s[i] + w
        s[i] = a
        a = a + ratio * w
        a = a if a > 0.0 else 0.0
        tension[i] = a
        y = -back * x
        y = x if x > y else y
        v[i] = x + dtm[i] * (inboard - a) - dq[i] * x * y
        inboard = a
    x = v[top]
    y = -back * x
    y = x if x > y else y
    v[top] = x + dtm[top] * inboard - dq[top] * x * y


@njit(cache=True, nogil=True, error_model="numpy")
def advance_counted(
    top: int,
    kdt: Any,
    ratio: float,
    dtm: Any,
    dq: Any,
    back: float,
    force: float,
    v: Any,
    s: Any,
    tension: Any,
    half: float,
    drag: Any,
    cone: Any,
    line: Any,
) -> None:
    """``advance`` bit for bit, and the step's losses (J) added node by node; ``half`` is half the step.

    A node loses its drag times the mean of its speeds before and after. The line loses, in each segment, the
    tension beyond its elastic part times the stretching speed; told by nodes, the difference of that tension
    on both sides times the node's mean speed, which adds up to the same.
    """
    inboard = force
    beyond = 0.0
    for i in range(np.uint64(top)):
        x = v[i]
        w = kdt[i] * (x - v[i + _ONE])
        a = s[i] + w
        s[i] = a
        e = a if a > 0.0 else 0.0
        a = a + ratio * w
        a = a if a > 0.0 else 0.0
        tension[i] = a
        y = -back * x
        y = x if x > y else y
        new = x + dtm[i] * (inboard - a) - dq[i] * x * y
        v[i] = new
        inboard = a
        e = a - e
        twice = half * (x + new)
        cone[i] += drag[i] * x * y * twice
        line[i] += (e - beyond) * twice
        beyond = e
    x = v[top]
    y = -back * x
    y = x if x > y else y
    new = x + dtm[top] * inboard - dq[top] * x * y
    v[top] = new
    twice = half * (x + new)
    cone[top] += drag[top] * x * y * twice
    line[top] -= beyond * twice


@njit(cache=True, nogil=True, error_model="numpy")
def peaks_are_past(n: int, head: Any, best: Any, k: Any, m: Any, q: Any, v: Any, tension: Any) -> bool:
    """Whether max(T + 2 Z |v - v_boat|) plus drag outboard at top speed is below all peaks."""
    fast = v[0]
    load = 0.0
    for i in range(n):
        apart = abs(v[i + 1] - v[0])
        if q[i + 1] > 0.0:
            # A slack segment can only be snatched by something inboard that runs faster.
            if tension[i] <= 0.0:
                apart = max(0.0, fast - v[i + 1])
            fast = max(fast, v[i + 1])
        load = max(load, tension[i] + 2.0 * math.sqrt(k[i] * m[i + 1]) * apart)
    fast = max(fast, 0.0)
    drag = 0.0
    j = len(head) - 1
    for i in range(n - 1, -1, -1):
        drag += q[i + 1] * fast * fast
        while j >= 0 and (head[j] == i or head[j] < 0):
            if head[j] == i and load + drag >= best[j]:
                return False
            j -= 1
    return True


@njit(cache=True, nogil=True, error_model="numpy")
def runs_away(n: int, v: Any, limit: float) -> bool:
    """Whether any speed of nodes 0 to ``n`` is beyond the limit or not a number."""
    away = False
    for i in range(n + 1):
        away = away or not abs(v[i]) < limit
    return away


@njit(cache=True, nogil=True, error_model="numpy")
def march(  # noqa: PLR0912, PLR0915 - the time loop with all it watches
    row: Any,
    lump: int,
    spacing: float,
    fraction: float,
    end_time: float,
    watched: float,
    early: bool,
    ledger: bool,
    every: int,
    station: Any,
    envelope: Any,
    history: Any,
    out: Any,
) -> int:
    """March one boat through a strike; fill out, and station, envelope and history if they have room.

    An early end comes no earlier than after ``watched`` seconds; held speeds and runs not reached are NaN.
    """
    nodes = np.zeros((12, room(row, spacing) + 1))
    k, m, q, at, kdt, dtm, dq = nodes[0], nodes[1], nodes[2], nodes[3], nodes[4], nodes[5], nodes[6]
    v, tension, s, cone, line = nodes[7], nodes[8], nodes[9], nodes[10], nodes[11]
    head = np.zeros(len(HEADS), dtype=np.int64)
    n = assemble(row, lump, spacing, k, m, q, at, head)
    crest = row.crest_speed_m_s
    dt = fraction * step_limit(n, k, m, q, row.loss_time_s, 1.5 * crest)
    out.step_s = dt
    out.segments = n
    out.refined = 1.0
    out.crest_time_s = np.nan
    for j in range(len(HELD_TIMES_S)):
        out.held_speed_m_s[j] = np.nan
        out.held_run_m[j] = np.nan
    if not end_time / dt < MAX_STEPS:
        out.code = TOO_STIFF
        return 0
    watch = envelope.size > 0
    if watch:
        for i in range(n + 1):
            station[i] = at[i]
    steps = math.ceil(end_time / dt)
    back = row.backward_drag_factor
    ratio = row.loss_time_s / dt
    for i in range(n + 1):
        kdt[i] = k[i] * dt
        dtm[i] = dt / m[i]
        dq[i] = q[i] * dtm[i] if i > 0 else 0.0
    best = np.zeros(len(HEADS))
    v[0] = crest
    s[0] = -k[0] * row.slack_m
    push = row.displacement_kg * row.gravity_m_s2 * math.tan(row.slope_rad)
    hull = hull_drag(row)
    face = row.face_run_m
    past = face + row.crest_run_m
    ahead = -0.25 * row.wave_length_m
    run, passed, slope_work, crest_work = 0.0, 0.0, 0.0, 0.0
    peak, peak_step, speed_at, run_at = 0.0, 0, crest, 0.0
    first_pull = -1
    held = 0
    held_step = HELD_TIMES_S[0] / dt
    watched_steps = watched / dt
    top = min(n, 1)  # a bare 1 would have the passes compiled once more, for it alone
    rows = 0
    code = CARRIED
    st = 0
    while st < steps:
        old = v[0]
        on_face = passed < face
        if on_face:
            force = push
        elif passed < past:
            force = hull * (crest - old) * abs(crest - old)
        else:
            force = 0.0
            if code != PASSED:
                out.crest_time_s = st * dt
            code = PASSED
        if ledger:
            advance_counted(top, kdt, ratio, dtm, dq, back, force, v, s, tension, 0.5 * dt, q, cone, line)
        else:
            advance(top, kdt, ratio, dtm, dq, back, force, v, s, tension)
        load = tension[0]
        if load > peak:
            if first_pull < 0:
                first_pull = st
            peak, peak_step, speed_at, run_at = load, st + 1, old, run
        for j in range(1, len(head)):
            h = head[j]
            if h >= 0 and tension[h] > best[j]:
                best[j] = tension[h]
        new = v[0]
        mean = 0.5 * (old + new)
        while st + 1 >= held_step:
            share = held_step - st
            out.held_speed_m_s[held] = old + share * (new - old)
            out.held_run_m[held] = run + share * dt * (old + 0.5 * share * (new - old))
            held += 1
            held_step = HELD_TIMES_S[held] / dt if held < len(HELD_TIMES_S) else math.inf
        run += dt * mean
        passed += dt * (crest - mean)
        if passed < ahead:
            break
        if ledger:
            if on_face:
                slope_work += dt * force * mean
            else:
                crest_work += dt * force * mean
        if watch:
            for i in range(top):
                envelope[i] = max(envelope[i], tension[i])
        st += 1
        if every > 0 and st % every == 0 and rows < history.shape[0]:
            history[rows, 0] = st * dt
            history[rows, 1] = load
            history[rows, 2] = new
            rows += 1
        # A node outboard of a segment that has not pulled yet is exactly at rest.
        if top < n and tension[top - 1] > 0.0:
            top += 1
        if st % CHECK_STEPS == 0:
            if runs_away(n, v, RUNAWAY * crest):
                code = DIVERGED
                break
            best[0] = peak
            settled = early and code == PASSED and st >= watched_steps
            if settled and peaks_are_past(n, head, best, k, m, q, v, tension):
                break
    best[0] = peak
    out.peak_load_n = peak
    out.peak_time_s = peak_step * dt
    out.speed_at_peak_m_s = speed_at
    out.run_at_peak_m = run_at
    for j in range(len(head)):
        out.head_peak_n[j] = best[j] if head[j] >= 0 else np.nan
    out.end_time_s = st * dt
    out.code = code
    if peak_step - first_pull < KNOCK_STEPS:
        out.refined = KNOCK_REFINED
    if ledger:
        out.slope_work_j = slope_work
        out.crest_work_j = crest_work
        out.kinetic_start_j = 0.5 * m[0] * crest * crest
        out.kinetic_end_j = 0.5 * m[0] * v[0] * v[0]
        out.elastic_end_j = 0.0
        out.cone_loss_j = 0.0
        out.line_loss_j = 0.0
        for i in range(n):
            out.kinetic_end_j += 0.5 * m[i + 1] * v[i + 1] * v[i + 1]
            if s[i] > 0.0:
                out.elastic_end_j += 0.5 * s[i] * s[i] / k[i]
        for i in range(n + 1):
            out.cone_loss_j += cone[i]
            out.line_loss_j += line[i]
    return rows


@njit(cache=True, nogil=True, error_model="numpy")
def march_many(
    rows: Any,
    lump: int,
    spacing: float,
    fractions: Any,
    end_time: float,
    watched: float,
    early: bool,
    ledger: bool,
    every: Any,
    stations: Any,
    envelopes: Any,
    histories: Any,
    used: Any,
    out: Any,
) -> None:
    """March every boat of a block; one whose history is kept (``every`` above 0) at the step given for her.

    A peak so soon after the first pull that the step resolves it poorly is a knock, and is marched again.
    """
    for b in range(rows.shape[0]):
        row, res, keep = rows[b], out[b], every[b]
        station, envelope, history = stations[b], envelopes[b], histories[b]
        for finer in (1.0, KNOCK_REFINED):
            if finer > 1.0 and (keep > 0 or res.refined == 1.0 or res.code > CARRIED):
                break
            used[b] = march(
                row, lump, spacing, fractions[b] / finer, end_time, watched, early, ledger, keep,
                station, envelope, history, res,
            )  # fmt: skip
            if finer > 1.0:
                res.refined = finer
