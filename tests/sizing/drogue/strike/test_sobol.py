"""Scrambled Sobol points against scipy's sampler, bit for bit: an implementation of its own, in C."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import qmc

from sizing.drogue.strike.sobol import sobol_points


@pytest.mark.parametrize("seed", [1987, 0, 3])
@pytest.mark.parametrize("samples", [2, 64, 256, 4096])
def test_points_are_those_of_scipy(samples: int, seed: int) -> None:
    theirs = qmc.Sobol(6, rng=np.random.default_rng(seed)).random(samples)
    assert np.array_equal(sobol_points(samples, seed), theirs)


@pytest.mark.parametrize("samples", [0, 1, 3, 100, 1 << 31])
def test_other_counts_are_refused(samples: int) -> None:
    with pytest.raises(ValueError, match="power of two"):
        sobol_points(samples, 1987)
