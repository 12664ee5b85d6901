"""Reading prices, pack sizes and counts of a price table exactly, as decimal numbers."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import ROUND_FLOOR, Decimal
from typing import Final

from sizing.errors import CatalogueError, QuantityError
from sizing.units import DecimalSign, Dimension, clip, parse_quantity

SIGNS: Final = {"€": "EUR", "£": "GBP"}
"""Currency signs that mean one currency; the dollar sign means several and needs the code beside it."""

_SIGN = re.compile(r"[€£$]|\b[A-Z]{3}\b")
_POINT_PROVEN = re.compile(r"\d,\d{3}\.\d|\.\d{1,2}$|,\d{3},\d{3}")
_COMMA_PROVEN = re.compile(r"\d\.\d{3},\d|,\d{1,2}$|\.\d{3}\.\d{3}")
_NUMBERS: Final = {
    ".": re.compile(r"-?(?:\d{1,3}(?:,\d{3})+|\d{1,3}(?: \d{3})+|\d+)(?:\.(\d{1,2}))?"),
    ",": re.compile(r"-?(?:\d{1,3}(?:\.\d{3})+|\d{1,3}(?: \d{3})+|\d+)(?:,(\d{1,2}))?"),
}
MM = Decimal("0.001")
_UNITS: Final[dict[str, Dimension]] = {"m": "length", "kg": "mass"}


def _bare(text: str) -> str:
    spaces = str.maketrans(dict.fromkeys("\xa0\u2007\u2009\u202f", " ") | {"−": "-", "'": "", "’": ""})
    return " ".join(_SIGN.sub(" ", text.translate(spaces)).split()).replace("- ", "-")


def currency_in(text: str) -> str:
    """Return the currency a price cell names by sign or code, "$" for a bare dollar sign, "" for none.

    >>> currency_in("€ 1,250.00"), currency_in("GBP 12"), currency_in("12.50")
    ('EUR', 'GBP', '')
    """
    found = _SIGN.search(text)
    return SIGNS.get(found.group(), found.group()) if found else ""


def decimal_sign(texts: Iterable[str]) -> DecimalSign | None:
    """Return which sign is the decimal one in a whole column of prices; None if no cell shows it.

    Raises CatalogueError if some cells show a decimal comma and others a decimal point.

    >>> decimal_sign(["1,250", "12.50"]), decimal_sign(["1.250", "12,50"]), decimal_sign(["1,250"])
    ('.', ',', None)
    """
    bare = [_bare(text) for text in texts]
    point = next((text for text in bare if _POINT_PROVEN.search(text)), None)
    comma = next((text for text in bare if _COMMA_PROVEN.search(text)), None)
    if point and comma:
        raise CatalogueError(
            "price column", f"“{clip(point)}” has a decimal point and “{clip(comma)}” a decimal comma",
            "one decimal sign in the whole column", "write all prices the same way",
        )  # fmt: skip
    return "." if point else "," if comma else None


def parse_price(text: str, sign: DecimalSign | None, where: str) -> Decimal:
    """Return a price as a decimal to the cent; thousands separators and currency signs are read over.

    `sign` is the column's decimal sign, None where no cell shows it: then "1,250" could be two prices and
    is refused.

    >>> parse_price("€1,250.5", ".", "prices.csv")
    Decimal('1250.50')
    """
    bare = _bare(text)
    if sign is None and re.search(r"[.,]", bare):
        raise CatalogueError(
            where, f"“{clip(text)}” may be thousands or a fraction", "a price with two decimals",
            "write 1250.00 or 1.25, whichever is meant",
        )  # fmt: skip
    match = _NUMBERS[sign or "."].fullmatch(bare)
    if match is None:
        raise CatalogueError(
            where, f"“{clip(text)}” is not a price", "one amount to the cent, such as 1,250.00",
            "write one figure in plain digits, with the currency in its own column",
        )  # fmt: skip
    whole = bare[: match.start(1) - 1] if match.group(1) else bare
    price = Decimal(re.sub(r"[ .,]", "", whole) + "." + (match.group(1) or "").ljust(2, "0"))
    if price <= 0:
        raise CatalogueError(
            where, f"the price is {price}", "a price above 0", "write the price, or leave the cell empty"
        )
    return price


def parse_count(text: str, where: str, least: int) -> int:
    """Return a whole number of at least `least`."""
    bare = _bare(text).replace(",", "").replace(" ", "")
    if not re.fullmatch(r"-?[0-9]{1,9}(?:\.0+)?", bare) or int(Decimal(bare)) < least:
        raise CatalogueError(
            where, f"“{clip(text)}”", f"a whole number from {least}", "write the number in plain digits"
        )
    return int(Decimal(bare))


def parse_size(text: str, unit: str, header_unit: str, own_unit: str, where: str) -> Decimal:
    """Return a pack's size in the order's own unit: pieces, or m or kg rounded down to the thousandth.

    A unit in the cell is stronger than `own_unit` (the row's unit column), and that than the header's.

    >>> parse_size("656 ft", "m", "", "", "prices.csv"), parse_size("100", "piece", "", "each", "p")
    (Decimal('199.948'), Decimal('100'))
    """
    if not text:
        raise CatalogueError(where, "the cell is empty", "how much one pack holds", "write the pack size")
    if unit not in _UNITS:
        bare = re.sub(r"\s*(pieces?|pcs?|each|ea|off|no)\.?$", "", text, flags=re.IGNORECASE)
        return Decimal(parse_count(bare, where, 1))
    if text.lstrip().startswith(("-", "−")):
        raise CatalogueError(where, f"“{clip(text)}” is negative", f"a size in {unit} above 0",
                             "write the size without a sign")  # fmt: skip
    try:
        value = parse_quantity(text, _UNITS[unit], unit=own_unit or header_unit or None)
    except QuantityError as problem:
        raise CatalogueError(where, problem.found, problem.expected, problem.mend) from problem
    size = Decimal(str(round(value, 7))).quantize(MM, rounding=ROUND_FLOOR)
    if size <= 0:
        raise CatalogueError(where, f"“{clip(text)}” is nothing", f"a size in {unit} above 0",
                             "write how much one pack holds")  # fmt: skip
    return size
