"""The strike against MoorDyn, a lumped-mass program for moorings, at three weights.

Theirs: every rope, cone and end weight, in three dimensions, marched by a Runge-Kutta scheme. Ours beside it:
the boat, a few lines of Python that give MoorDyn her motion and take its pull. What the two models share is
made the same: rope and cones weigh nothing in water, only cones have drag, and that the same forward and
backward, since MoorDyn knows no other. So this checks equations and scheme, not what they leave out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest

from sizing.drogue.calibration import calibration_rigs
from sizing.drogue.strike import HELD_TIMES_S, StrikeRigs, strike
from tests.marks import thorough

moordyn = pytest.importorskip("moordyn")
