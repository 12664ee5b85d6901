"""What the simulated wave strike on the gear aboard adds: loads to reach besides, and whether she is held.

The published design load decides what is required of strength. The load that nine in ten varied strikes on
her own gear stay below is advised besides, in the same finding.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np

from sizing.audit import asks
from sizing.audit.cases import NO_DEVICE
from sizing.audit.context import AuditContext
from sizing.audit.judge import Outcome, by_figure
from sizing.audit.spec import CheckSpec, declare
from sizing.drogue.holding import HOLD_MEASURES, compare_hold
from sizing.model import BoolArray, FloatArray, IntArray, Says

CARRIED = "The simulated wave carries the boat along and does not pass: this drogue does not hold at all."
Place = Literal["bridle", "lead line", "sections"]


def strike_load_n(context: AuditContext, place: Place) -> FloatArray:
    """Load that nine in ten varied strikes on the gear aboard stay below; NaN where none were run. N.

    At the bridle and the head of the lead line (n,), at the heads of the sections (n, 3). [CG87 5.3; derived]
    """
    strike = context.strike_aboard
    if strike is None:
        return np.full((context.boats, 3) if place == "sections" else context.boats, np.nan)
    if place == "bridle":
        return strike.p90_n
    return strike.head_p90_n[:, 0] if place == "lead line" else strike.head_p90_n[:, 1:]


def _held(context: AuditContext) -> Outcome:
    strike = context.strike_aboard
    if strike is None or strike.hold_required is None:
        raise ValueError("this check needs the strike on the gear aboard")
    compared = compare_hold(strike.hold, strike.hold_required)
    applies = np.asarray(context.has_line & ~context.chosen("device_from", "bow"))
    limit = np.where(context.computed, context.policy.audit.hold_margin, np.nan)
    carried = np.isposinf(compared.excess)
    outcome = by_figure(
        context, limit, np.maximum(compared.excess, 0.0), applies=applies, at_most=True,
        notes=(
            (np.asarray(carried & applies), CARRIED),
            *_worst(compared.worst, np.asarray(~carried & applies & (compared.excess > limit))),
            *_not_computed(context, applies),
        ),
    )  # fmt: skip
    known = (context.warps, "Carry a device whose drag is known, such as a series drogue.")
    return replace(outcome, found=np.where(carried, np.nan, outcome.found), advice=(known,))


def _worst(worst: IntArray, behind: BoolArray) -> tuple[tuple[BoolArray, str], ...]:
    """What tells most against each boat that is held less."""
    words = "Most of all she falls behind the drogue she needs in {}."
    return tuple(
        (np.asarray(behind & (worst == place)), words.format(measure))
        for place, measure in enumerate(HOLD_MEASURES)
    )


def _not_computed(context: AuditContext, applies: BoolArray) -> tuple[tuple[BoolArray, str], ...]:
    """The reason of every boat whose gear could not be struck, as notes."""
    strike = context.strike_aboard
    by_reason: dict[str, list[int]] = {}
    for row, reason in (strike.not_computed if strike else {}).items():
        if strike and applies[row] and not strike.hold.carried[row]:
            by_reason.setdefault(reason, []).append(row)
    notes = []
    for reason, rows in by_reason.items():
        mask = np.zeros(context.boats, dtype=np.bool_)
        mask[rows] = True
        notes.append((mask, f"Not simulated: {reason}."))
    return tuple(notes)


CHECKS: tuple[CheckSpec, ...] = (
    declare(
        _held, "drag.held", "In a simulated wave strike she is held as by the drogue she needs.",
        rule="speed and distance 1, 2 and 4 s after the strike, and time on the crest, each at most the "
        "policy's share above those of the rig she needs",
        source="[CG87 5.3, 6.1; calibrated; assumed]",
        consequence="A boat that runs on with the crest can surf, broach or pitch-pole.",
        remedy="Add drag: more cones, or a larger device.",
        ask="Give the gear aboard in full, so that the strike can be simulated.",
        parts=("cones", "extension"),
        says=Says(
            meets="In a simulated wave strike [she] is held about as well as by the drogue that is needed.",
            short={"no found": "The simulated wave carries [boat] along: [her] drogue does not hold her.",
                   "":

                           "In a simulated wave strike [she] is held less well than by the drogue that is "
                           "needed."},
            unproven={
                "device_type=warps": "Nothing published says how much drag warps make, so no strike is "
                                     "simulated.",
                "cone_count & device_diameter": asks.CONES, "line_material": asks.LINE_FIBRE,
                "line_material!=nylon double braid": "How far this line stretches is not known, so no "
                                                     "strike is simulated.",
                "": "Too little is known of [her] gear to simulate a wave strike on it.",
            },
            moot={"device_from=bow": "[Her] drogue is set from the bow, and the simulated wave comes from "
                                     "astern."},
        ),
        columns=("cone_count", "cone_mouth"),
        meets=({}, {"cone_count": "140", "section_cones": "70; 70"}),
        short=({"cone_count": "60", "section_cones": "30; 30"}, {"cone_count": "5", "section_cones": "3; 2"}),
        unproven=({"cone_count": ""}, {"line_material": "polyester"}),
        not_applicable=(NO_DEVICE, {"device_from": "bow"}),
        of_the="strike",
    ),
)  # fmt: skip
