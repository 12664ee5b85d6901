"""Text and numbers as they stand in cells, so that text stays text in every program that opens the file."""

from __future__ import annotations

import unicodedata
from decimal import ROUND_CEILING, ROUND_HALF_EVEN, Decimal
from typing import Final

from sizing.spreadsheet import as_text

LONGEST: Final = 32_000
"""Characters of one cell; a spreadsheet holds 32,767."""

_FOOT: Final = Decimal("0.3048")
_DROPPED: Final = frozenset({"Cc", "Cs", "Cn"})


def plain_text(text: str) -> str:
    """Return text without control characters, lone surrogates and non-characters; line ends become spaces.

    >>> plain_text("Grey\\r\\nPlover\\x07")
    'Grey Plover'
    """
    spaced = " ".join(text.replace("\t", " ").splitlines())
    if spaced.isascii() and spaced.isprintable():
        return spaced[:LONGEST]
    return "".join(c for c in spaced if unicodedata.category(c) not in _DROPPED)[:LONGEST]


def csv_text(text: str) -> str:
    """Return text for a CSV cell: with an apostrophe before it if it could be taken for a formula.

    >>> csv_text("=1+1"), csv_text("Grey Plover")
    ("'=1+1", 'Grey Plover')
    """
    return as_text(plain_text(text))


def csv_number(value: Decimal | int) -> str:
    """Return a number for a CSV cell in plain digits.

    >>> csv_number(Decimal("-3.50")), csv_number(Decimal("1E+2"))
    ('-3.50', '100')
    """
    return f"{value:f}" if isinstance(value, Decimal) else str(value)


def feet(length_m: Decimal) -> Decimal:
    """Return a length in feet to the hundredth, rounded up: nothing is cut short [SP 811].

    >>> feet(Decimal("30.48")), feet(Decimal("10"))
    (Decimal('100.00'), Decimal('32.81'))
    """
    return (length_m / _FOOT).quantize(Decimal("0.01"), rounding=ROUND_CEILING)


def decimal_m(length_m: float) -> Decimal:
    """Return a length in metres as a decimal to the millimetre."""
    return Decimal(repr(length_m)).quantize(Decimal("0.001"), rounding=ROUND_HALF_EVEN)
