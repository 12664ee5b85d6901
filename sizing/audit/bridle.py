"""Checks of the bridle."""

from __future__ import annotations

from typing import Literal

import numpy as np

from sizing.audit import asks
from sizing.audit.cases import NO_DEVICE
from sizing.audit.context import AuditContext
from sizing.audit.judge import Outcome, by_figure, by_word, left_unproven
from sizing.audit.line import MATERIALS, STATES, rope_notes, with_unsaid
from sizing.audit.spec import CheckSpec, declare
from sizing.audit.strength import (
    codes_of,
    diameter_as_it_lies_m,
    diameter_when_new_m,
    new_strength_n,
    residual_strength_n,
)
from sizing.audit.strike import strike_load_n
from sizing.drogue.bridle import most_leg_share
from sizing.fields import CHOICES
from sizing.model import Ask, BoolArray, FloatArray, Says, Standing

SHORT_LEGS = (
    "With legs so short, one of them carries more than the whole design load as the boat yaws [derived]."
)
AS_THE_LINE = "What is not said of the bridle itself is taken from the line: fibre, state, year [assumed]."


def _notes(context: AuditContext, diameter_m: FloatArray) -> tuple[tuple[BoolArray, str], ...]:
    unsaid = context.blank("bridle_material") | context.blank("bridle_state")
    given = np.asarray(~np.isnan(diameter_m) & ~context.blank("line_material") & unsaid)
    return ((given, AS_THE_LINE), *rope_notes(context, diameter_m, "bridle"))


def _short_legs(context: AuditContext) -> FloatArray:
    """Greatest load of one leg aboard over the design load; 1 where the leg is not known."""
    number = context.fleet.number
    share = most_leg_share(number["bridle_leg_length_m"], number["transom_width_m"])
    return np.where(np.isnan(share), 1.0, share)


def _width_wanted(context: AuditContext) -> BoolArray:
    """Boats whose legs are known and the width they span is not: how hard a leg is pulled is in doubt."""
    number = context.fleet.number
    return np.asarray(np.isnan(number["transom_width_m"]) & ~np.isnan(number["bridle_leg_length_m"]))


def _short_note(context: AuditContext) -> tuple[tuple[BoolArray, str], ...]:
    return ((np.asarray(_short_legs(context) > 1.0), SHORT_LEGS),)


def _no_bridle(context: AuditContext) -> BoolArray:
    """Boats without a device and with no bridle on the sheet: there is none, not an unknown one."""
    number = context.fleet.number
    blank = np.isnan(number["bridle_leg_length_m"]) & np.isnan(number["bridle_diameter_m"])
    unread = context.unread("bridle_leg_length") | context.unread("bridle_diameter")
    return np.asarray(context.no_device & blank & ~unread)


def _leg_length(context: AuditContext) -> Outcome:
    return by_figure(
        context, context.requirements.bridle_leg_m, context.fleet.number["bridle_leg_length_m"],
        applies=context.everyone, absent=_no_bridle(context),
    )  # fmt: skip


def _new(context: AuditContext) -> Outcome:
    diameter = context.fleet.number["bridle_diameter_m"]
    required = context.requirements.line_strength_required_n * _short_legs(context)
    outcome = by_figure(
        context, required, new_strength_n(context, diameter, "bridle"),
        applies=context.everyone, absent=_no_bridle(context),
        notes=(*_notes(context, diameter), *_short_note(context)),
        needed=diameter_when_new_m(context, required, "bridle"),
    )  # fmt: skip
    return left_unproven(outcome, _width_wanted(context))


def _residual(context: AuditContext) -> Outcome:
    diameter = context.fleet.number["bridle_diameter_m"]
    strength = residual_strength_n(context, diameter, "bridle")
    required = context.requirements.design_load_n * _short_legs(context)
    outcome = by_figure(
        context, required, strength.least,
        best=strength.most, applies=context.everyone, absent=_no_bridle(context),
        notes=(*_notes(context, diameter), *_short_note(context)),
        needed=diameter_as_it_lies_m(context, required, "bridle"),
        advised=strike_load_n(context, "bridle") * _short_legs(context),
    )  # fmt: skip
    return left_unproven(with_unsaid(context, outcome, diameter, "bridle"), _width_wanted(context))


def _of_bridle(context: AuditContext, what: Literal["material", "state"]) -> Outcome:
    """The bridle's own fibre or state, judged as the line's; that of the line where nothing else is said."""
    verdicts = MATERIALS if what == "material" else STATES
    codes, words = codes_of(context, "bridle", what), CHOICES[f"line_{what}"]
    table = np.array([*(verdicts[word] for word in words), Standing.UNPROVEN], dtype=np.int8)
    standing = table[codes]
    standing[_no_bridle(context)] = Standing.NOT_APPLICABLE
    as_line = np.asarray(context.blank(f"bridle_{what}") & (codes >= 0))
    return Outcome(standing, context.no_figure, context.no_figure, notes=((as_line, AS_THE_LINE),))


def _material(context: AuditContext) -> Outcome:
    return _of_bridle(context, "material")


def _state(context: AuditContext) -> Outcome:
    return _of_bridle(context, "state")


def _arc(context: AuditContext) -> Outcome:
    return by_word(
        context, "bridle_arc",
        {"clear": Standing.MEETS, "clear once moved": Standing.MEETS, "in the way": Standing.SHORT},
        applies=np.asarray(~_no_bridle(context)),
        notes=((context.chosen("bridle_arc", "clear once moved"),
                "Move what stands in the way before the drogue is set: it is on the boat's list."),),
    )  # fmt: skip


def _symmetry(context: AuditContext) -> Outcome:
    share = context.policy.audit.leg_difference_share
    leg = context.fleet.number["bridle_leg_length_m"]
    difference = context.fleet.number["bridle_leg_difference_m"]
    unknown = np.asarray(np.isnan(leg) & ~np.isnan(difference) & ~_no_bridle(context))
    outcome = by_figure(
        context,
        share * np.where(np.isnan(leg), context.requirements.bridle_leg_m, leg),
        difference,
        applies=np.asarray(~_no_bridle(context)),
        at_most=True,
        notes=((unknown, "The leg's length is not given; the difference allowed is for the leg she needs."),),
    )
    return left_unproven(outcome, unknown)  # a leg shorter than the one she needs is allowed less


def _spread(context: AuditContext) -> Outcome:
    rules = context.policy.audit
    share = np.where(context.multihull, rules.spread_share_multi, rules.spread_share_mono)
    return by_figure(
        context, share * context.fleet.number["beam_m"], context.fleet.number["transom_width_m"],
        applies=context.everyone,
    )  # fmt: skip


CHECKS: tuple[CheckSpec, ...] = (
    declare(
        _leg_length, "bridle.leg-length", "Each bridle leg is long enough.",
        rule="finished leg >= policy ratio x transom width", source="[practice]", dimension="length",
        parts=("bridle",),
        consequence="Short legs spread wide: each leg and strong point is loaded harder when the boat yaws.",
        remedy="Make a longer bridle.",
        provide="Make a bridle with legs of this length.",
        ask="Measure one finished leg.",
        says=Says(
            meets="Each leg of the bridle is {found} long; {required} is {needed}.",
            short="Each leg of the bridle is only {found} long; {required} is {needed}.",
            absent={"no required": "[She] has no bridle.",
                    "": "[She] has no bridle; two legs of {required} are {needed}."},
            unproven={"transom_width": asks.WIDTH, "bridle_leg_length": asks.LEG,
                      "": "It is not shown that the legs are long enough."},
            need="{required} each is {needed}.",
        ),
        columns=("bridle_leg_length",), short=({"bridle_leg_length": "6.9 m"},), absent=(NO_DEVICE,),
        unproven=({"bridle_leg_length": ""}, {"transom_width": ""}),
    ),
    declare(
        _new, "bridle.strength-new", "Each bridle leg is strong enough when new.",
        rule="minimum breaking strength >= most load of one leg / policy share",
        source="[CG87 6.3; UFC; derived]",
        dimension="force", parts=("bridle",),
        consequence="At about 11 degrees of yaw one leg carries the whole load; it must not part.",
        remedy="Make the bridle of stronger rope.",
        provide="Make a bridle of rope this strong.",
        ask="Measure the diameter of the bridle rope and say what fibre it is.",
        says=Says(
            meets="When new, each leg of the bridle held {found}; {required} is {needed}.",
            short="Even when new, each leg of the bridle held only {found}; {required} is {needed}.",
            absent={"no required": "[She] has no bridle.",
                    "": "[She] has no bridle; new, each leg has to hold {required}."},
            unproven={
                "bridle_diameter": asks.BRIDLE_SIZE, "bridle_material & line_material": asks.BRIDLE_FIBRE,
                "transom_width & !bridle_leg_length": asks.WIDTH,
                "": "No strength is known for a bridle of this size.",
            },
            need="New, each leg has to hold {required}.",
        ),
        columns=("bridle_diameter", "line_material"), short=({"bridle_diameter": "20 mm"},),
        absent=(NO_DEVICE,), unproven=({"bridle_diameter": ""}, {"transom_width": ""}),
    ),
    declare(
        _residual, "bridle.strength-residual", "Each bridle leg as it lies holds the whole design load.",
        rule="strength x wet x ends x state x age >= most load of one leg", source="[derived; UFC; practice]",
        dimension="force", parts=("bridle",),
        consequence="At about 11 degrees of yaw one leg carries the whole load; it must not part.",
        remedy="Make the bridle of stronger or newer rope. Where it is sound and only knotted, splicing "
        "the ends may be enough.",
        provide="Make a bridle of such rope, with spliced ends.",
        ask="Give diameter, fibre, ends, state and year of the bridle rope.",
        says=Says(
            meets="As it is now, each leg of the bridle is reckoned to hold {found}; {required} is {needed}.",
            short={"bridle_state=damaged": "The bridle is damaged, and damaged rope counts for nothing.",
                   "bridle_state & line_state=damaged": "The bridle is damaged, and damaged rope counts for "
                                                        "nothing.",
                   "no found": "The bridle {will_be} {age} old on {day}: too old to count for anything.",
                   "": "As it is now, each leg of the bridle is reckoned to hold only {found}; by itself it "
                       "may have to "
                   "hold {required}."},
            absent={"no required": "[She] has no bridle.",
                    "": "[She] has no bridle; each leg has to hold {required} by itself."},
            unproven={
                "bridle_diameter": asks.BRIDLE_SIZE, "bridle_material & line_material": asks.BRIDLE_FIBRE,
                "line_ends": asks.LINE_ENDS, "bridle_state & line_state": asks.BRIDLE_STATE,
                "bridle_year & made_year & !bridle_state & bridle_state!=new": asks.BRIDLE_YEAR,
                "bridle_year & made_year & bridle_state & line_state!=new": asks.BRIDLE_YEAR,
                "transom_width & !bridle_leg_length": asks.WIDTH,
                "": "It is not shown what each leg of the bridle still holds.",
            },
            need="Each leg has to hold {required} by itself.",
        ),
        columns=("bridle_diameter", "bridle_material", "bridle_state", "line_ends", "bridle_year"),
        meets=({}, {"line_state": "damaged", "bridle_state": "new", "bridle_year": "2026"}),
        short=({"bridle_diameter": "20 mm"}, {"bridle_state": "damaged"},
               {"bridle_state": "good", "bridle_year": "2005"}), absent=(NO_DEVICE,),
        unproven=({"bridle_diameter": ""}, {"line_state": "good", "made_year": ""}, {"transom_width": ""}),
    ),
    declare(
        _material, "bridle.material", "The bridle is nylon double braid.",
        rule="fibre and construction", source="[CG87 6.3]", parts=("bridle",),
        consequence="A bridle that stretches little is felt harder by every part in a strike.",
        remedy="Make the bridle of nylon double braid.",
        ask="Say what fibre and construction the bridle is.",
        says=Says(
            meets="The bridle is nylon double braid.",
            short={"!bridle_material": "The bridle is {bridle_material}, not nylon double braid.",
                   "": "The bridle is {line_material} like the line, not nylon double braid."},
            unproven={"bridle_material": asks.BRIDLE_FIBRE},
        ),
        columns=("bridle_material", "line_material"),
        meets=({}, {"bridle_material": "nylon double braid", "line_material": ""}),
        short=({"bridle_material": "polyester"}, {"line_material": "low stretch"}),
        unproven=({"line_material": ""}, {"bridle_material": "unknown"}), not_applicable=(NO_DEVICE,),
    ),
    declare(
        _state, "bridle.state", "The bridle is not damaged.",
        rule="no cut strands, melted or stiff lengths", source="[practice]", parts=("bridle",),
        consequence="Damaged rope has no strength that can be stated.",
        remedy="Replace the bridle.",
        ask="Look along both legs and say their state.",
        says=Says(
            meets="No damage to the bridle was found.",
            short="The bridle is damaged: it counts for nothing.",
            unproven={"bridle_state": asks.BRIDLE_STATE},
        ),
        columns=("bridle_state", "line_state"),
        meets=({}, {"bridle_state": "good", "line_state": "damaged"}),
        short=({"bridle_state": "damaged"}, {"line_state": "damaged"}),
        unproven=({"line_state": ""},), not_applicable=(NO_DEVICE,),
    ),
    declare(
        _arc, "bridle.arc", "Nothing stands in the sweep of the bridle legs.",
        rule="vane, outboard rudder, davits, arch, ladder and backstay clear of both legs",
        source="[practice]", level="should",
        consequence="A leg that sweeps over a vane or ladder bends it, or is cut by it.",
        remedy="Move what stands in the way, or lead the legs outside it.",
        ask="Walk both legs through their whole arc and say what they touch.",
        says=Says(
            meets={"bridle_arc=clear once moved": "The sweep of the legs is clear once what stands there is "
                                                  "moved.",
                   "": "Nothing stands in the sweep of the legs."},
            short="Something stands in the sweep of the legs.",
            unproven={"bridle_arc": Ask("what the legs touch as they swing", "walk both legs through their "
                                                                             "whole arc")},
        ),
        columns=("bridle_arc",), meets=({}, {"bridle_arc": "clear once moved"}),
        short=({"bridle_arc": "in the way"},), not_applicable=(NO_DEVICE,),
    ),
    declare(
        _symmetry, "bridle.symmetry", "The two legs are equally long.",
        rule="difference <= policy share of the leg", source="[assumed]", level="should",
        dimension="small_length", parts=("bridle",),
        consequence="Unequal legs hold the stern at an angle, and one leg carries more.",
        remedy="Splice the legs to one length.",
        ask="Lay the legs side by side under light load and measure the difference.",
        of_the_drogue=True,
        says=Says(
            meets={"found=0": "Both legs are equally long.",
                   "": "The legs differ by {found}; {required} is the most {allowed}."},
            short="The legs are too unequal: they differ by {found}, and {required} is the most {allowed}.",
            unproven={
                "bridle_leg_difference": Ask("how much the two legs differ",
                                             "lay the legs side by side and measure the difference"),
                "bridle_leg_length": asks.LEG,
                "": "It is not shown that the legs are equal enough.",
            },
        ),
        columns=("bridle_leg_difference", "bridle_leg_length"), short=({"bridle_leg_difference": "200 mm"},),
        unproven=({"bridle_leg_difference": ""}, {"bridle_leg_difference": "50 mm", "bridle_leg_length": ""}),
        not_applicable=(NO_DEVICE,),
    ),
    declare(
        _spread, "bridle.spread", "The strong points are far enough apart.",
        rule="spread >= policy share of beam", source="[assumed]", level="should", dimension="length",
        consequence="A narrow bridle lets the boat yaw, and a hull of a multihull lift.",
        remedy="Move the strong points outward.",
        ask="Measure the distance between the strong points, and the beam.",
        done_by="surveyor", asked_of="skipper",
        says=Says(
            meets="The strong points are {found} apart; {required} is {needed}.",
            short="The strong points are only {found} apart; {required} is {needed}.",
            unproven={"transom_width": asks.WIDTH,
                      "beam": Ask("how wide [she] is at the widest", "give the beam")},
        ),
        columns=("transom_width", "beam"), short=({"transom_width": "1.5 m"},),
        unproven=({"beam": ""}, {"transom_width": ""}),
    ),
)  # fmt: skip
