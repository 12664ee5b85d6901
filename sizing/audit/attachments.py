"""Checks of the strong points that the bridle is made fast to."""

from __future__ import annotations

import numpy as np

from sizing.audit import asks
from sizing.audit.cases import CAT, CLEAT, NO_ATTACHMENT
from sizing.audit.context import AuditContext
from sizing.audit.judge import Outcome, by_figure, by_word, judged_by_word, left_unproven
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
    "it, and the boat is of 2003 or later and of design category A or B: say so, or state its load."
)
RATED_ABOVE_BOLTS = (
    "The bolts given hold less in shear than the strong point is said or built to, so no more than that is "
    "proven: say whose statement it is, and measure the bolts."
)
BOLT_NOTE = "Bolts in shear only: hull laminate and backing are for a surveyor."


def _none_fitted(context: AuditContext) -> BoolArray:
    return context.chosen("attachment_type", "none")


def _fitted(context: AuditContext) -> BoolArray:
    return np.asarray(~_none_fitted(context))


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
            (np.asarray(_bolts_hold_less(context) & _fitted(context)), RATED_ABOVE_BOLTS),
        ),
        advised=context.policy.sizing.attachment_share * strike_load_n(context, "bridle"),
    )  # fmt: skip


def _bolts(context: AuditContext) -> Outcome:
    shear = _bolt_shear_n(context)
    applies = _fitted(context) & ~context.chosen("attachment_type", "winch")
    return by_figure(
        context, context.requirements.attachment_load_n, shear, applies=applies,
        notes=((np.asarray(applies & ~np.isnan(shear)), BOLT_NOTE),),
    )  # fmt: skip


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
        _rating, "attachment.load", "Each strong point holds 70 % of the design load.",
        rule="rating, or what its bolts hold in shear if less, >= policy share x design load",
        source="[CG87 6.3; ISO 15084, memory; bolts: ISO 898-1, ISO 3506-1; shear EN 1993-1-8, quoted]",
        dimension="force", parts=("attachments",),
        consequence="A strong point that tears out takes part of the transom, and the boat can broach.",
        remedy="Fit a stronger one each side, with backing, on a surveyor's advice.",
        provide="Fit a strong point each side, with backing, on a surveyor's advice.",
        ask="Show a stated strength for the strong point, and whose statement it is.",
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
        _bolts, "attachment.bolts", "The bolts of each strong point hold 70 % of the design load in shear.",
        rule="n x (0.6 or 0.5 by grade) x Rm x As >= policy share x design load (screening)",
        source="[ISO 898-1; ISO 3506-1; EN 1993-1-8, quoted; stainless EN 1993-1-4, memory]",
        dimension="force", level="should",
        parts=("attachments",),
        consequence="The bolts shear before the plate fails.",
        remedy="Use more or larger bolts, on a surveyor's advice.",
        ask="Give number, size and grade of the bolts through one strong point.",
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
        judged_by_word("attachment_lead", meets=("fair",), short=("crosses an edge",), applies=_fitted),
        "attachment.lead", "Each leg pulls clear of edges.",
        rule="fair lead over the whole arc", source="[practice]", level="should",
        consequence="A loaded nylon leg is cut through by an edge in minutes.",
        remedy="Move the strong point, or fit a rounded and protected lead.",
        ask="Look along each leg from strong point to water, over the arc it will swing.",
        done_by="surveyor", asked_of="skipper",
        says=Says(
            meets="Each leg pulls clear of edges.",
            short="A leg pulls over an edge, which cuts it.",
            unproven={"attachment_lead": Ask("whether a leg pulls over an edge", "look along each leg over "
                                                                                 "its whole arc")},
            moot={"attachment_type=none": asks.NO_STRONG_POINTS},
        ),
        columns=("attachment_lead",), short=({"attachment_lead": "crosses an edge"},),
        not_applicable=(NO_ATTACHMENT,),
    ),
    declare(
        judged_by_word("attachment_place", meets=("transom corners",), short=("inboard", "above deck level"),
                       applies=_fitted),
        "attachment.place", "The strong points are at the transom corners.",
        rule="at or near the corners of the transom, near deck level", source="[practice]", level="should",
        consequence="Strong points far in or high up hold the boat less straight and lever on their base.",
        remedy="Move them to the corners of the transom.",
        ask="Say where the strong points are.",
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
        not_applicable=(NO_ATTACHMENT,),
    ),
    declare(
        # A certificate of the gear says nothing of her hull.
        judged_by_word("structure_survey", meets=("accepted",), short=("not accepted",),
                       unproven=("not done",), applies=_fitted),
        "attachment.structure", "The structure behind each strong point is vouched for.",
        rule="hull laminate and backing accepted by a surveyor or naval architect", source="[practice]",
        consequence="A strong fitting on a weak transom is a weak fitting.",
        remedy="Mend or strengthen what the surveyor found, and have it looked at again.",
        ask="Have a surveyor or naval architect look at the hull behind the strong points.",
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
)  # fmt: skip
