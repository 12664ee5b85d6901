"""Cells that could not be read and need not reject their boat: they count for nothing, and are shown.

Number, name, and what a boat is sized by reject her where they cannot be read. Anything else is set aside:
the cell stands as written, a warning says what is wrong with it, and no check takes it, or what stands in
for a blank, for evidence. A figure in it is never counted, not even the lower end of a range.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Final

import numpy as np
import polars as pl

from sizing.fields import FIELD_BY_NAME, FIELDS
from sizing.intake.collect import Collected, Fault
from sizing.intake.columns import Values
from sizing.model import BoolArray, FloatArray

OPTIONAL: Final = frozenset(field.name for field in FIELDS if not field.required)
MEASURES: Final = frozenset({"lwl", "beam"})
"""Optional measures of the hull. One that does not go with the length puts the length in doubt as well."""
OF_THE_ROW: Final = frozenset({"cells", "bad_character"})
"""Faults after which nobody can say what the row's cells are."""
UNREAD: Final = "unread_"
"""Before the code of what is wrong with a cell, in the code of the warning about it."""


def set_aside(
    values: Values, place: Mapping[str, int], collected: Collected, *, seen: Collection[str] = ()
) -> tuple[Values, Mapping[str, BoolArray]]:
    """Take the faults of rows that have none but of optional cells out of `collected`.

    Returns the values, blank in such cells, and which rows hold one, by column; each is told in a warning.
    `seen` are columns filled by somebody who stands before the gear, and can write them again: their faults
    stay. So do all faults of a row that is rejected anyway, so that whoever mends it sees them all.
    """
    names = {at: name for name, at in place.items() if name in OPTIONAL and name not in seen}
    aside: dict[str, dict[int, Fault]] = {}
    for row, faults in list(collected.faults.items()):
        if all(_may_wait(names.get(column, ""), fault) for column, fault in faults):
            for column, fault in faults:
                aside.setdefault(names[column], {})[row] = fault
            del collected.faults[row]
    unread: dict[str, BoolArray] = {}
    for name, by_row in aside.items():
        mask = np.zeros(len(values.sections_m), dtype=np.bool_)
        mask[list(by_row)] = True
        unread[name] = mask
        for code in dict.fromkeys(fault.code for fault in by_row.values()):
            of_code = sorted(row for row, fault in by_row.items() if fault.code == code)
            said = [_said(name, by_row[row]) for row in of_code]
            collected.remark("warning", f"{UNREAD}{code}", name, np.array(of_code, dtype=np.int64), said)
        values = _blank(name, values, mask)
    return values, unread


def _may_wait(name: str, fault: Fault) -> bool:
    """Whether a boat may be taken although one of her cells has this fault; no name is that of a cell."""
    return (
        bool(name) and fault.code not in OF_THE_ROW and not (name in MEASURES and fault.code == "implausible")
    )


def _said(name: str, fault: Fault) -> str:
    """What is wrong with the cell, and what is done without it."""
    instead = "so her page is private until it is" if name == "public" else "so it counts for nothing"
    return f"{fault.found}, {instead}. Expected: {fault.expected.rstrip('.')}. To mend it: {fault.mend}"


def _blank(name: str, values: Values, mask: BoolArray) -> Values:
    """Take back what was read and then refused; a page of which it is in doubt is not public."""
    field = FIELD_BY_NAME[name]
    if field.kind == "text":
        cell = pl.when(pl.Series(mask)).then(pl.lit("")).otherwise(pl.col(name)).alias(name)
        return replace(values, text=values.text.with_columns(cell))
    if field.kind == "choice":
        values.choice[name] = np.where(mask, np.int8(-1), values.choice[name])
    elif field.kind == "quantities":
        values.sections_m[mask] = np.nan
    for number in field.numbers:
        blank: FloatArray = np.where(mask, 0.0 if name == "public" else np.nan, values.number[number])
        values.number[number] = blank
    return values
