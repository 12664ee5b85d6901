"""Checks of the cones of a series drogue, one by one."""

from __future__ import annotations

import numpy as np

from sizing.audit import asks
from sizing.audit.cases import HEAVY, HUGE, WARPS
from sizing.audit.context import AuditContext
from sizing.audit.judge import NOT_COMPUTED_NOTE, Outcome, by_figure, by_word, left_unproven
from sizing.audit.spec import CheckSpec, declare
from sizing.model import Ask, Says, Standing

SMALLER_MOUTH = 0.03
"""Share by which the smallest mouth may fall behind the one given: 6 % of one cone's drag [assumed]."""


def _mouth_size(context: AuditContext) -> Outcome:
    standard = context.requirements.cone_mouth_m
    return by_figure(
        context, standard * 1.3, context.fleet.number["cone_mouth_m"],
        applies=context.series_or_unanswered, at_most=True,
    )  # fmt: skip


def _mouths_alike(context: AuditContext) -> Outcome:
    """The smallest mouth against the one the count is judged by."""
    mouth, smallest = context.fleet.number["cone_mouth_m"], context.fleet.number["cone_mouth_smallest_m"]
    larger = np.asarray(context.series_or_unanswered & (smallest > (1.0 + SMALLER_MOUTH) * mouth))
    return left_unproven(by_figure(
        context, (1.0 - SMALLER_MOUTH) * mouth, smallest, applies=context.series_or_unanswered,
        notes=((larger, "The smallest mouth is larger than the mouth given: measure both again."),),
    ), larger)  # fmt: skip


def _torn(context: AuditContext) -> Outcome:
    number = context.fleet.number
    too_many = np.asarray(context.series_or_unanswered & (number["cones_torn"] > number["cone_count"]))
    outcome = by_figure(
        context, np.zeros(context.boats), number["cones_torn"],
        applies=context.series_or_unanswered, at_most=True,
        notes=((too_many, "More cones are said to be torn than are counted: count both again."),),
    )  # fmt: skip
    outcome.standing[too_many] = Standing.UNPROVEN
    return outcome


def _small_end(context: AuditContext) -> Outcome:
    """The small end against the thickest rope that cones sit on [assumed clearance]."""
    thickest = np.nan_to_num(context.fleet.section_diameters_m, nan=-np.inf).max(axis=1)
    required = np.where(np.isinf(thickest), np.nan, thickest + context.policy.sizing.small_end_clearance)
    small = context.fleet.number["cone_small_end_m"]
    mouth = context.fleet.number["cone_mouth_m"]
    as_wide = (small >= mouth) | np.isclose(small, mouth, rtol=1e-4)  # 5 in is also written 0.4167 ft
    no_cone = np.asarray(context.series_or_unanswered & as_wide)
    return left_unproven(by_figure(
        context, required, small, applies=context.series_or_unanswered,
        notes=((no_cone, "The small end is as wide as the mouth: that is no cone. Measure both again."),),
    ), no_cone)  # fmt: skip


def _pitch(context: AuditContext) -> Outcome:
    required = context.policy.audit.pitch_ratio * context.fleet.number["cone_mouth_m"]
    standard = context.policy.audit.pitch_ratio * context.requirements.cone_mouth_m
    mouth_unknown = np.isnan(required)
    pitch = context.fleet.number["cone_pitch_m"]
    outcome = by_figure(
        context,
        np.where(mouth_unknown, standard, required),
        pitch,
        applies=context.series_or_unanswered,
        notes=(
            (
                np.asarray(mouth_unknown & context.series & ~np.isnan(pitch)),
                "The cones' mouth is not given; the pitch needed is for the rally's standard cone.",
            ),
        ),
    )
    return left_unproven(outcome, mouth_unknown)


def _cloth(context: AuditContext) -> Outcome:
    light = np.asarray(context.requirements.displacement_used_kg < context.policy.audit.light_cloth_limit)
    outcome = by_word(
        context,
        "cone_cloth",
        {"light rip-stop": Standing.SHORT, "heavy": Standing.MEETS, "unknown": Standing.UNPROVEN},
        applies=context.series_or_unanswered,
    )
    short = outcome.standing == Standing.SHORT
    outcome.standing[light & short] = Standing.MEETS
    unknown_need = np.asarray(short & ~context.computed)
    outcome.standing[unknown_need] = Standing.UNPROVEN
    return Outcome(
        outcome.standing, outcome.required, outcome.found, notes=((unknown_need, NOT_COMPUTED_NOTE),)
    )


CHECKS: tuple[CheckSpec, ...] = (
    declare(
        _mouth_size, "drag.mouth-size", "No cone is much larger than the standard cone.",
        rule="mouth <= 1.3 x the rally's standard cone", source="[assumed]", level="should",
        dimension="small_length",
        consequence="Load on a cone grows with its mouth area; tapes and cloth are made for the standard.",
        remedy="Replace over-large cones by the standard size.",
        ask="Measure the mouth of one cone.",
        says=Says(
            meets="The mouth of a cone is {found} wide; {required} is the most {allowed}.",
            short="The cones are too wide: {found} across the mouth, where {required} is the most {allowed}.",
            unproven={"cone_mouth": asks.MOUTH, "": "It is not shown whether [her] cones are too wide."},
            moot=asks.NO_CONES,
        ),
        columns=("cone_mouth",), short=({"cone_mouth": "8 in"},),
        not_applicable=(WARPS,),
    ),
    declare(
        _mouths_alike, "drag.mouths-alike", "No cone has a much smaller mouth than the one measured.",
        rule="smallest mouth >= 0.97 x the mouth given", source="[assumed]", dimension="small_length",
        consequence="Drag goes with the mouth's area, so a few small cones cost much of it.",
        remedy="Replace the small cones, or count by the small mouth.",
        ask="Look along all cones and measure the smallest mouth.",
        says=Says(
            meets="The smallest mouth is {found} wide, near enough to the others.",
            short="Some cones are too small: the smallest mouth is {found} wide, and {required} is {needed}.",
            unproven={
                "cone_mouth": asks.MOUTH,
                "cone_mouth_smallest": Ask("how wide the smallest mouth is",
                                           "look along all cones and measure the smallest mouth"),
                "": "The two mouths given contradict each other. [You] can measure both again.",
            },
            moot=asks.NO_CONES,
        ),
        columns=("cone_mouth_smallest", "cone_mouth"), short=({"cone_mouth_smallest": "110 mm"},),
        unproven=({"cone_mouth_smallest": ""}, {"cone_mouth": ""}, {"cone_mouth_smallest": "8 in"}),
        not_applicable=(WARPS,),
    ),
    declare(
        _torn, "drag.torn-cones", "No cone is torn or missing.",
        rule="cones torn, loose or missing = 0", source="[practice]", dimension="count", parts=("cones",),
        consequence="A torn cone makes no drag, and its load goes to the next.",
        remedy="Replace each torn or missing cone.",
        ask="Look at every cone and count those that are torn, loose or missing.",
        says=Says(
            meets="No cone is torn or missing.",
            short="{found:cone} {found:is/are} torn or missing.",
            unproven={
                "cones_torn": Ask("whether a cone is torn or missing",
                                  "look at every cone and count those that are torn, loose or missing"),
                "": "More cones are said to be torn than there are. [You] can count both again.",
            },
            moot=asks.NO_CONES,
        ),
        columns=("cones_torn",), short=({"cones_torn": "3"},),
        unproven=({"cones_torn": ""}, {"cones_torn": "127"}), not_applicable=(WARPS,),
    ),
    declare(
        _small_end, "drag.small-end", "The small end of the cones passes over the rope.",
        rule="small end >= thickest section + policy clearance", source="[assumed]",
        dimension="small_length", parts=("cones",),
        consequence="A cone that binds on its rope cannot open or slide to its place, and tears its tapes.",
        remedy="Make cones with a wider small end for the thick sections.",
        ask="Measure the small end of one cone.",
        says=Says(
            meets="The small end of the cones is {found} wide; {required} is {needed} to pass over the rope.",
            short="The small end of the cones is only {found} wide; {required} is {needed} to pass over the "
                  "rope.",
            unproven={
                "cone_small_end": Ask("how wide the small end of [her] cones is", "measure the small end of "
                                                                                  "one cone"),
                "section_diameters": asks.SECTIONS,
                "": "The small end is given as wide as the mouth, and that is no cone. [You] can measure "
                    "both again.",
            },
            need="{required} is {needed}.",
            moot=asks.NO_CONES,
        ),
        columns=("cone_small_end", "section_diameters"), short=({"cone_small_end": "28 mm"},),
        unproven=({"cone_small_end": ""}, {"section_diameters": ""}, {"cone_small_end": "5 in"}),
        not_applicable=(WARPS,),
    ),
    declare(
        _pitch, "drag.pitch", "The cones are far enough apart.",
        rule="pitch >= policy ratio x mouth (published piece: 4)", source="[CG87 4.1.1; ratio assumed]",
        level="should", dimension="small_length",
        consequence="Cones close behind each other stand in each other's wake and tangle more easily.",
        remedy="Move the cones to the standard pitch.",
        ask="Measure from the mouth of one cone to the mouth of the next.",
        says=Says(
            meets="The cones stand {found} apart; {required} is {needed}.",
            short="The cones stand only {found} apart; {required} is {needed}.",
            unproven={
                "cone_pitch": Ask("how far apart [her] cones stand",
                                  "measure from the mouth of one cone to the mouth of the next"),
                "cone_mouth": asks.MOUTH,
                "": "It is not shown that [her] cones stand far enough apart.",
            },
            moot=asks.NO_CONES,
        ),
        columns=("cone_pitch", "cone_mouth"),
        short=({"cone_pitch": "12 in"}, {"cone_mouth": "", "cone_pitch": "12 in"}),
        unproven=({"cone_pitch": ""}, {"cone_mouth": ""}), not_applicable=(WARPS,),
    ),
    declare(
        _cloth, "drag.cone-cloth", "The cone cloth suits her displacement.",
        rule="light rip-stop only below 30,000 lb", source="[CG87 6.3]", level="should", parts=("cones",),
        consequence="Light cloth can burst under a heavy boat.",
        remedy="Make the cones of heavier cloth.",
        ask="Say whether the cones are of light rip-stop (1.5 oz) or heavier cloth.",
        says=Says(
            meets="The cloth of the cones is heavy enough for [her] displacement.",
            short="The cloth of the cones is too light for [her] displacement.",
            unproven={
                "cone_cloth": Ask("whether the cones are of light or heavy cloth",
                                  "say whether it is light rip-stop (1.5 oz) or heavier"),
                "": "It is not shown that the cloth of the cones is heavy enough.",
            },
            moot=asks.NO_CONES,
        ),
        columns=("cone_cloth",), meets=({}, {**HEAVY, "cone_cloth": "heavy"}), short=(HEAVY,),
        unproven=({"cone_cloth": ""}, HUGE), not_applicable=(WARPS,),
    ),
)  # fmt: skip
