"""What the processes for jobs are forked from in tests: an interpreter that has read the engine already.

The program starts each of them anew, which costs seconds; a test session starts many.
"""

from __future__ import annotations

import numpy as np

import api.jobs.priority
import api.jobs.tasks
import api.judging.run
import api.paper_work  # noqa: F401
from sizing.drogue.strike import Plan, ensembles, parts, ride
from sizing.order.cloth import nest
from tests.sizing.drogue.strike.boats import design_load_n, required_fleet
from tests.sizing.order.cloth.pieces import RULES, default_cone

rigs = required_fleet((10_000,))
ensembles(rigs, parts(np.array([[design_load_n(10_000)]])), ["a boat"], Plan(samples=2))
ride(rigs, 6.0, 9.0, np.array([1_000.0]), np.array([100_000.0]), ["a boat"])
nest(default_cone(), 1.5, 125, RULES)
