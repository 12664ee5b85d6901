"""From columns to the findings of one boat, with margin and what to do."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from types import MappingProxyType
from typing import Any, Final

import numpy as np

from sizing.audit.sentences import sentence_of
from sizing.fields import FIELD_BY_NAME
from sizing.model import CheckColumns, Finding, FleetColumns, Standing
from sizing.units import Shown, show

ADVISED_STANDS: Final = MappingProxyType(
    {
        Standing.MEETS: "It is reached.",
        Standing.SHORT: "It is not reached.",
        Standing.UNPROVEN: "It is not shown to be reached.",
    }
)


def findings_of(checks: Sequence[CheckColumns], fleet: FleetColumns, row: int) -> tuple[Finding, ...]:
    """All findings of boat `row`, in the order of the checks."""
    entry_no = str(fleet.text["entry_no"][row])
    return tuple(_finding(result, fleet, entry_no, row) for result in checks)


def margin_percent(required: float | None, found: float | None, *, at_most: bool) -> float | None:
    """Margin in per cent of the figure required, None without both figures.

    Negative is short of what is needed, or over what is allowed.

    >>> margin_percent(100.0, 90.0, at_most=False)
    -10.0
    >>> margin_percent(55.0, 84.0, at_most=True)
    -52.727272727
    """
    if required is None or found is None or required == 0:
        return None
    over = (found - required) / required
    return round((-over if at_most else over) * 100, 9)


def _finding(result: CheckColumns, fleet: FleetColumns, entry_no: str, row: int) -> Finding:
    check = result.check
    standing = Standing(int(result.standing[row]))
    required = _known(result.required[row])
    found = _known(result.found[row])
    return Finding(
        id=f"{entry_no}/{check.id}",
        row=row,
        check=check,
        standing=standing,
        required=required,
        found=found,
        margin_percent=margin_percent(required, found, at_most=result.at_most),
        note=result.note_of(row),
        advice=result.advice_of(row),
        at_most=result.at_most,
        needed=() if standing is Standing.NOT_APPLICABLE else _needed(result, required, row),
        **_advised(result, row),
        said=sentence_of(result, fleet, row),
    )


def _advised(result: CheckColumns, row: int) -> dict[str, Any]:
    """The further limit of a finding, and how she stands to it."""
    if result.advised is None:
        return {}
    standing = Standing(int(result.advised.standing[row]))
    return {"advised": _advised_limit(result, row), "advised_standing": standing}


def needed_of(findings: Iterable[Finding]) -> dict[str, tuple[Finding, ...]]:
    """Return, by column, the findings that ask most of it: one for each level and sense, shalls first."""
    strictest: dict[tuple[str, str, bool], Finding] = {}
    for finding in findings:
        if finding.needed:
            key = (finding.check.columns[0], finding.check.level, finding.at_most)
            other = strictest.setdefault(key, finding)
            stricter = min if finding.at_most else max
            strictest[key] = stricter(other, finding, key=lambda one: one.needed)
    by_column: dict[str, tuple[Finding, ...]] = {}
    for (column, _, _), finding in sorted(strictest.items(), key=lambda item: item[0][1] != "shall"):
        by_column[column] = (*by_column.get(column, ()), finding)
    return by_column


def needed_words(finding: Finding) -> Shown:
    """Return what a finding asks of its column, in both systems; several figures from the boat outward."""
    field = FIELD_BY_NAME[finding.check.columns[0]]
    figures = [show(value, field.dimension or field.kind) for value in finding.needed]
    return Shown("; ".join(one.metric for one in figures), "; ".join(one.us for one in figures))


def _needed(result: CheckColumns, required: float | None, row: int) -> tuple[float, ...]:
    """What the column that is measured has to be; none where the check asks no figure of it."""
    if result.needed is not None:
        return tuple(float(value) for value in itertools.takewhile(np.isfinite, np.ravel(result.needed[row])))
    if required is None or not result.check.columns:
        return ()
    field = FIELD_BY_NAME[result.check.columns[0]]
    own = field.dimension or field.kind
    return (required,) if own == result.check.dimension else ()


def _advised_limit(result: CheckColumns, row: int) -> float | None:
    return None if result.advised is None else _known(result.advised.limit[row])


def _known(value: np.float64) -> float | None:
    return None if np.isnan(value) else float(value)
