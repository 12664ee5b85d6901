"""One cell of a returned file as money, a day or a figure; what cannot be read is refused with its place."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from sizing.order.amounts import currency_in, parse_price
from sizing.order.money import CENT
from sizing.order.quotes.grid import Grid
from sizing.units import DecimalSign, clip

_NOISE = Decimal("0.000001")
"""What a spreadsheet program's binary numbers may differ by from a decimal one."""


def money(grid: Grid, place: tuple[int, int], sign: DecimalSign | None, currency: str) -> Decimal:
    """Return an amount to the cent, 0 for a blank cell; no currency but this one, and no formula.

    `sign` is the decimal sign of prices written as text, None where none shows it.
    """
    text, expected = grid.text(*place), "an amount to the cent, in plain digits"
    cell = grid.cells.get(place)
    if cell is None:
        return Decimal(0)
    if isinstance(cell.value, Decimal):
        amount = cell.value.quantize(CENT)
        if abs(amount - cell.value) > _NOISE:
            raise grid.wrong(*place, f"{cell.shown} has parts of a cent", expected, "round it to the cent")
    else:
        named = currency_in(text)
        if named not in ("", "$", currency) and currency:
            raise grid.wrong(*place, f"the price is in {named}", f"prices in {currency}",
                             "ask the supplier for prices in the currency of the request")  # fmt: skip
        nothing = not text.strip("0.,- ")
        amount = Decimal(0) if nothing else parse_price(text, sign, grid.place(*place))
    if amount < 0:
        raise grid.wrong(*place, f"{amount} is negative", expected, "write it without a sign")
    return amount


def day(grid: Grid, place: tuple[int, int]) -> date | None:
    """Return the day a cell names, None for a blank one; a text is year-month-day and nothing else."""
    text, cell = grid.text(*place), grid.cells.get(place)
    if cell is None:
        return None
    if isinstance(cell.value, date):
        return cell.value
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise grid.wrong(*place, f"“{clip(text)}” is no day that can be read in one way only",
                         "a day such as 2027-03-08", "write year-month-day") from None  # fmt: skip


def number(grid: Grid, place: tuple[int, int], most: int) -> Decimal | None:
    """Return a figure from 0 to `most`, None for a blank cell; % or kN after it is read over."""
    text = grid.text(*place).replace(",", ".").removesuffix("%").removesuffix("kN").strip()
    if not text:
        return None
    if not text.replace(".", "", 1).isdecimal() or not text.isascii() or Decimal(text) > most:
        raise grid.wrong(*place, f"“{clip(text)}”", f"a figure from 0 to {most}", "write plain digits")
    return Decimal(text)


def figure(value: object) -> Decimal:
    """Return how many packs a row says; 0 for what is no figure."""
    text = str(value).replace(",", "")
    return Decimal(text) if text.replace(".", "", 1).isdecimal() else Decimal(0)


def same(value: object, asked: Decimal) -> bool:
    """Return whether a cell holds this figure, in any usual way of writing it.

    >>> same("1.000", Decimal(1000)), same("7,6", Decimal("7.6")), same("8", Decimal(7))
    (True, True, False)
    """
    if isinstance(value, Decimal):
        return abs(value - asked) < Decimal("0.0005")
    plain, grouped = f"{asked.normalize():f}", f"{asked.normalize():,f}"
    swapped = grouped.translate(str.maketrans(",.", ".,"))
    return str(value).replace("\xa0", " ").strip() in {plain, grouped, swapped, plain.replace(".", ",")}
