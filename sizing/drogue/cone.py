"""The cone and its flat pattern: a frustum's development between two stitch lines, allowances outside."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from sizing.drogue.figures import Figure
from sizing.errors import ComputationError
from sizing.model import ConeSize, FloatArray
from sizing.policy import Policy, SizingRules

SMALL_END_STEP_M: Final = 0.005
"""Small ends wider than the policy's come in these steps, so that a fleet has few patterns [assumed]."""

MOST_SMALL_END_SHARE: Final = 0.8
"""Widest small end over mouth (the usual cone: 0.3): beyond it hardly a cone is left [assumed]."""

_ROUNDING: Final = 1e-9


@dataclass(frozen=True)
class ConePattern:
    """A ring sector, and a strip for the seam outside each of its straight edges. m, rad.

    The sector lies between `inner_radius_m` and `outer_radius_m` over `angle_rad`; its straight edges are the
    lines that are laid on each other. Each strip is as long as the slant and `seam_m` wide. The small end is
    cut hot, and the mouth too unless `hem_m` is turned in there: then so much is added outside the mouth.
    `lapped`: one edge is laid flat over the other, line on line, in place of face to face.
    """

    outer_radius_m: float
    inner_radius_m: float
    angle_rad: float
    seam_m: float
    hem_m: float = 0.0
    lapped: bool = False

    @property
    def cut_radius_m(self) -> float:
        """Radius of the outer cut edge: the mouth's, and its hem."""
        return self.outer_radius_m + self.hem_m

    @property
    def slant_m(self) -> float:
        """Length of a straight edge."""
        return self.outer_radius_m - self.inner_radius_m

    @property
    def area_m2(self) -> float:
        """Cloth in one piece: sector, hem and both strips."""
        sector = 0.5 * self.angle_rad * (self.cut_radius_m**2 - self.inner_radius_m**2)
        return sector + 2.0 * self.seam_m * (self.slant_m + self.hem_m)

    def outline_m(self, arc_points: int = 60) -> FloatArray:
        """Corner points of the pattern, the centre of the sector at (0, 0), symmetrical about the y axis.

        Shape (2 x arc_points + 4, 2): outer rim, strip, inner rim, strip; runs round once without repeating
        the first.
        """
        half = self.angle_rad / 2.0
        angles = np.linspace(-half, half, arc_points)
        unit = np.column_stack((np.sin(angles), np.cos(angles)))
        outer, inner = self.cut_radius_m * unit, self.inner_radius_m * unit[::-1]
        right = self.seam_m * np.array([math.cos(half), -math.sin(half)])
        left = right * np.array([-1.0, 1.0])
        strips = (
            np.array([outer[-1] + right, inner[0] + right]),
            np.array([inner[-1] + left, outer[0] + left]),
        )
        return np.concatenate((outer, strips[0], inner, strips[1]))


def cone_pattern(
    mouth_m: float,
    small_end_m: float,
    slant_m: float,
    seam_m: float,
    hem_m: float = 0.0,
    *,
    lapped: bool = False,
) -> ConePattern:
    """Development of a frustum: radii r1 s/(r1-r2) and r2 s/(r1-r2), angle 2 pi (r1-r2)/s.

    Diameters, slant height, seam and hem in m; the mouth is wider than the small end and the slant longer
    than half their difference. Default cone 5 in, 1.5 in, 6 in [memory]. [derived]

    >>> pattern = cone_pattern(0.127, 0.0381, 0.1524, 0.012)
    >>> round(math.degrees(pattern.angle_rad), 1)
    105.0
    """
    large, small = mouth_m / 2.0, small_end_m / 2.0
    step = large - small
    if not (small > 0.0 and step > 0.0 and slant_m > step and seam_m >= 0.0 and hem_m >= 0.0):
        raise ComputationError(
            "cone",
            f"mouth {mouth_m:g} m, small end {small_end_m:g} m and slant {slant_m:g} m make no cone",
            "a mouth wider than the small end, and a slant longer than half their difference",
            "correct cone_mouth, cone_small_end or cone_slant in the policy",
        )
    return ConePattern(
        large * slant_m / step, small * slant_m / step, 2.0 * math.pi * step / slant_m, seam_m, hem_m, lapped
    )


def least_small_end_m(rope_diameter_m: Figure, clearance_m: float) -> Figure:
    """Least small end of a cone that goes over a rope, splices and thimbles apart: d + 3 mm.

    For new cones and for gear aboard; NaN where the rope is not known. m, any shape. [assumed]

    >>> round(least_small_end_m(0.0406, 0.003), 4)
    0.0436
    """
    return rope_diameter_m + clearance_m


def small_end_over_rope_m(rope_diameter_m: Figure, usual_m: Figure, clearance_m: float) -> Figure:
    """Small end of the cones on a rope: the usual one where it passes the rope.

    Where it does not, the least that does, up to the next whole 5 mm. NaN where the rope is not known. Mouth
    and slant stay, and with them the drag [derived]. m, any shape. [assumed]

    >>> [round(float(small_end_over_rope_m(rope, 0.0381, 0.003)), 4) for rope in (0.0200, 0.0406)]
    [0.0381, 0.045]
    """
    least = least_small_end_m(rope_diameter_m, clearance_m)
    wider = np.ceil(least / SMALL_END_STEP_M - _ROUNDING) * SMALL_END_STEP_M
    passes = usual_m >= least - _ROUNDING
    small: Figure = usual_m * passes + wider * (1.0 - passes)
    return small


def usual_cone(mouth_m: float, rules: SizingRules) -> ConeSize:
    """The policy's cone in proportion to a mouth, as it goes over every rope that is not too thick for it."""
    return ConeSize(mouth_m, rules.cone_small_end * mouth_m / rules.cone_mouth)


def cone_over_rope(rope_diameter_m: float, mouth_m: float, rules: SizingRules) -> ConeSize:
    """The cone of this mouth that goes over a rope; the usual one where the rope is not known (NaN)."""
    usual = usual_cone(mouth_m, rules)
    if math.isnan(rope_diameter_m):
        return usual
    small = small_end_over_rope_m(rope_diameter_m, usual.small_end_m, rules.small_end_clearance)
    return ConeSize(mouth_m, float(small))


def pattern_of(size: ConeSize, policy: Policy) -> ConePattern:
    """Pattern of a cone of any size: its slant is the policy's in proportion to the mouth."""
    slant_m = policy.sizing.cone_slant * size.mouth_m / policy.sizing.cone_mouth
    order = policy.order
    return cone_pattern(
        size.mouth_m,
        size.small_end_m,
        slant_m,
        order.seam_allowance,
        order.hem_allowance,
        lapped=order.seam == "lapped",
    )


def cone_cloth_m2(
    mouth_m: Figure, small_end_m: Figure, slant_m: float, seam_m: float, hem_m: float = 0.0
) -> Figure:
    """Cloth of one cone, seam strips and hem with it. m -> m2, any shape. [derived]

    pi s (r1 + r2) + 2 w (s + h) + 2 pi h r1 + pi h^2 (r1 - r2) / s

    >>> round(cone_cloth_m2(0.127, 0.0381, 0.1524, 0.012), 4)
    0.0432
    """
    frustum = math.pi * slant_m * (mouth_m + small_end_m) / 2.0 + 2.0 * seam_m * (slant_m + hem_m)
    return frustum + math.pi * hem_m * (mouth_m + hem_m * (mouth_m - small_end_m) / (2.0 * slant_m))


def cone_mass_kg(
    pattern_area_m2: Figure,
    areal_mass_kg_m2: Figure,
    tapes: float,
    tape_length_m: float,
    tape_kg_per_m: float,
) -> Figure:
    """Mass of one cone with its tapes: cloth area x areal mass + tapes x length x mass per length.

    kg. [derived]

    >>> round(cone_mass_kg(0.0432, 0.0509, 3.0, 0.762, 0.008), 4)
    0.0205
    """
    return pattern_area_m2 * areal_mass_kg_m2 + tapes * tape_length_m * tape_kg_per_m
