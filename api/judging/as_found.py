"""What was found aboard, told apart from what was entered, wherever a fleet is shown as a whole."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

import numpy as np
import polars as pl

from sizing.model import FleetColumns, Remark

READ_AS_TEXT: Final = frozenset({"attachment_bolts", "last_inspected", "evidence_date"})
"""Columns that a boat's gear is told from as text: there the text found has to stand."""

CODE: Final = "as_found"


def as_found(
    found: FleetColumns, entered: FleetColumns, texts: Mapping[int, Mapping[str, str]]
) -> FleetColumns:
    """`found` with the entrants' own cells as written, and a remark about every value a scrutineer found.

    `texts` are what was found, by row and column, as the scrutineer wrote it.
    """
    if not texts:
        return found
    touched = {name for measured in texts.values() for name in measured} - READ_AS_TEXT
    columns = {name: found.as_written[name].to_list() for name in found.as_written.columns if name in touched}
    remarks = list(found.remarks)
    for row, measured in texts.items():
        for name, text in measured.items():
            own = str(entered.as_written[name][row] or "") if name in entered.as_written.columns else ""
            if name in columns:
                columns[name][row] = own
            instead = f"in place of “{own}” in the entry" if own.strip() else "where the entry says nothing"
            sentence = f"{name}: “{text}” as found aboard by a scrutineer, {instead}"
            rows = np.array([row], dtype=np.int64)
            remarks.append(Remark("interpretation", CODE, name, rows, (sentence,)))
    written = found.as_written.with_columns(
        pl.Series(name, cells, dtype=pl.String) for name, cells in columns.items()
    )
    return replace(found, as_written=written, remarks=tuple(remarks))
