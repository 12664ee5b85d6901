"""The way of a fleet file: bytes, table, columns, accepted boats and rejected rows. Read this file first."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np
import polars as pl

from sizing.delimited import DELIMITERS, read_delimited
from sizing.errors import InputError
from sizing.fields import FIELDS
from sizing.intake.collect import Collected
from sizing.intake.columns import Values, read_columns
from sizing.intake.header_match import name_of
from sizing.intake.headers import Columns, map_columns
from sizing.intake.plausibility import Fleet, check, check_sister_ships
from sizing.intake.profile import Profile, of_this_sheet
from sizing.intake.rejects import DECIMAL_NOTES, unescape_table
from sizing.intake.rows import boats_only, check_entry_numbers, check_names, check_rows, check_text_cells
from sizing.intake.second_columns import check_seconds, fill_in
from sizing.intake.units_row import with_units_below
from sizing.intake.unread import set_aside
from sizing.intake.weight_asked import ask_weight
from sizing.intake.workbook import read_workbook
from sizing.model import BoolArray, FleetColumns, IntakeResult, Notation, RejectedRow
from sizing.progress import Progress, silent
from sizing.raw_table import Limits, RawTable
from sizing.units import DecimalSign

DEFAULT_LIMITS: Final = Limits()
_STEPS: Final = 4


def read_fleet(
    data: bytes | Path,
    filename: str,
    *,
    today: dt.date,
    limits: Limits = DEFAULT_LIMITS,
    profile: Profile | None = None,
    progress: Progress = silent,
) -> IntakeResult:
    """Return accepted boats, rejected rows and what was taken for granted, from a CSV or .xlsx fleet sheet.

    Raises InputError if the file as a whole cannot be used. A row that says too little, or
    what cannot be read, of its number, its name or what she is sized by is rejected whole, with all its
    problems; any other cell that cannot be read is set aside. Every reading that is not plain is a remark.
    `today` bounds dates of inspection; `profile` has the columns as they were confirmed for this sheet.
    """
    progress("Reading the file", 0, _STEPS)
    content = content_of(data, filename, limits)
    table = read_table(content, filename, limits)
    return read_cells(table, filename, content, today=today, profile=profile, progress=progress)


def read_table(content: bytes, filename: str, limits: Limits = DEFAULT_LIMITS) -> RawTable:
    """Return the table of text in a file, nothing read into its cells yet; InputError if there is none."""
    if content.startswith(b"PK\x03\x04"):
        return read_workbook(content, filename, limits)
    table = read_delimited(content, filename, name_of, limits)
    said = f"Cells are separated by {DELIMITERS[table.delimiter]}."
    return replace(table, notes=(said, *table.notes))


def read_cells(
    table: RawTable,
    filename: str,
    content: bytes,
    *,
    today: dt.date,
    decimal: DecimalSign | None = None,
    profile: Profile | None = None,
    progress: Progress = silent,
) -> IntakeResult:
    """Return what `read_fleet` does, from a table of text; `content` is what that table was read from.

    `decimal` is the decimal sign of its figures where that is known; otherwise they have to show it.
    """
    progress("Recognising columns", 1, _STEPS)
    table = with_units_below(table)
    profile, others = of_this_sheet(profile, table.header)
    columns = map_columns(table, filename, profile)
    if columns.problems:
        table, told = unescape_table(table, columns)
    else:
        told = decimal
    keep, left_out = boats_only(table, columns.place)
    table = _kept(table, keep)
    if not table.frame.height:
        raise InputError(filename, "there is a header and not one boat below it", "one row for each boat",
                         "fill in the entry sheet first")  # fmt: skip
    progress("Reading cells", 2, _STEPS)
    collected = Collected()
    check_rows(table, collected)
    if table.suspect or b"#" in content:
        check_text_cells(table, columns, collected)
    seconds = fill_in(table, columns, profile.given if profile else {}, collected)
    table, columns = seconds.table, seconds.columns
    values = read_columns(table, columns, today, told, collected)
    check_seconds(seconds, values.number, values.sign, collected)
    check_entry_numbers(
        table, table.frame[str(columns.place["entry_no"])], columns.place["entry_no"], collected
    )
    check_names(table, table.frame[str(columns.place["boat_name"])], collected)
    progress("Checking boats", 3, _STEPS)
    check(Fleet(table.frame, columns, values.number, values.choice, values.sections_m, collected))
    values, unread = set_aside(values, columns.place, collected)
    asked = ask_weight(values, collected)
    if "design" in columns.place:
        designs = table.frame[str(columns.place["design"])]
        number = values.number
        check_sister_ships(table, designs, number["displacement_kg"], number["loa_m"], collected)
    for row in table.ragged:
        collected.only(row, "cells")  # its cells may stand under the wrong headers
    notes = [*table.notes, *others, *left_out, *columns.notes, *_unit_notes(columns)]
    if values.sign:
        notes.append(DECIMAL_NOTES[values.sign])
    result = _result(table, columns, values, unread, asked, collected, tuple(notes), content)
    progress("Fleet read", _STEPS, _STEPS)
    return result


def content_of(data: bytes | Path, filename: str, limits: Limits) -> bytes:
    """Return the bytes of the file; InputError before anything too large is read."""
    try:
        size = data.stat().st_size if isinstance(data, Path) else len(data)
        if size <= limits.max_bytes:
            return data.read_bytes() if isinstance(data, Path) else data
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else "no such file name"
        raise InputError(filename, f"the file cannot be opened ({reason})", "a file that can be read",
                         "check its name and whether you may read it") from None  # fmt: skip
    found = f"the file has {size / 1e6:,.0f} MB"
    raise InputError(filename, found, f"at most {limits.max_bytes / 1e6:,.0f} MB",
                     "save the fleet sheet alone, without pictures or other sheets")  # fmt: skip


def _kept(table: RawTable, keep: BoolArray) -> RawTable:
    """Return the table without the rows that are no boats."""
    if keep.all():
        return table
    place = np.cumsum(keep) - 1
    ragged = {int(place[row]): cells for row, cells in table.ragged.items() if keep[row]}
    return replace(table, frame=table.frame.filter(pl.Series(keep)), row_no=table.row_no[keep],
                   line_no=table.line_no[keep], ragged=ragged)  # fmt: skip


def _unit_notes(columns: Columns) -> list[str]:
    return [
        f"Bare figures of {name} are read in {unit.word}{' WLL' if unit.wll else ''}, as the header says."
        for name, unit in columns.unit.items()
    ]


def _result(
    table: RawTable,
    columns: Columns,
    values: Values,
    unread: Mapping[str, BoolArray],
    asked: BoolArray,
    collected: Collected,
    notes: tuple[str, ...],
    content: bytes,
) -> IntakeResult:
    """Part the rows into accepted boats and rejected rows."""
    rows = table.frame.height
    accepted = ~collected.rejected(rows)
    everyone = bool(accepted.all())
    mask = pl.Series(accepted)
    named = {str(place): name for name, place in columns.place.items()}
    named |= {str(place): name for place, name in columns.extra.items()}
    known = [str(columns.place[field.name]) for field in FIELDS if field.name in columns.place]
    written = table.frame.select([*known, *(str(place) for place in columns.extra)]).rename(
        {key: named[key] for key in (*known, *(str(place) for place in columns.extra))}
    )
    fleet = FleetColumns(
        row_no=table.row_no[accepted],
        line_no=table.line_no[accepted],
        number={name: column[accepted] for name, column in values.number.items()},
        choice={name: column[accepted] for name, column in values.choice.items()},
        text=values.text if everyone else values.text.filter(mask),
        as_written=written if everyone else written.filter(mask),
        section_diameters_m=values.sections_m[accepted],
        remarks=collected.remarks(accepted),
        extra_columns=tuple(columns.extra.values()),
        unread={name: mask[accepted] for name, mask in unread.items() if mask[accepted].any()},
        weight_asked=asked[accepted] if asked.any() else None,
    )
    rejected = tuple(_rejected(int(row), table, columns, collected) for row in np.flatnonzero(~accepted))
    if rows != len(fleet) + len(rejected):
        raise AssertionError("rows in differ from rows accepted and rejected")
    header = tuple(cell for place, cell in enumerate(table.header) if place not in columns.problems)
    names = tuple(name for place, name in enumerate(columns.names()) if place not in columns.problems)
    digest, notation = hashlib.sha256(content).hexdigest(), Notation(columns.unit, values.sign)
    return IntakeResult(header, rows, fleet, rejected, notes, digest, notation, names)


def _rejected(row: int, table: RawTable, columns: Columns, collected: Collected) -> RejectedRow:
    cells = table.ragged.get(row) or table.frame.row(row)
    own = tuple(cell for place, cell in enumerate(cells) if place not in columns.problems)
    return RejectedRow(int(table.row_no[row]), int(table.line_no[row]), own, collected.row_errors(row, table))
