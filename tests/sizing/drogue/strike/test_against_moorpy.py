"""Static shape and tensions against MoorPy (NREL), where the two models overlap.

MoorPy is quasi-static and solves catenaries between points; it has no drag. What the models share is the
elastic line in equilibrium: here a line hung straight down, with each cone's steady drag put on as a point
load and its own weight made negligible. So MoorPy checks stiffness, joints and steady tension, not motion.
"""

from __future__ import annotations

import warnings
from importlib import import_module

import numpy as np
import pytest
from numpy.typing import NDArray

from sizing.drogue.strike import rigs
from sizing.drogue.strike.line import assemble

PITCH, LEAD = 0.6, 6.0
CONES = (4, 3, 2)
EA = (300e3, 250e3, 180e3, 90e3)


def our_stretch(speed_m_s: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Tension and stretched length of every segment at a steady tow, outward from the boat."""
    boat = rigs(
        displacement_kg=5000.0,
        lead_length_m=LEAD,
        lead_ea_n=EA[0],
        lead_mass_kg_per_m=0.01,
        section_length_m=[c * PITCH for c in CONES],
        section_cones=CONES,
        section_ea_n=EA[1:],
        section_mass_kg_per_m=0.01,
        cone_pitch_m=PITCH,
    )
    k, m, q, station = (np.zeros(60) for _ in range(4))
    n = assemble(boat.rows()[0], 1, 3.0, k, m, q, station, np.zeros(5, dtype=np.int64))
    drag = q[1 : n + 1] * speed_m_s**2
    tension = np.cumsum(drag[::-1])[::-1]
    return tension, np.diff(station[: n + 1]) + tension / k[:n]


def moorpy_stretch(speed_m_s: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The same line hung in MoorPy: a point at every joint and cone, the drags as weights."""
    drag = 0.5 * 1025.0 * 1.2 * np.pi * 0.127**2 / 4 * speed_m_s**2
    with warnings.catch_warnings():
        # Its sources hold invalid escape sequences, which this project's tests would turn into errors.
        warnings.simplefilter("ignore")
        moorpy = import_module(
            "moorpy"
        )  # takes a second, which every worker would spend to collect this file
    system = moorpy.System(depth=1000.0)
    pieces = [(LEAD, EA[0], 0.0)]
    for cones, ea in zip(CONES, EA[1:], strict=True):
        pieces += [(PITCH, ea, drag)] * cones
    depth = 0.0
    system.addPoint(1, [0.0, 0.0, 0.0])
    for j, (length, ea, load) in enumerate(pieces):
        depth -= length * 1.01
        system.addPoint(0, [0.0, 0.0, depth])
        system.pointList[-1].fExt = np.array([0.0, 0.0, -load])
        name = f"rope {j}"
        system.lineTypes[name] = {
            "name": name,
            "input_d": 0.01,
            "d_vol": 0.01,
            "m": 0.0805152,
            "w": 1e-3,
            "EA": ea,
            "EAd": 0.0,
            "EAd_Lm": 0.0,
            "MBL": 0.0,
            "cost": 0.0,
            "material": "rope",
            "input_type": 1,
        }
        system.addLine(length, name, pointA=j + 1, pointB=j + 2)
    system.initialize()
    system.solveEquilibrium(tol=1e-7, maxIter=2000)
    z = np.array([p.r[2] for p in system.pointList])
    return np.array([max(line.TA, line.TB) for line in system.lineList]), -np.diff(z)


def test_steady_tensions_and_stretched_shape_agree() -> None:
    """Compared by cone: our first cone hangs on the lead line's last piece and the first pitch in series."""
    tension, length = our_stretch(5.0)
    theirs_tension, theirs_length = moorpy_stretch(5.0)
    n = sum(CONES)
    assert tension[-n:] == pytest.approx(theirs_tension[-n:], rel=2e-3)
    assert tension[0] == pytest.approx(theirs_tension[0], rel=2e-3)
    assert length[-n + 1 :] == pytest.approx(theirs_length[-n + 1 :], rel=1e-3)
    assert length.sum() == pytest.approx(theirs_length.sum(), rel=1e-3)
