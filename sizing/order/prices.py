"""The price book: what suppliers ask for whole packs, read from CSV with exact decimal money."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

from sizing.errors import CatalogueError
from sizing.order.amounts import currency_in, decimal_sign, parse_count, parse_price
from sizing.order.csv_table import TableRow, read_bytes, read_table, refuse
from sizing.order.items import Item
from sizing.order.money import CENT
from sizing.spreadsheet import from_text
from sizing.units import DecimalSign, clip

REQUIRED = ("item", "pack_size", "pack_price")
OPTIONAL = (
    "description", "kind", "unit", "currency", "supplier", "lead_days", "minimum_packs", "length_step",
    "least_length",
)  # fmt: skip
ALIASES = {
    "price": "pack_price", "size": "pack_size", "pack": "pack_size", "spool_length": "pack_size",
    "item_id": "item", "vendor": "supplier", "chandler": "supplier", "lead_time": "lead_days",
    "lead_time_days": "lead_days", "minimum_order": "minimum_packs", "minimum": "minimum_packs",
    "min_packs": "minimum_packs", "units": "unit", "type": "kind", "step": "length_step",
    "minimum_length": "least_length", "shortest_length": "least_length",
}  # fmt: skip
SAID_ONCE = 12
"""Notes of one kind listed singly; the rest are counted."""


@dataclass(frozen=True)
class Offer:
    """One row of the price book: whole packs of one item from one supplier. `pack_price` None: not known.

    With a `step` it is cut to length where it is sold: any whole number of steps from `least` on, at
    `pack_price` for each `pack_size`. `note` is what its line of the order says.
    """

    item: str
    description: str
    unit: str
    pack_size: Decimal
    pack_price: Decimal | None
    supplier: str
    lead_days: int | None
    minimum_packs: int
    line_no: int
    step: Decimal | None = None
    least: Decimal | None = None
    note: str = ""

    def cut_to(self, steps: int) -> Offer:
        """Return so many steps of what is sold by length as one pack; its price is rounded to the cent."""
        step = self.step or self.pack_size
        length = steps * step
        price = None
        note = "Cut to length by the supplier."
        if self.pack_price is not None:
            price = (self.pack_price * length / self.pack_size).quantize(CENT, ROUND_HALF_UP)
            rate = f"{self.pack_price:,.2f} for {self.pack_size.normalize():f} {self.unit}"
            note = f"Cut to length by the supplier, at {rate}."
        return replace(
            self, pack_size=length, pack_price=price, minimum_packs=1, step=None, least=None, note=note
        )


@dataclass(frozen=True)
class PriceBook:
    """All offers by item, in the order of the file, in one currency.

    `unpriced` are items of which some row has no price; `unknown` names in the book that the catalogue does
    not have, with the line; `notes` what was taken for granted in reading.
    """

    name: str
    currency: str
    offers: Mapping[str, tuple[Offer, ...]]
    unpriced: tuple[str, ...] = ()
    unknown: tuple[tuple[int, str], ...] = ()
    notes: tuple[str, ...] = ()
    sha256: str = field(default="")


def unit_prices(prices: PriceBook | None) -> dict[str, Decimal]:
    """Return the best price per unit of every item that has a price."""
    found: dict[str, Decimal] = {}
    for item, offers in (prices.offers if prices else {}).items():
        rates = [offer.pack_price / offer.pack_size for offer in offers if offer.pack_price is not None]
        if rates:
            found[item] = min(rates)
    return found


def load_prices(path: Path, known: Mapping[str, Item]) -> PriceBook:
    """Read a price book file; see `parse_prices`."""
    return parse_prices(read_bytes(path), path.name, known)


def parse_prices(data: bytes, name: str, known: Mapping[str, Item]) -> PriceBook:
    """Read the bytes of a price book called `name`; `known` are the items that can be ordered.

    A row without price is kept and its item listed as unpriced; a row of an item that is not known is kept
    as a note; a row that repeats another is read once. Everything that cannot be read is collected and
    refused together, each with file, line and column: a price book in doubt would spend money.

    Raises
    ------
    CatalogueError
        no table; a pack size, price or count that cannot be read; two currencies; two prices for one pack
    """
    table = read_table(data, name, REQUIRED, OPTIONAL, ALIASES)
    problems: list[CatalogueError] = []
    prices = [row.cells["pack_price"] for row in table.rows if row.cells["pack_price"]]
    sign: DecimalSign | None = None
    try:
        sign = decimal_sign(prices)
    except CatalogueError as problem:
        raise CatalogueError(
            f"{name}, {problem.where}", problem.found, problem.expected, problem.mend
        ) from None
    offers: dict[tuple[str, str, Decimal, bool], Offer] = {}
    unknown: list[tuple[int, str]] = []
    notes = [*table.notes]
    currencies: dict[str, int] = {}
    by_name = {item.id.casefold(): item for item in known.values()}
    for row in table.rows:
        item = by_name.get(from_text(row.cells["item"]).casefold())
        if item is None:
            unknown.append((row.line_no, clip(row.cells["item"])))
            continue
        try:
            currency = _currency(row)
            offer = _offer(row, item, sign)
        except CatalogueError as problem:
            problems.append(problem)
            continue
        if currency:
            currencies.setdefault(currency, row.line_no)
        key = (offer.item, offer.supplier.casefold(), offer.pack_size, offer.step is None)
        problem_or_note = _twice(row, offers.get(key), offer)
        if isinstance(problem_or_note, CatalogueError):
            problems.append(problem_or_note)
        elif problem_or_note:
            notes.append(problem_or_note)
        else:
            offers[key] = offer
    problems += _mixed(name, currencies)
    if problems:
        raise refuse(name, problems)
    by_item: dict[str, list[Offer]] = {}
    for offer in offers.values():
        by_item.setdefault(offer.item, []).append(offer)
    notes += [
        f"{name}, line {line}: “{word}” is not in the catalogue; its row is not used"
        for line, word in unknown[:SAID_ONCE]
    ]
    if len(unknown) > SAID_ONCE:
        notes.append(f"{name}: {len(unknown) - SAID_ONCE} more rows name items that are not in the catalogue")
    return PriceBook(
        name=name,
        currency=next(iter(currencies), ""),
        offers={item: tuple(rows) for item, rows in by_item.items()},
        unpriced=tuple(item for item, rows in by_item.items() if any(o.pack_price is None for o in rows)),
        unknown=tuple(unknown),
        notes=tuple(notes),
        sha256=hashlib.sha256(data).hexdigest(),
    )


def _offer(row: TableRow, item: Item, sign: DecimalSign | None) -> Offer:
    """Read one row whole."""
    price, lead_days = row.cell("pack_price"), row.cell("lead_days")
    step, least = _by_length(row, item)
    return Offer(
        item=item.id,
        description=row.cell("description") or item.description,
        unit=item.unit,
        pack_size=row.size("pack_size", item.unit),
        pack_price=parse_price(price, sign, row.place("pack_price")) if price else None,
        supplier=row.cell("supplier"),
        lead_days=parse_count(lead_days.lower().removesuffix("days"), row.place("lead_days"), 0)
        if lead_days
        else None,
        minimum_packs=max(1, row.count("minimum_packs", blank=1)),
        line_no=row.line_no,
        step=step,
        least=least,
    )


def _by_length(row: TableRow, item: Item) -> tuple[Decimal | None, Decimal | None]:
    """Return the least step and the least length of what is cut where it is sold; none for whole packs."""
    given = next((column for column in ("length_step", "least_length") if row.cell(column)), None)
    if given is None:
        return None, None
    if item.unit != "m":
        raise row.wrong(given, f"{item.id} is counted by the {item.unit}",
                        "no length for what is not sold by it", "leave the cell empty")  # fmt: skip
    if not row.cell("length_step"):
        raise row.wrong("least_length", "there is a least length and no step",
                        "the step in which it is cut beside the least length",
                        "fill in length_step, such as 0.1 m; for whole packs leave both empty")  # fmt: skip
    if row.count("minimum_packs", blank=1) > 1:
        raise row.wrong("minimum_packs", f"“{row.cell('minimum_packs')}” beside a step of length",
                        "no least number of packs for what is cut to length",
                        "say the least in least_length, and leave minimum_packs empty")  # fmt: skip
    step = row.size("length_step", item.unit)
    return step, row.size("least_length", item.unit) if row.cell("least_length") else step


def _currency(row: TableRow) -> str:
    """Return the currency of a priced row: its own column, the price cell, or the price header."""
    if not row.cells["pack_price"]:
        return ""
    stated = row.cell("currency")
    code = currency_in(stated) if stated in ("€", "£", "$") else stated.upper()
    shown = currency_in(row.cells["pack_price"])
    header = row.columns.units.get("pack_price", "").upper()
    header = currency_in(header) or header
    named = code or (shown if shown != "$" else "") or header
    where = "currency" if "currency" in row.columns.headers else "pack_price"
    if len(named) != 3 or not named.isascii() or not named.isalpha():
        raise row.wrong(where, f"the currency is “{clip(stated or shown)}”",
                        "a currency code of three letters, such as EUR",
                        "fill in the column currency")  # fmt: skip
    if (shown and shown not in ("$", named)) or (shown == "$" and named in ("EUR", "GBP")):
        raise row.wrong(where, f"the price is in {shown} and the currency says {named}", "one currency",
                        "correct one of them")  # fmt: skip
    return named


def _twice(row: TableRow, first: Offer | None, offer: Offer) -> CatalogueError | str:
    """Return what is to be said about a row whose item, supplier and pack size stood before."""
    if first is None:
        return ""
    same = (first.pack_price, first.lead_days, first.minimum_packs, first.step, first.least)
    if same == (offer.pack_price, offer.lead_days, offer.minimum_packs, offer.step, offer.least):
        return (
            f"{row.columns.name}, line {row.line_no}: the same row as line {first.line_no}; it is read once"
        )
    found = f"{offer.item} in packs of {offer.pack_size} stands with other figures in line {first.line_no}"
    return row.wrong("item", found, "one row for each item, supplier and pack size",
                     "delete the row that no longer holds")  # fmt: skip


def _mixed(name: str, currencies: Mapping[str, int]) -> list[CatalogueError]:
    if len(currencies) < 2:
        return []
    found = " and ".join(f"{code} (line {line})" for code, line in currencies.items())
    return [
        CatalogueError(
            f"{name}, column “currency”", f"prices in {found}", "one currency in the whole book",
            "convert the prices to one currency at the rate the club will pay",
        )
    ]  # fmt: skip
