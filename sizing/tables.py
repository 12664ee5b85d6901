"""The tables of a run as CSV files, written from the same frames that a programmer gets."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

import numpy as np
import pandas as pd

from sizing.catalogue import Catalogue
from sizing.frames import findings_frame, requirements_frame
from sizing.model import MusterResult
from sizing.spreadsheet import Cell, csv_bytes, plain_text
from sizing.table_columns import FINDING_COLUMNS, SIZING_COLUMNS, ColumnNote, notes_for

DECIMALS: Final = {"m": 4, "N": 0}
"""Decimals of a finding's figures by their unit, 3 for any other; zeros at the end are left out."""
BOATS_AT_A_TIME: Final = 2_000
"""Findings of so many boats are in memory at once."""


def write_tables(result: MusterResult, catalogue: Catalogue, folder: Path) -> None:
    """Write sizing.csv with the notes on its columns, and findings.csv, into `folder`, which exists."""
    fleet = result.intake.fleet
    sizing = requirements_frame(fleet, result.requirements, result.strike, result.checks, catalogue)
    (folder / "sizing.csv").write_bytes(csv_bytes([sizing.columns, *rows_of(sizing, SIZING_COLUMNS)]))
    notes = dict.fromkeys(notes_for(sizing.columns, SIZING_COLUMNS).values())
    described = [(note.name, note.unit, note.meaning, note.source) for note in notes]
    header = ("column", "unit", "meaning", "source")
    (folder / "sizing_columns.csv").write_bytes(csv_bytes([header, *described]))
    with (folder / "findings.csv").open("wb") as file:
        for start in range(0, len(fleet), BOATS_AT_A_TIME):
            boats = range(start, min(start + BOATS_AT_A_TIME, len(fleet)))
            findings = findings_frame(result.checks, fleet, boats)
            head = [findings.columns] if not start else []
            file.write(csv_bytes([*head, *rows_of(findings, FINDING_COLUMNS)]))


def rows_of(frame: pd.DataFrame, notes: Sequence[ColumnNote]) -> Iterator[tuple[Cell, ...]]:
    """The rows of a frame as cells of a CSV file, each figure with the decimals of its column."""
    known = notes_for(frame.columns, notes)
    units = frame["unit"] if "unit" in frame.columns else None
    return zip(*(_cells(frame[name], note, units) for name, note in known.items()), strict=True)


def _cells(column: pd.Series[Any], note: ColumnNote, units: pd.Series[Any] | None) -> list[Cell]:
    if note.decimals is not None:
        return [None if pd.isna(value) else Decimal(f"{value:.{note.decimals}f}") for value in column]
    if column.dtype == np.float64:
        own = units if note.unit == "of its row" and units is not None else [note.unit] * len(column)
        return [_figure(value, unit) for value, unit in zip(column.tolist(), own, strict=True)]
    place, texts = pd.factorize(column)
    plain = [plain_text(text) for text in texts]
    return [plain[at] for at in place]


def _figure(value: float, unit: str) -> Decimal | None:
    if np.isnan(value):
        return None
    shown = f"{value:.{DECIMALS.get(unit, 3)}f}"
    return Decimal(shown.rstrip("0").rstrip(".") if "." in shown else shown)
