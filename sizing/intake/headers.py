"""Which column of the file is which column of the entry sheet, and in what unit it is written.

Units stand in the header, or in a row of their own under it, as many sheets have them.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from dataclasses import field as dataclass_field
from functools import lru_cache
from types import MappingProxyType
from typing import Final

import numpy as np

from sizing.errors import InputError, QuantityError
from sizing.field_kinds import Field
from sizing.fields import FIELD_BY_NAME, FIELDS, REQUIRED
from sizing.intake.words import UNSTATED
from sizing.model import HeaderUnit
from sizing.raw_table import RawTable, column_letter
from sizing.units import DecimalSign, Dimension, clip, normal_unit, unit_factor, unit_factors

PROBLEM_PREFIX: Final = "problem_"
_NO_WORD: Final = re.compile(r"[\W_]+")
_LONGEST: Final = 80
_MOST_UNKNOWN: Final = 8
_BRACKETS: Final = re.compile(r"^(.*?)[\(\[\{<]([^()\[\]{}<>]*)[\)\]\}>]\s*$")
_FEWEST: Final = 2
"""Units that make a row one of units; no boat has a unit and no figure in two of her columns."""

_BRACKET_SIGNS: Final = "()[]{}<>"
_UNCLEAR: Final = ("ton", "tons")


@dataclass(frozen=True)
class Columns:
    """Where each known column stands, the unit of its header, and what is left over.

    `decimal` is the decimal sign of columns whose cells were not written with the rest of the table.
    """

    place: Mapping[str, int]
    unit: Mapping[str, HeaderUnit]
    extra: Mapping[int, str]
    problems: frozenset[int]
    notes: tuple[str, ...]
    decimal: Mapping[str, DecimalSign | None] = dataclass_field(default_factory=dict)


def normal_header(text: str) -> str:
    """Return a header as it is compared: no case, accents or punctuation, single spaces.

    >>> normal_header(" Transom_Width ")
    'transom width'
    """
    plain = text.casefold()
    if not plain.isascii():
        decomposed = unicodedata.normalize("NFKD", plain)
        plain = "".join(sign for sign in decomposed if not unicodedata.combining(sign))
    return " ".join(_NO_WORD.sub(" ", plain).split())


@lru_cache(maxsize=1)
def known_headers() -> Mapping[str, Field]:
    """Return every spelling of every column, normalised."""
    spellings: dict[str, Field] = {}
    for field in FIELDS:
        for word in (field.name, *field.aliases):
            spellings.setdefault(normal_header(word), field)
    return MappingProxyType(spellings)


def recognise(header: str) -> tuple[Field, HeaderUnit | None] | None:
    """Return the column a header stands for and the unit it gives, or None for one not ours.

    >>> field, unit = recognise("Displacement (lb)")
    >>> field.name, unit.word
    ('displacement', 'lb')
    """
    header = " ".join(header.split())  # a header may be broken over lines
    return None if len(header) > _LONGEST or not header[:1].isalpha() else _recognise(header)


@lru_cache(maxsize=4096)
def _recognise(header: str) -> tuple[Field, HeaderUnit | None] | None:
    exact = known_headers().get(normal_header(header))
    if exact:
        return exact, None
    bracketed = _BRACKETS.match(header)
    if bracketed:
        return _with_unit(bracketed.group(1), bracketed.group(2))
    for pieces in (2, 1):
        words = re.split(r"[\s_,/;:\-]+", header)
        if len(words) > pieces:
            unit = " ".join(words[-pieces:])
            name = " ".join(words[:-pieces]).removesuffix(" in")
            found = _with_unit(name, unit)
            if found and found[1]:
                return found
    return None


def _with_unit(name: str, unit_text: str) -> tuple[Field, HeaderUnit | None] | None:
    field = known_headers().get(normal_header(name))
    wll = False
    bare_name = re.sub(r"\bwll\b", "", normal_header(name)).strip()
    if field is None and bare_name != normal_header(name):
        field, wll = known_headers().get(bare_name), True
    if field is None or field.dimension is None:
        return None
    word = normal_unit(unit_text)
    if re.search(r"\bwll\b", word):
        word, wll = re.sub(r"\bwll\b", "", word).strip(" ,"), True
    known = any(word in unit_factors(kind) for kind in ("length", "mass", "force", "area", "speed"))
    if not known and word not in ("ton", "tons"):
        return None
    return field, HeaderUnit(word, wll)


def name_of(header: str) -> str | None:
    """Return the name of the column a header stands for, None for one not ours."""
    match = recognise(header)
    return match[0].name if match else None


def map_columns(header: Sequence[str], filename: str) -> Columns:
    """Return where each column stands; InputError for duplicates, unusable units and missing columns."""
    place: dict[str, int] = {}
    unit: dict[str, HeaderUnit] = {}
    extra: dict[int, str] = {}
    problems: set[int] = set()
    seen: dict[str, int] = {}
    for index, cell in enumerate(header):
        shown = cell.strip()
        key = normal_header(shown)
        if not key:
            extra[index] = shown or f"(column {column_letter(index)})"
            continue
        if shown.casefold().startswith(PROBLEM_PREFIX):
            problems.add(index)
            continue
        if key in seen:
            raise _duplicate(filename, header, seen[key], index, "carry the same header")
        seen[key] = index
        match = recognise(shown)
        if match is None:
            extra[index] = shown
            continue
        field, header_unit = match
        if field.name in place:
            words = f"both stand for {field.name}"
            raise _duplicate(filename, header, place[field.name], index, words)
        place[field.name] = index
        if header_unit:
            _check_unit(field, header_unit, index, shown, filename)
            unit[field.name] = header_unit
    extra = _distinct_names(extra)
    near = {index: _near(name, place) for index, name in extra.items() if normal_header(name)}
    _require(place, extra, near, filename)
    nameless = [index for index in extra if not header[index].strip()]
    notes = [*_notes({i: extra[i] for i in extra if i not in nameless}, near), *_nameless_note(nameless)]
    return Columns(place, unit, extra, frozenset(problems), tuple(notes))


def _duplicate(filename: str, header: Sequence[str], one: int, two: int, words: str) -> InputError:
    first, second = (f"{column_letter(at)} “{clip(header[at].strip())}”" for at in (one, two))
    found = f"columns {first} and {second} {words}"
    mend = "delete one of the two, or give it another header"
    return InputError(f"{filename}, header row", found, "each column once", mend)


def _check_unit(field: Field, unit: HeaderUnit, index: int, shown: str, filename: str) -> None:
    if field.dimension is None:
        return
    try:
        if unit.wll and field.name == "shackle_rating" and unit.word in unit_factors("mass"):
            return
        unit_factor(unit.word, field.dimension)
    except QuantityError as error:
        where = f"{filename}, header of column {column_letter(index)} “{clip(shown)}”"
        raise InputError(where, error.found, error.expected, error.mend) from None


def _distinct_names(extra: Mapping[int, str]) -> dict[int, str]:
    """Return the unknown headers, told apart from our own names and from each other."""
    taken = set(FIELD_BY_NAME)
    named: dict[int, str] = {}
    for index, name in extra.items():
        free = name if name not in taken else f"{name} (column {column_letter(index)})"
        taken.add(free)
        named[index] = free
    return named


def _near(name: str, place: Mapping[str, int]) -> str | None:
    """Return the missing column that an unknown header most resembles, if any."""
    key = normal_header(_BRACKETS.sub(r"\1", name))
    free = [word for word, field in known_headers().items() if field.name not in place]
    hits = difflib.get_close_matches(key, free, n=1, cutoff=0.75) if 2 < len(key) <= 60 else []
    return known_headers()[hits[0]].name if hits else None


def _require(
    place: Mapping[str, int], extra: Mapping[int, str], near: Mapping[int, str | None], filename: str
) -> None:
    missing = [name for name in REQUIRED if name not in place]
    if not missing:
        return
    hints = [
        f"column {column_letter(index)} “{clip(extra[index])}” may be meant for {name}"
        for index, name in near.items()
        if name in missing
    ]
    found = f"the header row has no column {', '.join(missing)}"
    if hints:
        found += f"; {'; '.join(hints[:6])}"
    hinted = [index for index in near if near[index] in missing]
    unknown = [index for index in extra if index not in hinted and not extra[index].startswith("(column ")]
    if place and unknown:
        named = (f"{column_letter(index)} “{clip(extra[index])}”" for index in unknown[:_MOST_UNKNOWN])
        found += f"; headers not known here: {', '.join(named)}"
    if not place:
        found += "; not one header is known, so this may not be a fleet sheet"
    mend = "name the columns as in the blank entry sheet and leave none of these out"
    raise InputError(f"{filename}, header row", found, f"the columns {', '.join(REQUIRED)}", mend)


def _nameless_note(places: Sequence[int]) -> list[str]:
    """Return one note for all columns without a header: a sheet may have dozens of them, hidden and empty."""
    if not places:
        return []
    letters = [column_letter(place) for place in places]
    named = ", ".join(letters[:_MOST_UNKNOWN]) + (" and more" if len(letters) > _MOST_UNKNOWN else "")
    if len(letters) == 1:
        return [f"Column {named} has no header and is not used; it is kept as written."]
    return [f"{len(letters)} columns have no header ({named}) and are not used; they are kept as written."]


def _notes(extra: Mapping[int, str], near: Mapping[int, str | None]) -> list[str]:
    notes = []
    for index, name in extra.items():
        hint = f" Did you mean {near[index]}?" if near.get(index) else ""
        notes.append(
            f"Column {column_letter(index)} “{clip(name)}” is not used; it is kept as written.{hint}"
        )
    return notes


def with_units_below(table: RawTable) -> RawTable:
    """Return the table with the units of the row under its header in the header, and a note.

    The row is taken as one of units only if every cell under a column of quantities that has no unit of its
    own is a unit of that quantity or says nothing, and no other cell has a figure. Else the table is
    unchanged, and the row is read as a boat.
    """
    if not table.frame.height or 0 in table.ragged:
        return table
    cells = [cell.strip() for cell in table.frame.row(0)]
    units: dict[int, str] = {}
    for place, (title, cell) in enumerate(zip(table.header, cells, strict=True)):
        match = recognise(title)
        dimension = match[0].dimension if match else None
        if not cell or cell.casefold() in UNSTATED:
            continue
        if dimension is None:
            if any(sign.isdigit() for sign in cell):
                return table
            continue
        unit = _unit(cell, dimension)
        if not unit or (match and match[1]):
            return table
        units[place] = unit
    if len(units) < _FEWEST:
        return table
    header = tuple(f"{title.strip()} ({units[at]})" if at in units else title
                   for at, title in enumerate(table.header))  # fmt: skip
    note = (
        f"Row {table.row_no[0]} (line {table.line_no[0]}) holds units and is read as part of the header: "
        f"{_named(table.header, units)}."
    )
    keep = np.arange(1, table.frame.height)
    return replace(
        table, header=header, frame=table.frame[1:], row_no=table.row_no[keep],
        line_no=table.line_no[keep], ragged={row - 1: cells for row, cells in table.ragged.items()},
        notes=(*table.notes, note),
    )  # fmt: skip


def _unit(cell: str, dimension: Dimension) -> str:
    """Return a cell's unit without brackets around it, or "" if it is none of this quantity."""
    text = cell.strip(_BRACKET_SIGNS).strip()
    word = normal_unit(text)
    return text if word in unit_factors(dimension) or (dimension == "mass" and word in _UNCLEAR) else ""


def _named(header: Sequence[str], units: dict[int, str]) -> str:
    return ", ".join(f"{clip(header[at].strip())} in {unit}" for at, unit in units.items())
