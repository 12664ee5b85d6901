"""Checks of the drag device itself: what is aboard, and whether it makes the drag."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sizing.audit import asks
from sizing.audit.cases import CONE_DROGUE, NO_DEVICE, WARPS
from sizing.audit.context import AuditContext
from sizing.audit.judge import Outcome, by_figure, by_word, judged_by_word, left_unproven
from sizing.audit.spec import CheckSpec, declare
from sizing.drogue.drag import mouth_area_m2
from sizing.drogue.single_element import required_device_diameter_m, series_area_m2
from sizing.model import Ask, BoolArray, FloatArray, PartGroup, Says, Standing
from sizing.policy import ACCEPTED

WHOLE: tuple[PartGroup, ...] = (
    "cones", "cone line", "lead line", "bridle", "end weight", "thimbles", "shackles", "chafe gear",
    "stowage bag", "recovery gear",
)  # fmt: skip


def _aboard(context: AuditContext) -> Outcome:
    outcome = by_word(
        context,
        "device_type",
        {
            "series drogue": Standing.MEETS,
            "cone drogue": Standing.MEETS,
            "parachute": Standing.MEETS,
            "warps": Standing.MEETS,
            "other": Standing.UNPROVEN,
            "none": Standing.ABSENT,
        },
        applies=context.everyone,
    )
    presumed = np.asarray(context.series & context.blank("device_type"))
    outcome.standing[presumed] = Standing.MEETS
    contradictions = _contradictions(context)
    for rows, _ in contradictions:
        outcome = left_unproven(outcome, rows)
    return Outcome(
        outcome.standing,
        outcome.required,
        outcome.found,
        notes=(
            (presumed, "The sheet gives a cone count but no device: it is taken as a series drogue."),
            *contradictions,
        ),
    )


def _contradictions(context: AuditContext) -> tuple[tuple[BoolArray, str], ...]:
    """What the sheet says of the device that cannot all be true."""
    number = context.fleet.number
    gear = ("cone_count", "device_diameter_m", "lead_line_length_m", "lead_line_diameter_m", "end_weight_kg")
    given = np.any([number[name] > 0.0 for name in gear], axis=0)
    return (
        (
            np.asarray(context.single_element & (number["cone_count"] > 1.0)),
            "The sheet names a single device and yet counts several cones: say which is aboard.",
        ),
        (
            np.asarray(context.chosen("device_type", "series drogue") & (number["cone_count"] <= 1.0)),
            "The sheet names a series drogue and yet counts fewer than two cones: say which is aboard.",
        ),
        (
            np.asarray(context.no_device & given),
            "The sheet says there is no device and yet gives gear of one: say which is so.",
        ),
    )


def _accepted(context: AuditContext) -> Outcome:
    accepted = context.policy.audit.accepted_devices
    verdicts = {
        word: Standing.MEETS if word in accepted else Standing.SHORT
        for word in ("series drogue", "cone drogue", "parachute", "warps")
    }
    verdicts |= {"other": Standing.UNPROVEN, "none": Standing.NOT_APPLICABLE}
    outcome = by_word(context, "device_type", verdicts, applies=context.has_line)
    if "series drogue" in accepted:
        outcome.standing[context.series] = Standing.MEETS
    reason = context.policy.reasons.get(ACCEPTED, "")
    told = ((context.warps, f"Why this rally takes warps: {reason}"),) if reason else ()
    return replace(outcome, notes=told)


def _cones_needed(context: AuditContext) -> FloatArray:
    """Cones of the mouth aboard that make the required area; NaN where the mouth is not given."""
    area = context.requirements.mouth_area_required_m2
    return np.asarray(np.ceil(area / context.cone_mouth_area_m2 - 1e-9))


def _cone_count(context: AuditContext) -> Outcome:
    torn = np.nan_to_num(context.fleet.number["cones_torn"])
    needed = _cones_needed(context)
    standard = context.requirements.cones.astype(np.float64)
    standard[~context.computed] = np.nan
    mouth_unknown = np.asarray(np.isnan(needed) & context.computed)
    outcome = by_figure(
        context,
        np.where(np.isnan(needed), standard, needed),
        context.sound_cones,
        applies=np.asarray(context.series_or_unanswered | context.no_device),
        absent=context.no_device,
        tolerance=context.policy.audit.cone_tolerance,
    )
    bow = np.asarray(context.series & context.chosen("device_from", "bow"))
    unsaid = np.asarray(context.series & context.blank("device_from"))
    unproven = (mouth_unknown | bow | unsaid) & (outcome.standing == Standing.MEETS)
    untold = np.asarray(context.unanswered & (outcome.standing == Standing.SHORT))
    outcome.standing[unproven | untold] = Standing.UNPROVEN
    concerned = np.asarray(mouth_unknown & context.series)
    mend = np.asarray((outcome.standing == Standing.SHORT) & (torn > 0.0))
    return replace(
        outcome,
        advice=(
            (mend, "Replace what is torn or missing, and add the cones that are then still wanting."),
            (np.asarray(bow & (outcome.standing == Standing.UNPROVEN) & ~mouth_unknown),
             "Set it from the stern, with a bridle, and have that seen."),
        ),
        notes=(
            *outcome.notes,
            (np.asarray(torn > 0.0), "Cones that are torn or missing make no drag and are not counted."),
            (concerned, "The cones' mouth is not given; the number needed is for the rally's standard cone."),
            (bow, "The number needed is for the stern. From the bow a device needs two to three times the "
             "diameter [CG87 6.1], so these cones prove nothing there."),
            (unsaid, "The sheet does not say whether it is set from the stern or the bow; the number needed "
             "is for the stern."),
            (untold, "The sheet does not say what device is aboard, so its cones are not known to be all."),
        ),
    )  # fmt: skip


def _equivalent_diameter(context: AuditContext) -> Outcome:
    bow = context.chosen("device_from", "bow")
    required = required_device_diameter_m(
        context.requirements.equivalent_diameter_m, bow, context.policy.audit.bow_diameter_ratio
    )
    number = context.fleet.number
    found = context.element_diameter_m
    from_mouth = np.asarray(
        context.single_element & np.isnan(number["device_diameter_m"]) & ~np.isnan(number["cone_mouth_m"])
    )
    applies = np.asarray(context.single_element | context.warps)
    outcome = by_figure(context, required, np.where(context.warps, np.nan, found), applies=applies)
    # Where the end is not said, enough for the stern alone proves nothing.
    unsaid = np.asarray(context.blank("device_from") & context.single_element)
    for_bow = required * context.policy.audit.bow_diameter_ratio
    meets = outcome.standing == Standing.MEETS
    outcome.standing[unsaid & meets & ~(found >= for_bow)] = Standing.UNPROVEN
    return Outcome(
        outcome.standing,
        outcome.required,
        outcome.found,
        notes=(
            (np.asarray(bow), "Set from the bow, so two to three times the diameter is needed [CG87 6.1]."),
            (from_mouth, "The mouth diameter is taken as the device's diameter."),
            (unsaid, "The sheet does not say whether it is set from the bow or the stern."),
            (context.warps, "No published figure gives the drag of warps: nothing shows that they hold."),
        ),
        advice=((context.warps, "Carry a device whose drag is known, such as a series drogue."),),
    )


def _drag_area_ratio(context: AuditContext, from_bow: BoolArray) -> FloatArray:
    """Drag area aboard over the area required; a single device set from the bow requires more of it."""
    series = series_area_m2(context.fleet.number["cone_count"], context.cone_mouth_area_m2)
    single = mouth_area_m2(context.element_diameter_m)
    area = np.where(context.single_element, single, series)
    bow = np.where(context.single_element & from_bow, context.policy.audit.bow_diameter_ratio, 1.0)
    return np.asarray(area / (context.requirements.mouth_area_required_m2 * bow**2))


def _oversize(context: AuditContext) -> Outcome:
    limit = np.full(context.boats, context.policy.audit.oversize_ratio)
    limit[~context.computed] = np.nan
    applies = np.asarray(context.has_line & ~context.chosen("device_type", "warps", "other"))
    bow = context.chosen("device_from", "bow")
    return by_figure(
        context,
        limit,
        _drag_area_ratio(context, bow),
        best=_drag_area_ratio(context, np.asarray(bow | context.blank("device_from"))),
        applies=applies,
        at_most=True,
        notes=(
            (np.asarray(bow & context.single_element), "Compared with the area a device needs at the bow."),
        ),
    )


CHECKS: tuple[CheckSpec, ...] = (
    declare(
        _aboard, "drag.device-aboard", "A drag device is aboard.",
        rule="the entry names a device", source="[policy]", parts=WHOLE,
        consequence="With none, a boat cannot be held end-on to breaking seas.",
        remedy="Make or buy a series drogue.",
        ask="Say what drag device is aboard, or say that there is none.",
        says=Says(
            meets={"!device_type": "[She] carries {device_type:a}.",
                   "": "[She] carries a series drogue: the entry counts its cones."},
            absent="[She] carries no drogue.",
            unproven={
                "device_type=other": asks.KIND,
                "device_type": Ask("whether [she] carries a drogue", "say which drogue is aboard, or that "
                                                                     "there is none"),
                "": "The entry contradicts itself about the drogue. [You] can say which is aboard.",
            },
        ),
        columns=("device_type",), absent=(NO_DEVICE,),
        unproven=({"device_type": "other"}, {"device_type": "", "cone_count": ""}, {"cone_count": "0"},
                  {"cone_count": "1"}, {"device_type": "", "cone_count": "1"},
                  {"device_type": "cone drogue", "device_diameter": "1.5 m"}),
    ),
    declare(
        _accepted, "drag.device-accepted", "The device is of a kind the rally takes.",
        rule="device type in the policy's list", source="[policy]", parts=WHOLE,
        consequence="Its drag or its behaviour in a breaking sea is not known well enough.",
        remedy="Carry a device of an accepted kind.",
        ask="Say what kind of device it is.",
        says=Says(
            meets={"!device_type": "The rally takes {device_type:a}.", "":
                "The rally takes a series drogue."},
            short="The rally does not take {device_type:a} for a drogue.",
            unproven={"device_type=other": asks.KIND, "device_type": asks.KIND},
        ),
        columns=("device_type",), short=(WARPS,), unproven=({"device_type": "other"},),
        not_applicable=(NO_DEVICE,),
    ),
    declare(
        _cone_count, "drag.cone-count", "The series drogue has enough cones.",
        rule="cones >= required mouth area / mouth area of one cone", source="[CG87 6.1]",
        dimension="count", parts=("cones", "extension"),
        consequence="With less drag a boat is held less. It can surf and broach in a strike.",
        remedy="Add cones on a further section of line at the outer end.",
        provide="Make a drogue with this many cones.",
        ask="Count the cones, measure the mouth of one, and say that it is set from the stern.",
        says=Says(
            meets={"found<required": "[Her] drogue has {found:cone}. The rule asks for about {required}, "
                                     "and that is "
                   "near enough.",
                   "": "[Her] drogue has {found:cone}; {required} {required:is/are} {needed}."},
            short={"found=0": "[Her] drogue has no sound cone; {required} {required:is/are} {needed}.",
                   "": "[Her] drogue has only {found:sound cone}; {required} {required:is/are} {needed}, "
                       "{more} more."},
            absent={"no required": "[She] has no cones.",
                    "": "[She] has no cones; {required} {required:is/are} {needed}."},
            unproven={
                "cone_count": asks.CONES, "cone_mouth": asks.MOUTH, "device_from": asks.FROM,
                "device_from=bow": "[Her] drogue is set from the bow. How many cones it needs there is not "
                                   "known.",
                "device_type": asks.KIND,
                "": "It is not shown that [her] cones are enough.",
            },
            need="{required:cone} {required:is/are} {needed}.",
            moot=asks.NO_CONES,
        ),
        columns=("cone_count", "cone_mouth", "device_from"),
        meets=({}, {"displacement_basis": "", "cone_count": "140"}),
        short=({"cones_torn": "20"}, {"cone_count": "100"}, {"cone_mouth": "4 in"},
               {"device_from": "", "cone_count": "100"},
               {"displacement_basis": "", "cone_count": "100"}), absent=(NO_DEVICE,),
        unproven=({"cone_count": ""}, {"cone_mouth": ""}, {"device_from": "bow"}, {"device_from": ""},
                  {"device_type": "", "cone_count": "1"},
                  {"displacement_basis": "", "cone_count": "124"}),
        not_applicable=(WARPS,),
    ),
    declare(
        _equivalent_diameter, "drag.equivalent-diameter", "A device without cones makes enough drag.",
        rule="diameter >= equivalent diameter; from the bow two to three times that", source="[CG87 6.1]",
        dimension="length", parts=WHOLE,
        consequence="With less drag a boat is held less. It can surf and broach in a strike.",
        remedy="Carry a larger device, or a series drogue.",
        ask="Measure the mouth diameter and say whether it is set from the stern or the bow.",
        says=Says(
            meets="[Her] {device_type} is {found} across; {required} is {needed}.",
            short="[Her] {device_type} is only {found} across, too small; {required} is {needed}.",
            unproven={
                "device_type=warps": "Nothing published says how much drag warps make.",
                "device_diameter & cone_mouth": asks.ACROSS, "device_from": asks.FROM,
                "": "It is not shown that [her] drogue is wide enough.",
            },
            need="{required} is {needed}.",
            moot="This is asked of a single cone or parachute alone.",
        ),
        columns=("device_diameter", "device_from"), meets=(CONE_DROGUE,),
        short=({**CONE_DROGUE, "device_diameter": "1.2 m"},),
        unproven=({**CONE_DROGUE, "device_from": ""}, WARPS), not_applicable=({},),
    ),
    declare(
        _oversize, "drag.oversize", "The device is not far larger than needed.",
        rule="drag area <= policy ratio x required area", source="[assumed]", level="should",
        consequence="More drag than needed puts more load into line, bridle and strong points.",
        remedy="Take cones off, or prove line, bridle and strong points for the greater load.",
        ask="Give the count and the mouth of the cones, or the diameter of the device.",
        says=Says(
            meets="[Her] drogue is not far larger than it has to be.",
            short="[Her] drogue is far larger than it has to be: it makes {found} of the drag that holds "
                  "[boat], and "
                  "{required} is the most {allowed}.",
            unproven={
                "device_type!=cone drogue|parachute & cone_count": asks.CONES,
                "device_type!=cone drogue|parachute & cone_mouth": asks.MOUTH,
                "device_type=cone drogue|parachute & device_diameter & cone_mouth": asks.ACROSS,
                "": "It is not shown whether [her] drogue is far larger than it has to be.",
            },
            moot="This is not asked of a device whose drag is not known.",
        ),
        columns=("cone_count", "cone_mouth", "device_diameter"), short=({"cone_count": "250"},),
        not_applicable=(NO_DEVICE,),
    ),
    declare(
        judged_by_word("device_from", meets=("stern",), short=("bow",)),
        "drag.from-stern", "The device is set from the stern.",
        rule="set from the stern", source="[CG87 7.0, fin keel]", level="should",
        consequence="From the bow two to three times the diameter is needed to hold the bow up.",
        remedy="Rig it from the stern with a bridle.",
        ask="Say whether it is set from the stern or the bow.",
        says=Says(
            meets="[Her] drogue is set from the stern.",
            short="[Her] drogue is set from the bow; the stern is {needed}.",
            unproven={"device_from": asks.FROM},
        ),
        columns=("device_from",), short=({"device_from": "bow"},), not_applicable=(NO_DEVICE,),
    ),
)  # fmt: skip
