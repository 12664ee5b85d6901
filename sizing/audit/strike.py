"""Checks against the wave strike on the gear aboard.

They are `should`: the published design load is what a boat shall hold; the simulation shows where her own
gear would see more.
"""

from __future__ import annotations

import numpy as np

from sizing.audit.cases import NO_DEVICE, WARPS
from sizing.audit.context import AuditContext
from sizing.audit.fittings import attachment_strength_n
from sizing.audit.judge import Outcome, by_figure
from sizing.audit.spec import CheckSpec, declare
from sizing.audit.strength import Bounds, residual_strength_n
from sizing.model import BoolArray, FloatArray, StrikeColumns


def _struck(context: AuditContext) -> StrikeColumns:
    if context.strike_aboard is None:
        raise ValueError("the strike checks need the strike on the gear aboard")
    return context.strike_aboard


def _why(context: AuditContext) -> tuple[tuple[BoolArray, str], ...]:
    """The reason of every boat whose gear could not be struck, as notes."""
    by_reason: dict[str, list[int]] = {}
    for row, reason in _struck(context).not_computed.items():
        by_reason.setdefault(reason, []).append(row)
    notes = []
    for reason, rows in by_reason.items():
        mask = np.zeros(context.boats, dtype=np.bool_)
        mask[rows] = True
        notes.append((mask, f"Not computed: {reason}."))
    return tuple(notes)


def _against(context: AuditContext, load: FloatArray, strength: Bounds) -> Outcome:
    return by_figure(
        context, load, strength.least, best=strength.most, applies=context.has_line, notes=_why(context)
    )


def _bridle(context: AuditContext) -> Outcome:
    strength = residual_strength_n(context, context.fleet.number["bridle_diameter_m"])
    return _against(context, _struck(context).peak_n, strength)


def _lead(context: AuditContext) -> Outcome:
    strength = residual_strength_n(context, context.fleet.number["lead_line_diameter_m"])
    return _against(context, _struck(context).head_peak_n[:, 0], strength)


def _attachment(context: AuditContext) -> Outcome:
    load = context.policy.sizing.attachment_share * _struck(context).peak_n
    return _against(context, load, attachment_strength_n(context))


def _shackle(context: AuditContext) -> Outcome:
    rating = context.fleet.number["shackle_rating_n"]
    return _against(context, _struck(context).peak_n, Bounds(rating, rating))


def _sections(context: AuditContext) -> Outcome:
    """The section nearest to its strength: strength over peak tension at its head."""
    peaks = _struck(context).head_peak_n[:, 1:]
    diameters = context.fleet.section_diameters_m
    shares = [
        Bounds(strength.least / peaks[:, place], strength.most / peaks[:, place])
        for place in range(diameters.shape[1])
        for strength in [residual_strength_n(context, diameters[:, place])]
    ]
    required = np.where(np.isnan(peaks[:, 0]), np.nan, 1.0)

    def weakest(columns: list[FloatArray]) -> FloatArray:
        share = np.column_stack(columns)
        padded = np.where(np.isnan(share) & np.isnan(peaks), np.inf, share).min(axis=1)
        return np.where(np.isinf(padded), np.nan, padded)

    least, most = weakest([s.least for s in shares]), weakest([s.most for s in shares])
    return by_figure(
        context, required, least, best=most, applies=context.series_or_unanswered, notes=_why(context)
    )


CHECKS: tuple[CheckSpec, ...] = (
    declare(
        _bridle, "strike.bridle", "Each bridle leg holds the whole peak load of a simulated wave strike.",
        rule="residual strength of one leg >= peak bridle load", source="[CG87 5.3; derived]",
        dimension="force", parts=("bridle",),
        consequence="A leg that parts at the peak leaves her hanging on the other.",
        remedy="Make the bridle of stronger, newer or sound rope.",
        level="should",
        ask="Give the gear aboard in full, so that the strike can be computed.",
        columns=("bridle_diameter",), short=({"bridle_diameter": "20 mm"},), unproven=({"cone_count": ""},),
        not_applicable=(NO_DEVICE,),
    ),
    declare(
        _lead, "strike.lead-line", "The lead line holds the peak tension of a simulated wave strike.",
        rule="residual strength >= peak tension at its head", source="[CG87 5.3; derived]",
        dimension="force", parts=("lead line", "cone line"),
        consequence="The line parts in the strike it is carried for.",
        remedy="Replace the line by a stronger, newer or sound one.",
        level="should",
        ask="Give the gear aboard in full, so that the strike can be computed.",
        columns=("lead_line_diameter",), short=({"lead_line_diameter": "20 mm"},),
        unproven=({"cone_count": ""},), not_applicable=(NO_DEVICE,),
    ),
    declare(
        _sections, "strike.sections", "Every section holds the peak tension of a simulated wave strike.",
        rule="residual strength / peak tension at each section's head >= 1", source="[CG87 5.3; derived]",
        parts=("cone line",),
        consequence="A section that parts takes every cone outboard of it.",
        remedy="Replace each section that does not hold by thicker, newer or sound rope.",
        level="should",
        ask="Give the gear aboard in full, so that the strike can be computed.",
        columns=("section_diameters",), short=({"section_diameters": "28 mm; 12 mm"},),
        unproven=({"cone_count": ""},), not_applicable=(WARPS,),
    ),
    declare(
        _attachment, "strike.attachments", "Each attachment holds 70 % of the simulated peak load.",
        rule="strength >= policy share x peak bridle load", source="[CG87 5.3, 6.3; derived]",
        dimension="force", parts=("attachments",),
        consequence="An attachment that tears out takes part of the transom and lets her broach.",
        remedy="Fit a stronger attachment each side, with backing, on a surveyor's advice.",
        level="should",
        ask="Give the gear aboard and the attachment's stated strength.",
        columns=("attachment_rating",), short=({"attachment_rating": "30 kN"},),
        unproven=({"cone_count": ""},), not_applicable=(NO_DEVICE,),
    ),
    declare(
        _shackle, "strike.shackles", "The weakest shackle holds the simulated peak load.",
        rule="breaking load >= peak bridle load", source="[CG87 5.3, 6.3]", dimension="force",
        parts=("shackles",),
        consequence="One weak shackle loses the whole drogue.",
        remedy="Fit shackles of sufficient breaking load.",
        level="should",
        ask="Give the gear aboard and the load stamped on the weakest shackle.",
        columns=("shackle_rating",), short=({"shackle_rating": "40 kN"},), unproven=({"cone_count": ""},),
        not_applicable=(NO_DEVICE,),
    ),
)  # fmt: skip
