"""Lengths of the line: cones, end, lead line and what splices take up."""

from __future__ import annotations

from sizing.drogue.figures import Figure


def cone_line_m(cones: Figure, cone_pitch_m: float, first_cone_offset_m: float) -> Figure:
    """Finished length of the cone line, end thimble to lead line: N x pitch + offset of the first cone.

    m, any shape. 90 cones at 20 in are 150 ft [CG87 4.1.1]; the offset is 2 ft [practice].

    >>> round(cone_line_m(90.0, 0.508, 0.0) / 0.3048, 6)
    150.0
    """
    return cones * cone_pitch_m + first_cone_offset_m


def whole_line_m(cone_line: Figure, lead_line_m: Figure) -> Figure:
    """Finished length from the bridle to the end thimble: cone line + lead line. m, any shape. [practice]

    >>> whole_line_m(45.72, 24.384)
    70.104
    """
    return cone_line + lead_line_m


def cut_length_m(finished_m: Figure, eye_splice_rope_m: float) -> Figure:
    """Rope to cut for a piece with an eye splice at both ends: finished + 2 x rope of one eye. m. [practice]

    >>> round(cut_length_m(10.0, 0.3048), 4)
    10.6096
    """
    return finished_m + 2.0 * eye_splice_rope_m
