"""The tables of an order as plain columns and rows, the same for CSV and for the spreadsheet.

Nothing here knows a boat's contact details: of a boat only her entry number and her name are used.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_EVEN, Decimal
from typing import Final, Literal, TypeAlias

from sizing.model import FleetColumns, Order, OrderLine
from sizing.order.buying import IN_HAND
from sizing.order.kits import Kit
from sizing.order.length_stock import runs
from sizing.order.money import FLEET_ACCOUNT, allocate
from sizing.order.prices import PriceBook
from sizing.spreadsheet import Cell, csv_bytes, plain_text

Kind = Literal["text", "count", "quantity", "length", "money"]
Row: TypeAlias = tuple[Cell, ...]

FLEET_NAME = "fleet spares"
_FOOT: Final = Decimal("0.3048")


@dataclass(frozen=True)
class Column:
    """One column: `key` heads it in CSV, `title` in the spreadsheet; `width` in characters.

    A column of width 0 is in the CSV alone: a printed page has no room for all.
    """

    key: str
    title: str
    kind: Kind
    width: int


@dataclass(frozen=True)
class Sheet:
    """One table. Cells of a "text" column are text whatever they look like; others are numbers or blank.

    `above` are labels with what they say, for the lines above the table in the spreadsheet.
    """

    name: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    above: tuple[tuple[str, str], ...] = ()

    def csv(self) -> bytes:
        """The table as CSV, headed by the keys of its columns."""
        cells = ([_cell(column, cell) for column, cell in zip(self.columns, row, strict=True)]
                 for row in self.rows)  # fmt: skip
        return csv_bytes([[column.key for column in self.columns], *cells])


def _cell(column: Column, cell: Cell) -> Cell:
    text = cell is not None and (column.kind == "text" or isinstance(cell, str))
    return plain_text(str(cell)) if text else cell


def feet(length_m: Decimal) -> Decimal:
    """Return a length in feet to the hundredth, rounded up: nothing is cut short [SP 811].

    >>> feet(Decimal("30.48")), feet(Decimal("10"))
    (Decimal('100.00'), Decimal('32.81'))
    """
    return (length_m / _FOOT).quantize(Decimal("0.01"), rounding=ROUND_CEILING)


def decimal_m(length_m: float) -> Decimal:
    """Return a length in metres as a decimal to the millimetre."""
    return Decimal(repr(length_m)).quantize(Decimal("0.001"), rounding=ROUND_HALF_EVEN)


def columns_of(*columns: tuple[str, str, Kind, int]) -> tuple[Column, ...]:
    """Return the columns of a table: key, title, kind and width of each."""
    return tuple(Column(*column) for column in columns)


ORDER = columns_of(
    ("item", "Item", "text", 14),
    ("description", "Description", "text", 30),
    ("supplier", "Supplier", "text", 16),
    ("unit", "Unit", "text", 7),
    ("needed", "Needed", "quantity", 9),
    ("spare", "Spare", "quantity", 7),
    ("pack_size", "Pack size", "quantity", 8),
    ("pack_size_ft", "Pack size (ft)", "length", 0),
    ("packs", "Packs", "count", 7),
    ("ordered", "Ordered", "quantity", 9),
    ("ordered_ft", "Ordered (ft)", "length", 0),
    ("pack_price", "Pack price", "money", 10),
    ("amount", "Amount", "money", 11),
    ("currency", "Currency", "text", 0),
    ("lead_days", "Lead days", "count", 0),
    ("boats", "Boats", "count", 0),
    ("note", "Note", "text", 32),
)
CUTS = columns_of(
    ("item", "Item", "text", 14),
    ("spool_no", "Spool", "count", 7),
    ("taken_from", "Taken from", "text", 10),
    ("tag", "Tag", "text", 9),
    ("spool_length_m", "Spool (m)", "length", 9),
    ("spool_length_ft", "Spool (ft)", "length", 9),
    ("cut_no", "Cut", "count", 6),
    ("entry_no", "Entry", "text", 9),
    ("boat_name", "Boat", "text", 20),
    ("purpose", "Purpose", "text", 23),
    ("pieces", "Pieces", "count", 7),
    ("length_m", "Each (m)", "length", 9),
    ("length_ft", "Each (ft)", "length", 9),
    ("left_m", "Left after (m)", "length", 10),
    ("left_ft", "Left after (ft)", "length", 10),
)
KITS = columns_of(
    ("entry_no", "Entry", "text", 9),
    ("boat_name", "Boat", "text", 20),
    ("item", "Item", "text", 14),
    ("description", "Description", "text", 36),
    ("kind", "Kind", "text", 0),
    ("purpose", "Purpose", "text", 34),
    ("quantity", "Quantity", "count", 9),
    ("length_m", "Each (m)", "length", 8),
    ("length_ft", "Each (ft)", "length", 8),
    ("source", "Source", "text", 0),
    ("marks", "Marks", "text", 16),
    ("build_hours", "Build hours", "quantity", 6),
)
ALLOCATION = columns_of(
    ("item", "Item", "text", 14),
    ("description", "Description", "text", 46),
    ("entry_no", "Entry", "text", 9),
    ("boat_name", "Boat", "text", 24),
    ("quantity", "Quantity", "quantity", 11),
    ("unit", "Unit", "text", 7),
    ("amount", "Share of amount", "money", 15),
    ("currency", "Currency", "text", 10),
)
PRICES = columns_of(
    ("item", "Item", "text", 14),
    ("description", "Description", "text", 40),
    ("supplier", "Supplier", "text", 20),
    ("pack_size", "Pack size", "quantity", 8),
    ("unit", "Unit", "text", 7),
    ("pack_price", "Pack price", "money", 10),
    ("currency", "Currency", "text", 10),
    ("lead_days", "Lead days", "count", 7),
    ("minimum_packs", "Least packs", "count", 7),
    ("length_step", "Cut in steps of", "quantity", 9),
    ("least_length", "Least length", "quantity", 9),
    ("line", "Line in price book", "count", 9),
)
PROBLEMS = columns_of(
    ("entry_no", "Entry", "text", 9), ("boat_name", "Boat", "text", 24), ("item", "Item", "text", 14),
    ("problem", "What could not be ordered, and why", "text", 100),
)  # fmt: skip
LEFT_OVER = columns_of(("item", "Item", "text", 14), ("left_over", "In hand and not needed", "text", 100))


class Names:
    """Entry number and name of each boat's row; all a table may say of her."""

    def __init__(self, fleet: FleetColumns) -> None:
        self._entries = [str(entry) for entry in fleet.text["entry_no"]]
        self._names = [str(name) for name in fleet.text["boat_name"]]

    def of(self, row: int | None) -> tuple[str, str]:
        """Return a boat's entry number and name; the fleet's account has a name alone."""
        if row is None:
            return "", ""
        return ("", FLEET_NAME) if row == FLEET_ACCOUNT else (self._entries[row], self._names[row])


def order_sheet(order: Order) -> Sheet:
    """Return the lines to buy."""
    return Sheet("Order", ORDER, tuple(_order_row(line, order.currency) for line in order.lines))


def _order_row(line: OrderLine, currency: str) -> Row:
    ordered = line.pack_size * line.packs if line.pack_size is not None and line.packs is not None else None
    in_metres = line.unit == "m"
    return (
        line.item, line.description, line.supplier, line.unit, line.needed, line.spare, line.pack_size,
        feet(line.pack_size) if in_metres and line.pack_size is not None else None, line.packs, ordered,
        feet(ordered) if in_metres and ordered is not None else None, line.pack_price, line.amount,
        currency if line.amount is not None else "", line.lead_days, len(line.boats), line.note,
    )  # fmt: skip


def in_hand_lengths(order: Order) -> dict[str, int]:
    """Return how many of an item's spools are lengths in hand; they have the lowest numbers."""
    return {line.item: line.packs for line in order.lines if line.supplier == IN_HAND and line.packs}


def cuts_sheet(order: Order, names: Names) -> Sheet:
    """Return every spool and what is cut from it, in order, with the length left after each cut."""
    shelf = in_hand_lengths(order)
    rows: list[Row] = []
    for spool in order.spools:
        source = IN_HAND if spool.spool_no <= shelf.get(spool.item, 0) else "spool"
        whole = decimal_m(spool.spool_length_m)
        used = sum((decimal_m(piece.length_m) * count for piece, count in runs(spool)), Decimal(0))
        # whatever the end of the spool loses is lost at its end, after the last cut
        left = whole if not spool.pieces else decimal_m(spool.offcut_m) + used
        head = (spool.item, spool.spool_no, source, spool.tag, whole, feet(whole))
        for number, (piece, count) in enumerate(runs(spool), 1):
            each = decimal_m(piece.length_m)
            left -= each * count
            cut = (number, *names.of(piece.row), piece.purpose, count, each, feet(each))
            rows.append((*head, *cut, left, feet(left)))
        if not spool.pieces:
            rows.append((*head, None, "", "", "not cut", None, None, None, left, feet(left)))
    return Sheet("Cuts", CUTS, tuple(rows))


def kits_sheet(kits: Sequence[Kit], descriptions: Mapping[str, str]) -> Sheet:
    """Return every piece of every boat's kit; the hours stand on her first row."""
    rows: list[Row] = []
    for kit in kits:
        for at, piece in enumerate(kit.contents):
            length = None if piece.length_m is None else decimal_m(piece.length_m)
            marked = kit.marks if piece.purpose.startswith(("cone line", "extension")) else ""
            hours = Decimal(repr(kit.hours)).quantize(Decimal("0.1")) if at == 0 else None
            rows.append((
                kit.entry_no, kit.boat_name, piece.item, descriptions.get(piece.item, ""), piece.kind,
                piece.purpose, piece.quantity, length, None if length is None else feet(length), piece.source,
                marked if piece.kind == "rope" else "", hours,
            ))  # fmt: skip
    return Sheet("Kits", KITS, tuple(rows))


def allocation_sheet(order: Order, names: Names) -> Sheet:
    """Return each boat's quantity of each item and her share of what it costs."""
    shares = allocate(order.lines) if order.total is not None else {}
    rows: list[Row] = []
    for item, lines in _by_item(order.lines).items():
        quantities: dict[int, Decimal] = {}
        for line in lines:
            for row, quantity in line.boats.items():
                quantities[row] = quantities.get(row, Decimal(0)) + quantity
        amounts = shares.get(item, {})
        for row in sorted(quantities.keys() | amounts.keys()):
            amount = amounts.get(row)
            rows.append((
                item, lines[0].description, *names.of(row), quantities.get(row, Decimal(0)), lines[0].unit,
                amount, order.currency if amount is not None else "",
            ))  # fmt: skip
    return Sheet("Allocation", ALLOCATION, tuple(rows))


def _by_item(lines: Sequence[OrderLine]) -> dict[str, list[OrderLine]]:
    found: dict[str, list[OrderLine]] = {}
    for line in lines:
        found.setdefault(line.item, []).append(line)
    return found


def prices_sheet(prices: PriceBook | None) -> Sheet:
    """Return the price book as it was read; empty without one."""
    rows = tuple(
        (
            offer.item, offer.description, offer.supplier, offer.pack_size, offer.unit, offer.pack_price,
            prices.currency if offer.pack_price is not None else "", offer.lead_days, offer.minimum_packs,
            offer.step, offer.least, offer.line_no,
        )
        for offers in (prices.offers.values() if prices else ())
        for offer in offers
        if prices
    )  # fmt: skip
    return Sheet("Prices", PRICES, rows)


def left_over_sheet(order: Order) -> Sheet:
    """Return what is in hand and not needed."""
    return Sheet("Left over", LEFT_OVER, tuple((one.item, one.sentence) for one in order.left_over))


def problems_sheet(order: Order, names: Names) -> Sheet:
    """Return what could not be ordered, and why."""
    rows = tuple((*names.of(problem.row), problem.item, problem.sentence) for problem in order.problems)
    return Sheet("Problems", PROBLEMS, rows)
