"""Every column of the entry sheet read, kind by kind."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import polars as pl

from sizing.field_kinds import Field
from sizing.fields import CHOICES, FIELD_BY_NAME, FIELDS, REQUIRED
from sizing.intake.cells import Context, explain, read_count, read_counts, read_sections
from sizing.intake.collect import Collected, Fault, Read, read_words, words_of
from sizing.intake.headers import Columns
from sizing.intake.quantities import Column, Split, decimal_sign, read_column, split
from sizing.intake.words import UNSTATED, read_bolts, read_choice, read_date, read_yes_no
from sizing.model import CodeArray, FloatArray
from sizing.raw_table import RawTable
from sizing.units import DecimalSign, Dimension, both, clip

_SECTIONS: Final = 3
_NAN: Final = float("nan")


@dataclass(frozen=True)
class Values:
    """All rows read, rejected ones among them; the shapes are those of FleetColumns."""

    number: dict[str, FloatArray]
    choice: dict[str, CodeArray]
    text: pl.DataFrame
    sections_m: FloatArray
    sign: DecimalSign | None


def read_columns(
    table: RawTable, columns: Columns, today: dt.date, told: DecimalSign | None, collected: Collected
) -> Values:
    """Return the values of every column; columns not in the file are blank throughout."""
    rows = table.frame.height
    number: dict[str, FloatArray] = {}
    choice: dict[str, CodeArray] = {}
    sections = np.full((rows, _SECTIONS), np.nan)
    quantities = [f for f in FIELDS if f.kind == "quantity" and f.name in columns.place]
    parts = split(table.frame, [str(columns.place[f.name]) for f in quantities])
    sign = decimal_sign(parts, table.delimiter, told)
    for field in FIELDS:
        place = columns.place.get(field.name)
        cells = table.frame[str(place)] if place is not None else None
        if cells is None or place is None:
            _blank(field, rows, number, choice)
            continue
        column = Column(field, place, columns.unit.get(field.name))
        own_sign = columns.decimal.get(field.name, sign)
        if field.kind == "quantity":
            number[field.si_name] = _quantity(column, parts[str(place)], own_sign, collected)
        elif field.kind == "quantities":
            sections = _sections(column, cells, own_sign, collected)
        elif field.kind == "choice":
            choice[field.name] = _choice(column, cells, collected)
        elif field.kind in ("bolts", "counts"):
            number.update(_several(column, cells, collected))
        elif field.kind in ("count", "date", "yes_no"):
            number[field.si_name] = _single(column, cells, today, collected)
    _require(table, columns, number, choice, collected)
    return Values(number, choice, _text(table, columns), sections, sign)


def _blank(field: Field, rows: int, number: dict[str, FloatArray], choice: dict[str, CodeArray]) -> None:
    if field.kind == "choice":
        choice[field.name] = np.full(rows, -1, dtype=np.int8)
    number.update({key: np.full(rows, np.nan) for key in field.numbers})


def _quantity(column: Column, parts: Split, sign: DecimalSign | None, collected: Collected) -> FloatArray:
    """Return the SI values of a column; those no boat can have are faults and become NaN."""
    field, words = column.field, parts.words
    values = read_column(column, parts, sign, collected)
    if field.limits is not None and field.dimension is not None:
        low, high = field.limits
        wrong = np.flatnonzero((values < low) | (values > high))
        faults = {
            int(code): _out_of_range(float(values[code]), words.cells[int(code)], column, field.dimension)
            for code in wrong
        }
        collected.fault_words(words.codes, column.place, faults)
        values[wrong] = np.nan
    return values[words.codes]


def _out_of_range(value: float, text: str, column: Column, dimension: Dimension) -> Fault:
    low, high = column.field.limits or (0.0, math.inf)
    hint = explain(value, text, column.unit, column.field, lambda figure: low <= figure <= high)
    found = f"“{clip(text.strip())}” is {both(value, dimension)}, which is not possible here"
    expected = f"from {both(low, dimension)} to {both(high, dimension)}"
    mend = f"check the unit: {hint}" if hint else "correct the figure or its unit"
    if value == 0.0 and not column.field.required:
        mend = "correct the figure, or leave the cell empty if there is none"
    return Fault("out_of_range", found, expected, mend)


def _sections(column: Column, cells: pl.Series, sign: DecimalSign | None, collected: Collected) -> FloatArray:
    context = Context(column.field, column.unit, sign)
    words = words_of(cells)
    empty: tuple[float, ...] = ()
    read = read_words(words, empty, lambda text: read_sections(text, context), column.place,
                      column.field.name, collected)  # fmt: skip
    table = np.full((len(read), _SECTIONS), np.nan)
    for code, diameters in enumerate(read):
        table[code, : len(diameters)] = diameters
    return table[words.codes]


def _choice(column: Column, cells: pl.Series, collected: Collected) -> CodeArray:
    name = column.field.name
    words = words_of(cells)
    codes = read_words(words, -1, lambda text: read_choice(text, name), column.place, name, collected)
    return np.array(codes, dtype=np.int8)[words.codes]


def _several(column: Column, cells: pl.Series, collected: Collected) -> dict[str, FloatArray]:
    """Cells that hold several figures: each is a column of its own."""
    field = column.field

    def read(text: str) -> Read[tuple[float, ...]]:
        if field.kind == "bolts":
            bolts = read_bolts(text)
            return Read(tuple(bolts.value), bolts.notes)
        return read_counts(text, field.name, field.limits or (0.0, 1e6))

    words = words_of(cells)
    blank = (_NAN,) * len(field.numbers)
    figures = read_words(words, blank, read, column.place, field.name, collected)
    table = np.array(figures, dtype=np.float64).reshape(-1, len(field.numbers))[words.codes]
    return {name: table[:, place] for place, name in enumerate(field.numbers)}


def _single(column: Column, cells: pl.Series, today: dt.date, collected: Collected) -> FloatArray:
    field = column.field
    limits = field.limits or (0.0, 1e6)
    if field.name.endswith("_year"):
        limits = (limits[0], min(limits[1], float(today.year)))

    def read(text: str) -> Read[float]:
        if field.kind == "date":
            return read_date(text, today)
        if field.kind == "yes_no":
            return read_yes_no(text)
        return read_count(text, field.name, limits)

    words = words_of(cells)
    return np.array(read_words(words, _NAN, read, column.place, field.name, collected))[words.codes]


def _text(table: RawTable, columns: Columns) -> pl.DataFrame:
    """Return the text columns without surrounding spaces, blank where the file has no such column."""
    shown = [
        pl.col(str(columns.place[field.name])).str.strip_chars().alias(field.name)
        if field.name in columns.place
        else pl.lit("").alias(field.name)
        for field in FIELDS
        if field.kind == "text"
    ]
    return table.frame.lazy().select(shown).collect()


def _require(
    table: RawTable,
    columns: Columns,
    number: Mapping[str, FloatArray],
    choice: Mapping[str, CodeArray],
    collected: Collected,
) -> None:
    """Reject rows in which a required cell is blank, or says in words that the answer is not known."""
    for name in REQUIRED:
        field, place = FIELD_BY_NAME[name], columns.place[name]
        cells = table.frame[str(place)].str.strip_chars()
        if field.kind == "choice":
            missing = choice[name] < 0
        elif field.kind == "quantity":
            missing = np.isnan(number[field.si_name])
        else:
            # A boat may be called Unknown, but such a word numbers none.
            said_not = UNSTATED if name == "entry_no" else ()
            missing = cells.str.to_lowercase().is_in(["", *said_not]).to_numpy()
        expected = field.guidance.rstrip(".") + (
            f" ({', '.join(CHOICES[name])})" if field.kind == "choice" else f", such as {field.example}"
        )
        for row in np.flatnonzero(missing).tolist():
            if any(column == place for column, _ in collected.faults.get(row, ())):
                continue  # what is wrong with the cell has been said
            text = cells[row]
            found = f"“{clip(text)}” says that it is not known" if text else "the cell is blank"
            fault = Fault("blank", found, expected, "fill it in; no boat is sized without it")
            collected.fault(row, place, fault)
