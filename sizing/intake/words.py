"""Cells that are words: choices and yes or no, with the many ways in which clubs write them; dates; bolts."""

from __future__ import annotations

import datetime as dt
import re
import tomllib
from collections.abc import Mapping
from functools import cache, lru_cache
from importlib import resources
from types import MappingProxyType
from typing import Final, NamedTuple

from sizing.errors import QuantityError
from sizing.fields import CHOICES
from sizing.intake.collect import Note, Read, Value
from sizing.intake.header_words import unaccented
from sizing.intake.supply_words import SPELLINGS, supply_in
from sizing.model import CONSENT
from sizing.units import clip

_LIKE: Final = {"bridle_material": "line_material", "bridle_state": "line_state"}
"""Columns with the words of another."""
_MADE_OF: Final = frozenset(
    ("alu", "aluminium", "aluminum", "alloy", "steel", "stahl", "acier", "staal", "acero", "aco", "acciaio",
     "stal", "wood", "wooden", "holz", "bois", "hout", "madera", "madeira", "legno", "tra", "trae", "tre",
     "grp", "gfk", "frp", "cfk", "plastic", "polyester", "poliester", "fibreglass", "fiberglass", "carbon",
     "epoxy", "ferro", "ferrocement", "composite")
)  # fmt: skip
"""What a boat is made of says nothing of her type: an "alu yacht" is read as a yacht."""
_YES: Final = frozenset(("yes", "y", "true", "1", "x", "✓", "✔", "ja", "oui", "sí", "si", "sim", "kyllä",
                         "ready"))  # fmt: skip
_NO: Final = frozenset(("no", "n", "false", "0", "✗", "✘", "nein", "non", "nee", "nej", "nei", "não", "ei",
                        "private", "not ready"))  # fmt: skip
UNSTATED: Final = frozenset(
    ("n/a", "na", "n.a.", "?", "??", "unknown", "not known", "tbc", "tba", "tbd", "-", "--", "–", "—", "none",
     "nil", "not stated", "don't know")
)  # fmt: skip
_SHORTEST_TYPO: Final = 5
_DATE_EXPECTED: Final = "a date that can mean only one day, such as 2026-04-18 or 18 Apr 2026"
_MONTHS: Final = {
    word: month
    for month, words in enumerate(
        ("jan january", "feb february", "mar march", "apr april", "may", "jun june", "jul july",
         "aug august", "sep sept september", "oct october", "nov november", "dec december"), start=1)
    for word in words.split()
}  # fmt: skip
_ISO: Final = re.compile(
    r"([0-9]{4})[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})"
    r"(?:[ T]([012][0-9]:[0-5][0-9](?::[0-5][0-9](?:\.[0-9]+)?)?))?"
)
_NUMERIC: Final = re.compile(r"([0-9]{1,2})[-/. ]([0-9]{1,2})[-/. ]([0-9]{4})")
_DAY_FIRST: Final = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?[-/. ]*([A-Za-z]{3,9})\.?[-/., ]*([0-9]{4})")
_MONTH_FIRST: Final = re.compile(r"([A-Za-z]{3,9})\.?[- ]*([0-9]{1,2})(?:st|nd|rd|th)?,? *([0-9]{4})")
TENSILE_PA: Final = {
    # ISO 898-1: the first number is a hundredth of the nominal tensile strength in MPa.
    "4.6": 400e6, "4.8": 400e6, "5.6": 500e6, "5.8": 500e6, "6.8": 600e6, "8.8": 800e6, "9.8": 900e6,
    "10.9": 1000e6, "12.9": 1200e6,
    # ISO 3506-1: the number after the dash is a tenth of the tensile strength in MPa.
    "A2-50": 500e6, "A2-70": 700e6, "A2-80": 800e6, "A4-50": 500e6, "A4-70": 700e6, "A4-80": 800e6,
}  # fmt: skip
_BOLTS_EXPECTED: Final = "number, size and grade of the bolts, such as 4 x M12 A4-70"
_BOLTS: Final = re.compile(
    r"(?:([0-9]{1,3}) *(?:x|×|\*|off|no\.?|of)? *)?M *([0-9]{1,2}(?:\.[0-9])?)"
    r"(?: *[x×] *[0-9]{1,3}(?: *mm)?)?(?: *bolts?)?[ ,/;:-]*(.*)",
    re.IGNORECASE,
)
_GRADE: Final = re.compile(
    r"\(?(?:grade|class|cl\.?|gr\.?)? *(?:(A[24]) *[- ]? *(50|70|80)|([0-9]{1,2}\.[0-9]))\)?(?: *bolts?)?",
    re.IGNORECASE,
)
_SIZES_MM: Final = (3.0, 64.0)


def not_stated(text: str, blank: Value) -> Read[Value]:
    """Return the reading of a word such as "n/a": what a blank cell is, and a note that says so."""
    return Read(blank, (Note("not_stated", f"“{clip(text)}” is read as not stated"),))


def _plain(text: str) -> str:
    return " ".join(text.replace("_", " ").replace("’", "'").strip(" .").casefold().split())


@cache
def _synonyms() -> Mapping[str, Mapping[str, Mapping[str, list[str]]]]:
    """The words of `choice_words.toml`: column, word of the entry sheet, language, words of clubs."""
    text = resources.files("sizing.intake").joinpath("choice_words.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@lru_cache(maxsize=32)
def _spellings(name: str) -> Mapping[str, int]:
    """Each way to write a word of a column, with and without accents, and the word's code."""
    known = {_plain(word): code for code, word in enumerate(CHOICES[name])}
    others = {
        word: [one for words in languages.values() for one in words]
        for word, languages in _synonyms().get(_LIKE.get(name, name), {}).items()
    }
    if name == "gear_supply":
        others = {word: list(words) for word, words in SPELLINGS.items()}
    for word, synonyms in others.items():
        code = CHOICES[name].index(word)
        for synonym in synonyms:
            known.setdefault(synonym, code)
            known.setdefault(unaccented(synonym), code)
    return MappingProxyType(known)


def read_choice(text: str, name: str) -> Read[int]:
    """Return the code of a choice word; any other spelling than the word itself is noted.

    >>> read_choice("Catamaran", "boat_type").value
    1
    """
    plain = _plain(text)
    known = _spellings(name)
    code = known.get(plain, known.get(re.sub(r"[\s/,-]+", " ", plain).strip()))
    if code is None and text.strip() in known:
        code = known[text.strip()]
    if code is None and not plain.isascii():
        code = known.get(unaccented(plain))
    if code is None and name == "boat_type":
        words = re.split(r"[\s/,-]+", unaccented(plain))
        code = known.get(" ".join(word for word in words if word not in _MADE_OF))
    if code is not None:
        word = CHOICES[name][code]
        if plain == _plain(word):
            return Read(code)
        return Read(code, (Note("choice_word", f"“{clip(text)}” is read as {word}"),))
    if plain in UNSTATED:
        return not_stated(text, -1)
    if "?" in plain:  # a question is no answer, however near the word
        return Read(-1, (Note("not_stated", f"“{clip(text)}” is a question, so it is read as not stated"),))
    if name == "gear_supply" and (meant := supply_in(plain)):
        return Read(CHOICES[name].index(meant), (Note("free_text", f"“{clip(text)}” is read as {meant}"),))
    near = {known[word] for word in known if len(word) >= _SHORTEST_TYPO and _one_slip(plain, word)}
    if name == "gear_supply":  # consent is never read out of a slip
        near.discard(CHOICES[name].index(CONSENT))
    if len(near) == 1:
        code = near.pop()
        return Read(code, (Note("near_word", f"“{clip(text)}” is read as {CHOICES[name][code]}"),))
    expected = f"one of: {', '.join(CHOICES[name])}"
    raise QuantityError("unknown_word", name, f"“{clip(text)}” is not a word known here", expected,
                        "write one of these words, or leave the cell empty if it is not known")  # fmt: skip


def read_yes_no(text: str) -> Read[float]:
    """Return 1 for yes and 0 for no.

    >>> read_yes_no("Y").value
    1.0
    """
    plain = _plain(text)
    for value, word, spellings in ((1.0, "yes", _YES), (0.0, "no", _NO)):
        if plain in spellings:
            notes = () if plain == word else (Note("choice_word", f"“{clip(text)}” is read as {word}"),)
            return Read(value, notes)
    if plain in UNSTATED:
        return not_stated(text, float("nan"))
    raise QuantityError("unknown_word", "yes or no", f"“{clip(text)}” is neither yes nor no", "yes or no",
                        "write yes or no, or leave the cell empty if it is not known")  # fmt: skip


def _one_slip(one: str, two: str) -> bool:
    """Whether one letter added, left out, changed, or two exchanged turn one word into the other."""
    if abs(len(one) - len(two)) > 1 or one == two:
        return False
    at = next((i for i, (a, b) in enumerate(zip(one, two, strict=False)) if a != b), min(len(one), len(two)))
    rest_one, rest_two = one[at:], two[at:]
    return (
        rest_one[1:] == rest_two[1:]
        or rest_one[1:] == rest_two
        or rest_one == rest_two[1:]
        or (rest_one[:2] == rest_two[1::-1] and rest_one[2:] == rest_two[2:])
    )


def read_date(text: str, today: dt.date) -> Read[float]:
    """Return the proleptic ordinal of a date not later than `today`.

    >>> dt.date.fromordinal(int(read_date("18 Apr 2026", dt.date(2026, 6, 1)).value)).isoformat()
    '2026-04-18'
    """
    if text.casefold().strip(" .") in UNSTATED:
        return not_stated(text, float("nan"))
    year, month, day = _date_parts(text)
    try:
        date = dt.date(year, month, day)
    except ValueError:
        raise _no_date("no_such_day", text, "is not a day of the calendar", "correct the day") from None
    if date > today:
        words = f"lies after the day of this check, {today.isoformat()}"
        raise _no_date("future_date", text, words, "write the day on which it was done")
    if year < 1950:
        raise _no_date("old_date", text, "lies before 1950", "correct the year")
    if (iso := _ISO.fullmatch(text)) and not (iso[4] or "").strip(":0."):
        return Read(float(date.toordinal()))
    return Read(float(date.toordinal()), (Note("date", f"“{clip(text)}” is read as {date.isoformat()}"),))


def _date_parts(text: str) -> tuple[int, int, int]:
    if iso := _ISO.fullmatch(text):
        return int(iso[1]), int(iso[2]), int(iso[3])
    if numeric := _NUMERIC.fullmatch(text):
        first, second, year = (int(part) for part in numeric.groups())
        if first > 12 or first == second:
            return year, second, first
        if second > 12:
            return year, first, second
        raise _no_date("which_date", text, "could be day before month or month before day",
                      "write the month as a word, or the date as year-month-day")  # fmt: skip
    for pattern, day_at, month_at in ((_DAY_FIRST, 1, 2), (_MONTH_FIRST, 2, 1)):
        match = pattern.fullmatch(text)
        if match and match[month_at].casefold() in _MONTHS:
            return int(match[3]), _MONTHS[match[month_at].casefold()], int(match[day_at])
    if re.fullmatch(r"[0-9]{5}", text):
        raise _no_date("serial_date", text, "looks like a spreadsheet's day number",
                      "format the column as a date, and save the sheet again")  # fmt: skip
    raise _no_date("bad_date", text, "is not a whole date", "write day, month and the year in four digits")


def _no_date(code: str, text: str, words: str, mend: str) -> QuantityError:
    return QuantityError(code, "date", f"“{clip(text)}” {words}", _DATE_EXPECTED, mend)


class Bolts(NamedTuple):
    """Bolts through one attachment; NaN where not stated."""

    number: float
    size_mm: float
    tensile_pa: float


NO_BOLTS: Final = Bolts(float("nan"), float("nan"), float("nan"))


def read_bolts(text: str) -> Read[Bolts]:
    """Return number, size and tensile strength [ISO 898-1] [ISO 3506-1]; a grade not given is noted.

    >>> read_bolts("4 x M12 A4-70").value
    Bolts(number=4.0, size_mm=12.0, tensile_pa=700000000.0)
    """
    if text.casefold().strip(" .") in UNSTATED:
        return not_stated(text, NO_BOLTS)
    match = _BOLTS.fullmatch(" ".join(text.split()))
    if match is None:
        raise _no_bolts("bad_bolts", text, "is not read as bolts", "write for example 4 x M12 A4-70")
    if match[1] is None or int(match[1]) == 0:
        raise _no_bolts("bolt_count", text, "does not say how many bolts", "write the number first")
    count, size = float(match[1]), float(match[2])
    if not _SIZES_MM[0] <= size <= _SIZES_MM[1]:
        raise _no_bolts("bolt_size", text, f"has a size of M{size:g}", "write a metric size from M3 to M64")
    if not match[3].strip():
        said = f"“{clip(text)}” gives no grade, so no strength is taken for these bolts"
        return Read(Bolts(count, size, float("nan")), (Note("bolt_grade", said),))
    grade = _GRADE.fullmatch(match[3].strip())
    key = (f"{grade[1].upper()}-{grade[2]}" if grade[1] else grade[3]) if grade else ""
    if key in TENSILE_PA:
        return Read(Bolts(count, size, TENSILE_PA[key]))
    said = f"“{clip(match[3])}” is no grade of ISO 898-1 or ISO 3506-1, so no strength is taken"
    return Read(Bolts(count, size, float("nan")), (Note("bolt_grade", said),))


def _no_bolts(code: str, text: str, words: str, mend: str) -> QuantityError:
    return QuantityError(code, "bolts", f"“{clip(text)}” {words}", _BOLTS_EXPECTED, mend)
