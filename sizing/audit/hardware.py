"""Checks of end weight, thimbles, shackles and the joints between them."""

from __future__ import annotations

import numpy as np

from sizing.audit import asks
from sizing.audit.cases import NO_DEVICE, WARPS
from sizing.audit.context import AuditContext
from sizing.audit.judge import Outcome, by_figure, by_word, judged_by_answer, judged_by_word, left_unproven
from sizing.audit.spec import CheckSpec, declare
from sizing.audit.strike import strike_load_n
from sizing.model import Ask, Says, Standing

LINK_WIDTH = 1.2
"""Inside width of a link of short-link chain over its wire [DIN 766, as quoted elsewhere]."""
PIN_UNSURE = "The sheet says that this pin is locked, and that shackle pins are not: say which is so."


def _end_weight(context: AuditContext) -> Outcome:
    return by_figure(
        context, context.requirements.end_weight_kg, context.fleet.number["end_weight_kg"],
        applies=context.series_or_unanswered, tolerance=context.policy.audit.end_weight_tolerance,
    )  # fmt: skip


def _end_weight_joint(context: AuditContext) -> Outcome:
    unlocked = np.asarray(context.fleet.number["shackles_moused"] == 0)
    contradicts = np.asarray(unlocked & context.chosen("end_weight_joint", "locked shackle"))
    outcome = by_word(
        context,
        "end_weight_joint",
        {
            "locked shackle": Standing.MEETS,
            "spliced": Standing.MEETS,
            "unlocked shackle": Standing.SHORT,
            "tied": Standing.SHORT,
            "none": Standing.ABSENT,
        },
        applies=context.series_or_unanswered,
        notes=((np.asarray(contradicts & context.series_or_unanswered), PIN_UNSURE),),
    )
    return left_unproven(outcome, contradicts)


def _thimble_size(context: AuditContext) -> Outcome:
    """The groove of the smallest thimble against the thickest rope that lies in one."""
    number = context.fleet.number
    ropes = np.column_stack([number["lead_line_diameter_m"], number["bridle_diameter_m"]])
    thickest = np.where(np.isnan(ropes).any(axis=1), np.nan, ropes.max(axis=1))
    applies = np.asarray(context.has_line & ~context.chosen("thimble_type", "none"))
    return by_figure(context, thickest, number["thimble_for_m"], applies=applies)


def _chain_link(context: AuditContext) -> Outcome:
    """The pin of the shackle against the inside width of the link it goes through: about 1.2 d [DIN 766]."""
    number = context.fleet.number
    return by_figure(
        context, LINK_WIDTH * number["chain_link_m"], number["shackle_pin_m"],
        applies=np.asarray(
            context.series_or_unanswered & ~context.chosen("end_weight_joint", "spliced", "tied")
        ),
        at_most=True,
    )  # fmt: skip


def _shackles(context: AuditContext) -> Outcome:
    return by_figure(
        context, context.requirements.design_load_n, context.fleet.number["shackle_rating_n"],
        applies=context.has_line, advised=strike_load_n(context, "bridle"),
    )  # fmt: skip


def _swivel(context: AuditContext) -> Outcome:
    stated = context.fleet.number["swivel_rating_n"]
    none = context.chosen("swivel", "none")
    contradicts = np.asarray(context.has_line & none & ~np.isnan(stated))
    rating = np.where(context.chosen("swivel", "unrated"), np.nan, stated)
    return by_figure(
        context,
        context.requirements.design_load_n,
        rating,
        applies=np.asarray((context.has_line & ~none) | contradicts),
        notes=(
            (contradicts, "The sheet says there is no swivel and yet gives its load: it is judged by that."),
        ),
        advised=strike_load_n(context, "bridle"),
    )


CHECKS: tuple[CheckSpec, ...] = (
    declare(
        _end_weight, "end-weight.mass", "The end weight is heavy enough.",
        rule="mass >= policy line through 7,500, 30,000 and 60,000 lb", source="[policy; CG87 6.3]",
        dimension="mass", parts=("end weight",),
        consequence="With too little weight the outer cones are washed out and the line goes slack.",
        remedy="Fit a heavier end weight.",
        ask="Weigh the end weight.",
        says=Says(
            meets={"found<required": "The end weight is {found}. The rule asks for about {required}, and "
                                     "that is near "
                   "enough.",
                   "": "The end weight is {found}; {required} is {needed}."},
            short="The end weight is only {found}, too light; {required} is {needed}.",
            unproven={"end_weight": Ask("how heavy the end weight is", "weigh the end weight"),
                      "": "It is not shown that the end weight is heavy enough."},
            need="{required} is {needed}.",
            moot=asks.NO_CONES,
        ),
        columns=("end_weight",), short=({"end_weight": "20 lb"},), not_applicable=(WARPS,),
    ),
    declare(
        judged_by_word("thimble_type", meets=("reinforced", "solid"), short=("thin sheet",),
                       absent=("none",)),
        "hardware.thimbles", "The eyes have reinforced thimbles.",
        rule="reinforced or solid, not thin sheet", source="[CG87 6.3]", parts=("thimbles",),
        consequence="Thin sheet thimbles collapse and their edges cut the eye.",
        remedy="Splice in reinforced thimbles.",
        ask="Say what thimbles are in the eyes.",
        says=Says(
            meets="The eyes have {thimble_type} thimbles.",
            short="The thimbles are of thin sheet and will fold.",
            absent="The eyes have no thimbles.",
            unproven={"thimble_type": Ask("what thimbles are in the eyes",
                "say what thimbles are in the eyes")},
        ),
        columns=("thimble_type",), short=({"thimble_type": "thin sheet"},),
        absent=({"thimble_type": "none"},), not_applicable=(NO_DEVICE,),
    ),
    declare(
        _thimble_size, "hardware.thimble-size", "The thimbles are made for rope as thick as hers.",
        rule="thimble size >= thickest of lead line and bridle", source="[practice]",
        dimension="small_length", parts=("thimbles",),
        consequence="A thimble too small for its rope pinches it, and the eye chafes through.",
        remedy="Splice in thimbles made for the rope.",
        ask="Read the size of the smallest thimble of bridle and lead line, or measure its groove.",
        says=Says(
            meets="The smallest thimble is made for rope of {found}; {required} is {needed}.",
            short="The smallest thimble is made for rope of only {found}; {required} is {needed}.",
            unproven={
                "thimble_for": Ask("for what rope the smallest thimble is made",
                                   "read the size of the smallest thimble or measure its groove"),
                "lead_line_diameter": asks.LINE_SIZE, "bridle_diameter": asks.BRIDLE_SIZE,
            },
            moot={"thimble_type=none": "The eyes have no thimbles to measure."},
        ),
        columns=("thimble_for", "lead_line_diameter", "bridle_diameter"), short=({"thimble_for": "20 mm"},),
        unproven=({"thimble_for": ""}, {"bridle_diameter": ""}),
        not_applicable=(NO_DEVICE, {"thimble_type": "none"}),
    ),
    declare(
        _end_weight_joint, "end-weight.joint", "The end weight is fixed so that it cannot come off.",
        rule="shackle with its pin locked, or spliced", source="[practice]", parts=("shackles",),
        consequence="Without its weight the drogue skips along the surface and does not pull in time.",
        remedy="Fix the weight with a shackle, its pin wired.",
        ask="Say how the end weight is fixed to the line.",
        says=Says(
            meets={"end_weight_joint=spliced": "The end weight is spliced on.",
                   "": "The end weight is shackled on and the pin is locked."},
            short={"end_weight_joint=tied": "The end weight is only tied on and can come off.",
                   "": "The shackle of the end weight is not locked and can come off."},
            absent="The end weight is not fixed to the line.",
            unproven={
                "end_weight_joint": Ask("how the end weight is fixed to the line",
                                        "say how the end weight is fixed to the line"),
                "": "The entry says that this pin is locked, and that shackle pins are not. [You] can say "
                    "which is so.",
            },
            moot=asks.NO_CONES,
        ),
        columns=("end_weight_joint",),
        short=({"end_weight_joint": "tied"}, {"end_weight_joint": "unlocked shackle"}),
        absent=({"end_weight_joint": "none"},),
        unproven=({"end_weight_joint": ""}, {"shackles_moused": "no"}), not_applicable=(WARPS,),
    ),
    declare(
        _chain_link, "hardware.chain-link", "The end weight's shackle passes the link of the chain.",
        rule="pin <= 1.2 x wire of the link", source="[DIN 766, quoted elsewhere]", dimension="small_length",
        consequence="A shackle that does not fit is left out, or put on so that it levers on its pin.",
        remedy="Use a longer end link, or two shackles one in the other.",
        ask="Measure the pin of the end weight's shackle and the wire of the chain's link.",
        says=Says(
            meets="The pin of the end shackle is {found} thick; the link of the chain takes {required}.",
            short="The pin of the end shackle is {found} thick, too thick: the link of the chain takes "
                  "{required}.",
            unproven={
                "shackle_pin": Ask("how thick the pin of the end shackle is", "measure the pin of the end "
                                                                              "shackle"),
                "chain_link": Ask("how thick the link of the chain is",
                    "measure the wire of the chain's link"),
            },
            moot={"end_weight_joint=spliced|tied":
                "The end weight hangs without a shackle.", "": asks.NO_CONES},
        ),
        columns=("shackle_pin", "chain_link"), short=({"shackle_pin": "22 mm"},),
        unproven=({"shackle_pin": ""}, {"chain_link": ""}),
        not_applicable=(WARPS, {"end_weight_joint": "spliced"}),
    ),
    declare(
        _shackles, "hardware.shackles",
        "The weakest shackle of bridle and lead line is rated above the design load.",
        rule="breaking load >= design load", source="[CG87 6.3]", dimension="force", parts=("shackles",),
        consequence="One weak shackle loses the whole drogue.",
        remedy="Fit stronger shackles.",
        ask="Read the load stamped on the weakest shackle of bridle and lead line; say whether it is WLL or "
        "breaking load.",
        says=Says(
            meets="The weakest shackle holds {found} before it breaks; {required} is {needed}.",
            short="The weakest shackle holds only {found} before it breaks; {required} is {needed}.",
            unproven={"shackle_rating": Ask("what load breaks the weakest shackle",
                                            "read the load stamped on the weakest shackle of bridle and "
                                            "lead line, and "
                                            "say whether it is WLL or breaking load"),
                      "": "It is not shown that the weakest shackle is strong enough."},
            need="It has to hold {required}.",
        ),
        columns=("shackle_rating",), short=({"shackle_rating": "60 kN"},),
        unproven=({"shackle_rating": ""}, {"displacement_basis": "", "shackle_rating": "75 kN"}),
        not_applicable=(NO_DEVICE,),
    ),
    declare(
        _swivel, "hardware.swivel", "Any swivel is rated above the design load.",
        rule="breaking load >= design load", source="[CG87 6.3]", dimension="force",
        consequence="One weak swivel loses the whole drogue.",
        remedy="Take the swivel out, or fit a stronger one.",
        ask="Say whether there is a swivel, and give its stated breaking load.",
        says=Says(
            meets="The swivel holds {found} before it breaks; {required} is {needed}.",
            short={"swivel=none": "The entry says there is no swivel, and yet gives one that holds only "
                                  "{found}; "
                   "{required} is {needed}.",
                   "": "The swivel holds only {found} before it breaks; {required} is {needed}."},
            unproven={
                "swivel": Ask("whether there is a swivel in the line",
                              "say whether there is a swivel, and what load breaks it"),
                "": "Nobody has said what load breaks the swivel. [You] can show its stated load, or take "
                    "it out.",
            },
            need="It has to hold {required}.",
            moot={"swivel=none": "There is no swivel in the line."},
        ),
        columns=("swivel_rating", "swivel"), meets=({"swivel": "rated", "swivel_rating": "120 kN"},),
        short=({"swivel": "rated", "swivel_rating": "50 kN"}, {"swivel": "none", "swivel_rating": "50 kN"}),
        unproven=({"swivel": "unrated"},), not_applicable=({},),
    ),
    declare(
        judged_by_answer("joints_tried"),
        "hardware.joints-tried", "Every joint was put together once.",
        rule="each shackle closed through its thimbles, link or plate", source="[practice]", level="should",
        consequence="A shackle that does not take thimble or link is found out at sea, in the dark.",
        remedy="Change what does not go together, and try again.",
        ask="Put every joint together once, and say so.",
        says=Says(
            meets="Every joint was put together once.",
            short="The joints were never all put together.",
            unproven={"joints_tried": Ask("whether every joint was put together once",
                                          "put every joint together once, and say so")},
        ),
        columns=("joints_tried",), short=({"joints_tried": "no"},), not_applicable=(NO_DEVICE,),
    ),
    declare(
        judged_by_answer("shackles_moused"),
        "hardware.mousing", "Shackle pins are locked.",
        rule="wired or otherwise locked", source="[practice]", level="should",
        consequence="Thousands of load cycles in one storm undo a pin that is not locked.",
        remedy="Wire every shackle pin.",
        ask="Say whether the shackle pins are wired or locked.",
        says=Says(
            meets="The shackle pins are locked.",
            short="The shackle pins are not locked.",
            unproven={"shackles_moused": Ask("whether the shackle pins are locked",
                                             "look at every pin and say whether it is wired or locked")},
        ),
        columns=("shackles_moused",), short=({"shackles_moused": "no"},), not_applicable=(NO_DEVICE,),
    ),
)  # fmt: skip
