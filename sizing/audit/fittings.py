"""Checks of attachments, end weight and hardware."""

from __future__ import annotations

import numpy as np

from sizing.audit import asks
from sizing.audit.cases import CAT, CLEAT, NO_ATTACHMENT, NO_DEVICE, WARPS
from sizing.audit.context import AuditContext
from sizing.audit.judge import Outcome, by_answer, by_figure, by_word, left_unproven
from sizing.audit.spec import CheckSpec, declare
from sizing.audit.strength import Bounds
from sizing.audit.strike import strike_load_n
from sizing.drogue.attachment import (
    bolt_group_shear_n,
    builder_fitted_n,
    catalogued_stress_area_m2,
    shear_factor,
)
from sizing.model import Ask, BoolArray, FloatArray, Says, Standing

STANDARD_YEAR = 2003
"""Year of the first ISO 15084: an older boat was not built to it."""
CLEAT_NOTE = (
    "Counted as the least that the builder's aft mooring point of a boat of design category A or B is built "
    "for, never more: 3.0 kN a metre of the mean of hull and waterline length, less 3.8 kN "
    "[ISO 15084, memory]."
)
CLEAT_UNPROVEN = (
    "A cleat proves nothing by its name. It counts as the least of ISO 15084 only if the builder fitted "
    "it, the boat was built in 2003 or later, and her design category is A or B: say so, or state its load."
)
LINK_WIDTH = 1.2
"""Inside width of a link of short-link chain over its wire [DIN 766, as quoted elsewhere]."""
RATED_ABOVE_BOLTS = (
    "The bolts given hold less in shear than the attachment is said or built to, so no more than that is "
    "proven: say whose statement it is, and measure the bolts."
)
PIN_UNSURE = "The sheet says that this pin is locked, and that shackle pins are not: say which is so."
BOLT_NOTE = "Bolts in shear only: hull laminate and backing are for a surveyor."


def _none_fitted(context: AuditContext) -> BoolArray:
    return context.chosen("attachment_type", "none")


def _type(context: AuditContext) -> Outcome:
    number = context.fleet.number
    given = ~np.isnan(number["attachment_rating_n"]) | ~np.isnan(number["bolt_count"])
    contradicts = np.asarray(_none_fitted(context) & given)
    stated = _stated_n(context).least
    by_name = np.asarray(context.chosen("attachment_type", "cleat", "pad eye") & np.isnan(stated))
    outcome = by_word(
        context,
        "attachment_type",
        {
            "dedicated plate": Standing.MEETS,
            "pad eye": Standing.MEETS,
            "cleat": Standing.MEETS,
            "winch": Standing.SHORT,
            "none": Standing.ABSENT,
            "other": Standing.UNPROVEN,
        },
        applies=context.everyone,
        notes=(
            (context.chosen("attachment_type", "cleat"), "Its load is judged by the next check."),
            (contradicts, "The sheet says there is none and yet gives its strength: say which is so."),
        ),
    )
    return left_unproven(outcome, by_name)


def _stated_n(context: AuditContext) -> Bounds:
    """What one attachment is said to hold, or built to as a mooring cleat, N; bolts left aside.

    Lc is half the sum of hull and waterline length [ISO 15084]; without the waterline it lies between half
    the hull length and all of it.
    """
    number = context.fleet.number
    rating = number["attachment_rating_n"]
    cleat = _built_to_standard(context) & np.isnan(rating)
    lwl_least = np.where(np.isnan(number["lwl_m"]), 0.5 * number["loa_m"], number["lwl_m"])
    lwl_most = np.where(np.isnan(number["lwl_m"]), number["loa_m"], number["lwl_m"])
    mass = context.requirements.displacement_used_kg
    least = builder_fitted_n(number["loa_m"], lwl_least, mass)
    most = builder_fitted_n(number["loa_m"], lwl_most, mass)
    return Bounds(np.where(cleat, least, rating), np.where(cleat, most, rating))


def attachment_strength_n(context: AuditContext) -> Bounds:
    """What one attachment is known to hold, N: as said or built, or its bolts where they hold less.

    A fitting holds no more than its bolts: where those given hold less in shear, no more than that is proven,
    and what is stated is the most it can be.
    """
    stated = _stated_n(context)
    least = np.where(_bolts_hold_less(context), _bolt_shear_n(context), stated.least)
    return Bounds(least, stated.most)


def _built_to_standard(context: AuditContext) -> BoolArray:
    """Cleats that the builder fitted on a boat built since the standard, of design category A or B."""
    return np.asarray(
        context.chosen("attachment_type", "cleat")
        & context.chosen("attachment_fitted_by", "builder")
        & (context.fleet.number["boat_year"] >= STANDARD_YEAR)
        & context.chosen("design_category", "A", "B")
    )


def _bolt_shear_n(context: AuditContext) -> FloatArray:
    """What the bolts of one attachment hold in shear, N; NaN where number, size or grade is not given."""
    number, catalogue = context.fleet.number, context.catalogue
    area = catalogued_stress_area_m2(catalogue.bolts, number["bolt_size_mm"] / 1000)
    tensile = number["bolt_tensile_pa"]
    factor = shear_factor(catalogue.bolt_grades, tensile)
    return np.asarray(bolt_group_shear_n(number["bolt_count"], area, tensile, factor))


def _bolts_hold_less(context: AuditContext) -> BoolArray:
    """Boats whose bolts are known to hold less than what the attachment is said, or built, to hold."""
    return np.asarray(_bolt_shear_n(context) < _stated_n(context).least)


def _rating(context: AuditContext) -> Outcome:
    strength = attachment_strength_n(context)
    unrated = np.isnan(context.fleet.number["attachment_rating_n"])
    cleat = np.asarray(context.chosen("attachment_type", "cleat") & unrated)
    built = _built_to_standard(context)
    return by_figure(
        context, context.requirements.attachment_load_n, strength.least, best=strength.most,
        applies=context.everyone, absent=_none_fitted(context),
        notes=(
            (np.asarray(cleat & built), CLEAT_NOTE),
            (np.asarray(cleat & ~built), CLEAT_UNPROVEN),
            (np.asarray(_bolts_hold_less(context) & ~_none_fitted(context)), RATED_ABOVE_BOLTS),
        ),
        advised=context.policy.sizing.attachment_share * strike_load_n(context, "bridle"),
    )  # fmt: skip


def _bolts(context: AuditContext) -> Outcome:
    shear = _bolt_shear_n(context)
    applies = np.asarray(~_none_fitted(context) & ~context.chosen("attachment_type", "winch"))
    return by_figure(
        context, context.requirements.attachment_load_n, shear, applies=applies,
        notes=((np.asarray(applies & ~np.isnan(shear)), BOLT_NOTE),),
    )  # fmt: skip


def _lead(context: AuditContext) -> Outcome:
    return by_word(
        context, "attachment_lead", {"fair": Standing.MEETS, "crosses an edge": Standing.SHORT},
        applies=np.asarray(~_none_fitted(context)),
    )  # fmt: skip


def _place(context: AuditContext) -> Outcome:
    return by_word(
        context,
        "attachment_place",
        {
            "transom corners": Standing.MEETS,
            "inboard": Standing.SHORT,
            "above deck level": Standing.SHORT,
        },
        applies=np.asarray(~_none_fitted(context)),
    )


def _structure(context: AuditContext) -> Outcome:
    """Only a survey of the boat herself proves this: a certificate of the gear says nothing of her hull."""
    return by_word(
        context,
        "structure_survey",
        {
            "accepted": Standing.MEETS,
            "not accepted": Standing.SHORT,
            "not done": Standing.UNPROVEN,
        },
        applies=np.asarray(~_none_fitted(context)),
    )


def _end_weight(context: AuditContext) -> Outcome:
    return by_figure(
        context, context.requirements.end_weight_kg, context.fleet.number["end_weight_kg"],
        applies=context.series_or_unanswered, tolerance=context.policy.audit.end_weight_tolerance,
    )  # fmt: skip


def _thimbles(context: AuditContext) -> Outcome:
    return by_word(
        context,
        "thimble_type",
        {
            "reinforced": Standing.MEETS,
            "solid": Standing.MEETS,
            "thin sheet": Standing.SHORT,
            "none": Standing.ABSENT,
        },
        applies=context.has_line,
    )


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


def _joints_tried(context: AuditContext) -> Outcome:
    """Whether the parts pass each other: shown by trying alone, since no sheet gives every size."""
    return by_answer(context, "joints_tried", applies=context.has_line)


def _mousing(context: AuditContext) -> Outcome:
    return by_answer(context, "shackles_moused", applies=context.has_line)


CHECKS: tuple[CheckSpec, ...] = (
    declare(
        _type, "attachment.fitting", "The bridle is made fast to a fitting meant for such a load.",
        rule="plate, pad eye or cleat; not a winch", source="[practice]", parts=("attachments",),
        consequence="A winch is built for a pull in one direction and can be torn from its base.",
        remedy="Fit a dedicated plate each side of the transom, with a surveyor's advice.",
        ask="Say what the bridle is made fast to; of a cleat or pad eye also its load.",
        done_by="surveyor", asked_of="skipper",
        says=Says(
            meets="The bridle is made fast to {attachment_type:a} each side.",
            short="The bridle is made fast to {attachment_type:a}, which is not built for it.",
            absent="[She] has nothing aft to make a bridle fast to.",
            unproven={
                "attachment_type": Ask("what the bridle is made fast to", "say what the bridle is made fast "
                                                                          "to"),
                "attachment_type=other": Ask("to what kind of fitting the bridle is made fast",
                                             "say what the bridle is made fast to"),
                "attachment_rating": Ask("what load each {attachment_type} holds",
                                         "show a stated load, and whose statement it is", "[You] or a "
                                                                                          "surveyor can"),
            },
        ),
        columns=("attachment_type",), short=({"attachment_type": "winch"},), absent=(NO_ATTACHMENT,),
        meets=({}, {**CAT, **CLEAT}, {"attachment_type": "cleat"}),
        unproven=({"attachment_type": "other"}, {"attachment_type": "cleat", "attachment_rating": ""},
                  {"attachment_type": "pad eye", "attachment_rating": ""}),
    ),
    declare(
        _rating, "attachment.load", "Each attachment holds 70 % of the design load.",
        rule="rating, or what its bolts hold in shear if less, >= policy share x design load",
        source="[CG87 6.3; ISO 15084, memory; bolts: ISO 898-1, ISO 3506-1; shear EN 1993-1-8, quoted]",
        dimension="force", parts=("attachments",),
        consequence="An attachment that tears out takes part of the transom and lets her broach.",
        remedy="Fit a stronger attachment each side, with backing, on a surveyor's advice.",
        provide="Fit an attachment each side, with backing, on a surveyor's advice.",
        ask="Show a stated strength for the attachment, and whose statement it is.",
        done_by="surveyor", asked_of="skipper",
        says=Says(
            meets="Each strong point is reckoned to hold {found}; {required} is {needed}.",
            short="Each strong point holds at most {found}; {required} is {needed}.",
            absent={"no required": "[She] has no strong points aft.",
                    "": "[She] has no strong points aft; each has to hold {required}."},
            unproven={
                "attachment_rating": Ask("what load the strong points hold",
                                         "show a stated load, and whose statement it is", "[You] or a "
                                                                                          "surveyor can"),
                "": "The bolts hold less than the strong points are said to hold. A surveyor can say which "
                    "counts.",
            },
            need="Each has to hold {required}.",
        ),
        columns=("attachment_rating", "attachment_bolts", "attachment_fitted_by"),
        meets=({}, {**CAT, **CLEAT}),
        short=({"attachment_rating": "40 kN"},
               {"attachment_bolts": "2 x M8 A4-70", "attachment_rating": "40 kN"}), absent=(NO_ATTACHMENT,),
        unproven=({"attachment_rating": ""}, {"attachment_bolts": "2 x M8 8.8"}, {**CLEAT, "boat_year": ""},
                  {**CLEAT, "attachment_fitted_by": "yard or owner"}, {**CLEAT, "design_category": "C"},
                  {**CLEAT, "boat_year": "2002"}, {**CAT, **CLEAT, "attachment_bolts": "1 x M8 A4-70"},
                  {"attachment_type": "cleat", "attachment_rating": ""}),
    ),
    declare(
        _bolts, "attachment.bolts", "The bolts of each attachment hold 70 % of the design load in shear.",
        rule="n x (0.6 or 0.5 by grade) x Rm x As >= policy share x design load (screening)",
        source="[ISO 898-1; ISO 3506-1; EN 1993-1-8, quoted; stainless EN 1993-1-4, memory]",
        dimension="force", level="should",
        parts=("attachments",),
        consequence="The bolts shear before the plate fails.",
        remedy="Use more or larger bolts, on a surveyor's advice.",
        ask="Give number, size and grade of the bolts through one attachment.",
        done_by="surveyor", asked_of="skipper",
        says=Says(
            meets="The bolts of each strong point are reckoned to hold {found}; {required} is {needed}.",
            short="The bolts of each strong point are reckoned to hold only {found}; {required} is {needed}.",
            unproven={
                "attachment_bolts": Ask("which bolts hold the strong points",
                                        "give number, size and grade of the bolts through one of them"),
                "": "The bolts of the strong points are not fully described. [You] can give number, size "
                    "and grade.",
            },
            need="They have to hold {required}.",
            moot={"attachment_type=none": asks.NO_STRONG_POINTS,
                  "attachment_type=winch": "The bridle is made fast to a winch: its bolts are not judged."},
        ),
        columns=("attachment_bolts",), short=({"attachment_bolts": "2 x M8 A4-70"},),
        unproven=({"attachment_bolts": "6 x M12"},), not_applicable=(NO_ATTACHMENT,),
    ),
    declare(
        _lead, "attachment.lead", "Each leg pulls clear of edges.",
        rule="fair lead over the whole arc", source="[practice]", level="should",
        consequence="A loaded nylon leg is cut through by an edge in minutes.",
        remedy="Move the attachment, or fit a rounded and protected lead.",
        ask="Look along each leg from attachment to water, over the arc it will swing.",
        done_by="surveyor", asked_of="skipper",
        says=Says(
            meets="Each leg pulls clear of edges.",
            short="A leg pulls over an edge, which cuts it.",
            unproven={"attachment_lead": Ask("whether a leg pulls over an edge", "look along each leg over "
                                                                                 "its whole arc")},
            moot={"attachment_type=none": asks.NO_STRONG_POINTS},
        ),
        columns=("attachment_lead",), short=({"attachment_lead": "crosses an edge"},),
        unproven=({"attachment_lead": ""},), not_applicable=(NO_ATTACHMENT,),
    ),
    declare(
        _place, "attachment.place", "The attachments are at the transom corners.",
        rule="at or near the corners of the transom, near deck level", source="[practice]", level="should",
        consequence="Inboard or high attachments hold her less straight and lever on their base.",
        remedy="Move them to the corners of the transom.",
        ask="Say where the attachments are.",
        done_by="surveyor", asked_of="skipper",
        says=Says(
            meets="The strong points are at the corners of the transom.",
            short={"attachment_place=inboard": "The strong points stand inboard, not at the corners of the "
                                               "transom.",
                   "": "The strong points stand too high, above the deck."},
            unproven={"attachment_place": Ask(
                "where on the boat the strong points are", "say where they are")},
            moot={"attachment_type=none": asks.NO_STRONG_POINTS},
        ),
        columns=("attachment_place",), short=({"attachment_place": "inboard"},),
        unproven=({"attachment_place": ""},), not_applicable=(NO_ATTACHMENT,),
    ),
    declare(
        _structure, "attachment.structure", "The structure behind each attachment is vouched for.",
        rule="hull laminate and backing accepted by a surveyor or naval architect", source="[practice]",
        consequence="A strong fitting on a weak transom is a weak fitting.",
        remedy="Mend or strengthen what the surveyor found, and have it looked at again.",
        ask="Have a surveyor or naval architect look at hull laminate and backing behind the attachments.",
        done_by="surveyor",
        says=Says(
            meets="A surveyor accepted the hull behind both strong points.",
            short="A surveyor did not accept the hull behind the strong points.",
            unproven={"": "No surveyor has looked at the hull behind the strong points."},
            moot={"attachment_type=none": asks.NO_STRONG_POINTS},
        ),
        columns=("structure_survey",), short=({"structure_survey": "not accepted"},),
        unproven=({"structure_survey": ""}, {"structure_survey": "not done"}),
        not_applicable=(NO_ATTACHMENT,),
    ),
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
        columns=("end_weight",), short=({"end_weight": "20 lb"},), unproven=({"end_weight": ""},),
        not_applicable=(WARPS,),
    ),
    declare(
        _thimbles, "hardware.thimbles", "The eyes have reinforced thimbles.",
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
        absent=({"thimble_type": "none"},), unproven=({"thimble_type": ""},), not_applicable=(NO_DEVICE,),
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
        remedy="Fit shackles of sufficient breaking load.",
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
        remedy="Take the swivel out, or fit one of sufficient breaking load.",
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
        _joints_tried, "hardware.joints-tried", "Every joint was put together once.",
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
        columns=("joints_tried",), short=({"joints_tried": "no"},), unproven=({"joints_tried": ""},),
        not_applicable=(NO_DEVICE,),
    ),
    declare(
        _mousing, "hardware.mousing", "Shackle pins are locked.",
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
        columns=("shackles_moused",), short=({"shackles_moused": "no"},), unproven=({"shackles_moused": ""},),
        not_applicable=(NO_DEVICE,),
    ),
)  # fmt: skip
