"""Two columns of one quantity: one is the figure, the other its check, row by row.

Where only the other one is filled in, its cell is taken, with its unit. What a header says of displacement,
and what a profile says of all boats of the sheet, is written into a column of its own as if it stood there.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import polars as pl

from sizing.fields import FIELD_BY_NAME
from sizing.intake.collect import Collected, Fault
from sizing.intake.headers import ColumnReading, Columns
from sizing.intake.plausibility import MOST_APART
from sizing.intake.quantities import Column, read_column, split
from sizing.model import BoolArray, FloatArray, IntArray
from sizing.raw_table import RawTable
from sizing.units import DecimalSign, both

_BARE: Final = re.compile(r"[0-9½¼¾⅛⅜⅝⅞][0-9., '/½¼¾⅛⅜⅝⅞-]*")
SAME: Final = 0.02
"""Share by which two figures of one quantity may differ: whole feet are rounded by so much [assumed]."""
SLIP: Final = 0.10
"""Share from which one of two figures of one quantity has to be a slip [assumed]."""
OTHER_LENGTH: Final = 0.25
"""The same of two lengths under different names: over all and of the hull, a bowsprit between [assumed]."""
TWICE: Final = 2.0
"""Loaded over light displacement from which one of the two has to be a slip [assumed]; kg to lb is 2.2."""


@dataclass(frozen=True)
class Seconds:
    """The table with what second columns and headers say written into it, and which rows were filled so."""

    table: RawTable
    columns: Columns
    filled: Mapping[int, BoolArray]


def fill_in(table: RawTable, columns: Columns, given: Mapping[str, str], collected: Collected) -> Seconds:
    """Return the table with blank figures filled from their second columns, and with the basis of headers."""
    by_use = {one.use: one for one in columns.readings if one.use and one.how != "second"}
    basis = by_use["displacement"].basis if "displacement" in by_use else ""
    rows = table.frame.height
    said = np.full(rows, basis, dtype=object)
    filled: dict[int, BoolArray] = {}
    for second in (one for one in columns.readings if one.how == "second"):
        first = by_use[second.use]
        table, mask = _filled(table, first, second)
        filled[second.place] = mask
        words = [f"the cell is taken from column {second.where}, since {first.where} is blank"]
        collected.remark("interpretation", "second_column", second.use, np.flatnonzero(mask), words)
        if second.use == "displacement":
            said[mask] = second.basis
    if "displacement" in by_use and any(said.tolist()):
        blank = table.frame[str(by_use["displacement"].place)].str.strip_chars() == ""
        said[blank.to_numpy()] = ""
        table, columns, told = _told(table, columns, "displacement_basis", said)
        words = ["the header of the displacement says so"]
        collected.remark("interpretation", "header_basis", "displacement_basis", told, words)
    for name, word in given.items():
        table, columns, told = _told(table, columns, name, np.full(rows, word, dtype=object))
        words = [f"{word} is confirmed for all boats of the sheet that say nothing else"]
        collected.remark("interpretation", "given", name, told, words)
    return Seconds(table, columns, filled)


def _filled(table: RawTable, first: ColumnReading, second: ColumnReading) -> tuple[RawTable, BoolArray]:
    own = table.frame[str(first.place)]
    other = table.frame[str(second.place)].str.strip_chars()
    mask: BoolArray = ((own.str.strip_chars() == "") & (other != "")).to_numpy()
    mask = mask.copy()
    cells = own.to_list()
    for row in np.flatnonzero(mask).tolist():
        cell, bare = other[row], _BARE.fullmatch(other[row]) is not None
        if bare and second.unit is None:
            mask[row] = False  # it would be read in the other header's unit
        else:
            cells[row] = f"{cell} {second.unit.word}" if bare and second.unit else cell
    if mask.any():
        frame = table.frame.with_columns(pl.Series(str(first.place), cells, dtype=pl.String))
        table = replace(table, frame=frame)
    return table, mask


def _told(
    table: RawTable, columns: Columns, name: str, words: np.ndarray[tuple[int], np.dtype[np.object_]]
) -> tuple[RawTable, Columns, IntArray]:
    """Write words into the blank cells of a column, which is added if there is none."""
    place = columns.place.get(name)
    texts = pl.Series(words.tolist(), dtype=pl.String)
    if place is not None:
        own = table.frame[str(place)]
        blank = own.str.strip_chars() == ""
        told = np.flatnonzero((blank & (texts != "")).to_numpy())
        if len(told):
            merged = own.to_frame("own").with_columns(texts.alias("said"), blank.alias("blank")).select(
                pl.when(pl.col("blank")).then(pl.col("said")).otherwise(pl.col("own"))
            ).to_series().alias(str(place))  # fmt: skip
            table = replace(table, frame=table.frame.with_columns(merged))
        return table, columns, told
    place = len(table.header)
    frame = table.frame.with_columns(texts.alias(str(place)))
    ragged = {
        row: (*cells, *[""] * (place - len(cells)), texts[row]) if len(cells) <= place else cells
        for row, cells in table.ragged.items()
    }
    added = ColumnReading(place, name, "known", name)
    columns = replace(columns, place={**columns.place, name: place}, readings=(*columns.readings, added))
    told = np.flatnonzero((texts != "").to_numpy())
    return replace(table, header=(*table.header, name), frame=frame, ragged=ragged), columns, told


def check_seconds(
    seconds: Seconds, number: Mapping[str, FloatArray], sign: DecimalSign | None, collected: Collected
) -> None:
    """Hold each figure against its second column: say where they differ, refuse where one is a slip."""
    by_use = {one.use: one for one in seconds.columns.readings if one.use and one.how != "second"}
    for second in (one for one in seconds.columns.readings if one.how == "second"):
        first, field = by_use[second.use], FIELD_BY_NAME[second.use]
        if field.dimension is None:
            continue
        key = str(second.place)
        parts = split(seconds.table.frame, [key])[key]
        column = Column(field, second.place, second.unit)
        other = read_column(column, parts, sign, Collected())[parts.words.codes]
        figure = number[field.si_name]
        other = np.where(seconds.filled[second.place], np.nan, other)
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = figure / other
        slip, apart, expected = _judged(first, second, ratio)
        found = [
            f"{both(float(figure[row]), field.dimension)}, and column {second.where} says "
            f"{both(float(other[row]), field.dimension)}"
            for row in np.flatnonzero(slip | apart)
        ]
        sentences = dict(zip(np.flatnonzero(slip | apart).tolist(), found, strict=True))
        for row in np.flatnonzero(slip).tolist():
            mend = "correct the one that is wrong, or empty it: nobody can tell here which it is"
            collected.fault(row, first.place, Fault("two_figures", sentences[row], expected, mend))
        rows = np.flatnonzero(apart & ~slip)
        words = [f"{sentences[row]}; the first is taken" for row in rows.tolist()]
        collected.remark("warning", "two_figures", second.use, rows, words)


def _judged(
    first: ColumnReading, second: ColumnReading, ratio: FloatArray
) -> tuple[BoolArray, BoolArray, str]:
    """Which rows have a slip in one of the two, which differ, and what is expected."""
    if first.basis != second.basis:
        slip = (ratio < 1.0 - SAME) | (ratio > TWICE)
        expected = f"a displacement as loaded from that of the light boat to {TWICE:g} times that"
        return slip, np.asarray(ratio > MOST_APART), expected
    same_name = first.wording == second.wording
    bound = SLIP if same_name or first.use != "loa" else OTHER_LENGTH
    off = np.abs(ratio - 1.0)
    return np.asarray(off > bound), np.asarray(off > SAME), f"two figures within {bound:.0%} of each other"
