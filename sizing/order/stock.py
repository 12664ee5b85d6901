"""What the club has already: remnants on the shelf, packs bought, pieces cut from an earlier order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from sizing.model import LeftOver, Order, ReceivedCost
from sizing.model.tags import Tagged
from sizing.order.buying import IN_HAND
from sizing.order.came import CameRope
from sizing.order.csv_table import TableRow, read_table
from sizing.order.earlier_order import PreviousOrder
from sizing.order.items import CUT_KINDS, STEP, Item
from sizing.order.length_stock import Wanted
from sizing.order.money import FLEET_ACCOUNT
from sizing.spreadsheet import from_text
from sizing.units import clip

REMNANT_ALIASES = {"length": "length", "piece": "length", "count": "quantity", "pieces": "quantity"}


@dataclass(frozen=True)
class CutStock:
    """Equal pieces cut already, by the entry number and purpose they were cut for; `issued`: she has them."""

    entry_no: str
    purpose: str
    length_mm: int
    quantity: int
    issued: bool = False


@dataclass(frozen=True)
class ClubStock:
    """By item: single lengths in mm, sums of what is not cut (in the item's unit), and pieces cut.

    `counted_mm` are those of the lengths that a stocktake found. `notes` are what is to be said of the lists
    this was read from. `last` is the order in force at the last delivery, `costs` what all that came cost,
    `tags` every length and box that ever came, with what was cut of it; `came` are
    ropes among them that came instead of what was ordered.
    """

    lengths_mm: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    sums: Mapping[str, Decimal] = field(default_factory=dict)
    cut: Mapping[str, tuple[CutStock, ...]] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    counted_mm: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    last: PreviousOrder | None = None
    costs: tuple[ReceivedCost, ...] = ()
    tags: tuple[Tagged, ...] = ()
    came: tuple[CameRope, ...] = ()

    def with_lengths(self, more: Iterable[tuple[str, Sequence[int]]]) -> ClubStock:
        """Return the same with further lengths of items."""
        lengths = dict(self.lengths_mm)
        for item, mm in more:
            lengths[item] = (*lengths.get(item, ()), *mm)
        return replace(self, lengths_mm=lengths)


def parse_remnants(data: bytes, name: str, known: Mapping[str, Item]) -> ClubStock:
    """Read remnants: columns item, length (unit in the cell or header), and quantity (1 if left out).

    Raises CatalogueError naming file, line and column for everything that cannot be used.
    """
    table = read_table(data, name, ("item", "length"), ("quantity", "unit", "note"), REMNANT_ALIASES)

    def lengths_of(row: TableRow) -> tuple[str, list[int]]:
        item = known.get(from_text(row.cells["item"]))
        if item is None or item.kind not in CUT_KINDS:
            raise row.wrong("item", f"“{clip(row.cells['item'])}”",
                            "an item of the catalogue that is cut to length",
                            "correct the id, or delete the row")  # fmt: skip
        return item.id, [int(row.size("length", "m") / STEP["m"])] * row.count("quantity", blank=1)

    return ClubStock(notes=table.notes).with_lengths(table.each(lengths_of))


def take_ready(
    wanted: Sequence[Wanted], cut: Sequence[CutStock], entries: Sequence[str]
) -> tuple[list[Wanted], list[Wanted], list[int]]:
    """Match pieces cut already with pieces wanted now.

    A piece cut for the same boat, purpose and length is hers; then any piece of exactly the length that was
    not handed out goes to whoever wants it. Returns the pieces that are ready, the pieces still wanted, and
    the lengths in mm of what was cut and nobody wants as it is.
    """
    shelf: Counter[tuple[str, str, int]] = Counter()
    issued: Counter[tuple[str, str, int]] = Counter()
    for piece in cut:
        (issued if piece.issued else shelf)[piece.entry_no, piece.purpose, piece.length_mm] += piece.quantity
    ready: Counter[int] = Counter()
    for at, want in enumerate(wanted):
        key = (entry_of(want.row, entries), want.purpose, want.length_mm)
        for there in (issued, shelf):
            hers = min(want.quantity - ready[at], there[key])
            ready[at] += hers
            there[key] -= hers
    spare: Counter[int] = Counter()
    for (_, _, length), count in shelf.items():
        spare[length] += count
    for at, want in enumerate(wanted):
        more = min(want.quantity - ready[at], spare[want.length_mm])
        ready[at] += more
        spare[want.length_mm] -= more
    taken = [replace(want, quantity=ready[at]) for at, want in enumerate(wanted) if ready[at]]
    rest = [
        replace(want, quantity=want.quantity - ready[at])
        for at, want in enumerate(wanted)
        if want.quantity > ready[at]
    ]
    return taken, rest, sorted(spare.elements())


def entry_of(row: int, entries: Sequence[str]) -> str:
    """Return the entry number of a boat's row, "" for the fleet's spares."""
    return "" if row == FLEET_ACCOUNT else entries[row]


def left_over(order: Order, stock: ClubStock, known: Mapping[str, Item]) -> tuple[LeftOver, ...]:
    """Return a sentence for each item of which more is in hand than the order takes.

    Sums by what is over; lengths by how many are not cut.
    """
    said = []
    used = {line.item: line.needed + line.spare for line in order.lines if line.supplier == IN_HAND}
    taken = {line.item: line.packs or 0 for line in order.lines if line.supplier == IN_HAND}
    for item, total in stock.sums.items():
        over = total - used.get(item, Decimal(0))
        if over > 0:
            unit = known[item].unit + ("s" if known[item].unit == "piece" and over != 1 else "")
            sentence = f"{known[item].description}: {over:f} {unit} left over."
            said.append(LeftOver(item, sentence))
    for item in dict.fromkeys((*stock.lengths_mm, *stock.cut)):
        lengths = len(stock.lengths_mm.get(item, ())) + sum(
            c.quantity for c in stock.cut.get(item, ()) if not c.issued
        )
        over_lengths = lengths - taken.get(item, 0)
        if over_lengths > 0:
            lengths_words = "1 length" if over_lengths == 1 else f"{over_lengths} lengths"
            sentence = f"{known[item].description}: {lengths_words} not cut into."
            said.append(LeftOver(item, sentence))
    return tuple(said)
