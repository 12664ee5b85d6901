"""The list of one delivery: what came, and how many packs have been cut since the one before."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from sizing.order.buying import IN_HAND, NOT_ORDERED
from sizing.order.came import CAME_COLUMNS, CameRope, came_instead
from sizing.order.csv_table import TableRow, read_table, refuse
from sizing.order.earlier_order import PreviousOrder
from sizing.order.items import CUT_KINDS, Item
from sizing.spreadsheet import from_text
from sizing.units import clip

REQUIRED = ("item",)
OPTIONAL = (
    "packs", "received", "pack_size", "quantity", "unit", "cut", "supplier", "note", "currency", "extra",
    *CAME_COLUMNS,
)  # fmt: skip
ALIASES = {
    "bought": "packs",
    "spools": "packs",
    "packs_received": "received",
    "size": "pack_size",
    "spool_length": "pack_size",
    "units": "unit",
    "spools_cut": "cut",
    "packs_cut": "cut",
    "item_id": "item",
}
FAR_LARGER = 10
"""So many times the largest pack ordered is no pack that came."""
BLANK = b"\xef\xbb\xbf \t\r\n"


@dataclass(frozen=True)
class Received:
    """One row of a delivery: whole packs, or a plain sum; `cut` packs have been cut.

    `pack_size` is None in a row that has cut packs alone and does not say of which length. `came` is what
    came instead, and then `item` is that; `instead_of` is what was ordered.
    """

    row: TableRow
    item: Item
    packs: int
    pack_size: Decimal | None
    total: Decimal
    cut: int
    came: CameRope | None = None
    instead_of: str = ""


def read_delivery(
    data: bytes, name: str, orders: Sequence[PreviousOrder], known: Mapping[str, Item]
) -> tuple[tuple[Received, ...], tuple[str, ...]]:
    """Read the list of one delivery: its rows, and what is to be said of the list.

    Columns are item and packs (with pack_size), or item and quantity with its unit; `received` is stronger
    than packs, for an order's own table with that column put beside it. A pack size left out is that of
    the order, if it has one only: the order in force is the last of `orders`, and those before it are asked
    in turn. `cut` counts packs that have been cut. Other columns of an order's table are not read, and its
    lines of what was in hand or not ordered are no delivery.

    Raises CatalogueError naming file, line and column for everything that cannot be used.
    """
    if not data.strip(BLANK):
        return (), (f"{name}: it is empty; nothing of it is taken as received.",)
    table = read_table(data, name, REQUIRED, OPTIONAL, ALIASES, feet_twins=True)
    rows = [found for found in table.each(lambda row: _read(row, orders, known)) if found is not None]
    rows = [_as_it_came(got) for got in rows]
    notes = list(table.notes)
    in_hand = sum(row.cell("supplier") == IN_HAND for row in table.rows)
    if in_hand:
        lines = "1 line is" if in_hand == 1 else f"{in_hand} lines are"
        notes.append(f"{name}: {lines} of what was in hand before, and no delivery.")
    if not any(row.total or row.cut for row in rows):
        notes.append(f"{name}: no line of it says that anything was received or cut.")
    return tuple(rows), tuple(notes)


def _as_it_came(got: Received) -> Received:
    """The row with what came in the place of what was ordered, where it says so."""
    came = came_instead(got.row, got.item, bool(got.packs))
    return got if came is None else replace(got, item=came.item, came=came, instead_of=got.item.id)


def refuse_what_was_not_ordered(
    rows: Sequence[Received], name: str, orders: Sequence[PreviousOrder], before: Sequence[Received]
) -> None:
    """Refuse a delivery, naming each cell, that cannot be of the order in force, the last of `orders`.

    `before` are rows received for that same order. Said are items that no order of the season had, more packs
    than were ordered and did not come yet, a supplier who was not ordered from, and another currency. What
    came all the same is told in the column extra.
    """
    order = orders[-1]
    if not order.lines:
        return
    ever = {line.item for one in orders for line in one.lines}
    sellers = {line.supplier for one in orders for line in one.lines if line.supplier not in ("", IN_HAND)}
    left = Counter[str]()
    for line in order.lines:
        if line.supplier != IN_HAND and line.pack_size is not None:
            left[line.item] += line.pack_size * (line.packs or 0)  # type: ignore[assignment]
    for got in before:
        _take(got, left)
    problems = []
    for got in rows:
        row, item = got.row, got.instead_of or got.item.id
        wait = max(Decimal(0), Decimal(left[item]))
        if got.total and item not in ever:
            problems.append(row.wrong(
                "item", f"“{item}” was never ordered", "an item of an order of this season",
                "correct the id. What was there before belongs into a stocktake of the shelf, and what came "
                "in the place of something else into the row of that",
            ))  # fmt: skip
        elif got.total > wait and not row.cell("extra") and not (got.came and wait):
            problems.append(row.wrong(
                _count_of(row), f"{got.total:f} {got.item.unit} came",
                f"at most {wait:f} {got.item.unit}, which are ordered and did not come yet",
                "correct the number or the pack size. If more was sent, give that a row of its own, with "
                "yes in a column extra",
            ))  # fmt: skip
        _take(got, left)
        seller, currency = from_text(row.cell("supplier")), row.cell("currency").upper()
        if sellers and seller and seller not in sellers:
            problems.append(row.wrong(
                "supplier", f"nothing was ordered from “{clip(seller)}”",
                f"one of {', '.join(sorted(sellers))}", "correct the name, or leave the cell empty",
            ))  # fmt: skip
        if order.currency and currency and currency != order.currency:
            problems.append(row.wrong(
                "currency", f"“{clip(currency)}”", f"{order.currency}, as ordered",
                "write the price in that, or have the bill made out anew",
            ))  # fmt: skip
    if problems:
        raise refuse(name, problems)


def _take(got: Received, left: Counter[str]) -> None:
    if not got.row.cell("extra"):
        left[got.instead_of or got.item.id] -= got.total  # type: ignore[assignment]


def _count_of(row: TableRow) -> str:
    return next((name for name in ("received", "packs", "quantity") if row.cell(name)), "packs")


def _read(row: TableRow, orders: Sequence[PreviousOrder], known: Mapping[str, Item]) -> Received | None:
    """Read one row whole; None for one that is no delivery."""
    no_delivery = row.cell("supplier") == IN_HAND or row.cell("note") == NOT_ORDERED
    count = "received" if "received" in row.columns.headers else "packs"
    nothing_came = count == "received" and not row.cell(count) and not row.cell("cut")
    if no_delivery or nothing_came or not any(row.cells.values()):
        return None
    item = known.get(from_text(row.cells["item"]))
    if item is None:
        found = f"“{clip(row.cells['item'])}” is not in the catalogue"
        raise row.wrong(
            "item",
            found,
            "an item of the order",
            "copy the id from order.csv, or give the catalogue that has it (--catalogue)",
        )
    cut, packs = row.count("cut"), row.count(count)
    if cut and item.kind not in CUT_KINDS:
        raise row.wrong("cut", f"{cut} cut of {item.description}", "packs of what is cut in single lengths",
                        "leave the cell empty")  # fmt: skip
    if cut and not packs and not row.cell("quantity"):
        size = row.size("pack_size", item.unit) if row.cell("pack_size") else None
        return Received(row, item, 0, size, Decimal(0), cut)
    if row.cell(count):
        pack = _pack_size(row, item, orders) if packs else Decimal(0)
        total = pack * packs
    elif row.cell("quantity"):
        total = row.size("quantity", item.unit)
        if item.kind not in CUT_KINDS:
            return Received(row, item, 0, None, total, 0)
        pack = _pack_size(row, item, orders)
        if total % pack:
            found = f"{total} m is not a whole number of packs of {pack} m"
            mend = "give packs and pack_size, and loose lengths in a stocktake of the shelf"
            raise row.wrong("quantity", found, "whole packs", mend)
        packs = int(total / pack)
    else:
        raise row.wrong("item", f"{item.id} has no packs and no quantity", "how much was received",
                        "fill in packs or quantity, or delete the row if nothing of it came")  # fmt: skip
    if cut > packs:
        raise row.wrong("cut", f"{cut} cut of {packs} received", "no more than were received",
                        "correct one of the two; what came before and is cut now has a row of its own, with "
                        "packs 0")  # fmt: skip
    return Received(row, item, packs, pack, total, cut)


def _pack_size(row: TableRow, item: Item, orders: Sequence[PreviousOrder]) -> Decimal:
    """Return the pack size a row gives, or that of the latest order that has the item, if it has one only."""
    sizes = next((found for order in reversed(orders) if (found := set(_sizes(order, item)))), set())
    if row.cell("pack_size"):
        size = row.size("pack_size", item.unit)
        if sizes and size > FAR_LARGER * max(sizes):
            unit, most = item.unit, max(sizes)
            large = f"packs of {size:f} {unit}, and the order has none larger than {most:f} {unit}"
            mend = "write it as ordered; a spreadsheet program may have read a decimal sign as thousands"
            raise row.wrong("pack_size", large, "packs of about the size ordered", mend)
        return size
    if len(sizes) != 1:
        none = f"no pack size is given, and the order has {len(sizes) or 'none'} of {item.id}"
        raise row.wrong("pack_size", none, "the size of the packs received", "fill in pack_size")
    return next(iter(sizes))


def _sizes(order: PreviousOrder, item: Item) -> Iterable[Decimal]:
    return (line.pack_size for line in order.lines if line.item == item.id and line.pack_size)
