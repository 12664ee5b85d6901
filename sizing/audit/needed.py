"""What a column of one boat has to reach: the strictest figure that her findings ask of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sizing.fields import FIELD_BY_NAME
from sizing.model import Check, CheckColumns, Standing


@dataclass(frozen=True)
class Needed:
    """A figure in SI that `column` must reach, or with `at_most` must not exceed, and the check that asks."""

    column: str
    check: Check
    required: float
    at_most: bool


def needed_of(checks: Sequence[CheckColumns], row: int) -> dict[str, Needed]:
    """Return by column what boat `row` needs there; columns of which no finding asks a figure are left out.

    Whoever shows a needed figure beside a column (dock, page, interface, sheet of the scrutineer) takes it
    from here, so that it is the figure of the finding.
    """
    found: dict[str, Needed] = {}
    for result in checks:
        column = compared_column(result.check)
        required = float(result.required[row])
        if column is None or np.isnan(required) or result.standing[row] == Standing.NOT_APPLICABLE:
            continue
        known = found.get(column)
        stricter = known is None or (
            required < known.required if result.at_most else required > known.required
        )
        if known is not None and known.at_most != result.at_most:
            stricter = (
                known.at_most
            )  # what has to be reached says more to whoever measures than a bound above
        if stricter:
            found[column] = Needed(column, result.check, required, result.at_most)
    return found


def compared_column(check: Check) -> str | None:
    """Return the column that a check's figure is compared with, None where there is no such one."""
    for name in check.columns:
        field = FIELD_BY_NAME[name]
        if check.dimension == (field.dimension or field.kind):
            return name
    return None
