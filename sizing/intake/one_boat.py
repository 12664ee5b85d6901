"""One boat read again from her cells as her whole sheet was read, with what was found in their place."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import polars as pl

from sizing.fields import FIELDS
from sizing.intake.collect import Collected, Fault
from sizing.intake.columns import read_columns
from sizing.intake.headers import Columns
from sizing.intake.plausibility import Fleet, check
from sizing.intake.unread import set_aside
from sizing.intake.weight_asked import ask_weight
from sizing.model import FleetColumns, Notation
from sizing.raw_table import RawTable
from sizing.units import DecimalSign


@dataclass(frozen=True)
class FoundCell:
    """What was found in one column, as written, and the decimal sign of the sheet it was found beside.

    It has to tell its own unit: who measures does not look at the headers of a list.
    """

    text: str
    decimal: DecimalSign | None


def read_boat(
    cells: Mapping[str, str], notation: Notation, found: Mapping[str, FoundCell], today: dt.date
) -> tuple[FleetColumns, tuple[tuple[str, Fault], ...]]:
    """Return her as a fleet of one, and what is wrong by column ("" for none): then she cannot be used.

    Every cell goes through the readers of the intake; an optional one of hers that cannot be read is set
    aside, one that was found is a fault. `as_written` keeps the cells as they were entered; what
    only boats held against each other can show is left out.
    """
    names = [field.name for field in FIELDS if field.required or field.name in cells or field.name in found]
    written = {name: found[name].text if name in found else cells.get(name, "") for name in names}
    columns = Columns(
        place={name: place for place, name in enumerate(names)},
        unit={name: unit for name, unit in notation.units.items() if name in cells and name not in found},
        extra={}, problems=frozenset(), notes=(),
        decimal={name: found[name].decimal if name in found else notation.decimal for name in names},
    )  # fmt: skip
    frame = pl.DataFrame([pl.Series(str(at), [text]) for at, text in enumerate(written.values())])
    row = np.ones(1, dtype=np.int64)
    collected = Collected()
    values = read_columns(
        RawTable(tuple(names), frame, row, row, {}, "", ()), columns, today, None, collected
    )
    check(Fleet(frame, columns, values.number, values.choice, values.sections_m, collected))
    values, unread = set_aside(values, columns.place, collected, seen=found)
    asked = None if "displacement" in found else ask_weight(values, collected, by_day_alone=True)
    faults = tuple((names[at] if at >= 0 else "", fault) for at, fault in collected.faults.get(0, ()))
    fleet = FleetColumns(
        row_no=row,
        line_no=row,
        number=values.number,
        choice=values.choice,
        text=values.text,
        as_written=pl.DataFrame({name: [cells.get(name, "")] for name in names}),
        section_diameters_m=values.sections_m,
        remarks=collected.remarks(np.ones(1, dtype=np.bool_)),
        unread=unread,
        weight_asked=asked,
    )
    return fleet, faults
