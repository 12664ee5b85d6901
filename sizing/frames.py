"""Results as pandas tables: requirements, findings, order lines; SI, with the unit in the name of a column.

`attrs["units"]` and `attrs["sources"]` of a table say of each column its unit and where its figures come
from; "of its row" where each row has its own. Figures are whole here; the CSV files round them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

import numpy as np
import pandas as pd

from sizing.audit.overall import overall
from sizing.catalogue import Catalogue
from sizing.model import (
    HULL_MARKS,
    RANGE_MARKS,
    BoolArray,
    Check,
    CheckColumns,
    FleetColumns,
    FloatArray,
    IntArray,
    Order,
    RequirementColumns,
    Standing,
    StrikeColumns,
)
from sizing.table_columns import FINDING_COLUMNS, ORDER_COLUMNS, SIZING_COLUMNS, ColumnNote, notes_for
from sizing.words_once import WordColumn, note_places, remedy_places, sentence_places

METRIC_UNIT: Final = {
    "length": "m", "small_length": "m", "mass": "kg", "force": "N", "area": "m2", "ratio": "", "count": "",
    "years": "years", "days": "days",
}  # fmt: skip
FINDING_NAMES: Final = tuple(note.name for note in FINDING_COLUMNS)


def requirements_frame(
    fleet: FleetColumns,
    need: RequirementColumns,
    strike: StrikeColumns | None,
    checks: Sequence[CheckColumns],
    catalogue: Catalogue,
) -> pd.DataFrame:
    """One row an accepted boat: what she needs; NaN or NA where it could not be computed."""
    computed = np.ones(len(need), dtype=np.bool_)
    computed[list(need.not_computed)] = False
    diameter_mm = np.append(catalogue.ropes.diameter_m * 1000, np.nan)
    columns: dict[str, Any] = {
        "entry_no": [str(text) for text in fleet.text["entry_no"]],
        "boat_name": [str(text) for text in fleet.text["boat_name"]],
        "displacement_kg": need.displacement_used_kg,
        "displacement_basis": [
            fleet.choice_words("displacement_basis", row) or "not stated" for row in range(len(need))
        ],
        "cones": _counts(need.cones, computed),
        "design_load_n": need.design_load_n,
        "strike_peak_n": strike.peak_n if strike else np.full(len(need), np.nan),
        "lead_line_mm": diameter_mm[need.lead_rope],
        "lead_line_m": need.lead_length_m,
    }
    for place in range(need.section_rope.shape[1]):
        used = need.section_cones[:, place] > 0
        diameters = np.where(used, diameter_mm[need.section_rope[:, place]], np.nan)
        columns[f"section_{place + 1}_mm"] = diameters
        columns[f"section_{place + 1}_cones"] = _counts(need.section_cones[:, place], used)
    marks, hulls = (zip(codes, computed, strict=True) for codes in (need.range_mark, need.hull_mark))
    whole = overall(checks, fleet)
    columns |= {
        "rope_strengths": _rope_strengths(need, catalogue, computed),
        "bridle_mm": diameter_mm[need.bridle_rope],
        "bridle_leg_m": need.bridle_leg_m,
        "end_weight_kg": need.end_weight_kg,
        "attachment_load_n": need.attachment_load_n,
        "line_length_m": need.line_length_m,
        "drift_low_mps": need.drift_low_mps,
        "drift_mps": need.drift_speed_mps,
        "drift_high_mps": need.drift_high_mps,
        "stowed_mass_kg": need.stowed_mass_kg,
        "labour_hours": need.labour_hours,
        "open_shalls": whole.open_shalls,
        "met": whole.met,
        "met_on_word": whole.on_word,
        "published_range": [RANGE_MARKS[int(mark)] if known else "" for mark, known in marks],
        "source_hull": [HULL_MARKS[int(mark)] if known else "" for mark, known in hulls],
        "not_computed": [need.not_computed.get(row, "") for row in range(len(need))],
    }
    return described(pd.DataFrame(columns), SIZING_COLUMNS)


def findings_frame(checks: Sequence[CheckColumns], fleet: FleetColumns, boats: range) -> pd.DataFrame:
    """One row a boat and check, of the boats in `boats`: standing, figures, and what to do.

    Columns of words are categories: each text is made once, however many findings it is said of.
    """
    columns: dict[str, Any] = {}
    for name in ("entry_no", "boat_name"):
        words = WordColumn()
        places = words.places(str(fleet.text[name][row]) for row in boats)
        columns[name] = words.column(np.repeat(places, len(checks)))
    for name, value_of in CHECK_WORDS.items():
        words = WordColumn()
        places = words.places(value_of(result.check) for result in checks)
        columns[name] = words.column(np.tile(places, len(boats)))
    words = WordColumn()
    said = [sentence_places(result, fleet, boats, words) for result in checks]
    columns["sentence"] = words.column(_together(said))
    for name, places_of in FINDING_WORDS.items():
        words = WordColumn()
        columns[name] = words.column(_together([places_of(result, boats, words) for result in checks]))
    rows = slice(boats.start, boats.stop)
    for name, figures_of in FINDING_FIGURES.items():
        columns[name] = _together([figures_of(result, rows) for result in checks])
    return described(pd.DataFrame({name: columns[name] for name in FINDING_NAMES}), FINDING_COLUMNS)


def _together(by_check: Sequence[np.ndarray[Any, Any]]) -> np.ndarray[Any, Any]:
    """One column of all findings, boat by boat, from one (boats,) of each check."""
    return np.column_stack(by_check).ravel() if by_check else np.zeros(0, dtype=np.int64)


def _standing_places(result: CheckColumns, boats: range, words: WordColumn) -> IntArray:
    return words.places(standing.words for standing in Standing)[result.standing[boats.start : boats.stop]]


def _advised_places(result: CheckColumns, boats: range, words: WordColumn) -> IntArray:
    """How she stands to the limit that is advised beside the one required; blank where there is none."""
    blank = words.places([""])[0]
    if result.advised is None:
        return np.full(len(boats), blank)
    rows = slice(boats.start, boats.stop)
    places = words.places(standing.words for standing in Standing)[result.advised.standing[rows]]
    return np.where(np.isnan(result.advised.limit[rows]), blank, places)


def _advised(result: CheckColumns, rows: slice) -> FloatArray:
    return np.full(rows.stop - rows.start, np.nan) if result.advised is None else result.advised.limit[rows]


def _margin_percent(result: CheckColumns, rows: slice) -> FloatArray:
    required, found = result.required[rows], result.found[rows]
    with np.errstate(divide="ignore", invalid="ignore"):
        margin = np.round((found - required) / required * (-100.0 if result.at_most else 100.0), 9)
    return np.where(required == 0.0, np.nan, margin)


CHECK_WORDS: Final[Mapping[str, Callable[[Check], str]]] = {
    "check": lambda check: check.id,
    "level": lambda check: check.level,
    "unit": lambda check: METRIC_UNIT[check.dimension],
    "asks": lambda check: check.sentence,
    "source": lambda check: check.source,
}
"""Column of the findings -> its word, the same of every boat."""
FINDING_WORDS: Final[Mapping[str, Callable[[CheckColumns, range, WordColumn], IntArray]]] = {
    "standing": _standing_places,
    "advised_standing": _advised_places,
    "note": note_places,
    "remedy": remedy_places,
}
"""Column of the findings -> the places of its words, which differ from boat to boat."""
FINDING_FIGURES: Final[Mapping[str, Callable[[CheckColumns, slice], FloatArray]]] = {
    "required": lambda result, rows: result.required[rows],
    "found": lambda result, rows: result.found[rows],
    "advised": _advised,
    "margin_percent": _margin_percent,
}


def order_frame(order: Order) -> pd.DataFrame:
    """One row a line to buy; money in the currency of `attrs["currency"]`, NaN where no price is known."""
    lines = order.lines
    columns: dict[str, Any] = {
        name: [getattr(line, name) for line in lines]
        for name in ("item", "description", "supplier", "unit", "note")
    }
    for name in ("needed", "spare", "pack_size", "pack_price", "amount"):
        columns[name] = np.array([_number(getattr(line, name)) for line in lines], dtype=np.float64)
    for name in ("packs", "lead_days"):
        columns[name] = pd.array([getattr(line, name) for line in lines], dtype="Int64")
    columns["ordered"] = columns["pack_size"] * np.array([_number(line.packs) for line in lines], np.float64)
    columns["boats"] = [len(line.boats) for line in lines]
    frame = pd.DataFrame({note.name: columns[note.name] for note in ORDER_COLUMNS})
    frame = described(frame, ORDER_COLUMNS)
    frame.attrs["currency"] = order.currency
    return frame


def described(frame: pd.DataFrame, notes: Sequence[ColumnNote]) -> pd.DataFrame:
    """The frame, with unit and source of each column in its `attrs`."""
    known = notes_for(frame.columns, notes)
    frame.attrs["units"] = {column: note.unit for column, note in known.items()}
    frame.attrs["sources"] = {column: note.source for column, note in known.items()}
    return frame


def _number(value: Decimal | int | None) -> float:
    return np.nan if value is None else float(value)


def _rope_strengths(need: RequirementColumns, catalogue: Catalogue, computed: BoolArray) -> list[str]:
    """Whether any rope a boat needs has its strength from a derived row of the catalogue."""
    derived = np.append(catalogue.ropes.derived, False)  # the position -1 means no rope
    used = np.column_stack([need.lead_rope, need.section_rope, need.bridle_rope])
    words = np.where(derived[used].any(axis=1), "derived", "published")
    return [str(word) if known else "" for word, known in zip(words, computed, strict=True)]


def _counts(values: IntArray, known: BoolArray) -> pd.arrays.IntegerArray:
    """Whole numbers, NA where there is none."""
    return pd.arrays.IntegerArray(values.astype(np.int64), ~known)
