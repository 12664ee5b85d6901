r"""The wave-strike model: what is solved, how, and what is left out.

**Question.** A breaking crest throws the boat forward at the crest's own speed while the drogue streams
astern. What is the greatest load at the bridle, when does it come, and how much of it reaches each part of
the line? [CG87 5.3, 6.2]

**Unknowns.** One dimension along the line of pull. Node 0 is the boat (displacement x 1.05, the surge added
mass [assumed]); then the bridle apex, the nodes of the bare lead line, one node for each cone with its
entrained water (about 1.5 kg for a 5 in cone [assumed]) and the end weight, with the single drag element if
there is one. Node i has the mass m_i, the drag constant q_i = 1/2 rho Cd a and the speed v_i (positive the
way the boat runs). Segment i joins node i to node i + 1; its elongation beyond its free length is e_i and
its stiffness k_i, the inverse of the summed give of its parts, 1/k = sum(length / EA), so that a joint
between two ropes needs no node. Each segment's own mass is shared by its two ends. Elongations, not
positions, are the state: a long line's small stretch is then never the difference of two large numbers.

**Equations.**

    T_i      = k_i max(0, e_i + tau (v_i - v_{i+1}))            tension only; tau: loss time
    de_i/dt  = v_i - v_{i+1}
    m_i dv_i/dt = T_{i-1} - T_i - q_i v_i |v_i| b(v_i)            b = 1 forward, 0.3 backward [assumed]
    m_0 dv_0/dt = F - T_0

F is the wave on the hull: m g tan(slope) while the boat is on the face, that is until the wave has run
`face_run_m` (3 m) past the boat; then 1/2 rho C A (c - v_0)|c - v_0|, the drag of the hull in crest water
moving at the crest speed c, over the next `crest_run_m` (6 m), with A = (displacement/rho)^(2/3) and C =
0.3 [assumed]; then nothing. At the start the boat has the crest speed, everything else is at rest, and e_0
= -slack: slack lies next to the boat, and the other segments are just taut. The wave passes when integral
(c - v_0) dt reaches the distances above.

If instead the boat runs a quarter of a wave length ahead of the crest she has left the face: the drogue
could not hold her back. The run ends there as `carried`, with the peak so far; it is a finding against the
drogue, not a pass.

The form of T_i with tau inside the bracket is continuous and never feeds energy in: where it differs from k
max(0, e) the difference times de/dt is never negative. tau = 0.1 ms [assumed] damps the ripple between
neighbouring cones (about 5 % of critical) and takes under 0.1 % of the energy of a strike; real nylon loses
more, so the peak is on the safe side.

The cones of a section stand at whole pitches from its head. On the built line those of an outer section are
half a pitch nearer the boat, since joints lie midway between cones; placing them so moves the peak of a
required rig by less than 0.3 %.

**Scheme.** Elongation with the speeds of the last half step, then tension, then speeds (the staggered
scheme, second order in the elastic part, first order in the small losses). A step is one pass over the nodes
that carries nothing but the tension inboard, so that it runs as vector instructions. Nodes that the tension
wave has not reached are exactly at rest and are skipped: a node joins once its segment first pulls, which
changes no bit of the result.

**Stability limit.** For a mode of frequency w with a lagged loss 2 zeta w = tau w^2 + g (g = 2 q |v| / m of
the drag) the step must satisfy (w dt)^2/4 + dt (tau w^2 + g)/2 <= 1. The left side grows with w and g,
slackening only lowers w (fewer springs), so the all-taut chain's highest w decides. It is found from above
by Sturm counts on the tridiagonal stiffness matrix, and g from 1.5 x the crest speed. The step is 0.9 of
that limit; halving it moves the peak by about 0.01 %. A peak within 250 steps of the first pull is a knock
(few cones, stiff line) and is run again at a quarter of the step. A speed beyond 100 times the crest's ends
the run as `diverged`: never a figure.

**Early end.** Once the wave has passed, energy can only fall. In a uniform elastic line T + Z |v - v_boat|
(Z = sqrt(k m), the impedance) bounds the load that passing waves can build against a heavy boat; drag adds
at most what every cone outboard makes at the highest speed anywhere. The run ends when max(T + 2 Z |v -
v_boat|) plus that drag is below every head's own peak. The factor 2 covers the steps of impedance between
ropes: an argument, not a proof, so the tests compare with full runs, bit for bit.

**Held.** Beside the loads a run notes the boat's speed and the distance run 1, 2 and 4 s after the crest
took her, slack still in the line, and when the wave has passed her; the boat that it carries along never.

**Calibration.** The slope is the one fitted value: 13.56 deg, so that the 7,500 lb boat meets the published
design load (equal to displacement, CG87 6.2) with the rig that the published load alone asks for, from the
program's own catalogue, and slack of 2.5 % of the line. Everything else is a prediction, and a poor one for
heavy boats: 0.83 of the published load at 60,000 lb. The fit leans on the rope: with 0.7 of its stiffness it
is 18.8 deg and 0.94, with twice of it no slope fits. `sizing.drogue.calibration` holds fit, predictions and
the effect of the rope assumption.

What is assumed beside it, what is left out and what was measured: `sizing.drogue.strike.assumptions`.
"""

from __future__ import annotations

import math
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

DEFAULT_SLOPE_RAD: Final = math.radians(13.56)
"""Fitted by `sizing.drogue.calibration`, to a hundredth of a degree [calibrated on CG87 6.2]."""
STANDARD_GRAVITY_M_S2: Final = 9.80665
REFERENCE_CREST_SPEED_M_S: Final = 39 * 0.3048
"""39 ft/s, the crest of the worst waves of the storm that the design load stands for [CG87 6.2]."""


T = TypeVar("T", float, FloatArray)


def deep_water_crest_speed_m_s(wave_length_m: T) -> T:
    """Speed of a deep-water wave, c = sqrt(g L / 2 pi) [derived, linear wave theory].

    ``wave_length_m`` L in metres, greater than 0; the answer in m/s.

    >>> round(deep_water_crest_speed_m_s(300 * 0.3048) / 0.3048, 1)
    39.2
    """
    speed: T = (STANDARD_GRAVITY_M_S2 * wave_length_m / (2.0 * math.pi)) ** 0.5
    return speed
