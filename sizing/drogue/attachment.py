"""What an attachment is known to hold: bolts in shear, or an aft mooring point as a builder must make it."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from sizing.catalogue import BoltGrades, Bolts
from sizing.drogue.figures import Figure
from sizing.drogue.published import GRAVITY_MPS2
from sizing.model import FloatArray

ISO_15084_LENGTH_LIMIT_M: Final = 24.0
"""Hull length up to which ISO 15084 applies [ISO 15084]."""


def stress_area_m2(size_m: Figure, pitch_m: Figure) -> Figure:
    """Nominal stress area of a metric thread: As = pi/4 (d - 0.9382 P)^2. m -> m2, any shape. [ISO 898-1]

    >>> round(stress_area_m2(0.012, 0.00175) * 1e6, 1)
    84.3
    """
    return math.pi / 4.0 * (size_m - 0.9382 * pitch_m) ** 2


def catalogued_stress_area_m2(bolts: Bolts, size_m: FloatArray) -> FloatArray:
    """Stress area of each bolt size; NaN for a size the catalogue does not have. (n,) m -> (n,) m2."""
    matches = np.isclose(size_m[:, None], bolts.size_m, rtol=0.0, atol=1e-5)
    return np.where(matches.any(axis=1), bolts.stress_area_m2[matches.argmax(axis=1)], np.nan)


def shear_factor(grades: BoltGrades, tensile_pa: FloatArray) -> FloatArray:
    """Shear strength over tensile strength of bolts of this strength, thread in the shear plane; (n,).

    Grades of one strength can differ (4.6 and 4.8, 5.6 and 5.8): the least factor is taken. NaN for a
    strength that no grade of the catalogue has. [EN 1993-1-8, quoted; stainless EN 1993-1-4, memory]
    """
    alike = np.isclose(tensile_pa[:, None], grades.tensile_strength_pa, rtol=1e-6)
    least = np.where(alike, grades.shear_factor, np.inf).min(axis=1)
    return np.where(alike.any(axis=1), least, np.nan)


def bolt_group_shear_n(count: Figure, stress_area: Figure, tensile_pa: Figure, factor: Figure) -> Figure:
    """Breaking load of a group of bolts in shear: n x factor x Rm x As. N, any shape. [EN 1993-1-8, quoted]

    The standard's partial factor of 1.25 is left out: the load it is compared with is a share of the design
    load, not a design value of that standard. Screening only: the hull, the backing and the plate are for a
    surveyor.

    >>> round(bolt_group_shear_n(4.0, 84.3e-6, 700e6, 0.6))
    141624
    """
    return count * factor * tensile_pa * stress_area


def iso_15084_aft_n(hull_length_m: Figure, waterline_length_m: Figure) -> Figure:
    """Least breaking strength of an aft mooring point: P = 3.0 Lc - 3.8 kN, Lc the mean of both lengths.

    For design categories A and B, hulls from 6 to 24 m. m -> N, any shape. [ISO 15084, memory]

    >>> round(iso_15084_aft_n(12.0, 10.0))
    29200
    """
    return (3.0 * (hull_length_m + waterline_length_m) / 2.0 - 3.8) * 1e3


def builder_fitted_n(
    hull_length_m: FloatArray, waterline_length_m: FloatArray, loaded_mass_kg: FloatArray
) -> FloatArray:
    """What a cleat known only as builder-fitted counts as: the ISO 15084 minimum, never more.

    The standard asks no more than the weight of the loaded boat, so that is the upper bound. NaN where the
    standard does not apply (hull above 24 m) or a length is missing. N, any shape. [ISO 15084]
    """
    least = np.minimum(iso_15084_aft_n(hull_length_m, waterline_length_m), loaded_mass_kg * GRAVITY_MPS2)
    return np.where(hull_length_m <= ISO_15084_LENGTH_LIMIT_M, least, np.nan)
