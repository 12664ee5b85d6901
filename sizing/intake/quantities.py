"""Whole columns of quantities: plain cells by vectorised patterns, the rest one distinct cell at a time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import polars as pl

from sizing.errors import QuantityError
from sizing.field_kinds import Field
from sizing.intake.cells import (
    BY_FILE,
    BY_LIMITS,
    DECIMAL_COMMA,
    Context,
    cell_unit_sentence,
    grouped_sentence,
    header_unit_sentence,
    read_cell,
)
from sizing.intake.collect import Collected, Words, coded, read_words, words_of
from sizing.model import BoolArray, FloatArray, HeaderUnit, IntArray
from sizing.units import DecimalSign, read_quantity, unit_factor

# Digits, perhaps a sign and digits, once more, perhaps a unit. Kept to what one pass over a cell can tell:
# bounds on repetitions or wider classes of space double the time.
_PLAIN: Final = r"^ *([0-9]+)(?:([.,])([0-9]+))?(?:([.,])([0-9]+))? ?([A-Za-z'\"][A-Za-z.^ ]*[2²]?)?$"
_DIGITS: Final = 15
_FEW: Final = 1000
"""Cells in all up to which the overhead of a query counts for more than cores side by side."""

_POWER: Final = 10.0 ** np.arange(_DIGITS + 1)


@dataclass(frozen=True)
class Split:
    """Distinct cells taken apart: the number before and after its sign, and the unit.

    Arrays over `words.cells`. `plain` says which cells fit the pattern; `grouped` those such as 9,300, whose
    sign may be decimal or not; `double` those such as 9,300.5, where only the last one can be. `unit` is a
    place in `units`, -1 where none is written.
    """

    words: Words
    plain: BoolArray
    blank: BoolArray
    whole: FloatArray
    part: FloatArray
    places: IntArray
    comma: BoolArray
    grouped: BoolArray
    double: BoolArray
    unit: IntArray
    units: list[str]

    @property
    def decimal(self) -> FloatArray:
        """The value if the sign is a decimal one; one correctly rounded division."""
        scale = _POWER[self.places]
        return (self.whole * scale + self.part) / scale

    def rows(self, cells: BoolArray) -> IntArray:
        """The ascending rows that hold one of the chosen distinct cells."""
        return np.flatnonzero(cells[self.words.codes]) if cells.any() else np.empty(0, dtype=np.int64)


def split(frame: pl.DataFrame, columns: list[str]) -> dict[str, Split]:
    """Return the cells of several columns taken apart, the columns in parallel; few cells all in one."""
    words = [words_of(frame[name]) for name in columns]
    many = sum(len(one.cells) for one in words) > _FEW
    batches = [[one] for one in words] if many or not words else [words]
    # Two steps, so that each pattern is matched once and not once for every part of it.
    matched = pl.collect_all(
        pl.LazyFrame({"cell": pl.concat([one.cells for one in batch])}).select(
            pl.col("cell").str.extract_groups(_PLAIN), (pl.col("cell") == "").alias("blank")
        )
        for batch in batches
    )
    splits: list[Split] = []
    for batch, groups in zip(batches, matched, strict=True):
        splits += _split(batch, groups.select(_parts("cell"), "blank").unnest("cell"))
    return dict(zip(columns, splits, strict=True))


def _parts(name: str) -> pl.Expr:
    groups = pl.col(name).struct

    def digits(field: str) -> pl.Expr:
        return groups.field(field).str.len_bytes().fill_null(0).cast(pl.Int64)

    return pl.struct(
        *(groups.field(field).cast(pl.Float64).fill_null(0.0).alias(f"n{field}") for field in "135"),
        *(digits(field).alias(f"d{field}") for field in "135"),
        *((groups.field(field) == ",").fill_null(value=False).alias(f"c{field}") for field in "24"),
        groups.field("6").alias("unit"),
    ).alias(name)


def _split(batch: list[Words], parts: pl.DataFrame) -> list[Split]:
    """The columns of a batch, whose cells stand one column after the other in `parts`."""
    whole, part, last, digits, places, last_places, comma, last_comma = (
        parts[name].to_numpy() for name in ("n1", "n3", "n5", "d1", "d3", "d5", "c2", "c4")
    )
    # With more digits in all a float is no longer exact; the careful reader takes those.
    plain = (digits > 0) & (digits + places + last_places <= _DIGITS)
    leading_zero = whole < _POWER[np.where(plain, digits - 1, 0)]
    group = plain & (places == 3) & (digits <= 3) & ~leading_zero
    double = group & (last_places > 0) & (comma != last_comma)
    plain &= double | (last_places == 0)
    codes, distinct = coded(parts["unit"])
    units = distinct.to_list()
    columns = {
        "plain": plain,
        "blank": parts["blank"].to_numpy(),
        "whole": np.where(double, whole * 1000.0 + part, whole),
        "part": np.where(double, last, part),
        "places": np.where(plain, np.where(double, last_places, places), 0),
        "comma": np.where(double, last_comma, comma),
        "grouped": group & (last_places == 0),
        "double": double,
    }
    splits, at = [], 0
    for words in batch:
        here = slice(at, at + len(words.cells))
        at = here.stop
        own = {name: column[here] for name, column in columns.items()}
        unit, own_units = _own_units(codes[here], units)
        splits.append(Split(words, **own, unit=unit, units=own_units))
    return splits


def _own_units(codes: IntArray, units: list[str]) -> tuple[IntArray, list[str]]:
    """Of units that several columns share, those that `codes` holds, and their places there."""
    present = np.unique(codes[codes >= 0])
    places = np.searchsorted(present, codes)
    return np.where(codes < 0, -1, places), [units[code] for code in present]


def decimal_sign(splits: Mapping[str, Split], delimiter: str, told: DecimalSign | None) -> DecimalSign | None:
    """Return the decimal sign of the file: as told, as its plain cells have it, or by a semicolon file."""
    if told:
        return told
    point = comma = False
    for column in splits.values():
        clear = column.plain & ~column.grouped & (column.places > 0)
        commas = int((clear & column.comma).sum())
        comma |= commas > 0
        point |= int(clear.sum()) > commas
    if point != comma:
        return "." if point else ","
    return "," if delimiter == ";" and not point else None


@dataclass(frozen=True)
class Column:
    """One column to be read: which it is, where it stands, and the unit of its header."""

    field: Field
    place: int
    unit: HeaderUnit | None


def read_column(column: Column, parts: Split, sign: DecimalSign | None, collected: Collected) -> FloatArray:
    """Return the SI values of the distinct cells of a column, NaN where blank or not read.

    Faults and notes go to `collected`, for every row that holds the cell.
    """
    field, name = column.field, column.field.name
    context = Context(field, column.unit, sign)
    factor = _unit_factors(parts, context)
    opposite = (parts.comma != (sign == ",")) if sign else np.zeros_like(parts.comma)
    fast = parts.plain & ~np.isnan(factor)
    fast &= parts.grouped | ~opposite | ((parts.places <= 2) & ~parts.double)
    as_decimal = parts.decimal * factor
    values = as_decimal.copy()
    grouped = fast & parts.grouped
    unclear = np.zeros_like(grouped)
    if grouped.any():
        as_thousands = (parts.whole * 1000.0 + parts.part) * factor
        if sign:
            values = np.where(grouped & opposite, as_thousands, values)
            rows = parts.rows(grouped & opposite)
            said = grouped_sentence("," if sign == "." else ".", sign, BY_FILE)
            collected.remark("interpretation", "grouped_digits", name, rows, [said])
        else:
            low, high = field.limits or (0.0, np.inf)
            decimal_fits = (as_decimal >= low) & (as_decimal <= high)
            thousands_fits = (as_thousands >= low) & (as_thousands <= high)
            values = np.where(grouped & thousands_fits, as_thousands, values)
            unclear = grouped & (decimal_fits == thousands_fits)
            _note_by_limits(name, parts, grouped & ~unclear, thousands_fits, collected)
    fast &= ~unclear
    values = np.where(fast, values, np.nan)
    _note_plain(name, parts, fast, context, collected)
    rest = np.flatnonzero(~fast & ~parts.blank)
    if rest.size:
        values[rest] = read_words(
            parts.words, np.nan, lambda text: read_cell(text, context), column.place, name, collected,
            only=rest.tolist(),
        )  # fmt: skip
    return values


def _unit_factors(parts: Split, context: Context) -> FloatArray:
    """Return the SI factor for each row, NaN for a unit that needs the careful reader."""
    factors = [_factor(unit, context) for unit in parts.units]
    header = np.nan
    if context.unit and not context.unit.wll:
        header = unit_factor(context.unit.word, context.dimension)
    return np.array([*factors, header])[parts.unit]


def _factor(unit: str, context: Context) -> float:
    try:
        plain = read_quantity(f"1 {unit}", context.dimension)
    except QuantityError:
        return float("nan")
    # Whatever is worth a note is the careful reader's, so that notes are worded in one place.
    header_wll = context.unit is not None and context.unit.wll
    return float("nan") if plain.notes or header_wll else unit_factor(unit, context.dimension)


def _note_by_limits(
    name: str, parts: Split, settled: BoolArray, thousands: BoolArray, collected: Collected
) -> None:
    signs: tuple[DecimalSign, ...] = (".", ",")
    for written in signs:
        for decimal in signs:
            chosen = (parts.comma == (written == ",")) & (thousands == (written != decimal))
            rows = parts.rows(settled & chosen)
            said = grouped_sentence(written, decimal, BY_LIMITS)
            collected.remark("interpretation", "grouped_digits", name, rows, [said])


def _note_plain(name: str, parts: Split, fast: BoolArray, context: Context, collected: Collected) -> None:
    comma = parts.rows(fast & parts.comma & (~parts.grouped | (context.sign == ",")))
    collected.remark("interpretation", "decimal_comma", name, comma, [DECIMAL_COMMA])
    if context.unit is None:
        return
    word = context.unit.word
    bare = parts.rows(fast & (parts.unit < 0))
    collected.remark("interpretation", "header_unit", name, bare, [header_unit_sentence(word)])
    if context.unit.wll or not parts.units:
        return
    header = unit_factor(word, context.dimension)
    differs = np.array([*(_factor(unit, context) != header for unit in parts.units), False])
    rows = parts.rows(fast & differs[parts.unit])
    collected.remark("interpretation", "cell_unit", name, rows, [cell_unit_sentence(word)])
