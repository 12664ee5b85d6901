"""What one boat's entry says of a column, and what the checks ask of it, in a few words for paper."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from itertools import takewhile
from math import ceil, floor
from typing import Final

import numpy as np

from sizing.catalogue import Catalogue
from sizing.field_kinds import Field
from sizing.model import Finding, FleetColumns
from sizing.order.loft.lengths_shown import inches, small
from sizing.units import both, show, si_factor

_NOISE: Final = 1e-6
"""A part of a step that is rounding of the program's own."""
NOT_SAID: Final = "not said"
_ADVISED: Final = {"shall": "", "should": " advised"}


def claimed(fleet: FleetColumns, catalogue: Catalogue, field: Field, row: int) -> str:
    """Return what her entry says of a column as it was understood; free text is never repeated."""
    if field.kind == "choice":
        return fleet.choice_words(field.name, row) or NOT_SAID
    if field.kind == "quantities":
        known = takewhile(np.isfinite, fleet.section_diameters_m[row].tolist())
        return "; ".join(small(value) for value in known) or NOT_SAID
    if field.kind == "bolts":
        return _bolts(fleet, catalogue, row)
    value = fleet.value(field.si_name, row)
    if value is None or (field.dimension == "force" and value == 0.0):
        return NOT_SAID
    if field.kind == "yes_no":
        return "yes" if value else "no"
    return figure(field, value)


def _bolts(fleet: FleetColumns, catalogue: Catalogue, row: int) -> str:
    names = ("bolt_count", "bolt_size_mm", "bolt_tensile_pa")
    count, size_mm, tensile_pa = (float(fleet.number[name][row]) for name in names)
    if np.isnan(count) or np.isnan(size_mm):
        return NOT_SAID
    grades = catalogue.bolt_grades
    alike = np.isclose(grades.tensile_strength_pa, tensile_pa)
    stamps = [name for name, is_it in zip(grades.id, alike, strict=True) if is_it]
    return f"{count:.0f} x M{size_mm:g}, {' or '.join(stamps) or 'grade not said'}"


def figure(field: Field, value: float) -> str:
    """Return one value of a column in both systems; a year without a mark between its digits."""
    if field.kind == "count":
        return f"{value:.0f}" if field.limits and field.limits[0] > 1000 else show(value, "count").metric
    if field.dimension == "small_length":
        return small(value)
    return both(value, field.dimension or "count")


def on_a_rule(value_m: float, *, at_most: bool = False) -> str:
    """Return a small length as a rule shows it, millimetres and sixteenths, never to the unsafe side.

    >>> on_a_rule(0.0118), on_a_rule(0.0118, at_most=True)
    ('12 mm (½ in)', '11 mm (7/16 in)')
    """
    mm, sixteenth = 1e-3, si_factor("inch") / 16.0
    whole_mm, sixteenths = (
        floor(value_m / step + _NOISE) if at_most else ceil(value_m / step - _NOISE)
        for step in (mm, sixteenth)
    )
    return f"{whole_mm} mm ({inches(sixteenths * sixteenth)})"


def wanted_of(
    field: Field,
    about: Sequence[Finding],
    needed: Mapping[str, Sequence[Finding]],
    reference_day: date,
    force: Callable[[float], str] | None = None,
) -> str:
    """Return what is wanted of a column: the figures asked of it, or the rule of the first check about it.

    `needed` is what `needed_of` gave of all her findings; `force` words a load.
    """
    if field.name in needed:
        return "; ".join(_asked(field, finding, force) for finding in needed[field.name])
    finding = about[0]
    advised = _ADVISED[finding.check.level]
    if finding.check.dimension == "years" and finding.required is not None:
        return f"{reference_day.year - finding.required:.0f} or later{advised}"
    return f"{finding.check.rule}{advised}"


def _asked(field: Field, finding: Finding, force: Callable[[float], str] | None) -> str:
    advised = _ADVISED[finding.check.level]
    if finding.at_most and not any(finding.needed):
        return f"none{advised}"
    if force and field.dimension == "force":
        return f"{force(finding.needed[0])}{advised}"
    if field.dimension == "small_length":
        values = "; ".join(on_a_rule(value, at_most=finding.at_most) for value in finding.needed)
    else:
        values = "; ".join(figure(field, value) for value in finding.needed)
    return f"{'at most' if finding.at_most else 'at least'} {values}{advised}"
