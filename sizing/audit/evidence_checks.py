"""Checks of the sheet itself: what the figures rest on, and how far they can be trusted."""

from __future__ import annotations

import numpy as np

from sizing.audit.cases import CAT, HUGE, LIGHT, NO_DEVICE
from sizing.audit.context import AuditContext
from sizing.audit.days import by_age
from sizing.audit.judge import Outcome, by_word
from sizing.audit.spec import CheckSpec, declare
from sizing.model import Ask, Says, Standing


def _basis(context: AuditContext) -> Outcome:
    factor = context.policy.sizing.loading_factor
    return by_word(
        context,
        "displacement_basis",
        {"loaded": Standing.MEETS, "light": Standing.SHORT},
        applies=context.everyone,
        notes=(
            (context.chosen("displacement_basis", "light"),
             f"The light figure was multiplied by {factor:g} [policy; assumed]."),
            (context.blank("displacement_basis"),
             "The figure was taken as loaded, as it stands; what is enough for that alone is left unproven."),
        ),
    )  # fmt: skip


def _range(context: AuditContext) -> Outcome:
    mark = context.requirements.range_mark
    standing = np.where(mark == 0, Standing.MEETS, Standing.UNPROVEN).astype(np.int8)
    standing[(mark == 0) & (context.requirements.hull_mark != 0)] = Standing.NOT_APPLICABLE
    standing[~context.computed] = Standing.UNPROVEN
    notes = (
        (np.asarray(context.computed & (mark < 0)), "Below 7,500 lb: the published line is extended."),
        (np.asarray(context.computed & (mark > 0)), "Above 60,000 lb: the published line is extended."),
    )
    return Outcome(standing, context.no_figure, context.no_figure, notes=notes)


def _hull_type(context: AuditContext) -> Outcome:
    outside = np.asarray(~context.chosen("boat_type", "sailing monohull"))
    standing = np.where(outside, Standing.UNPROVEN, Standing.MEETS).astype(np.int8)
    note = "The source is about sailing monohulls, fin keels in the main: every figure here is outside it."
    return Outcome(standing, context.no_figure, context.no_figure, notes=((outside, note),))


def _unusual(context: AuditContext) -> Outcome:
    standing = np.full(context.boats, Standing.MEETS, dtype=np.int8)
    for remark in context.fleet.remarks:
        if remark.kind == "warning":
            standing[remark.rows] = Standing.UNPROVEN
    return Outcome(standing, context.no_figure, context.no_figure)


def _evidence(context: AuditContext) -> Outcome:
    accepted = context.policy.audit.accepted_evidence
    words = ("certificate", "measured by scrutineer", "photo", "skipper's word")
    verdicts = {word: Standing.MEETS if word in accepted else Standing.UNPROVEN for word in words}
    return by_word(context, "evidence", verdicts, applies=context.has_line)


def _evidence_age(context: AuditContext) -> Outcome:
    note = "The evidence given lies before the year the device was made: say what it is of."
    return by_age(context, "evidence_date_day", context.policy.audit.evidence_days, note)


def _berth(context: AuditContext) -> Outcome:
    given = np.asarray(context.fleet.text["berth"].to_numpy() != "")
    standing = np.where(given, Standing.MEETS, Standing.UNPROVEN).astype(np.int8)
    return Outcome(standing, context.no_figure, context.no_figure)


CHECKS: tuple[CheckSpec, ...] = (
    declare(
        _basis, "data.displacement-basis", "Displacement is the loaded passage figure.",
        rule="displacement basis is loaded", source="[ISO 8666]", level="should",
        consequence="A light figure leaves out crew, water, fuel and stores, and makes the drogue too small.",
        remedy="Weigh the boat as loaded, or look in the stability booklet, and give that figure.",
        ask="Say whether the displacement is loaded or light.",
        sizes_her=True,
        says=Says(
            meets="[Her] displacement is the loaded one.",
            short="[Her] displacement is the light one, without crew, water, fuel and stores.",
            unproven={"displacement_basis": Ask("whether [her] displacement is loaded or light",
                                                "say whether it is loaded or light")},
        ),
        columns=("displacement_basis",), short=({"displacement_basis": "light"},),
    ),
    declare(
        _range, "data.published-range", "Her displacement is within the published range.",
        rule="7,500 lb <= displacement <= 60,000 lb", source="[CG87 6.1]", level="should",
        consequence="Outside it the published line is extended, and nobody has tested it there.",
        remedy="Have a naval architect look at the figures.",
        ask="Have a naval architect look at the figures.",
        sizes_her=True, done_by="surveyor",
        says=Says(
            meets="[Her] displacement is within the published range.",
            unproven={"not computed": "What [she] needs could not be worked out.",
                      "": "[Her] displacement is outside the published range. A naval architect can look at "
                          "the "
                          "figures."},
            moot="The published range is that of sailing monohulls.",
        ),
        columns=("displacement",), unproven=(LIGHT, HUGE),
        not_applicable=({"boat_type": "motor monohull"}, CAT),
    ),
    declare(
        _hull_type, "data.hull-type", "Her hull type is the one the source is about.",
        rule="sailing monohull", source="[CG87 6.1, 7.0]", level="should",
        consequence="Nothing published says how a drogue holds a multihull or a motor boat.",
        remedy="Have a naval architect look at the figures.",
        ask="Have a naval architect look at the figures.",
        done_by="surveyor",
        says=Says(
            meets="The United States Coast Guard tests of 1987 had boats of [her] kind, sailing monohulls.",
            unproven={"": "The United States Coast Guard tests of 1987 had no boat of [her] kind, a "
                          "{boat_type}. A naval architect can look at the figures."},
        ),
        columns=(), unproven=({"boat_type": "motor monohull"}, CAT),
    ),
    declare(
        _unusual, "data.plausible", "Nothing in the entry looks unusual for such a boat.",
        rule="no warning from the intake", source="[assumed]", level="should",
        consequence="A slip in one figure makes every figure that follows from it wrong.",
        remedy="Look at the warnings and confirm or correct the figures.",
        ask="Look at the warnings and confirm or correct the figures.",
        sizes_her=True,
        says=Says(
            meets="Nothing in the entry looks unusual.",
            unproven={"": "Something in the entry looks unusual for such a boat. [You] can confirm or "
                          "correct it."},
        ),
        columns=(), unproven=({"section_diameters": "22 mm; 28 mm"},),
    ),
    declare(
        _evidence, "data.evidence", "The figures rest on evidence that counts.",
        rule="evidence of a kind in the policy's list", source="[policy]", level="should",
        consequence="A figure nobody has checked is a hope.",
        remedy="Show a certificate or photo, or have a scrutineer measure.",
        ask="Show a certificate or photo, or have a scrutineer measure.",
        done_by="scrutineer", of_the_drogue=True,
        says=Says(
            meets={"evidence=measured by scrutineer": "A scrutineer measured the figures.",
                   "evidence=skipper's word": "The figures rest on the skipper's word, which this rally "
                                              "takes.",
                   "": "The figures rest on {evidence:a}."},
            unproven={
                "evidence": Ask("what the figures rest on", "show a certificate or photo, or have a "
                                                            "scrutineer measure"),
                "evidence=skipper's word": "The figures rest on the skipper's word alone. A scrutineer can "
                                           "measure them.",
                "": "The figures rest on evidence that this rally does not count. A scrutineer can measure "
                    "them.",
            },
        ),
        columns=("evidence",), unproven=({"evidence": "skipper's word"}, {"evidence": ""}),
        not_applicable=(NO_DEVICE,),
    ),
    declare(
        _evidence_age, "data.evidence-age", "The evidence is recent enough.",
        rule="days from evidence to departure <= policy limit", source="[policy]", level="should",
        dimension="days",
        consequence="Gear changes, and old evidence is of gear that may be gone.",
        remedy="Show newer evidence.",
        ask="Give the date of the evidence.",
        done_by="scrutineer", of_the_drogue=True,
        says=Says(
            meets={"found<1": "The evidence is of {evidence_date}.",
                   "": "The evidence is of {evidence_date}. That {will_be} {found} before the day judged "
                       "for, {day}; "
                   "the limit is {required}."},
            short="The evidence is of {evidence_date}. That {will_be} {found} before {day}, too old; the "
                  "limit is "
                  "{required}.",
            unproven={
                "evidence_date": Ask("what day the evidence is from", "give the date of the evidence"),
                "": "The evidence lies before the year [her] drogue was made. [You] can say what it is of.",
            },
            need="The limit is {required} before {day}.",
        ),
        columns=("evidence_date",), short=({"evidence_date": "2025-01-01"},),
        unproven=({"evidence_date": ""}, {"evidence_date": "2026-12-31", "made_year": "2027"}),
        not_applicable=(NO_DEVICE,),
    ),
    declare(
        _berth, "data.berth", "Her berth is known.",
        rule="berth given", source="[policy]", level="should",
        consequence="A scrutineer cannot find the boat.",
        remedy="Give the berth.",
        ask="Give the berth.",
        done_by="safety officer",
        says=Says(
            meets="[Her] berth is known.",
            unproven={"berth": Ask("where [she] lies", "give the berth")},
        ),
        columns=(), unproven=({"berth": ""},),
    ),
)  # fmt: skip
