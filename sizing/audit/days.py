"""Days on the sheet, held against the year the device was made."""

from __future__ import annotations

import numpy as np

from sizing.audit.context import AuditContext
from sizing.audit.judge import Outcome, by_figure, left_unproven
from sizing.model import BoolArray


def before_it_was_made(context: AuditContext, si_name: str) -> BoolArray:
    """Boats whose day lies before the year the device was made: what was seen then was not this device."""
    day = context.fleet.number[si_name]
    known = ~np.isnan(day)
    ordinal = np.where(known, day, 1.0).astype(np.int64)
    year = (np.datetime64("0001-01-01") + (ordinal - 1)).astype("datetime64[Y]").astype(np.int64) + 1970
    return np.asarray(known & (year < context.fleet.number["made_year"]))


def by_age(context: AuditContext, si_name: str, limit_days: float, note: str) -> Outcome:
    """Judge how old a day on the sheet is; one before the device was made proves nothing, and `note` says so.

    Boats that carry no device are not concerned. Days.
    """
    limit = np.full(context.boats, limit_days)
    days = context.reference_day.toordinal() - context.fleet.number[si_name]
    impossible = np.asarray(before_it_was_made(context, si_name) & context.has_line)
    outcome = by_figure(
        context, limit, days, applies=context.has_line, at_most=True, notes=((impossible, note),)
    )
    return left_unproven(outcome, impossible)
