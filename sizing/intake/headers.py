"""Which column of the file is which column of the entry sheet, and in what unit it is written.

What is beyond doubt is taken. A word that is as often about something else needs columns of one kind on both
its sides, or cells that fit. All else is left out, and said. With a profile its word counts alone.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from dataclasses import field as dataclass_field
from typing import Final, Literal

from sizing.errors import InputError, QuantityError
from sizing.fields import FIELD_BY_NAME, REQUIRED
from sizing.intake.header_match import Match, near_columns, recognise
from sizing.intake.header_words import normal_header
from sizing.intake.profile import Profile, header_key
from sizing.intake.unsure_headers import settle
from sizing.model import HeaderUnit
from sizing.raw_table import RawTable, column_letter
from sizing.units import DecimalSign, clip, unit_factor, unit_factors

PROBLEM_PREFIX: Final = "problem_"
_MOST_UNKNOWN: Final = 8
_BASES: Final = ("loaded", "", "light")
"""Displacements in the order in which one is the figure and the others are held against it."""
_WAITING: Final = {"transom_width": "the bridles of all boats wait for it"}
"""Columns that a sheet can do without, and what waits for them then."""

How = Literal[
    "known", "slip", "settled", "confirmed", "second", "left out", "new", "unknown", "no header", "problem"
]


@dataclass(frozen=True)
class ColumnReading:
    """What one column of the file is taken for.

    `use` is the column of the entry sheet, "" where it is not used; `why` says what was not plain about it,
    and `near` which columns may be meant by one that is not used.
    """

    place: int
    header: str
    how: How
    use: str = ""
    unit: HeaderUnit | None = None
    basis: str = ""
    why: str = ""
    near: tuple[str, ...] = ()
    wording: str = ""

    @property
    def where(self) -> str:
        """Letter and header."""
        return f"{column_letter(self.place)} “{clip(self.header)}”"


@dataclass(frozen=True)
class Columns:
    """Where each known column stands, the unit of its header, and what is left over.

    `decimal` is the decimal sign of columns whose cells were not written with the rest of the table;
    `readings` tells of every column of the file, those held against another among them.
    """

    place: Mapping[str, int]
    unit: Mapping[str, HeaderUnit]
    extra: Mapping[int, str]
    problems: frozenset[int]
    notes: tuple[str, ...]
    decimal: Mapping[str, DecimalSign | None] = dataclass_field(default_factory=dict)
    readings: tuple[ColumnReading, ...] = ()

    def names(self) -> tuple[str, ...]:
        """The entry sheet's own name of every column of the file, "" for one that is not used."""
        own = {place: name for name, place in self.place.items()}
        return tuple(own.get(place, "") for place in range(len(self.readings)))


def map_columns(table: RawTable, filename: str, profile: Profile | None = None) -> Columns:
    """Return where each column stands; InputError for duplicates, unusable units and missing columns."""
    readings = read_headers(table, filename, profile)
    used = [one for one in readings if one.use and one.how != "second"]
    place = {one.use: one.place for one in used}
    _require(place, readings, filename, profile)
    extra = {one.place: one.header or f"(column {column_letter(one.place)})" for one in readings
             if one.how != "problem" and place.get(one.use) != one.place}  # fmt: skip
    unit = {one.use: one.unit for one in used if one.unit}
    problems = frozenset(one.place for one in readings if one.how == "problem")
    notes = (*_notes(readings, profile), *what_waits(place, readings, profile))
    return Columns(place, unit, _distinct_names(extra), problems, notes, readings=tuple(readings))


def what_waits(
    used: Collection[str], readings: Sequence[ColumnReading], profile: Profile | None = None
) -> list[str]:
    """Say what cannot be worked out for any boat, for want of a column without which she is sized in part."""
    given = profile.given if profile else {}
    notes = []
    for name, waiting in _WAITING.items():
        if name in used or name in given:
            continue
        meant = [one.where for one in readings if not one.use and name in one.near]
        hint = f" It may be column {' or '.join(meant)}: drogue-muster intake asks." if meant else ""
        notes.append(f"No column is {name}, so {waiting}.{hint}")
    return notes


def read_headers(table: RawTable, filename: str, profile: Profile | None = None) -> list[ColumnReading]:
    """Return what every column is taken for, whether or not a column is missing."""
    readings = [_blank_or_problem(place, cell.strip()) for place, cell in enumerate(table.header)]
    _refuse_twins(readings, table.header, filename)
    asked = [one for one in readings if one.how == "unknown"]
    if profile is not None:
        for one in asked:
            readings[one.place] = _confirmed(one, profile)
        return _resolved(readings, {}, filename)
    header = [cell.strip() for cell in table.header]
    ours = {"entry_no", "boat_name"} <= set(header)  # our own entry sheet, or a part of it
    matches: dict[int, Match] = {}
    for one in asked:
        match = recognise(one.header)
        if ours and one.header in FIELD_BY_NAME:
            match = Match(FIELD_BY_NAME[one.header], None)
        if match:
            matches[one.place] = match
    sure = {place: match for place, match in matches.items() if match.how != "unsure"}
    for place, match in sure.items():
        wrong = _wrong_unit(match, readings[place], filename)
        how: How = "slip" if match.how == "slip" else "known"
        why = f"it is one letter or two from a wording of {match.field.name}" if how == "slip" else ""
        if not wrong:
            readings[place] = replace(readings[place], how=how, use=match.field.name, unit=match.unit,
                                      basis=match.basis, why=why, wording=match.wording)  # fmt: skip
    readings = _resolved(readings, sure, filename)
    taken = {one.use for one in readings if one.use}
    near_fields = {one.place: FIELD_BY_NAME[one.use] for one in readings if one.use}
    unsure = {place for place, match in matches.items() if match.how == "unsure"}
    for place in sorted(unsure):
        match = matches[place]
        field, why = settle(place, match.wording, near_fields, unsure, taken, table)
        if field and not _wrong_unit(match._replace(field=field), readings[place], ""):
            taken.add(field.name)
            readings[place] = replace(
                readings[place], how="settled", use=field.name, unit=match.unit, why=why
            )
        else:
            readings[place] = replace(readings[place], how="left out", why=why)
    missing = {*FIELD_BY_NAME} - taken
    return [
        replace(one, near=tuple(name for name in near_columns(one.header) if name in missing)[:3])
        if one.how == "unknown" else one
        for one in readings
    ]  # fmt: skip


def _blank_or_problem(place: int, shown: str) -> ColumnReading:
    if not normal_header(shown):
        return ColumnReading(place, shown, "unknown" if shown else "no header")
    problem = shown.casefold().startswith(PROBLEM_PREFIX)
    return ColumnReading(place, shown, "problem" if problem else "unknown")


def _confirmed(one: ColumnReading, profile: Profile) -> ColumnReading:
    chosen = profile.of(one.header)
    if chosen is None:
        return replace(one, how="new", why="it is new since the columns were confirmed",
                       near=tuple(near_columns(one.header)[:3]))  # fmt: skip
    return replace(one, how="confirmed", use=chosen.use, unit=chosen.header_unit, basis=chosen.basis)


def _refuse_twins(readings: Sequence[ColumnReading], header: Sequence[str], filename: str) -> None:
    seen: dict[str, int] = {}
    for one in readings:
        if one.how != "unknown":
            continue
        key = header_key(one.header)
        if key in seen and normal_header(one.header):
            raise _duplicate(filename, header, seen[key], one.place, "carry the same header")
        seen[key] = one.place


def _resolved(
    readings: Sequence[ColumnReading], matches: Mapping[int, Match], filename: str
) -> list[ColumnReading]:
    """Of several columns for one, one is the figure; the others are held against it or left out."""
    found = list(readings)
    groups: dict[str, list[ColumnReading]] = {}
    for one in readings:
        if one.use:
            groups.setdefault(one.use, []).append(one)
    for name, group in groups.items():
        if len(group) == 1:
            continue
        field = FIELD_BY_NAME[name]
        if field.kind not in ("quantity", "text"):
            header = [one.header for one in readings]
            raise _duplicate(filename, header, group[0].place, group[1].place, f"both stand for {name}")
        first, *others = sorted(group, key=lambda one: _turn(one, matches))
        for one in others:
            if field.kind == "quantity":
                why = f"it is held against column {first.where}"
                found[one.place] = replace(one, how="second", why=why)
            else:
                why = f"column {first.where} is taken for {name}"
                found[one.place] = replace(one, how="left out", use="", why=why)
    return found


def _turn(one: ColumnReading, matches: Mapping[int, Match]) -> tuple[int, int, int]:
    match = matches.get(one.place)
    same_word = sum(1 for other in matches.values() if match and other.wording == match.wording) > 1
    return _BASES.index(one.basis), 0 if same_word or not match else match.rank, one.place


def _duplicate(filename: str, header: Sequence[str], one: int, two: int, words: str) -> InputError:
    first, second = (f"{column_letter(at)} “{clip(header[at].strip())}”" for at in (one, two))
    found = f"columns {first} and {second} {words}"
    mend = "delete one of the two, or give it another header"
    return InputError(f"{filename}, header row", found, "each column once", mend)


def _wrong_unit(match: Match, one: ColumnReading, filename: str) -> bool:
    """Whether a header's unit is none of its column; InputError where the wording is beyond doubt."""
    field, unit = match.field, match.unit
    if field.dimension is None or unit is None:
        return False
    try:
        if unit.wll and field.name == "shackle_rating" and unit.word in unit_factors("mass"):
            return False
        unit_factor(unit.word, field.dimension)
    except QuantityError as error:
        if match.how != "exact":
            return True
        where = f"{filename}, header of column {one.where}"
        raise InputError(where, error.found, error.expected, error.mend) from None
    return False


def _distinct_names(extra: Mapping[int, str]) -> dict[int, str]:
    """Return the unused headers, told apart from our own names and from each other."""
    taken = set(FIELD_BY_NAME)
    named: dict[int, str] = {}
    for index, name in extra.items():
        free = name if name not in taken else f"{name} (column {column_letter(index)})"
        taken.add(free)
        named[index] = free
    return named


def _require(
    place: Mapping[str, int], readings: Sequence[ColumnReading], filename: str, profile: Profile | None
) -> None:
    given = profile.given if profile else {}
    missing = [name for name in REQUIRED if name not in place and name not in given]
    if not missing:
        return
    unused = [one for one in readings if not one.use and one.how in ("unknown", "left out", "new")]
    hints, others = [], []
    for one in unused:
        meant = [name for name in one.near if name in missing]
        if meant:
            hints.append(f"column {one.where} may be meant for {' or '.join(meant)}")
        elif one.how == "left out":
            hints.append(f"column {one.where} is left out, since {one.why}")
        else:
            others.append(one.where)
    found = f"the header row has no column {', '.join(missing)}"
    if hints:
        found += f"; {'; '.join(hints[:6])}"
    if place and others:
        found += f"; headers not known here: {', '.join(others[:_MOST_UNKNOWN])}"
    if not place:
        found += "; not one header is known, so this may not be a fleet sheet"
    mend = (
        "say which columns they are with drogue-muster intake, or name them as in the blank entry sheet and "
        "leave none of these out"
    )
    raise InputError(f"{filename}, header row", found, f"the columns {', '.join(REQUIRED)}", mend)


def _notes(readings: Sequence[ColumnReading], profile: Profile | None) -> list[str]:
    notes = []
    for one in readings:
        if one.how == "slip":
            notes.append(f"Column {one.where} is read as {one.use}: {one.why}.")
        elif one.how == "second":
            notes.append(f"Column {one.where} is {one.use} once more: {one.why}, row by row.")
        elif one.how in ("left out", "new"):
            hint = " Confirm what it is with drogue-muster intake."
            notes.append(f"Column {one.where} is not used: {one.why}.{hint}")
        elif one.how == "unknown" or (one.how == "confirmed" and not one.use):
            hint = f" Did you mean {one.near[0]}?" if one.near else ""
            notes.append(f"Column {one.where} is not used; it is kept as written.{hint}")
    settled = [f"{one.where} as {one.use}" for one in readings if one.how == "settled" and one.why]
    if settled:
        notes.append(f"Read by what the columns beside them are about: {', '.join(settled)}.")
    if profile is not None:
        there = {header_key(one.header) for one in readings}
        gone = [one for one in profile.columns if one.use and header_key(one.header) not in there]
        notes.extend(
            f"Column “{clip(one.header)}”, confirmed as {one.use}, is no longer there." for one in gone
        )
    return [*notes, *_nameless_note([one.place for one in readings if one.how == "no header"])]


def _nameless_note(places: Sequence[int]) -> list[str]:
    """Return one note for all columns without a header: a sheet may have dozens of them, hidden and empty."""
    if not places:
        return []
    letters = [column_letter(place) for place in places]
    named = ", ".join(letters[:_MOST_UNKNOWN]) + (" and more" if len(letters) > _MOST_UNKNOWN else "")
    if len(letters) == 1:
        return [f"Column {named} has no header and is not used; it is kept as written."]
    return [f"{len(letters)} columns have no header ({named}) and are not used; they are kept as written."]
