"""Bolts as they are written on drawings: "4 x M12 A4-70"."""

from __future__ import annotations

import re
from typing import Final, NamedTuple

from sizing.errors import QuantityError
from sizing.intake.collect import Note
from sizing.intake.distinct import Read
from sizing.intake.words import UNSTATED
from sizing.units import clip

TENSILE_PA: Final = {
    # ISO 898-1: the first number is a hundredth of the nominal tensile strength in MPa.
    "4.6": 400e6, "4.8": 400e6, "5.6": 500e6, "5.8": 500e6, "6.8": 600e6, "8.8": 800e6, "9.8": 900e6,
    "10.9": 1000e6, "12.9": 1200e6,
    # ISO 3506-1: the number after the dash is a tenth of the tensile strength in MPa.
    "A2-50": 500e6, "A2-70": 700e6, "A2-80": 800e6, "A4-50": 500e6, "A4-70": 700e6, "A4-80": 800e6,
}  # fmt: skip
_EXPECTED: Final = "number, size and grade of the bolts, such as 4 x M12 A4-70"
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
        return Read(NO_BOLTS, (Note("not_stated", f"“{clip(text)}” is read as not stated"),))
    match = _BOLTS.fullmatch(" ".join(text.split()))
    if match is None:
        raise _refuse("bad_bolts", text, "is not read as bolts", "write for example 4 x M12 A4-70")
    if match[1] is None or int(match[1]) == 0:
        raise _refuse("bolt_count", text, "does not say how many bolts", "write the number first")
    count, size = float(match[1]), float(match[2])
    if not _SIZES_MM[0] <= size <= _SIZES_MM[1]:
        raise _refuse("bolt_size", text, f"has a size of M{size:g}", "write a metric size from M3 to M64")
    if not match[3].strip():
        said = f"“{clip(text)}” gives no grade, so no strength is taken for these bolts"
        return Read(Bolts(count, size, float("nan")), (Note("bolt_grade", said),))
    grade = _GRADE.fullmatch(match[3].strip())
    key = (f"{grade[1].upper()}-{grade[2]}" if grade[1] else grade[3]) if grade else ""
    if key in TENSILE_PA:
        return Read(Bolts(count, size, TENSILE_PA[key]))
    said = f"“{clip(match[3])}” is no grade of ISO 898-1 or ISO 3506-1, so no strength is taken"
    return Read(Bolts(count, size, float("nan")), (Note("bolt_grade", said),))


def _refuse(code: str, text: str, words: str, mend: str) -> QuantityError:
    return QuantityError(code, "bolts", f"“{clip(text)}” {words}", _EXPECTED, mend)
