"""The tables of a run as CSV files, written from the same frames that a programmer gets."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

import numpy as np
import pandas as pd
import polars as pl

from sizing.catalogue import Catalogue
from sizing.frames import findings_frame, requirements_frame
from sizing.model import MusterResult
from sizing.spreadsheet import as_text, csv_bytes, csv_of_cells, plain_text
from sizing.table_columns import FINDING_COLUMNS, SIZING_COLUMNS, ColumnNote, notes_for

DECIMALS: Final = {"m": 4, "N": 0}
"""Decimals of a finding's figures by their unit; zeros at the end are left out."""
OTHER_DECIMALS: Final = 3
BOATS_AT_A_TIME: Final = 2_000
"""Findings of so many boats are in memory at once."""


def write_tables(result: MusterResult, catalogue: Catalogue, folder: Path) -> None:
    """Write sizing.csv with the notes on its columns, and findings.csv, into `folder`, which exists."""
    fleet = result.intake.fleet
    sizing = requirements_frame(fleet, result.requirements, result.strike, result.checks, catalogue)
    (folder / "sizing.csv").write_bytes(csv_of_cells(cells_of(sizing, SIZING_COLUMNS)))
    notes = dict.fromkeys(notes_for(sizing.columns, SIZING_COLUMNS).values())
    described = [(note.name, note.unit, note.meaning, note.source) for note in notes]
    header = ("column", "unit", "meaning", "source")
    (folder / "sizing_columns.csv").write_bytes(csv_bytes([header, *described]))
    with (folder / "findings.csv").open("wb") as file:
        for start in range(0, len(fleet), BOATS_AT_A_TIME):
            boats = range(start, min(start + BOATS_AT_A_TIME, len(fleet)))
            findings = findings_frame(result.checks, fleet, boats)
            file.write(csv_of_cells(cells_of(findings, FINDING_COLUMNS), header=not start))


def cells_of(frame: pd.DataFrame, notes: Sequence[ColumnNote]) -> pl.DataFrame:
    """A frame as cells of a CSV file, each figure with the decimals of its column."""
    known = notes_for(frame.columns, notes)
    units = frame["unit"] if "unit" in frame.columns else None
    return pl.DataFrame({str(name): _cells(frame[name], note, units) for name, note in known.items()})


def _cells(column: pd.Series[Any], note: ColumnNote, units: pd.Series[Any] | None) -> pl.Series:
    if note.decimals is not None:
        figures = column.to_numpy(np.float64, na_value=np.nan).tolist()
        written = [None if math.isnan(figure) else f"{figure:.{note.decimals}f}" for figure in figures]
        return pl.Series(written, dtype=pl.String)
    if column.dtype == np.float64:
        own = units if note.unit == "of its row" and units is not None else pd.Series(note.unit, column.index)
        return _figures(column, own)
    words = pd.Categorical(column)
    plain = [as_text(plain_text(text)) or None for text in words.categories]
    return pl.Series(plain, dtype=pl.String).gather(words.codes.astype(np.uint32))


def _figures(values: pd.Series[Any], units: pd.Series[Any]) -> pl.Series:
    """Figures with at most the decimals of their units, nothing where there is no figure."""
    unit = pd.Categorical(units)
    decimals = np.array([DECIMALS.get(word, OTHER_DECIMALS) for word in unit.categories])[unit.codes]
    figures = np.full(len(values), np.nan)
    for places in np.unique(decimals):
        figures = np.where(decimals == places, np.round(values, int(places)), figures)
    return pl.Series(figures, nan_to_null=True).cast(pl.String).str.strip_suffix(".0")
