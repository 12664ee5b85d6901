"""Quantities at the edges: text to SI floats, and SI floats to text in both systems.

Every factor is pint's [SP 811]. Pint is never handed a user's text: it reads "40 ft 6 in" as an area.
The text is taken apart here, and pint is asked only for the factor of a unit this module already knows.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Literal

from sizing.errors import QuantityError
from sizing.unit_words import AMBIGUOUS, EXPECTED, FORCE_CAPITALS, SI_FACTORS, SPELLINGS

if TYPE_CHECKING:
    import pint

Dimension = Literal["length", "small_length", "mass", "force", "area", "speed"]
DecimalSign = Literal[".", ","]

ENTERED_IN: Final[Mapping[Dimension, tuple[str, str]]] = MappingProxyType(
    {
        "length": ("m", "ft"),
        "small_length": ("mm", "in"),
        "mass": ("kg", "lb"),
        "force": ("kN", "lbf"),
        "area": ("m2", "sq ft"),
        "speed": ("m/s", "kn"),
    }
)
"""The metric and the US unit in which a quantity is usually entered."""

_LONGEST_NUMBER: Final = 24
_LONGEST_TEXT: Final = 200
SHOWN_LENGTH: Final = 80
"""Longest piece of a user's text repeated in a message."""

_VULGAR: Final = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8",
    "⅞": "7/8", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6",
}  # fmt: skip
_TYPOGRAPHIC: Final = str.maketrans(
    dict.fromkeys("\xa0\u2002\u2003\u2007\u2008\u2009\u200a\u202f\t", " ")
    | dict.fromkeys("′’‘´`ʹʼ＇", "'")
    | dict.fromkeys("″”“„ʺ＂", '"')
    | {c: f" {fraction}" for c, fraction in _VULGAR.items()}
    | {"⁄": "/", "²": "2", "−": "-", "–": "-", "\u2010": "-", "\u2011": "-"}
)
_APOSTROPHES: Final = re.compile(r"[1-9][0-9]{0,2}(?:'[0-9]{3})+(?![0-9'])")
_POINT_NUMBER: Final = (
    r"(?:[1-9][0-9]{0,2}(?:,[0-9]{3})+|[1-9][0-9]{0,2}(?: [0-9]{3})+|[0-9]+)(?:\.[0-9]+)?|\.[0-9]+"
)
_COMMA_NUMBER: Final = r"(?:[1-9][0-9]{0,2}(?:\.[0-9]{3})+|[1-9][0-9]{0,2}(?: [0-9]{3})+|[0-9]+)(?:,[0-9]+)?"
_FRACTION: Final = re.compile(r"(?:([0-9]{1,4})(?: +| *- *))?([0-9]{1,4}) */ *([0-9]{1,4})")
_AMOUNT: Final = re.compile(r"([0-9][0-9., /-]*|\.[0-9]+)")
_FEET_INCHES: Final = re.compile(
    r"([0-9., ]+?) *(?:'|ft\.?|foot|feet) *-? *([0-9]+/[0-9]+|[0-9][0-9.,]*(?:(?: *- *| +)[0-9]+/[0-9]+)?) *"
    r'("|in\.?|ins\.?|inch|inches)?',
    re.IGNORECASE,
)

_METRES_CENTIMETRES: Final = re.compile(r"([0-9]{1,3}) *m(?:etres?)? *([0-9]{2})(?: *cm)?", re.IGNORECASE)
_TWO_MASSES: Final = re.compile(
    r"([0-9][0-9., ]*?) *(?:t(?:onnes?)? *([0-9]{3}) *(?:kgs?)?"
    r"|(?:lbs?|pounds?)\.?,? *([0-9]{1,2}(?:\.[0-9])?) *(?:oz|ounces?))",
    re.IGNORECASE,
)
_DIAMETER: Final = re.compile(
    r"^(?:[øØ⌀∅]|dia(?:m(?:eter)?)?\b\.?|d *=) *(?=[0-9])"
    r"|(?<=[A-Za-z\"0-9]) *(?:[øØ⌀∅]|dia(?:m(?:eter)?)?\.?)$",
    re.IGNORECASE,
)
_BRACKETED_WORD: Final = re.compile(r" *\((metric|long|short|US|UK)\)$", re.IGNORECASE)
_MIDDLE_POINT: Final = re.compile(r"(?<=[0-9])·(?=[0-9])")


@dataclass(frozen=True)
class Reading:
    """A quantity read from text: its SI value, and what was taken for granted in reading it."""

    value: float
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Shown:
    """One value as text in metric and in US customary units."""

    metric: str
    us: str


@lru_cache(maxsize=1)
def registry() -> pint.UnitRegistry[Decimal]:
    """Return the program's one pint registry, made on first use; decimal, so that factors are exact."""
    import pint  # noqa: PLC0415  with its registry a second, which only a quantity of pint's own is worth

    return pint.UnitRegistry(non_int_type=Decimal)


@lru_cache(maxsize=256)
def si_factor(unit: str) -> float:
    """Return how many SI base units one `unit` (a pint name) is [SP 811].

    >>> si_factor("pound")
    0.45359237
    """
    if unit in SI_FACTORS:
        return SI_FACTORS[unit]
    return float(registry().Quantity(Decimal(1), unit).to_base_units().magnitude)


@lru_cache(maxsize=16)
def unit_factors(dimension: Dimension) -> Mapping[str, float]:
    """Return the SI factor of every spelling known for `dimension`; spellings in lower case [SP 811].

    >>> unit_factors("length")["ft"]
    0.3048
    """
    return MappingProxyType(
        {word: si_factor(unit) for unit, words in SPELLINGS[dimension].items() for word in words}
    )


def normal_unit(text: str) -> str:
    """Return a unit's spelling as it is looked up: typographic signs, case, full stops, spaces evened out.

    >>> normal_unit(" Sq. Ft. ")
    'sq ft'
    """
    return " ".join(text.translate(_TYPOGRAPHIC).replace(".", " ").replace("''", '"').split()).lower()


def unit_factor(unit: str, dimension: Dimension) -> float:
    """Return the SI factor of one spelling of a unit; QuantityError if it is unknown or ambiguous."""
    word = normal_unit(unit)
    factor = unit_factors(dimension).get(word)
    if factor is not None:
        return factor
    if (dimension, word) in AMBIGUOUS:
        code, mend = AMBIGUOUS[dimension, word]
        raise QuantityError(code, "unit", f"“{clip(unit)}” is not clear here", EXPECTED[dimension], mend)
    others = [kind for kind in SPELLINGS if word in unit_factors(_dimension(kind))]
    if others:
        found = f"“{clip(unit)}” is a unit of {others[0].replace('small_', '')}"
        code = "wrong_dimension"
    else:
        found, code = f"“{clip(unit)}” is not a unit known here", "unknown_unit"
    capitals = FORCE_CAPITALS if dimension == "force" else {}  # kn is a knot
    known = ", ".join(capitals.get(words[0], words[0]) for words in SPELLINGS[dimension].values())
    raise QuantityError(code, "unit", found, EXPECTED[dimension], f"use one of {known}")


def parse_quantity(
    text: str, dimension: Dimension, *, unit: str | None = None, decimal: DecimalSign = "."
) -> float:
    """Return the SI value of a quantity written by people.

    `unit` is the unit of a bare number (from a column's header, say); a unit in the text is stronger.
    `decimal` says which sign is the decimal one; the other one then separates thousands.
    Raises QuantityError for a bare number without unit, an unknown unit, or text that is no quantity.

    >>> parse_quantity("40 ft 6 in", "length")
    12.3444
    >>> round(parse_quantity("9,300 lb", "mass"), 1)
    4218.4
    """
    return read_quantity(text, dimension, unit=unit, decimal=decimal).value


def tidied(text: str) -> str:
    """Return a quantity without what says nothing of it: a sign of diameter, a stop, brackets round a word.

    >>> tidied("Ø 16 mm"), tidied("16 mm dia."), tidied("8.4 tons (metric)"), tidied("8·4 t.")
    ('16 mm', '16 mm', '8.4 tons metric', '8.4 t')
    """
    plain = _MIDDLE_POINT.sub(".", " ".join(text.split()))
    plain = _DIAMETER.sub("", plain).strip()
    return _BRACKETED_WORD.sub(r" \1", plain).rstrip(" .")


def read_quantity(
    text: str, dimension: Dimension, *, unit: str | None = None, decimal: DecimalSign = "."
) -> Reading:
    """Return the SI value of a quantity as `parse_quantity` does, and what was taken for granted."""
    if len(text) > _LONGEST_TEXT:
        mend = "write one figure and its unit, and anything else in the notes"
        raise _refuse("too_long", text, dimension, f"“{clip(text)}” is too long for a quantity", mend)
    plain = " ".join(tidied(text.translate(_TYPOGRAPHIC).replace("''", '"')).split())
    if not plain:
        raise _refuse("empty", text, dimension, "nothing is written", "write the figure and its unit")
    if (in_two := _in_two_units(plain, text, dimension, decimal)) is not None:
        return in_two
    of_length = dimension in ("length", "small_length")
    if not of_length and (grouped := _APOSTROPHES.match(plain)):  # 9'300 kg; of a length ' is feet
        plain = grouped.group().replace("'", "") + plain[grouped.end() :]
    amount = _AMOUNT.match(plain)
    if amount is None:
        if plain[0] in "-+":
            raise _refuse("sign", text, dimension, f"“{clip(text)}” has a sign", "leave the sign out")
        mend = "write the figure first and then its unit, or leave the cell empty"
        raise _refuse("no_number", text, dimension, f"“{clip(text)}” does not begin with a number", mend)
    number_text = amount.group().rstrip(" -")
    unit_text = plain[len(number_text) :].strip()
    value = _number(number_text, decimal, text, dimension)
    if not unit_text:
        if unit is None:
            mend = "write the unit after the figure, or once in the column's header"
            raise _refuse("no_unit", text, dimension, f"“{clip(text)}” has no unit", mend)
        return Reading(value * unit_factor(unit, dimension))
    try:
        factor = unit_factor(unit_text, dimension)
    except QuantityError as error:
        found = f"in “{clip(text)}”, {error.found}"
        raise QuantityError(error.code, "quantity", found, error.expected, error.mend) from None
    notes: tuple[str, ...] = ()
    if dimension == "force" and normal_unit(unit_text) == "kn" and unit_text != "kN":
        notes = (f"“{unit_text}” is read as kN (kilonewtons)",)
    return Reading(value * factor, notes)


def _dimension(kind: str) -> Dimension:
    dimensions: Mapping[str, Dimension] = {
        "length": "length", "small_length": "small_length", "mass": "mass", "force": "force",
        "area": "area", "speed": "speed",
    }  # fmt: skip
    return dimensions[kind]


def clip(text: str) -> str:
    """Return `text` short enough to be repeated in a message."""
    shown = text[:SHOWN_LENGTH]
    if not shown.isprintable():
        shown = "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in shown)
    return shown if len(text) <= SHOWN_LENGTH else shown + "…"


def _refuse(code: str, text: str, dimension: str, found: str, mend: str) -> QuantityError:
    return QuantityError(code, "quantity", found, EXPECTED[dimension], mend)


def _number(number: str, decimal: DecimalSign, text: str, dimension: str) -> float:
    """Return one plain, grouped or fractional number."""
    fraction = _FRACTION.fullmatch(number)
    if len(number) > _LONGEST_NUMBER:
        raise _refuse("bad_number", text, dimension, f"“{clip(text)}” has too many digits",
                      "write the figure with fewer digits")  # fmt: skip
    if fraction:
        whole, above, below = (int(part or 0) for part in fraction.groups())
        if below and (not fraction.group(1) or above < below):
            return whole + above / below
    elif decimal == "." and re.fullmatch(_POINT_NUMBER, number):
        return float(number.replace(",", "").replace(" ", ""))
    elif decimal == "," and re.fullmatch(_COMMA_NUMBER, number):
        return float(number.replace(".", "").replace(" ", "").replace(",", "."))
    sign = "point" if decimal == "." else "comma"
    found = f"“{clip(text)}” is not a number written with a decimal {sign}"
    mend = "write one figure in plain digits; leave out ranges and thousands signs"
    raise _refuse("bad_number", text, dimension, found, mend)


def _feet_and_inches(match: re.Match[str], text: str, dimension: str, decimal: DecimalSign) -> Reading:
    feet = _number(match.group(1).strip(), decimal, text, dimension)
    inches = _number(match.group(2).strip(), decimal, text, dimension)
    if feet != int(feet) or inches >= 12.0:
        found = (
            f"“{clip(text)}” has {'a fraction of a foot' if feet != int(feet) else 'twelve inches or more'}"
        )
        raise _refuse("feet_inches", text, dimension, found, "write whole feet and fewer than twelve inches")
    notes = () if match.group(3) else (f"“{clip(text)}” is read as {feet:.0f} ft {inches:g} in",)
    return Reading(feet * si_factor("foot") + inches * si_factor("inch"), notes)


def _in_two_units(plain: str, text: str, dimension: Dimension, decimal: DecimalSign) -> Reading | None:
    """A figure in a unit and a smaller one, such as 40 ft 6 in or 27 lb 8 oz; None where it is none."""
    if dimension in ("length", "small_length"):
        if feet_inches := _FEET_INCHES.fullmatch(plain):
            return _feet_and_inches(feet_inches, text, dimension, decimal)
        if metres := _METRES_CENTIMETRES.fullmatch(plain):
            return Reading(float(metres[1]) + float(metres[2]) / 100.0)
    if dimension == "mass" and (masses := _TWO_MASSES.fullmatch(plain)):
        return _two_masses(masses, text, decimal)
    return None


def _two_masses(match: re.Match[str], text: str, decimal: DecimalSign) -> Reading:
    """Pounds and ounces, or tonnes and kilograms; the second is less than one of the first. [SP 811]"""
    pounds = match[3] is not None
    first, second = (_number(part, decimal, text, "mass") for part in (match[1], match[3] or match[2]))
    most = 16.0 if pounds else 1000.0
    if first != int(first) or second >= most:
        said = f"“{clip(text)}” is not a whole figure and less than one more"
        raise _refuse("two_masses", text, "mass", said, "write one figure and its unit")
    if pounds:
        return Reading((first + second / 16.0) * si_factor("pound"))
    return Reading(first * 1000.0 + second)


def _figures(value: float, digits: int) -> str:
    """Return `value` to `digits` significant figures or the whole number, without an exponent."""
    if value == 0.0:
        return "0"
    decimals = min(max(digits - 1 - math.floor(math.log10(abs(value))), 0), 6)
    if round(value, decimals) == 0.0:
        return "less than 0.000001"
    shown = f"{value:,.{decimals}f}"
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


def _in(unit: str, sign: str, digits: int) -> Callable[[float], str]:
    return lambda value: f"{_figures(value / si_factor(unit), digits)}{sign}"


def _counted(unit: str, digits: int) -> Callable[[float], str]:
    return lambda value: f"{(figure := _figures(value, digits))} {unit}{'' if figure == '1' else 's'}"


def _shown_feet(value: float) -> str:
    """Return feet and inches: to the nearest inch from 10 ft up, to half an inch below."""
    step = 1.0 if abs(value) >= 10.0 * si_factor("foot") else 0.5
    inches = round(abs(value) / si_factor("inch") / step) * step
    feet, rest = divmod(inches, 12.0)
    half = "½" if rest % 1.0 else ""
    rest_text = f"{int(rest) or ''}{half}" or "0"
    minus = "-" if value < 0.0 and inches else ""
    if not feet:
        return f"{minus}{rest_text} in"
    return f"{minus}{int(feet):,} ft" + (f" {rest_text} in" if rest else "")


def _shown_pressure(value: float) -> str:
    return _in("megapascal", " MPa", 3)(value) if abs(value) >= 1e6 else _in("kilopascal", " kPa", 3)(value)


def _count(value: float) -> str:
    return f"{value:,.0f}" if value == round(value) else _figures(value, 3)


def _percent(value: float) -> str:
    return f"{_figures(value * 100.0, 3)} %"


_DISPLAY: Final[Mapping[str, tuple[Callable[[float], str], Callable[[float], str]]]] = {
    "length": (_in("metre", " m", 4), _shown_feet),
    "small_length": (_in("millimetre", " mm", 3), _in("inch", " in", 3)),
    "mass": (_in("kilogram", " kg", 4), _in("pound", " lb", 4)),
    "force": (_in("kilonewton", " kN", 3), _in("pound_force", " lbf", 3)),
    "area": (_in("metre**2", " m²", 3), _in("foot**2", " ft²", 3)),
    "areal_mass": (_in("gram/metre**2", " g/m²", 3), _in("ounce/yard**2", " oz/yd²", 3)),
    "speed": (_in("metre/second", " m/s", 3), _in("knot", " kn", 3)),
    "pressure": (_shown_pressure, _in("psi", " psi", 3)),
    "energy": (_in("kilojoule", " kJ", 3), _in("foot*pound_force", " ft·lbf", 3)),
    "volume": (_in("litre", " litres", 3), _in("foot**3", " ft³", 3)),
    "angle": (_in("degree", "°", 3), _in("degree", "°", 3)),
    "time": (_in("second", " s", 3), _in("second", " s", 3)),
    "hours": (_in("", " h", 3), _in("", " h", 3)),
    "years": (_counted("year", 3), _counted("year", 3)),
    "days": (_counted("day", 4), _counted("day", 4)),
    "count": (_count, _count),
    "ratio": (_percent, _percent),
}
DISPLAY_DIMENSIONS: Final = tuple(_DISPLAY)


@lru_cache(maxsize=1 << 16)
def show(value_si: float, dimension: str) -> Shown:
    """Return an SI value as text in metric and in US customary units, in plain digits.

    `dimension` is one of DISPLAY_DIMENSIONS; "hours" takes hours and "ratio" shows per cent.
    Raises QuantityError for a value that is not finite: a missing figure is never shown as a number.

    >>> show(4218.41, "mass")
    Shown(metric='4,218 kg', us='9,300 lb')
    """
    if not math.isfinite(value_si):
        raise QuantityError("not_finite", "figure", f"{value_si} has no finite value", "a finite figure",
                            "say in words that there is no figure")  # fmt: skip
    if dimension not in _DISPLAY:
        raise QuantityError("dimension", "figure", f"no quantity is called “{clip(dimension)}”",
                            f"one of {', '.join(_DISPLAY)}", "correct the name")  # fmt: skip
    metric, us = _DISPLAY[dimension]
    return Shown(metric(value_si), us(value_si))


def both(value_si: float, dimension: str) -> str:
    """Return an SI value as one text in both systems.

    >>> both(4218.41, "mass")
    '4,218 kg (9,300 lb)'
    >>> both(0.2014, "angle")
    '11.5°'
    """
    shown = show(value_si, dimension)
    return shown.metric if shown.metric == shown.us else f"{shown.metric} ({shown.us})"
