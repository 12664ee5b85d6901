"""Replies of suppliers read back; whatever cannot be used is named by file and cell, and none is taken."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any, Final, TypeVar

from sizing.errors import CatalogueError
from sizing.order.amounts import decimal_sign
from sizing.order.csv_table import refuse
from sizing.order.money import CENT
from sizing.order.quotes.asked import Pack, Round
from sizing.order.quotes.figures import day, figure, money, number, same
from sizing.order.quotes.grid import MOST_COLUMNS, Grid, read_grid
from sizing.order.quotes.layout import (
    CARRIAGE,
    PLACE,
    SUM,
    TOTAL,
    VAT,
    Field,
    line_sum,
    totals,
)
from sizing.order.quotes.reply_head import currency_of, places_above, supplier_of
from sizing.units import DecimalSign, clip

FAR_OFF: Final = 20
"""So many times the price book's price, or so many times less, is a slip of the sign or of the pack."""
HIGHEST: Final = Decimal(1_000_000)
"""A price of a pack of which the price book says nothing."""
_LABELS_BELOW: Final = (SUM, CARRIAGE, VAT, TOTAL)
_MONEY: Final[tuple[Field, ...]] = ("least_order", "carriage")
_DAYS: Final[tuple[Field, ...]] = ("delivered_all", "held_until")
T = TypeVar("T")


@dataclass(frozen=True)
class Quote:
    """What a supplier answers about one pack: price for it, day of delivery, what he offers in its place."""

    pack: Pack
    price: Decimal
    delivered: date | None
    instead: str = ""
    strength_kn: Decimal | None = None


@dataclass(frozen=True)
class Reply:
    """One supplier's whole answer. `notes` are what was taken for granted in reading it."""

    name: str
    supplier: str
    currency: str
    quotes: tuple[Quote, ...]
    held_until: date | None = None
    least_order: Decimal = Decimal(0)
    carriage: Decimal = Decimal(0)
    vat_percent: Decimal | None = None
    remarks: str = ""
    notes: tuple[str, ...] = ()


def read_replies(files: Sequence[tuple[str, bytes]], asked: Round) -> tuple[Reply, ...]:
    """Read all replies to one round, each with its file's name.

    Raises CatalogueError for all that is wrong in any of them, each with file and cell: then none is taken.
    """
    problems: list[CatalogueError] = []
    replies: list[Reply] = []
    seen: dict[str, str] = {}
    for name, data in files:
        digest = hashlib.sha256(data).hexdigest()
        try:
            if digest in seen:
                raise CatalogueError(
                    name, f"it is the same file as {seen[digest]}", "each reply once", "leave one of them out"
                )
            seen[digest] = name
            reply = read_reply(data, name, asked)
            replies.append(reply)
            other = next((one for one in replies[:-1] if one.supplier == reply.supplier), None)
            if other is not None:
                found = f"{reply.supplier} has replied in {other.name} too"
                raise CatalogueError(name, found, "one reply of each supplier", "leave out the older one")
            if reply.currency != replies[0].currency:
                raise CatalogueError(
                    name,
                    f"prices in {reply.currency}, and in {replies[0].name} in {replies[0].currency}",
                    "one currency in all replies",
                    "ask the supplier for prices in the other's currency",
                )
        except CatalogueError as problem:
            problems.append(problem)
    if problems:
        raise refuse("the replies", problems)
    return tuple(replies)


def read_reply(data: bytes, name: str, asked: Round) -> Reply:
    """Read one reply; CatalogueError for everything in it that cannot be used."""
    return _Reading(read_grid(data, name), asked).reply()


@dataclass
class _Reading:
    """One file while it is read: what is wrong is gathered, so that all of it can be told at once."""

    grid: Grid
    asked: Round
    problems: list[CatalogueError] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    sign: DecimalSign | None = None

    def reply(self) -> Reply:
        head, self.at = self.grid.columns()
        self.rows = list(self._item_rows(head))
        said, grid, asked = places_above(self.grid, head), self.grid, self.asked
        self._decimal_sign([said[field] for field in _MONEY if field in said])
        supplier = self.tried(supplier_of, grid, said, asked) or ""
        currency = self.tried(currency_of, grid, said, asked) or ""
        money_of = {field: self.tried(self._money, *said[field]) for field in _MONEY if field in said}
        days = {field: self.tried(day, grid, said[field]) for field in _DAYS if field in said}
        vat = self.tried(number, grid, said["vat_percent"], 50) if "vat_percent" in said else None
        remarks = self.tried(grid.text, *said["remarks"]) if "remarks" in said else ""
        answered = self.tried(grid.text, *said["number"]) if "number" in said else ""
        quotes: list[Quote] = []
        if supplier:
            strict = self._answers_this(answered or "")
            quotes = self._quotes(supplier, days.get("delivered_all"), strict=strict)
        if grid.is_workbook and self.rows:
            for row, (_, formula) in enumerate(totals(self.rows[0], self.rows[-1]), self.rows[-1] + 2):
                self._check_formula(row, PLACE["sum"], formula)
        if self.problems:
            raise refuse(grid.name, self.problems)
        if not quotes:
            self.notes.append(f"{grid.name}: no price is filled in.")
        return Reply(
            grid.name, supplier, currency, tuple(quotes), days.get("held_until"),
            money_of.get("least_order") or Decimal(0), money_of.get("carriage") or Decimal(0), vat,
            remarks or "", tuple(self.notes),
        )  # fmt: skip

    def tried(self, read: Callable[..., T], *given: Any) -> T | None:
        """What `read` makes of what is given; None, and the problem kept, where it refuses."""
        try:
            return read(*given)
        except CatalogueError as problem:
            self.problems.append(problem)
            return None

    def _item_rows(self, head: int) -> Iterator[int]:
        """The rows of the table; it ends where the sums begin."""
        for row in range(head + 1, self.grid.last_row + 1):
            here = [self.grid.cells[row, at] for at in range(1, MOST_COLUMNS) if (row, at) in self.grid.cells]
            if any(str(cell.value).strip() in _LABELS_BELOW for cell in here):
                return
            if here:
                yield row

    def _decimal_sign(self, above: Sequence[tuple[int, int]]) -> None:
        places = [*above, *((row, self.at["price"]) for row in self.rows)]
        cells = [self.grid.cells.get(place) for place in places]
        texts = [one.value for one in cells if one is not None and isinstance(one.value, str)]
        try:
            self.sign = decimal_sign(texts)
        except CatalogueError as problem:
            where = f"{self.grid.name}, {problem.where}"
            self.problems.append(CatalogueError(where, problem.found, problem.expected, problem.mend))

    def _answers_this(self, number: str) -> bool:
        if number.upper() == self.asked.number:
            return True
        which = f"request {clip(number)}" if number else "a request without number"
        self.notes.append(
            f"{self.grid.name}: it answers {which}, and the order now asks by {self.asked.number}; its"
            " prices for packs are taken, and the numbers of packs are those of now."
        )
        return False

    def _quotes(self, supplier: str, by: date | None, *, strict: bool) -> list[Quote]:
        named = supplier if supplier in self.asked.suppliers else ""
        waiting = [pack.model_copy(update={"supplier": supplier}) for pack in self.asked.asked_of(named)]
        quotes = []
        for row in self.rows:
            pack = self.tried(self._pack, row, waiting, strict)
            if pack is None:
                continue
            waiting.remove(pack)
            quote = self.tried(self._quote, row, pack, by, strict)
            if quote is not None:
                quotes.append(quote)
        return quotes

    def _pack(self, row: int, waiting: Sequence[Pack], strict: bool) -> Pack | None:
        """The pack that a row is about; None for one that an earlier request asked and this does not."""
        item, at = self.grid.text(row, self.at["item"]), self.at["pack_size"]
        size = self.grid.cells.get((row, at))
        for pack in waiting:
            if pack.item.casefold() == item.casefold() and size and same(size.value, pack.pack_size):
                return pack
        shown = f"{clip(item)} in packs of {size.shown if size else 'no size'}"
        if strict:
            raise self.grid.wrong(
                row,
                self.at["item"],
                f"{shown} was not asked for, or stands in a row before",
                "the rows of the request, each once",
                "delete the row; what differs from the request belongs into “Offered instead”",
            )
        self.notes.append(f"{self.grid.place(row, 1)}: {shown} is not asked for now; the row is not used.")
        return None

    def _quote(self, row: int, pack: Pack, by: date | None, strict: bool) -> Quote | None:
        if self.grid.is_workbook:
            self._check_formula(row, self.at.get("sum", PLACE["sum"]), line_sum(row))
        packs_at = self.at.get("packs")
        packs = self.grid.cells.get((row, packs_at)) if packs_at else None
        asked = pack.packs or Decimal(0)
        only = packs is not None and packs.value == "price only"
        if strict and packs_at and not (only and not asked) and not (packs and same(packs.value, asked)):
            raise self.grid.wrong(
                row,
                packs_at,
                f"{packs.shown if packs else 'nothing'} packs",
                f"{asked:f}, as asked",
                "put the number back; say in “Offered instead” what is offered",
            )
        cell = (row, self.at["price"])
        if cell not in self.grid.cells:
            return None
        price = self._money(*cell)
        if price <= 0:
            raise self.grid.wrong(
                *cell,
                f"the price is {price}",
                "a price above 0",
                "write the price of one pack, or leave the cell empty for what is not sold",
            )
        self._check_far_off(cell, pack, price)
        if not self.grid.is_workbook and "sum" in self.at:
            self._check_sum(row, price * (figure(packs.value) if packs and not only else asked))
        own = day(self.grid, (row, self.at["delivered"])) if "delivered" in self.at else None
        strength = (
            number(self.grid, (row, self.at["strength_kn"]), most=5000) if "strength_kn" in self.at else None
        )
        instead = self.grid.text(row, self.at["instead"]) if "instead" in self.at else ""
        return Quote(pack, price, own or by, instead, strength)

    def _money(self, row: int, at: int) -> Decimal:
        return money(self.grid, (row, at), self.sign, self.asked.currency)

    def _check_far_off(self, cell: tuple[int, int], pack: Pack, price: Decimal) -> None:
        known = pack.price
        low, high = (known / FAR_OFF, known * FAR_OFF) if known else (CENT, HIGHEST)
        if not low <= price <= high:
            likely = f"about {known} as in the price book" if known else f"at most {HIGHEST:,} for a pack"
            raise self.grid.wrong(
                *cell,
                f"{price} for a pack of {pack.pack_size.normalize():f} {pack.unit}",
                likely,
                "ask the supplier; if it is right, correct the price book and ask anew",
            )

    def _check_formula(self, row: int, at: int, expected: str) -> None:
        cell = self.grid.cells.get((row, at))
        if cell is None or not cell.is_formula or _bare(str(cell.value)) != _bare(expected):
            found = f"{cell.shown} stands there" if cell else "the cell is empty"
            self.problems.append(
                self.grid.wrong(
                    row,
                    at,
                    f"the sum was overwritten: {found}",
                    f"the formula {expected}",
                    "put the formula back, or copy the prices into the workbook as it was sent",
                )
            )

    def _check_sum(self, row: int, expected: Decimal) -> None:
        """Of a CSV, where a sum is a figure: that it is packs times price."""
        cell = (row, self.at["sum"])
        if cell in self.grid.cells and abs(self._money(*cell) - expected) > CENT:
            raise self.grid.wrong(
                *cell,
                f"the sum is {self.grid.cells[cell].shown}",
                f"{expected:.2f}, packs times price",
                "correct the price or the sum",
            )


def _bare(formula: str) -> str:
    return formula.replace(" ", "").replace("$", "").upper()
