"""Where every cone is tied: marks measured along the taut line, for the maker's tape."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from sizing.drogue.sections import section_lengths_m
from sizing.model import FloatArray, IntArray, RequirementColumns
from sizing.policy import Policy

TOLERANCE_M: Final = 0.010
"""Most a mark may be off its place [assumed]; each is measured from the end, so errors do not add up."""


@dataclass(frozen=True)
class ConeMarks:
    """One row a cone, from the outer end inboard, (N,) each.

    `distance_m` runs from the end thimble to the cone's mouth; `in_section_m` from the outer eye of its own
    section; `section` counts from 0, nearest the boat.
    """

    number: IntArray
    section: IntArray
    distance_m: FloatArray
    in_section_m: FloatArray
    tolerance_m: float = TOLERANCE_M

    def __len__(self) -> int:
        return len(self.number)


def cone_distances_m(cones: int, cone_pitch_m: float, first_cone_offset_m: float) -> FloatArray:
    """Distance of each cone's mouth from the end thimble: offset + (j - 1) x pitch, j from 1. [practice]"""
    return first_cone_offset_m + cone_pitch_m * np.arange(cones, dtype=np.float64)


def cone_marks(section_cones: IntArray, cone_pitch_m: float, first_cone_offset_m: float) -> ConeMarks:
    """Return the marks of one line; `section_cones` is (3,), section 0 nearest the boat."""
    cones = int(section_cones.sum())
    distance = cone_distances_m(cones, cone_pitch_m, first_cone_offset_m)
    inboard_first = np.repeat(np.arange(len(section_cones)), section_cones)
    section = inboard_first[::-1].astype(np.int64)
    length = section_lengths_m(section_cones[None, :], cone_pitch_m, first_cone_offset_m)[0]
    outer_eye = np.cumsum(length[::-1])[::-1] - length
    return ConeMarks(
        np.arange(1, cones + 1, dtype=np.int64), section, distance, distance - outer_eye[section]
    )


def marks_table(requirements: RequirementColumns, policy: Policy, row: int) -> ConeMarks:
    """Return the marks of boat `row`; no rows where she is not computed. m. [practice]"""
    rules = policy.sizing
    held = np.maximum(requirements.section_cones[row], 0)
    return cone_marks(held, rules.cone_pitch, rules.first_cone_offset)
