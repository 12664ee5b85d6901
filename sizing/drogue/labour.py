"""Hours of work in one whole drogue."""

from __future__ import annotations

from sizing.drogue.figures import Figure


def splices_required(sections: Figure) -> Figure:
    """Eye splices: two in lead line and each section, four in the bridle, one for recovery. [practice]

    >>> splices_required(3.0)
    13.0
    """
    return 7.0 + 2.0 * sections


def labour_hours(
    cones: Figure, splices: Figure, sew_minutes: float, fit_minutes: float, splice_minutes: float
) -> Figure:
    """Hours: cones x (sew + fit) + splices x splice, minutes over 60.

    Fitting takes about 12 minutes a cone once practised [practice]; sewing 8 and a splice 45 [assumed].

    >>> labour_hours(90.0, 8.0, 8.0, 12.0, 45.0)
    36.0
    """
    return (cones * (sew_minutes + fit_minutes) + splices * splice_minutes) / 60.0
