"""Checks of how the drogue line is made and what state it is in."""

from __future__ import annotations

import numpy as np

from sizing.audit import asks
from sizing.audit.cases import NO_DEVICE
from sizing.audit.context import AuditContext
from sizing.audit.judge import Outcome, by_figure, by_word, judged_by_word
from sizing.audit.line import LINE, MATERIALS, STATES
from sizing.audit.spec import CheckSpec, declare
from sizing.model import Ask, Says, Standing


def _material(context: AuditContext) -> Outcome:
    return by_word(
        context,
        "line_material",
        MATERIALS,
        applies=context.has_line,
        notes=(
            (context.chosen("line_material", "polypropylene"), "Polypropylene floats and melts easily."),
            (context.chosen("line_material", "low stretch", "polyester"),
             "It stretches little, so a strike is felt harder by every part."),
            (context.chosen("line_material", "nylon three strand"),
             "Tapes cannot be passed under a cover: three strand has none."),
        ),
    )  # fmt: skip


def _joints(context: AuditContext) -> Outcome:
    sections = (~np.isnan(context.fleet.section_diameters_m)).sum(axis=1)
    joined = ~(context.blank("section_joints") | context.chosen("section_joints", "none"))
    contradicts = np.asarray(context.series & (sections > 1) & context.chosen("section_joints", "none"))
    outcome = by_word(
        context,
        "section_joints",
        {
            "eye through eye": Standing.MEETS,
            "shackled": Standing.MEETS,
            "knotted": Standing.SHORT,
            "none": Standing.NOT_APPLICABLE,
        },
        applies=np.asarray(context.series & ((sections != 1) | joined)),
        notes=(
            (contradicts, "The sheet gives several sections and yet no joints: say how they are joined."),
        ),
    )
    outcome.standing[contradicts] = Standing.UNPROVEN
    return outcome


def _lead_length(context: AuditContext) -> Outcome:
    required = np.full(context.boats, context.policy.sizing.lead_line_length)
    return by_figure(context, required, context.fleet.number["lead_line_length_m"], applies=context.has_line)


def _state(context: AuditContext) -> Outcome:
    return by_word(
        context,
        "line_state",
        STATES,
        applies=context.has_line,
        notes=(
            (context.chosen("line_state", "worn"), "Worn: its loss is counted in the residual strength."),
        ),
    )


CHECKS: tuple[CheckSpec, ...] = (
    declare(
        _material, "line.material", "The line is nylon double braid.",
        rule="fibre and construction", source="[CG87 6.3]", parts=LINE,
        consequence="Nylon's stretch takes the peak off a strike; the strength figures hold for it alone.",
        remedy="Replace it by nylon double braid.",
        ask="Say what fibre and construction the line is.",
        says=Says(
            meets="The line is nylon double braid.",
            short="The line is {line_material}, not nylon double braid.",
            unproven={"line_material": asks.LINE_FIBRE},
        ),
        columns=("line_material",),
        short=({"line_material": "low stretch"}, {"line_material": "nylon three strand"}),
        not_applicable=(NO_DEVICE,),
    ),
    declare(
        judged_by_word("line_ends", meets=("spliced",), short=("knotted",)),
        "line.ends", "The ends are spliced, not knotted.",
        rule="eye splices throughout", source="[practice]",
        consequence="A knot leaves about half the strength of the rope.",
        remedy="Splice an eye round a reinforced thimble at each end.",
        ask="Say whether the eyes are spliced or knotted.",
        says=Says(
            meets="All ends are spliced.",
            short="One end or more is knotted: a knot holds about half.",
            unproven={"line_ends": asks.LINE_ENDS},
        ),
        columns=("line_ends",), short=({"line_ends": "knotted"},), not_applicable=(NO_DEVICE,),
    ),
    declare(
        _joints, "line.joints", "Sections are joined eye through eye, or by rated shackles.",
        rule="no knotted joints", source="[practice]",
        consequence="A knot between two sizes slips or halves the strength of the thinner.",
        remedy="Splice one eye through the other while it is open; two closed eyes need a rated shackle.",
        ask="Say how the sections are joined.",
        says=Says(
            meets={"section_joints=shackled": "The lengths of the line are joined by shackles.",
                   "": "The lengths of the line are joined eye through eye."},
            short="The lengths of the line are knotted together: a knot holds about half.",
            unproven={
                "section_joints": Ask("how the lengths of the line are joined", "say how the lengths are "
                                                                                "joined"),
                "": "The entry gives several lengths and yet no joint. [You] can say how they are joined.",
            },
            moot="The line has no joint to judge.",
        ),
        columns=("section_joints",),
        short=({"section_joints": "knotted"}, {"section_diameters": "28 mm", "section_joints": "knotted"}),
        unproven=({"section_joints": "none"}, {"section_joints": ""}),
        not_applicable=({"section_diameters": "28 mm", "section_joints": "none"},
                        {"section_diameters": "28 mm", "section_joints": ""}),
    ),
    declare(
        _lead_length, "line.lead-length", "The lead line is long enough.",
        rule="length >= policy lead line", source="[practice]", level="should", dimension="length",
        parts=("lead line",),
        consequence="With a short lead line the first cones lie in the breaking crest with the boat.",
        remedy="Fit a longer lead line.",
        ask="Measure from the bridle to the first cone.",
        says=Says(
            meets="The lead line is {found} long; {required} is {needed}.",
            short="The lead line is only {found} long; {required} is {needed}.",
            unproven={"lead_line_length": Ask("how long the lead line is",
                                              "measure from the bridle to the first cone")},
            need="{required} is {needed}.",
        ),
        columns=("lead_line_length",), short=({"lead_line_length": "15 m"},), not_applicable=(NO_DEVICE,),
    ),
    declare(
        _state, "line.state", "The line is not damaged.",
        rule="no cut strands, melted or stiff lengths", source="[practice]", parts=LINE,
        consequence="Damaged rope has no strength that can be stated.",
        remedy="Replace the damaged line.",
        ask="Look along the whole line and say its state.",
        says=Says(
            meets={"line_state=worn": "The line is worn, but not damaged.", "": "No damage to the line was "
                                                                                "found."},
            short="The line is damaged: it counts for nothing.",
            unproven={"line_state": asks.LINE_STATE},
        ),
        columns=("line_state",), short=({"line_state": "damaged"},), not_applicable=(NO_DEVICE,),
    ),
)  # fmt: skip
