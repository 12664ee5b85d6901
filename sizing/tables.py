"""The result as tables for a spreadsheet: sizing and findings."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from sizing.audit import findings_of
from sizing.catalogue import Catalogue
from sizing.model import (
    BoolArray,
    FloatArray,
    IntArray,
    MusterResult,
    RequirementColumns,
    open_shalls,
)
from sizing.spreadsheet import csv_bytes, plain_text
from sizing.table_columns import notes_for

METRIC_UNIT = {
    "length": "m", "small_length": "m", "mass": "kg", "force": "N", "area": "m2", "ratio": "", "count": "",
    "years": "years", "days": "days",
}  # fmt: skip
DECIMALS = {"m": 4, "kg": 3, "N": 0}


def sizing_table(result: MusterResult, catalogue: Catalogue) -> pd.DataFrame:
    """One row an accepted boat: what she needs, SI; empty where it could not be computed."""
    need, fleet = result.requirements, result.intake.fleet
    computed = np.ones(len(need), dtype=np.bool_)
    computed[list(need.not_computed)] = False
    diameter_mm = np.append(catalogue.ropes.diameter_m * 1000, np.nan)
    strike = result.strike.peak_n if result.strike else np.full(len(need), np.nan)
    columns: dict[str, Any] = {
        "entry_no": [plain_text(text) for text in fleet.text["entry_no"]],
        "boat_name": [plain_text(text) for text in fleet.text["boat_name"]],
        "displacement_kg": _figures(need.displacement_used_kg, 1),
        "displacement_basis": [
            fleet.choice_words("displacement_basis", row) or "not stated" for row in range(len(need))
        ],
        "cones": _counts(need.cones, computed),
        "design_load_n": _figures(need.design_load_n, 0),
        "strike_peak_n": _figures(strike, 0),
        "lead_line_mm": _figures(diameter_mm[need.lead_rope], 1),
        "lead_line_m": _figures(need.lead_length_m, 3),
    }
    for place in range(need.section_rope.shape[1]):
        used = need.section_cones[:, place] > 0
        columns[f"section_{place + 1}_mm"] = _figures(
            np.where(used, diameter_mm[need.section_rope[:, place]], np.nan), 1
        )
        columns[f"section_{place + 1}_cones"] = _counts(need.section_cones[:, place], used)
    columns |= {
        "rope_strengths": _rope_strengths(need, catalogue, computed),
        "bridle_mm": _figures(diameter_mm[need.bridle_rope], 1),
        "bridle_leg_m": _figures(need.bridle_leg_m, 3),
        "end_weight_kg": _figures(need.end_weight_kg, 2),
        "attachment_load_n": _figures(need.attachment_load_n, 0),
        "line_length_m": _figures(need.line_length_m, 2),
        "stowed_mass_kg": _figures(need.stowed_mass_kg, 1),
        "labour_hours": _figures(need.labour_hours, 1),
        "open_shalls": open_shalls(result.checks, len(need)),
        "published_range": [
            {-1: "below", 0: "inside", 1: "above"}[int(mark)] if known else ""
            for mark, known in zip(need.range_mark, computed, strict=True)
        ],
        "not_computed": [plain_text(need.not_computed.get(row, "")) for row in range(len(need))],
    }
    return pd.DataFrame(columns)


def column_notes(table: pd.DataFrame) -> pd.DataFrame:
    """What the columns of a sizing table mean, their units and their sources; one row a kind of column."""
    notes = notes_for(table.columns)
    return pd.DataFrame(
        {
            "column": [note.name for note in notes],
            "unit": [note.unit for note in notes],
            "meaning": [note.meaning for note in notes],
            "source": [note.source for note in notes],
        }
    )


def _rope_strengths(need: RequirementColumns, catalogue: Catalogue, computed: BoolArray) -> list[str]:
    """Whether any rope a boat needs has its strength from a derived row of the catalogue."""
    derived = np.append(catalogue.ropes.derived, False)  # the position -1 means no rope
    used = np.column_stack([need.lead_rope, need.section_rope, need.bridle_rope])
    words = np.where(derived[used].any(axis=1), "derived", "published")
    return [str(word) if known else "" for word, known in zip(words, computed, strict=True)]


def _figures(values: FloatArray, decimals: int) -> list[str]:
    """Figures as text with fixed decimals; a figure that is not there is empty, never "nan"."""
    return ["" if np.isnan(value) else f"{value:.{decimals}f}" for value in values]


def _counts(values: IntArray, known: BoolArray) -> list[str]:
    """Whole numbers as text; empty where there is none."""
    return [str(value) if there else "" for value, there in zip(values, known, strict=True)]


def findings_table(result: MusterResult) -> pd.DataFrame:
    """One row a boat and check: standing, figures with unit, margin, and what to do."""
    fleet = result.intake.fleet
    rows = []
    for row in range(len(fleet)):
        name = plain_text(str(fleet.text["boat_name"][row]))
        entry_no = plain_text(str(fleet.text["entry_no"][row]))
        for finding in findings_of(result.checks, fleet, row):
            unit = METRIC_UNIT[finding.check.dimension]
            rows.append(
                {
                    "entry_no": entry_no,
                    "boat_name": name,
                    "check": finding.check.id,
                    "level": finding.check.level,
                    "standing": finding.standing.words,
                    "required": _figure(finding.required, unit),
                    "found": _figure(finding.found, unit),
                    "unit": unit,
                    "margin_percent": _figure(finding.margin_percent, "%"),
                    "sentence": plain_text(finding.check.sentence),
                    "note": plain_text(finding.note),
                    "remedy": plain_text(finding.remedy.sentence if finding.remedy else ""),
                    "source": plain_text(finding.check.source),
                }
            )
    return pd.DataFrame(rows)


def _figure(value: float | None, unit: str) -> Decimal | None:
    if value is None:
        return None
    shown = f"{value:.{DECIMALS.get(unit, 3)}f}"
    return Decimal(shown.rstrip("0").rstrip(".") if "." in shown else shown)


def write_tables(result: MusterResult, catalogue: Catalogue, folder: Path) -> None:
    """Write sizing.csv with the notes on its columns, and findings.csv, into `folder`, which exists."""
    table = sizing_table(result, catalogue)
    frames = {"sizing": table, "sizing_columns": column_notes(table), "findings": findings_table(result)}
    for name, frame in frames.items():
        rows = frame.itertuples(index=False, name=None)
        (folder / f"{name}.csv").write_bytes(csv_bytes([frame.columns, *rows]))
