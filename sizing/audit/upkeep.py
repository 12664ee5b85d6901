"""Checks of chafe gear, condition, stowage, recovery."""

from __future__ import annotations

import numpy as np

from sizing.audit import asks
from sizing.audit.cases import HEAVY, HUGE, NO_DEVICE, WARPS
from sizing.audit.context import AuditContext
from sizing.audit.days import by_age
from sizing.audit.judge import Outcome, by_figure, by_word, judged_by_answer, judged_by_word
from sizing.audit.line import LINE
from sizing.audit.spec import CheckSpec, declare
from sizing.audit.strength import age_years
from sizing.drogue.stowage import bags_needed
from sizing.model import Ask, Says, Standing


def _age(context: AuditContext) -> Outcome:
    limit = np.full(context.boats, context.policy.condition.age_limit_years)
    return by_figure(context, limit, age_years(context), applies=context.has_line, at_most=True)


def _cones_age(context: AuditContext) -> Outcome:
    """Age of the cones: by their own year, or by the device's where nothing else is said."""
    number = context.fleet.number
    year = np.where(np.isnan(number["cones_year"]), number["made_year"], number["cones_year"])
    limit = np.full(context.boats, context.policy.condition.age_limit_years)
    return by_figure(
        context, limit, context.reference_day.year - year, applies=context.series_or_unanswered, at_most=True
    )


def _inspected(context: AuditContext) -> Outcome:
    note = "The inspection given lies before the year the device was made: say what was inspected."
    return by_age(context, "last_inspected_day", context.policy.condition.inspection_days, note)


def _weight(context: AuditContext) -> Outcome:
    """Bags against what the limit on one bag asks for; where a device is aboard, there is one or more."""
    bags = context.fleet.number["stowage_bags"]
    least = np.where(context.unanswered, np.nan, 1.0)
    needed = bags_needed(context.requirements.stowed_mass_kg, context.policy.audit.carry_limit)
    return by_figure(
        context, needed, np.where(np.isnan(bags), least, bags), best=np.where(np.isnan(bags), np.inf, bags),
        applies=context.has_line,
    )  # fmt: skip


def _retrieval(context: AuditContext) -> Outcome:
    return by_word(
        context,
        "retrieval",
        {"tried": Standing.MEETS, "planned": Standing.UNPROVEN, "none": Standing.ABSENT},
        applies=context.has_line,
        notes=(
            (
                context.chosen("retrieval", "planned"),
                "Planned, and not yet tried: try it in mild weather.",
            ),
        ),
    )


CHECKS: tuple[CheckSpec, ...] = (
    declare(
        judged_by_word("chafe_gear", meets=("fitted",), short=("partial",), absent=("none",)),
        "chafe.protection", "The bridle is protected against chafe.",
        rule="sleeves wherever a leg can touch", source="[practice]", parts=("chafe gear",),
        consequence="Chafe is how most lines are lost in a long storm.",
        remedy="Fit sleeves on both legs where they pass the transom.",
        ask="Say whether chafe sleeves are fitted on both legs.",
        says=Says(
            meets="Both legs are sleeved where they can touch.",
            short="Only part of the legs is sleeved.",
            absent="There are no sleeves on the legs.",
            unproven={"chafe_gear": Ask("whether the legs are sleeved", "say whether sleeves are fitted on "
                                                                        "both legs")},
        ),
        columns=("chafe_gear",), short=({"chafe_gear": "partial"},), absent=({"chafe_gear": "none"},),
        not_applicable=(NO_DEVICE,),
    ),
    declare(
        judged_by_word("condition", meets=("new", "good", "fair"), short=("poor",)),
        "condition.cones", "Cones, tapes and stitching are sound.",
        rule="condition fair or better", source="[practice]", parts=("cones",),
        consequence="Torn cones make no drag, and their load goes to the next.",
        remedy="Replace torn cones and chafed tapes.",
        ask="Look at every cone, tape and knot and say their condition.",
        says=Says(
            meets="Cones, tapes and stitching are {condition}.",
            short="Cones, tapes or stitching are in a poor state.",
            unproven={"condition": Ask("what state cones, tapes and stitching are in",
                                       "look at every cone, tape and knot and say their state")},
        ),
        columns=("condition",), short=({"condition": "poor"},), not_applicable=(NO_DEVICE,),
    ),
    declare(
        _age, "condition.age", "The line is not past the age limit.",
        rule="year of departure less year made <= policy limit", source="[assumed]",
        level="should", dimension="years", parts=LINE,
        consequence="Old nylon has lost strength that cannot be seen.",
        remedy="Renew the line. A break test counts for its strength, not for its age.",
        ask="Say what year it was made.",
        says=Says(
            meets={"found<1": "[Her] line is of {made_year}; {required} is the limit.",
                   "": "[Her] line {will_be} {found} old on {day}; {required} is the limit."},
            short="[Her] line {will_be} {found} old on {day}, too old; {required} is the limit.",
            unproven={"made_year": Ask("what year [her] line was made", "say what year it was made")},
            need="{required} is the limit.",
        ),
        columns=("made_year",), short=({"made_year": "2005"},), not_applicable=(NO_DEVICE,),
    ),
    declare(
        _cones_age, "condition.cones-age", "The cones are not past the age limit.",
        rule="year of departure less year made <= policy limit", source="[assumed]",
        level="should", dimension="years", parts=("cones",),
        consequence="Old cloth and stitching tear where they look sound.",
        remedy="Make new cones.",
        ask="Say what year the cones were made.",
        says=Says(
            meets={"found<1": "The cones are new; {required} is the limit.",
                   "": "The cones {will_be_many} {found} old on {day}; {required} is the limit."},
            short="The cones {will_be_many} {found} old on {day}, too old; {required} is the limit.",
            unproven={"cones_year & made_year": Ask("what year the cones were made",
                                                    "say what year the cones were made")},
            need="{required} is the limit.",
            moot=asks.NO_CONES,
        ),
        columns=("cones_year", "made_year"),
        meets=({}, {"made_year": "2005", "cones_year": "2024"}),
        short=({"cones_year": "2005"},), unproven=({"made_year": ""},), not_applicable=(WARPS,),
    ),
    declare(
        _inspected, "condition.inspected", "The device was inspected recently enough.",
        rule="days from inspection to departure <= policy limit", source="[assumed]", dimension="days",
        consequence="What nobody has looked at cannot be relied on.",
        remedy="Inspect the whole device and give the date.",
        ask="Inspect the whole device and give the date.",
        says=Says(
            meets={"found<1": "[Her] drogue was looked over on {last_inspected}.",
                   "": "[Her] drogue was last looked over on {last_inspected}. That {will_be} {found} "
                       "before the day "
                   "judged for, {day}; the limit is {required}."},
            short="[Her] drogue was last looked over on {last_inspected}. That {will_be} {found} before "
                  "{day}, too "
                  "long; the limit is {required}.",
            unproven={
                "last_inspected": Ask("when [her] drogue was last looked over",
                                      "look over the whole drogue and give the date"),
                "": "The day given lies before the year it was made. [You] can say what was looked over.",
            },
            need="The limit is {required} before {day}.",
        ),
        columns=("last_inspected",), meets=({}, {"last_inspected": "2027-01-01", "made_year": "2027"}),
        short=({"last_inspected": "2025-02-01"},),
        unproven=({"last_inspected": ""}, {"last_inspected": "2026-12-31", "made_year": "2027"}),
        not_applicable=(NO_DEVICE,),
    ),
    declare(
        judged_by_answer("stowed_ready"),
        "stowage.ready", "The device is flaked in its bag, made fast and ready to run.",
        rule="ready to run without sorting out", source="[practice]",
        consequence="In a gale at night nobody can untangle a hundred cones.",
        remedy="Flake it into its bag, end weight on top, bridle made fast.",
        ask="Say whether it is stowed ready to run.",
        says=Says(
            meets="[Her] drogue lies in its bag, ready to run.",
            short="[Her] drogue is not stowed ready to run.",
            unproven={"stowed_ready": Ask("how [her] drogue is stowed", "say whether it is stowed ready to "
                                                                        "run")},
        ),
        columns=("stowed_ready",), short=({"stowed_ready": "no"},), not_applicable=(NO_DEVICE,),
    ),
    declare(
        judged_by_answer("within_reach"),
        "stowage.reach", "It can be launched from the cockpit.",
        rule="within reach of the cockpit", source="[practice]", level="should",
        consequence="Going on deck to fetch it is when people are lost.",
        remedy="Stow it where it can be reached from the cockpit.",
        ask="Say whether it can be launched from the cockpit.",
        says=Says(
            meets="[Her] drogue can be launched from the cockpit.",
            short="[Her] drogue cannot be launched from the cockpit.",
            unproven={"within_reach": Ask("whether [her] drogue can be launched from the cockpit",
                                          "say whether it can be launched from the cockpit")},
        ),
        columns=("within_reach",), short=({"within_reach": "no"},), not_applicable=(NO_DEVICE,),
    ),
    declare(
        _weight, "stowage.weight", "No bag of the drogue is too heavy to handle.",
        rule="bags >= stowed mass without end weight / policy limit", source="[assumed]", level="should",
        dimension="count",
        consequence="A bag too heavy to lift is not launched.",
        remedy="Stow it in more bags, with a joint between.",
        ask="Say in how many bags it is stowed.",
        says=Says(
            meets={"stowage_bags": "One bag is enough for the weight of [her] drogue.",
                   "": "[Her] drogue is stowed in {found:bag}; {required} {required:is/are} {needed} by its "
                       "weight."},
            short="[Her] drogue is stowed in {found:bag}, too heavy to handle; {required:bag} "
                  "{required:is/are} "
                  "{needed}.",
            unproven={"stowage_bags": Ask("in how many bags [her] drogue is stowed",
                                          "say in how many bags it is stowed"),
                      "": "It is not shown that no bag is too heavy."},
            need="{required:bag} {required:is/are} {needed}.",
        ),
        columns=("stowage_bags",), meets=({}, {"stowage_bags": ""}, {**HEAVY, "stowage_bags": "3"}),
        short=({**HEAVY, "stowage_bags": "1"},), unproven=({**HEAVY, "stowage_bags": ""}, HUGE),
        not_applicable=(NO_DEVICE,),
    ),
    declare(
        _retrieval, "retrieval.means", "It was got back aboard in a trial.",
        rule="recovery tried with the gear it needs", source="[practice]", level="should",
        parts=("recovery gear",), only_tried=True,
        consequence="A drogue that cannot be recovered is cut away and not there for the next storm.",
        remedy="Fit the recovery gear that is listed on the boat's page, and try it in mild weather.",
        ask="Try it in mild weather with the gear it needs, and say so.",
        says=Says(
            meets="[Her] drogue was got back aboard in a trial.",
            absent="There is no plan for getting [her] drogue back aboard.",
            unproven={
                "retrieval": Ask("how [her] drogue is got back aboard",
                                 "try it in mild weather with the gear it needs, and say so"),
                "": "A way to get [her] drogue back aboard is planned, and was not tried yet. [You] can try "
                    "it in mild "
                "weather.",
            },
        ),
        columns=("retrieval",), absent=({"retrieval": "none"},),
        unproven=({"retrieval": ""}, {"retrieval": "planned"}), not_applicable=(NO_DEVICE,),
    ),
)  # fmt: skip
