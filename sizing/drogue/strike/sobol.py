"""Scrambled Sobol points: samples that fill the unit cube evenly, always the same for the same seed."""

from __future__ import annotations

from typing import Final

import numpy as np

from sizing.drogue.strike.model import FloatArray

BITS: Final = 30
PRIMITIVE: Final = ((1, (1,)), (3, (1,)), (7, (1, 3)), (11, (1, 3, 1)), (13, (1, 1, 1)), (19, (1, 1, 3, 3)))
"""Of each dimension the primitive polynomial's bits and the first direction numbers. [JK08]"""


def sobol_points(samples: int, seed: int) -> FloatArray:
    """Return the first points of a six-dimensional Sobol sequence, scrambled; shape (samples, 6), in [0, 1).

    Directions from Joe and Kuo 2008, a random linear scramble and a digital shift after Matousek 1998, both
    drawn from ``seed``; 2 to 2^30 samples, a power of two, since only so many fill the cube evenly. A longer
    run begins with the points of a shorter one. [JK08; MAT98]

    >>> sobol_points(4, 1987).round(3)[:, 0].tolist()
    [0.341, 0.898, 0.533, 0.23]
    """
    if not 2 <= samples <= 1 << BITS or samples & (samples - 1):
        raise ValueError(f"Sobol points need a power of two of samples, not {samples}")
    # A child of the seed draws, as in scipy's sampler, so that the points are the same bit for bit.
    rng = np.random.default_rng(np.random.SeedSequence(seed).spawn(1)[0])
    size = len(PRIMITIVE), BITS
    weights = np.uint32(1) << np.arange(BITS, dtype=np.uint32)
    shift = (rng.integers(2, size=size, dtype=np.uint32) * weights).sum(axis=1, dtype=np.uint32)
    mixing = np.tril(rng.integers(2, size=(*size, BITS), dtype=np.uint32))
    mixing |= np.eye(BITS, dtype=np.uint32)
    bits = np.array([_directions(*start) for start in PRIMITIVE])[:, :, None] >> np.arange(BITS)[::-1] & 1
    mixed = np.einsum("dpk,djk->djp", mixing, bits.astype(np.uint32)) & 1
    directions = (mixed * weights[::-1]).sum(axis=2, dtype=np.uint32)
    order = np.arange(samples)
    gray = order ^ (order >> 1)
    points = np.repeat(shift[None, :], samples, axis=0)
    for bit in range(samples.bit_length() - 1):
        points ^= np.where(gray[:, None] >> bit & 1, directions[:, bit], np.uint32(0))
    return np.asarray(points * 0.5**BITS)


def _directions(polynomial: int, first: tuple[int, ...]) -> list[int]:
    """Return the direction numbers of one dimension as BITS-bit fractions."""
    degree = polynomial.bit_length() - 1
    odd = list(first)
    for at in range(len(first), BITS):
        value = odd[at - degree] if degree else 1
        for back in range(1, degree + 1):
            if polynomial >> (degree - back) & 1:
                value ^= odd[at - back] << back
        odd.append(value)
    return [number << (BITS - 1 - at) for at, number in enumerate(odd)]
