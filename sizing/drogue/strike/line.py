"""The line as lumped masses: compiled assembly of the nodes and the longest stable step.

RIG is one boat's inputs as the compiled code reads them, field by field. Its layout is part of every
entry's compiled signature, and its last field bears a mark of the compiled sources: the compiler's cache
looks only at the file a function stands in, and would otherwise keep an entry whose callee in another file
has changed.
"""

from __future__ import annotations

import hashlib
import math
from pathlib import Path
from typing import Any

import numpy as np
from numba import njit

SECTIONS = 3
COMPILED_SOURCES = ("line.py", "kernel.py", "ride_kernel.py")


def source_mark(texts: list[bytes]) -> str:
    """A short mark that changes with any of the compiled sources."""
    return "code_" + hashlib.sha256(b"\0".join(texts)).hexdigest()[:16]


RIG = np.dtype(
    [
        ("displacement_kg", "f8"),
        ("surge_mass_factor", "f8"),
        ("crest_speed_m_s", "f8"),
        ("wave_length_m", "f8"),
        ("slope_rad", "f8"),
        ("hull_drag_coefficient", "f8"),
        ("face_run_m", "f8"),
        ("crest_run_m", "f8"),
        ("slack_m", "f8"),
        ("bridle_length_m", "f8"),
        ("bridle_ea_n", "f8"),
        ("bridle_mass_kg_per_m", "f8"),
        ("lead_length_m", "f8"),
        ("lead_ea_n", "f8"),
        ("lead_mass_kg_per_m", "f8"),
        ("section_length_m", "f8", (SECTIONS,)),
        ("section_cones", "f8", (SECTIONS,)),
        ("section_ea_n", "f8", (SECTIONS,)),
        ("section_mass_kg_per_m", "f8", (SECTIONS,)),
        ("cone_mouth_area_m2", "f8"),
        ("cone_pitch_m", "f8"),
        ("cone_entrained_mass_kg", "f8"),
        ("cone_drag_coefficient", "f8"),
        ("backward_drag_factor", "f8"),
        ("end_weight_kg", "f8"),
        ("end_drag_coefficient", "f8"),
        ("element_diameter_m", "f8"),
        ("element_drag_coefficient", "f8"),
        ("element_entrained_mass_kg", "f8"),
        ("loss_time_s", "f8"),
        ("water_density_kg_m3", "f8"),
        ("gravity_m_s2", "f8"),
        (source_mark([Path(__file__).with_name(name).read_bytes() for name in COMPILED_SOURCES]), "f8"),
    ]
)
INPUTS: tuple[str, ...] = (RIG.names or ())[:-1]
HEADS: tuple[str, ...] = ("bridle", "lead", "section 1", "section 2", "section 3")
STEEL_KG_M3 = 7850.0
TAIL_SHARE = 0.25


@njit(cache=True, nogil=True, error_model="numpy")
def hull_drag(row: Any) -> float:
    """Hull drag over speed squared (N s2/m2): 1/2 rho C (displacement / rho)^(2/3)."""
    rho = row.water_density_kg_m3
    area = (row.displacement_kg / rho) ** (2.0 / 3.0)
    return float(0.5 * rho * row.hull_drag_coefficient * area)


@njit(cache=True, nogil=True, error_model="numpy")
def room(row: Any, spacing: float) -> int:
    """Segments enough for this rig however it is lumped: cones, bare pieces and joints."""
    segments = 4.0 + row.lead_length_m / spacing
    for j in range(SECTIONS):
        segments += 2.0 + row.section_cones[j] + row.section_length_m[j] / spacing
    return int(segments)


@njit(cache=True, nogil=True, error_model="numpy")
def assemble(  # noqa: PLR0915 - one walk along the line
    row: Any, lump: int, spacing: float, k: Any, m: Any, q: Any, station: Any, head: Any
) -> int:
    """Fill stiffness k (N/m), mass m (kg), drag q (N s2/m2), station (m) and heads; return the segments.

    Segment i joins node i to node i + 1; node 0 is the boat. A segment across a joint is its parts in
    series, and ``head[j]`` is the segment in which the head of HEADS[j] lies, -1 if that part is not
    rigged.
    """
    rho = row.water_density_kg_m3
    q_cone = 0.5 * rho * row.cone_drag_coefficient * row.cone_mouth_area_m2
    diameter = row.element_diameter_m
    q_end = 0.5 * rho * row.element_drag_coefficient * math.pi * diameter * diameter / 4.0
    q_end += 0.5 * rho * row.end_drag_coefficient * (row.end_weight_kg / STEEL_KG_M3) ** (2.0 / 3.0)
    end_mass = row.end_weight_kg + (row.element_entrained_mass_kg if diameter > 0.0 else 0.0)
    head[:] = -1
    head[0] = 0
    m[0] = row.displacement_kg * row.surge_mass_factor
    q[0] = 0.0
    station[0] = 0.0
    i = 0
    give = 0.0
    line = 0.0
    reach = 0.0
    if row.bridle_length_m > 0.0:
        give = row.bridle_length_m / row.bridle_ea_n
        line = row.bridle_length_m * row.bridle_mass_kg_per_m
        reach = row.bridle_length_m
    # A node close to the boat behind a short stiff bridle would be knocked, not pulled, at the start.
    if reach >= 0.5 * spacing:
        k[0] = 1.0 / give
        m[0] += 0.5 * line
        i = 1
        m[1] = 0.5 * line
        q[1] = 0.0
        station[1] = reach
        give, line, reach = 0.0, 0.0, 0.0
    any_cone = False
    for part in range(SECTIONS + 1):
        if part == 0:
            length, cones, ea, mu = row.lead_length_m, 0, row.lead_ea_n, row.lead_mass_kg_per_m
        else:
            j = part - 1
            length, cones = row.section_length_m[j], int(row.section_cones[j])
            ea, mu = row.section_ea_n[j], row.section_mass_kg_per_m[j]
        if length <= 0.0:
            continue
        head[part + 1] = i
        any_cone = any_cone or cones > 0
        groups = (cones + lump - 1) // lump
        pieces = groups if cones > 0 else max(1, math.floor(length / spacing + 0.5)) - 1
        done = 0
        at = 0.0
        for g in range(pieces):
            if cones > 0:
                size = (cones - done + groups - g - 1) // (groups - g)
                to = row.cone_pitch_m * (done + 0.5 * (size + 1))
            else:
                size = 0
                to = length * (g + 1) / (pieces + 1)
            done += size
            give += (to - at) / ea
            line += (to - at) * mu
            reach += to - at
            at = to
            k[i] = 1.0 / give
            m[i] += 0.5 * line
            i += 1
            m[i] = 0.5 * line + size * row.cone_entrained_mass_kg
            q[i] = size * q_cone
            station[i] = station[i - 1] + reach
            give, line, reach = 0.0, 0.0, 0.0
        rest = max(0.0, length - at)
        give += rest / ea
        line += rest * mu
        reach += rest
    # A bare tail much shorter than a pitch, or with nothing at its end, would only set the time step.
    if reach > 0.0 and not (any_cone and (reach < TAIL_SHARE * row.cone_pitch_m or end_mass <= 0.0)):
        k[i] = 1.0 / give
        m[i] += 0.5 * line
        i += 1
        m[i] = 0.5 * line + end_mass
        q[i] = q_end
        station[i] = station[i - 1] + reach
    else:
        m[i] += line + end_mass
        q[i] += q_end
    return i


@njit(cache=True, nogil=True, error_model="numpy")
def greatest_frequency(n: int, k: Any, m: Any) -> float:
    """Highest natural frequency squared (rad2/s2) of the all-taut chain, from above, by Sturm counts."""
    low = 0.0
    high = 0.0
    for i in range(n + 1):
        own = (k[i - 1] if i > 0 else 0.0) + (k[i] if i < n else 0.0)
        low = max(low, own / m[i])
        high = max(high, 2.0 * own / m[i])
    for _ in range(8):
        mid = 0.5 * (low + high)
        above = True
        pivot = mid * m[0] - k[0]
        for i in range(1, n + 1):
            if pivot <= 0.0:
                above = False
                break
            pivot = mid * m[i] - k[i - 1] - (k[i] if i < n else 0.0) - k[i - 1] * k[i - 1] / pivot
        if above and pivot > 0.0:
            high = mid
        else:
            low = mid
    return high


@njit(cache=True, nogil=True, error_model="numpy")
def step_limit(n: int, k: Any, m: Any, q: Any, loss: float, speed: float) -> float:
    """Longest stable step (s): root of (dt w)^2/4 + dt (loss w^2 + g)/2 = 1, g = greatest 2 q |v| / m."""
    w2 = greatest_frequency(n, k, m)
    g = 0.0
    for i in range(1, n + 1):
        g = max(g, 2.0 * q[i] * speed / m[i])
    b = loss * w2 + g
    return 4.0 / (b + math.sqrt(b * b + 4.0 * w2))
