"""From columns to the findings of one boat, with margin and remedy in words."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sizing.model import CheckColumns, Finding, FleetColumns, Remedy, Standing
from sizing.units import both


def findings_of(checks: Sequence[CheckColumns], fleet: FleetColumns, row: int) -> tuple[Finding, ...]:
    """All findings of boat `row`, in the order of the checks."""
    entry_no = str(fleet.text["entry_no"][row])
    return tuple(_finding(result, entry_no, row) for result in checks)


def margin_percent(required: float | None, found: float | None, *, at_most: bool) -> float | None:
    """Margin over the requirement in per cent; negative is short, None without both figures.

    >>> margin_percent(100.0, 90.0, at_most=False)
    -10.0
    """
    if required is None or found is None or required == 0 or (at_most and found == 0):
        return None
    share = required / found if at_most else found / required
    return round((share - 1) * 100, 9)


def _finding(result: CheckColumns, entry_no: str, row: int) -> Finding:
    check = result.check
    standing = Standing(int(result.standing[row]))
    required = _known(result.required[row])
    found = _known(result.found[row])
    finding_id = f"{entry_no}/{check.id}"
    remedy = None
    sentence = check.advice(standing)
    if sentence:
        if required is not None:
            words = "No more than {} is allowed" if result.at_most else "At least {} is needed"
            sentence += " " + words.format(both(required, check.dimension))
            sentence += f"; {both(found, check.dimension)} is found." if found is not None else "."
        remedy = Remedy(finding_id, sentence)
    return Finding(
        id=finding_id,
        row=row,
        check=check,
        standing=standing,
        required=required,
        found=found,
        margin_percent=margin_percent(required, found, at_most=result.at_most),
        note=result.note_of(row),
        remedy=remedy,
    )


def _known(value: np.float64) -> float | None:
    return None if np.isnan(value) else float(value)
