"""Choice of a part by size or strength: the smallest that is enough."""

from __future__ import annotations

import numpy as np

from sizing.catalogue import Catalogue, Cloths
from sizing.model import FloatArray, IntArray

_ROUNDING = 1e-9


def smallest_enough(rising: FloatArray, needed: FloatArray) -> IntArray:
    """Position of the first of `rising` that reaches `needed`; -1 where none does, or `needed` is NaN.

    `rising` (k,), `needed` any shape, in one unit; a shortfall below one part in 10^9 is rounding.
    """
    place = np.searchsorted(rising, needed * (1.0 - _ROUNDING), side="left")
    return np.where((place < len(rising)) & ~np.isnan(needed), place, -1).astype(np.int64)


def shackle_for(catalogue: Catalogue, line_strength_required_n: FloatArray) -> IntArray:
    """Smallest shackle whose breaking load reaches what is asked of the line; -1 if none. N, any shape.

    The published rule asks for more than the design load [CG87 6.3]; strikes above it are not rare in the
    simulation, so a new shackle is no weaker than the new line [assumed].
    """
    return smallest_enough(catalogue.shackles.breaking_load_n, line_strength_required_n)


def thimble_for(catalogue: Catalogue, rope: IntArray) -> IntArray:
    """Smallest thimble that takes each rope (a position in the catalogue); -1 for rope -1. [practice]"""
    diameter = np.where(rope >= 0, catalogue.ropes.diameter_m[rope], np.nan)
    return smallest_enough(catalogue.thimbles.rope_diameter_m, diameter)


def chain_for(catalogue: Catalogue, end_weight_kg: FloatArray, longest_m: float) -> IntArray:
    """Lightest chain that is no longer than the policy's end weight; the heaviest where all are longer.

    kg, m, any shape; -1 for NaN. [CG87 6.3 mass; assumed length]
    """
    mass = catalogue.end_weights.mass_kg_per_m
    place = smallest_enough(mass, end_weight_kg / longest_m)
    return np.where(np.isnan(end_weight_kg), -1, np.where(place >= 0, place, len(mass) - 1)).astype(np.int64)


def cloth_for(cloths: Cloths, displacement_kg: FloatArray, light_cloth_limit_kg: float) -> IntArray:
    """Cone cloth: light rip-stop below the limit, the heavier from it up (30,000 lb). kg. [CG87 6.3]"""
    light, heavy = cloths.cone_cloth.index("light rip-stop"), cloths.cone_cloth.index("heavy")
    limit = light_cloth_limit_kg * (1.0 - _ROUNDING)
    return np.where(displacement_kg < limit, light, heavy).astype(np.int64)
