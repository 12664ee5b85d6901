"""What a scrutineer measured: text with its unit, made into a cell in the place of the entered one."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from sizing.errors import QuantityError
from sizing.fields import MEASURABLE, Field
from sizing.units import read_quantity

_WLL: Final = re.compile(r"\bwll\b", re.IGNORECASE)


@dataclass(frozen=True)
class Measured:
    """One value as found: as written, as a cell with a decimal point, and in SI where it is one quantity."""

    field: str
    text: str
    cell: str
    si: float | None

    def as_json(self) -> dict[str, Any]:
        """As it is kept."""
        return {"field": self.field, "text": self.text, "cell": self.cell, "si": self.si}


class MeasurementError(Exception):
    """A measurement that cannot be taken; `problems` are (field, code, expected, how to mend)."""

    def __init__(self, problems: Sequence[tuple[str, str, str, str]]) -> None:
        self.problems = tuple(problems)
        super().__init__("a measurement cannot be taken")


def measured(field_name: str, text: str) -> Measured:
    """Read one measurement. A quantity must carry its own unit, whatever the entry sheet's header says.

    >>> measured("lead_line_diameter", "20 mm").cell
    '0.02 m'
    """
    field = MEASURABLE[field_name]
    text = " ".join(text.split())
    if not text:  # it would take away what was entered, as if nothing had been there
        raise MeasurementError(
            [(field_name, "blank", field.expected, "write what was found, or leave the column out")]
        )
    if field.kind == "quantity":
        value, cell = _quantity(field, text)
        return Measured(field_name, text, cell, value)
    if field.kind == "quantities":
        cells = [_quantity(field, part.strip())[1] for part in text.split(";")]
        return Measured(field_name, text, "; ".join(cells), None)
    return Measured(field_name, text, text, None)


def in_force(rows: Sequence[Sequence[Mapping[str, Any]]]) -> dict[str, str]:
    """Cells as found, from the measurements of inspections in order: the last one of each field counts."""
    return {str(one["field"]): str(one["cell"]) for measurements in rows for one in measurements}


def _quantity(field: Field, text: str) -> tuple[float, str]:
    assert field.dimension is not None
    bare, working_load = text, ""
    if field.dimension == "force" and _WLL.search(text):
        bare, working_load = _WLL.sub("", text).strip(" ()"), " WLL"
    try:
        value = read_quantity(bare, field.dimension).value
    except QuantityError as error:
        mend = "write the unit after the figure" if error.code == "no_unit" else error.mend
        raise MeasurementError([(field.name, error.code, error.expected, mend)]) from error
    low, high = field.limits or (0.0, float("inf"))
    if not low <= value <= high:
        raise MeasurementError(
            [
                (
                    field.name,
                    "out_of_range",
                    f"from {low:g} to {high:g} {_UNITS[field.dimension]}",
                    "check the unit",
                )
            ]
        )
    return value, f"{Decimal(repr(round(value, 9))):f} {_UNITS[field.dimension]}{working_load}"


_UNITS: Final = {"length": "m", "small_length": "m", "mass": "kg", "force": "N", "area": "m2", "speed": "m/s"}
