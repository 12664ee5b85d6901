"""What a series drogue is got back aboard with: the ropes a kit has for it, and how they are sized.

A recovery line goes from the junction of bridle and lead line to the quarter. By it, and then by the bare
lead line, the junction comes aboard. The cones follow by a hauling line, or a tackle, on a loop that grips
the line between two of them. Nothing published says how; it is common practice, and its figures are assumed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.drag import mouth_area_m2
from sizing.drogue.hardware import smallest_enough
from sizing.drogue.lengths import cut_length_m
from sizing.drogue.published import KNOT_MPS
from sizing.drogue.tow import drogue_drag_n
from sizing.model import FleetColumns, RequirementColumns
from sizing.policy import Haul, Policy
from sizing.seamanship.figures import figures_of

REACH_M: Final = 2.0
"""Line gained by one haul between two hitches, and the travel of a tackle [assumed]."""
HAULING_SPEED_MPS: Final = 2.0 * KNOT_MPS
"""Way she still makes through the water while she is recovered, at most [assumed]."""
SAFETY: Final = 5.0
"""New strength, with its hitch, over the pull at that speed [assumed]."""
WINCH_SHARE: Final = 0.3
"""Stern to winch, over the length of the hull [assumed]."""
HAULING_SPARE_M: Final = 5.0
"""What a hauling line is longer than from stern to winch and back [practice]."""
HAULING_DIAMETER_M: Final = 0.010
"""Thinnest rope that is hauled by hand [assumed]."""
LOOP_DIAMETER_M: Final = 0.008
"""Thinnest cord that grips: thinner than any line it goes round [practice]."""
LOOP_ROPE_M: Final = 1.8
"""Cord of one loop, its knot included [assumed]."""
TACKLE_PARTS: Final = 4
TACKLE_TAIL_M: Final = 4.0
"""Tail of a tackle when it is drawn out [assumed]."""


@dataclass(frozen=True)
class RecoveryRope:
    """Equal pieces of rope: the gear's name in the register, rope (-1: none is strong enough), cut length."""

    gear: str
    rope: int
    cut_m: float
    pieces: int
    source: str


def reaches(cone_line_m: float) -> int:
    """Hauls it takes to get the cone line aboard: its length over one reach, up. m. [derived; assumed]

    >>> reaches(42.0)
    21
    """
    return math.ceil(cone_line_m / REACH_M - 1e-9)


def hauling_pull_n(figures: Mapping[str, float], speed_mps: float, policy: Policy) -> float:
    """Pull of her whole drogue at a speed through the water. `figures` of her requirement, m/s -> N."""
    area = float(mouth_area_m2(figures["cone_mouth_m"]))
    return drogue_drag_n(
        speed_mps, figures["cones"], area, policy.sizing.drag_coefficient, policy.sizing.water_density
    )


def recovery_line_m(leg_m: float, policy: Policy) -> float:
    """Finished length of the recovery line: one leg and the policy's 3 m more. m. [practice]"""
    return leg_m + policy.order.recovery_line_over_leg


def recovery_ropes(
    fleet: FleetColumns,
    needs: RequirementColumns,
    policy: Policy,
    catalogue: Catalogue,
    row: int,
    leg_m: float | None = None,
) -> tuple[RecoveryRope, ...]:
    """Return every rope that the recovery of boat `row`, which has figures, needs; `leg_m` where legs stay.

    The recovery line is of the rope of a leg, since it may have to take a leg's place. What hauls must hold,
    with its hitch, five times the pull at 2 kn; a loop has two parts. The recovery line waits where the legs
    are not known yet. [practice; assumed]
    """
    figures = figures_of(needs, row)
    needed_n = SAFETY * hauling_pull_n(figures, HAULING_SPEED_MPS, policy) / policy.sizing.knot_factor
    hauling = _thinnest(catalogue, needed_n, HAULING_DIAMETER_M)
    sized = "[practice] sizes [assumed]"
    ropes = []
    if not needs.bridle_waits[row]:
        finished_m = recovery_line_m(max(leg_m or 0.0, figures["bridle_leg_m"]), policy)
        line_m = cut_length_m(finished_m, policy.sizing.eye_splice_rope)
        leg_rope = int(needs.bridle_rope[row])
        ropes.append(
            RecoveryRope("recovery line", leg_rope, line_m, 1, "[practice] a leg and 3 m; as strong")
        )
    if haul_of(fleet.choice_words("boat_type", row) or "", policy) == "winch":
        length_m = 2.0 * WINCH_SHARE * float(fleet.number["loa_m"][row]) + HAULING_SPARE_M
        ropes.append(RecoveryRope("hauling line", hauling, length_m, 2, sized))
    else:
        ropes.append(RecoveryRope("tackle", hauling, TACKLE_PARTS * REACH_M + TACKLE_TAIL_M, 1, sized))
    loop = _thinnest(catalogue, needed_n / 2.0, LOOP_DIAMETER_M)
    return (*ropes, RecoveryRope("gripping loop", loop, LOOP_ROPE_M, 4, sized))


def haul_of(boat_type: str, policy: Policy) -> Haul:
    """What hauls on recovery, as the policy has it for her kind of boat. [practice, no source]"""
    return policy.order.recovery_motor if "motor" in boat_type else policy.order.recovery_sailing


def _thinnest(catalogue: Catalogue, strength_n: float, diameter_m: float) -> int:
    """The thinnest rope of the catalogue that is strong enough and not thinner; -1 where none is."""
    ropes = catalogue.ropes
    strong = int(smallest_enough(ropes.minimum_strength_n, np.array(strength_n)))
    thick = int(smallest_enough(ropes.diameter_m, np.array(diameter_m)))
    return -1 if min(strong, thick) < 0 else max(strong, thick)
