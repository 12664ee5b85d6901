"""What a sheet's columns are taken for, told to its officer: each column, what is doubtful, one boat."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from sizing.errors import InputError
from sizing.fields import FIELD_BY_NAME, REQUIRED
from sizing.intake.fleet import DEFAULT_LIMITS, read_cells, read_table
from sizing.intake.headers import ColumnReading, read_headers, what_waits
from sizing.intake.profile import Chosen, Profile, header_key, of_this_sheet
from sizing.intake.units_row import with_units_below
from sizing.model import HeaderUnit
from sizing.raw_table import Limits, RawTable
from sizing.units import both

_SHOWN: Final = 3
"""Values of a column that are shown."""
_DOUBTFUL: Final = ("slip", "settled", "left out", "new", "second")


@dataclass(frozen=True)
class MappedColumn:
    """One column of the sheet: what it is taken for, and some of its values."""

    reading: ColumnReading
    values: tuple[str, ...]
    left: str
    right: str

    @property
    def doubtful(self) -> bool:
        """Whether its officer should look at it."""
        return self.reading.how in _DOUBTFUL or bool(self.reading.near)


@dataclass(frozen=True)
class SheetMapping:
    """A sheet as it would be read: its columns, what is missing, and its first boat in both systems."""

    filename: str
    rows: int
    columns: tuple[MappedColumn, ...]
    notes: tuple[str, ...]
    missing: tuple[str, ...]
    waiting: tuple[str, ...]
    boat: tuple[tuple[str, str, str], ...]

    def profile(self) -> Profile:
        """What would be kept if it were confirmed as it stands."""
        return Profile(tuple(_chosen(one.reading) for one in self.columns if one.reading.header))


def mapping_of(
    content: bytes,
    filename: str,
    *,
    today: dt.date,
    profile: Profile | None = None,
    limits: Limits = DEFAULT_LIMITS,
) -> SheetMapping:
    """Return what the columns of a sheet are taken for, with a profile or not; InputError for no table."""
    table = read_table(content, filename, limits)
    with_units = with_units_below(table)
    profile, others = of_this_sheet(profile, with_units.header)
    readings = read_headers(with_units, filename, profile)
    used = {one.use for one in readings if one.use}
    given = profile.given if profile else {}
    missing = tuple(name for name in REQUIRED if name not in used and name not in given)
    headers = [cell.strip() for cell in with_units.header]
    columns = tuple(
        MappedColumn(one, _values(with_units, one.place), headers[one.place - 1] if one.place else "",
                     headers[one.place + 1] if one.place + 1 < len(headers) else "")
        for one in readings if one.how != "problem"
    )  # fmt: skip
    boat: tuple[tuple[str, str, str], ...] = ()
    if not missing:
        boat = _first_boat(table, filename, content, today, profile)
    return SheetMapping(
        filename,
        with_units.frame.height,
        columns,
        (*with_units.notes, *others),
        missing,
        tuple(what_waits(used, readings, profile)),
        boat,
    )


def _values(table: RawTable, place: int) -> tuple[str, ...]:
    cells = table.frame[str(place)].str.strip_chars()
    return tuple(cells.filter(cells != "").unique(maintain_order=True).head(_SHOWN).to_list())


def _first_boat(
    table: RawTable, filename: str, content: bytes, today: dt.date, profile: Profile | None
) -> tuple[tuple[str, str, str], ...]:
    """The first boat that can be read: column, as written, as read in both systems."""
    try:
        fleet = read_cells(table, filename, content, today=today, profile=profile).fleet
    except InputError:
        return ()
    if not len(fleet):
        return ()
    told = []
    for name in fleet.as_written.columns:
        field = FIELD_BY_NAME.get(name)
        cell = str(fleet.as_written[name][0]).strip()
        if field is None or not cell or field.private:
            continue
        if field.kind == "quantity" and field.dimension:
            value = float(fleet.number[field.si_name][0])
            told.append((name, cell, both(value, field.dimension) if value == value else ""))  # noqa: PLR0124
        elif field.kind == "choice":
            told.append((name, cell, fleet.choice_words(name, 0) or ""))
        else:
            told.append((name, cell, ""))
    return tuple(told)


def _chosen(one: ColumnReading) -> Chosen:
    return Chosen(one.header, one.use, _unit_text(one.unit), one.basis)


def _unit_text(unit: HeaderUnit | None) -> str:
    return "" if unit is None else f"{unit.word} WLL" if unit.wll else unit.word


def changed(profile: Profile, choices: Sequence[Chosen]) -> Profile:
    """Return a profile with other choices for some of its headers; those it did not have come after them."""
    new = {header_key(one.header): one for one in choices}
    kept = [new.pop(header_key(one.header), one) for one in profile.columns]
    return replace(profile, columns=(*kept, *new.values()))
