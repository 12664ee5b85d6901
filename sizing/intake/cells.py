"""One cell read with care: quantities of any spelling, working load limits, sections, whole numbers.

These readers decide what a cell means. The vectorised reader of `quantities` agrees with them on the plain
cells that it takes, and hands them all others. Of an impossible figure they say which slip of the pen may lie
behind it: thousands, or another unit, that would fit.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from sizing.errors import QuantityError
from sizing.field_kinds import Field
from sizing.intake.collect import Note, Read
from sizing.intake.words import UNSTATED, not_stated
from sizing.model import HeaderUnit
from sizing.units import (
    DecimalSign,
    Dimension,
    Reading,
    both,
    clip,
    normal_unit,
    read_quantity,
    si_factor,
    tidied,
    unit_factor,
    unit_factors,
)

WLL_FACTOR: Final = 5.0
"""Minimum breaking load over working load limit of a forged shackle [EN 13889] [memory]."""

_WLL: Final = re.compile(r"^(?:wll|swl)[ :=]*(.+?)$|^(.+?)[ (]*(?:wll|swl)\)?$", re.IGNORECASE)
_EXPONENT: Final = re.compile(r"[0-9](?:[.,][0-9]+)?E[+]?[0-9]+\b.*", re.IGNORECASE)
_OPPOSITE_PLACES: Final = re.compile(r"(?<![0-9.,])[0-9]+[.,][0-9]{1,2}(?![0-9.,])")
_IN_TWO_UNITS: Final = re.compile(
    r"([^()=/]*[0-9][^()=]*?) *(?:\(([^()]*[0-9][^()]*)\)|[=/] *([^()=]*[0-9][^()=]*))"
)
_RANGE: Final = re.compile(r"([0-9][0-9.,]*) *(?:-|–|—|to|bis|à) *([0-9][0-9.,]*) *([A-Za-z'\"].*)")
_WORSE_IF_MORE: Final = frozenset({"displacement", "transom_width"})
"""Columns of which more asks for more of her gear, and shows nothing that she has."""
_ROUNDED: Final = 0.02
"""Two figures for one thing differ by no more where they were rounded [assumed]."""
_SECTIONS: Final = 3
_NAN: Final = float("nan")
# The units for which one is most easily mistaken, likeliest first.
_MISTAKEN: Final[Mapping[str, Mapping[str, tuple[str, ...]]]] = {
    "length": {
        "m": ("ft", "mm", "cm", "in"), "ft": ("m", "in", "mm", "cm"), "mm": ("m", "cm", "in", "ft"),
        "cm": ("mm", "m", "in", "ft"), "in": ("mm", "ft", "cm", "m"),
    },
    "small_length": {
        "m": ("mm", "cm", "in", "ft"), "ft": ("in", "m", "mm", "cm"), "mm": ("in", "cm", "m", "ft"),
        "cm": ("mm", "in", "m", "ft"), "in": ("mm", "cm", "ft", "m"),
    },
    "mass": {
        "kg": ("lb", "t"), "lb": ("kg", "t"), "t": ("kg", "lb"), "long ton": ("kg", "lb", "t"),
        "short ton": ("kg", "lb", "t"),
    },
    "force": {
        "kn": ("N", "daN", "kgf", "lbf"), "n": ("kN", "daN", "kgf", "lbf"), "dan": ("kN", "N", "kgf", "lbf"),
        "kgf": ("lbf", "kN", "N", "tf"), "lbf": ("kN", "kgf", "N"), "tf": ("kgf", "kN"),
    },
    "area": {"m2": ("sq ft",), "ft2": ("m2",)},
}  # fmt: skip
_GROUPED: Final = re.compile(r"[1-9][0-9]{0,2}[.,][0-9]{3}(?![0-9.,])")
_ONE_UNIT: Final = re.compile(r"[0-9., /½¼¾⅛⅜⅝⅞-]*(.*)")


@dataclass(frozen=True)
class Context:
    """What is known about a column before one of its cells is read.

    `sign` is the decimal sign of the whole file, None where its cells do not tell.
    """

    field: Field
    unit: HeaderUnit | None
    sign: DecimalSign | None

    @property
    def dimension(self) -> Dimension:
        """The dimension of the column."""
        if self.field.dimension is None:
            raise ValueError(self.field.name)
        return self.field.dimension


def within(value: float, field: Field) -> bool:
    """Whether a value is physically possible for a column."""
    return field.limits is None or field.limits[0] <= value <= field.limits[1]


def read_cell(text: str, context: Context) -> Read[float]:
    """Return the SI value of one quantity cell; NaN, with a note, for words such as "n/a"."""
    if text.casefold() in UNSTATED:
        return not_stated(text, _NAN)
    if _EXPONENT.fullmatch(text):
        found = f"“{clip(text)}” is a figure that the spreadsheet program shortened to an exponent"
        raise QuantityError("exponent", "cell", found, "the whole figure in plain digits",
                            "format the column as a number without exponent, and save again")  # fmt: skip
    if context.field.name == "shackle_rating":
        limit = _WLL.match(text)
        if limit or (context.unit and context.unit.wll):
            return _working_load(limit[1] or limit[2] if limit else text, text, context)
    unit = context.unit.word if context.unit else None
    try:
        return _read(text, context, context.dimension, unit)
    except QuantityError as error:
        if (twice := _said_twice(text, context)) is not None:
            return twice
        if error.code == "mass_for_force" and context.field.name == "shackle_rating":
            mend = f"{error.mend}; if it is a working load limit, add WLL"
            raise QuantityError(error.code, error.where, error.found, error.expected, mend) from None
        raise


def _said_twice(text: str, context: Context) -> Read[float] | None:
    """A figure in two units, "38 ft (11.58 m)", or a range of what is the worse the greater it is.

    The second of two is a check on the first, and one that does not agree is told. None where it is neither.
    """
    if both_units := _IN_TWO_UNITS.fullmatch(text):
        first, second = (
            _read_alone(part, context) for part in (both_units[1], both_units[2] or both_units[3])
        )
        if first is None or second is None:
            return None
        if abs(first.value - second.value) > _ROUNDED * max(first.value, second.value):
            found = f"“{clip(text)}” says two things: {_told(first, context)} and {_told(second, context)}"
            raise QuantityError("two_figures", "cell", found, "figures that agree, or one alone",
                                "write the one that is right")  # fmt: skip
        said = "the cell says the figure in two units that agree, and the first is taken"
        return Read(first.value, (*first.notes, Note("two_units", said)))
    if context.field.name in _WORSE_IF_MORE and (ends := _RANGE.fullmatch(text)):
        high = _read_alone(f"{ends[2]} {ends[3]}", context)
        low = _read_alone(f"{ends[1]} {ends[3]}", context)
        if high is None or low is None or low.value >= high.value:
            return None
        said = f"“{clip(text)}” is a range, and the greater end is taken, {_told(high, context)}"
        return Read(high.value, (*high.notes, Note("range", said)))
    return None


def _read_alone(text: str, context: Context) -> Read[float] | None:
    """A figure that tells its own unit; None where it does not, or cannot be read."""
    try:
        return _read(text.strip(), context, context.dimension, None)
    except QuantityError:
        return None


def _told(read: Read[float], context: Context) -> str:
    return both(read.value, context.dimension)


def _working_load(figure: str, text: str, context: Context) -> Read[float]:
    """Return the breaking load behind a working load limit in tonnes, pounds or a force [EN 13889]."""
    header = context.unit.word if context.unit else None
    in_mass = normal_unit(re.sub(r"^[0-9., /]+", "", figure)) or header or ""
    if in_mass in unit_factors("mass") or in_mass in ("ton", "tons"):
        unit = header if header in unit_factors("mass") else None
        read = _read(figure, context, "mass", unit)
        force = read.value * si_factor("standard_gravity")
    else:
        read = _read(figure, context, "force", header)
        force = read.value
    value = WLL_FACTOR * force
    said = (
        f"“{clip(text)}” is a working load limit; the breaking load is taken as {WLL_FACTOR:g} times it, "
        f"{both(value, 'force')}"
    )
    return Read(value, (*read.notes, Note("working_load_limit", said)))


def _read(text: str, context: Context, dimension: Dimension, unit: str | None) -> Read[float]:
    """Return a quantity, whichever decimal sign it is written with, if that is plain."""
    readings: dict[DecimalSign, Reading] = {}
    refusals: dict[DecimalSign, QuantityError] = {}
    signs: tuple[DecimalSign, ...] = (".", ",")
    for sign in signs:
        try:
            readings[sign] = read_quantity(text, dimension, unit=unit, decimal=sign)
        except QuantityError as error:
            refusals[sign] = error
    if not readings:
        raise min(refusals.values(), key=lambda error: error.code == "bad_number")
    notes: list[Note] = []
    if len(readings) == 2 and readings["."].value != readings[","].value:
        sign, said = _resolve(text, readings, context)
        notes.extend(said)
    else:
        sign = context.sign if context.sign in readings else next(iter(readings))
        if len(readings) == 1 and re.search("[.,]", text):
            opposite = context.sign is not None and sign != context.sign
            if opposite and not _OPPOSITE_PLACES.search(text):
                raise refusals[context.sign or "."]
            if sign == "," and re.search(r",[0-9]+(?![0-9.])", text):
                notes.append(Note("decimal_comma", DECIMAL_COMMA))
    reading = readings[sign]
    written = normal_unit(re.sub(r"^[0-9., /½¼¾-]+", "", tidied(text)))
    if (
        unit
        and written in unit_factors(dimension)
        and unit_factor(written, dimension) != unit_factor(unit, dimension)
    ):
        notes.append(Note("cell_unit", cell_unit_sentence(unit)))
    if unit and not written:
        notes.append(Note("header_unit", header_unit_sentence(unit)))
    notes.extend(Note("spelling", sentence) for sentence in reading.notes)
    return Read(reading.value, tuple(notes))


DECIMAL_COMMA: Final = "figures with a comma are read with a decimal comma"


def header_unit_sentence(unit: str) -> str:
    """Return the sentence for a bare figure that takes its unit from the header."""
    return f"the figure has no unit of its own and is read in {unit}, as the header says"


def cell_unit_sentence(unit: str) -> str:
    """Return the sentence for a cell whose unit differs from the header's."""
    return f"the unit in the cell is taken, not the header's {unit}"


def grouped_sentence(written: str, sign: DecimalSign, why: str) -> str:
    """Return the sentence for a figure such as 9,300: `written` is its sign, `sign` the decimal one.

    >>> grouped_sentence(",", ".", BY_FILE)
    'a comma before three digits is read as separating thousands, as other cells of the file show'
    """
    name = "comma" if written == "," else "point"
    role = "the decimal sign" if written == sign else "separating thousands"
    return f"a {name} before three digits is read as {role}, {why}"


BY_FILE: Final = "as other cells of the file show"
BY_LIMITS: Final = "because only so is the figure possible here"


def _resolve(
    text: str, readings: Mapping[DecimalSign, Reading], context: Context
) -> tuple[DecimalSign, tuple[Note, ...]]:
    """Return the decimal sign of a figure such as 9,300: from the file, or because only one is possible."""
    written = "," if "," in text else "."
    if context.sign:
        if written != context.sign:
            note = Note("grouped_digits", grouped_sentence(written, context.sign, BY_FILE))
            return context.sign, (note,)
        return context.sign, (Note("decimal_comma", DECIMAL_COMMA),) if written == "," else ()
    possible = [sign for sign, reading in readings.items() if within(reading.value, context.field)]
    if len(possible) == 1:
        note = Note("grouped_digits", grouped_sentence(written, possible[0], BY_LIMITS))
        return possible[0], (note,)
    raise which_number(text)


def which_number(text: str) -> QuantityError:
    """Return the refusal of a figure such as 9,300 that could be nine or nine thousand."""
    found = f"“{clip(text)}” could have a decimal sign or a thousands separator"
    return QuantityError("which_number", "quantity", found, "a figure that can be read in one way only",
                         "leave out the thousands separator, or write the decimals with a point")  # fmt: skip


def read_sections(text: str, context: Context) -> Read[tuple[float, ...]]:
    """Return diameters from the boat outward, one to three, separated by ; or / or +.

    A unit after the last one only serves for all.
    """
    if text.casefold() in UNSTATED:
        return not_stated(text, ())
    parts = [
        part.strip() for part in re.split(r" *(?:;|\+|\||→|>|,(?= )|\band\b|(?<![0-9])/|/(?![0-9])) *", text)
    ]
    parts = [part for part in parts if part]
    if len(parts) > _SECTIONS or not parts:
        raise QuantityError("sections", "sections", f"“{clip(text)}” has {len(parts)} diameters",
                            "one to three diameters, such as 20 mm; 16 mm",
                            "write the diameters of the sections from the boat outward")  # fmt: skip
    last_unit = re.sub(r"^[0-9., /½¼¾⅛⅜⅝⅞-]+", "", parts[-1]).strip()
    notes: list[Note] = []
    values = []
    for part in parts:
        whole = part
        if last_unit and not re.search(r"[^0-9., /½¼¾⅛⅜⅝⅞-]", part):
            whole = f"{part} {last_unit}"
            notes.append(
                Note("shared_unit", f"the unit {clip(last_unit)} is taken for every figure of “{clip(text)}”")
            )
        read = read_cell(whole, context)
        if not within(read.value, context.field):
            raise QuantityError("out_of_range", "sections", f"{clip(part)} is not a possible diameter",
                                "diameters from 4 mm to 80 mm", "correct the figure or its unit")  # fmt: skip
        notes.extend(read.notes)
        values.append(read.value)
    return Read(tuple(values), tuple(dict.fromkeys(notes)))


def read_counts(text: str, name: str, limits: tuple[float, float]) -> Read[tuple[float, ...]]:
    """Return whole numbers within `limits` as three figures, NaN where there are fewer.

    They are separated by ; or , or / or + or a space. A single sum "100" is that of one section.

    >>> read_counts("60; 40", "section_cones", (0.0, 1000.0)).value
    (60.0, 40.0, nan)
    """
    blank = (_NAN,) * _SECTIONS
    if text.casefold() in UNSTATED:
        return Read(blank, (Note("not_stated", f"“{clip(text)}” is read as not stated"),))
    parts = [part for part in re.split(r" *(?:[;,/+|]|\band\b| ) *", text) if part]
    if len(parts) > _SECTIONS or not parts:
        raise QuantityError("sections", name, f"“{clip(text)}” has {len(parts)} figures",
                            "one to three whole numbers, such as 60; 40",
                            "write the cones of each section from the boat outward")  # fmt: skip
    values = tuple(read_count(part, name, limits).value for part in parts)
    return Read((*values, *blank[len(values) :]))


def read_count(text: str, name: str, limits: tuple[float, float]) -> Read[float]:
    """Return a whole number within `limits`.

    >>> read_count("100", "cone_count", (0.0, 1000.0)).value
    100.0
    """
    if text.casefold() in UNSTATED:
        return not_stated(text, _NAN)
    expected = f"a whole number from {limits[0]:.0f} to {limits[1]:.0f}"
    if not re.fullmatch(r"[0-9]{1,9}(?:\.0+)?", text):
        raise QuantityError("bad_count", name, f"“{clip(text)}” is not a whole number", expected,
                            "write digits only")  # fmt: skip
    value = float(text)
    if not limits[0] <= value <= limits[1]:
        raise QuantityError("out_of_range", name, f"{value:.0f} is not possible here", expected,
                            "correct the figure")  # fmt: skip
    return Read(value)


def unit_of(text: str, header: HeaderUnit | None, dimension: Dimension) -> str:
    """Return the short name of the unit a cell was read in, or "" if it holds more than one figure.

    >>> unit_of("9,300 lbs", None, "mass")
    'lb'
    """
    match = _ONE_UNIT.fullmatch(" ".join(text.split()))
    word = normal_unit(match[1]) if match else ""
    if not word and header:
        word = header.word
    factors = unit_factors(dimension)
    if word not in factors:
        return ""
    return next((name for name in _MISTAKEN.get(dimension, {}) if factors[name] == factors[word]), "")


def explain(
    value: float, text: str, header: HeaderUnit | None, field: Field, fits: Callable[[float], bool]
) -> str:
    """Return a sentence naming what would make a figure fit, or "" if nothing does.

    A sign before three digits, read as the decimal one, is looked at first; then the units easily mistaken.

    >>> from sizing.fields import FIELD_BY_NAME
    >>> explain(9300.0, "9,300 kg", None, FIELD_BY_NAME["displacement"], lambda kg: kg < 5000.0)
    'read as lb it would be 4,218 kg (9,300 lb), which fits'
    """
    if field.dimension is None:
        return ""
    unit = unit_of(text, header, field.dimension)
    if not unit:
        return ""
    factors = unit_factors(field.dimension)
    as_decimal = value / factors[unit] < 1000.0
    if as_decimal and _GROUPED.match(text.strip()) and fits(1000.0 * value):
        return f"read with thousands it would be {both(1000.0 * value, field.dimension)}, which fits"
    for other in _MISTAKEN[field.dimension][unit]:
        figure = value / factors[unit] * factors[normal_unit(other)]
        if fits(figure):
            return f"read as {other} it would be {both(figure, field.dimension)}, which fits"
    return ""
