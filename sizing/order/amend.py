"""What is in hand after a season's deliveries, cuts and stocktakes, so that nothing is bought twice."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Final

from sizing.errors import CatalogueError
from sizing.model import ReceivedCost
from sizing.order.charges import costs_of
from sizing.order.csv_table import refuse
from sizing.order.delivery import Received, read_delivery
from sizing.order.earlier_order import PreviousOrder, PreviousSpool, parse_previous
from sizing.order.fitted import less_what_is_fitted, needs_then
from sizing.order.items import CUT_KINDS, STEP, Item
from sizing.order.stock import ClubStock, CutStock, parse_remnants

NO_ORDER: Final = PreviousOrder(schema=1, lines=(), spools=())


@dataclass(frozen=True)
class Delivery:
    """One delivery as it was received.

    `data` and `name` are those of its file; `order` is the order.json in force when it was received, empty if
    there was none yet.
    """

    data: bytes
    name: str
    order: bytes


@dataclass(frozen=True)
class Stocktake:
    """The last count of loose lengths on the shelf, made when `after` deliveries had been received."""

    data: bytes
    name: str
    after: int


def stock_in_hand(
    deliveries: Sequence[Delivery], shelf: Stocktake | None, known: Mapping[str, Item]
) -> ClubStock:
    """Return what the club has: all its deliveries, in the order they were received, and the last stocktake.

    Deliveries add up. `cut` in a row with packs says how many of these packs have been cut: the first spools
    of that length in the cut list of the order in force that are not cut yet, those to be bought before those
    in hand. In a row with packs 0 it says how many spools have been cut of what came before: the first of the
    cut list that are there and not cut yet, whether it took them from stock or not (of the row's pack_size,
    if it gives one). Their pieces and offcuts are in hand from then on, the spools no more.

    A stocktake counts everything loose, offcuts with it, but no whole packs and no pieces cut for a boat: it
    takes the place of all loose lengths known before it.

    Raises CatalogueError naming file, line and column for everything that cannot be used.
    """
    ledger = _Ledger()
    orders: list[PreviousOrder] = []
    costs: list[ReceivedCost] = []
    last: PreviousOrder | None = None
    parsed: dict[bytes, PreviousOrder] = {b"": NO_ORDER}
    for at, delivery in enumerate(deliveries):
        if shelf and shelf.after <= at:
            ledger.count_shelf(shelf, known)
            shelf = None
        if delivery.order not in parsed:
            parsed[delivery.order] = parse_previous(delivery.order, "order.json")
        order = parsed[delivery.order]
        if delivery.order:
            if last is not None and order is not last:
                ledger.hand_out(last, order, known)
            last = order
        orders.append(order)
        rows, notes = read_delivery(delivery.data, delivery.name, orders, known)
        ledger.notes.extend((*notes, *_doubts(rows, order, delivery, deliveries[:at])))
        ledger.receive(rows)
        costs += costs_of(rows, order)
        # what was cut before the last stocktake may come from lengths of one that it took the place of
        ledger.cut(rows, order, delivery, shelf_unknown=shelf is not None)
    if shelf:
        ledger.count_shelf(shelf, known)
    return replace(ledger.stock(), last=last, costs=tuple(costs))


@dataclass
class _Ledger:
    """What is in hand while deliveries are gone through; lengths in mm by item."""

    whole: dict[str, Counter[int]] = field(default_factory=dict)
    loose: dict[str, Counter[int]] = field(default_factory=dict)
    counted: dict[str, Counter[int]] = field(default_factory=dict)
    pieces: dict[str, Counter[CutStock]] = field(default_factory=dict)
    sums: dict[str, Decimal] = field(default_factory=dict)
    done: set[tuple[bytes, str, int]] = field(default_factory=set)
    notes: list[str] = field(default_factory=list)

    def count_shelf(self, shelf: Stocktake, known: Mapping[str, Item]) -> None:
        """Put what a stocktake found in the place of all loose lengths."""
        found = parse_remnants(shelf.data, shelf.name, known)
        self.notes.extend(found.notes)
        self.loose = {item: Counter(lengths) for item, lengths in found.lengths_mm.items()}
        self.counted = {item: Counter(lengths) for item, lengths in found.lengths_mm.items()}
        for item, lengths in self.loose.items():
            self.notes.extend(
                f"{shelf.name}: {mm * STEP['m']:f} m of {item} is as long as a pack that was received. Whole "
                "packs are counted by their delivery: leave it out if it is one of them."
                for mm in sorted(lengths.keys() & (+self.whole.get(item, Counter())).keys())
            )

    def hand_out(self, then: PreviousOrder, now: PreviousOrder, known: Mapping[str, Item]) -> None:
        """Take out what boats were given from one order to a later one: that was made of what is left."""
        before = self.stock()
        after, _ = less_what_is_fitted(before, then, needs_then(now, bought_or_not=True), now.listed, known)
        self.sums = dict(after.sums)
        self.pieces = {
            item: Counter({replace(piece, quantity=1): piece.quantity for piece in found})
            for item, found in after.cut.items()
        }
        for item, lengths in before.lengths_mm.items():
            was, left = Counter(lengths), Counter(after.lengths_mm.get(item, ()))
            loose = self.loose.setdefault(item, Counter())
            for mm in (was - left).elements():
                from_loose = loose[mm] > self.counted.get(item, Counter())[mm]
                (loose if from_loose else self.whole[item])[mm] -= 1
            loose += left - was

    def receive(self, rows: Sequence[Received]) -> None:
        """Take in whole packs and sums."""
        for got in rows:
            if got.item.kind not in CUT_KINDS:
                self.sums[got.item.id] = self.sums.get(got.item.id, Decimal(0)) + got.total
            elif got.packs and got.pack_size:
                self.whole.setdefault(got.item.id, Counter())[_mm(got.pack_size)] += got.packs

    def cut(
        self, rows: Sequence[Received], order: PreviousOrder, delivery: Delivery, *, shelf_unknown: bool
    ) -> None:
        """Put pieces and offcuts in the place of the spools that the rows say are cut."""
        problems = []
        listed: dict[str, list[PreviousSpool]] = {got.item.id: [] for got in rows if got.cut}
        for spool in order.spools:
            if spool.item in listed and spool.pieces and not spool.cut_before:
                listed[spool.item].append(spool)
        for got in (row for row in rows if row.cut):
            waiting = [
                spool
                for spool in listed[got.item.id]
                if got.pack_size in (None, spool.length_m)
                and (delivery.order, spool.item, spool.spool_no) not in self.done
            ]
            waiting.sort(key=lambda spool: (bool(got.packs) and spool.from_stock, spool.spool_no))
            left = got.cut
            for spool in waiting:
                if left and self._take_out(spool, shelf_unknown=shelf_unknown):
                    self._put_in(spool)
                    self.done.add((delivery.order, spool.item, spool.spool_no))
                    left -= 1
            if left:
                problems.append(_too_many_cut(got, got.cut - left, len(waiting)))
        if problems:
            raise refuse(delivery.name, problems)

    def _take_out(self, spool: PreviousSpool, *, shelf_unknown: bool) -> bool:
        """Take a spool that is cut out of what is in hand; False if it is not there."""
        mm = _mm(spool.length_m)
        for place in (self.loose, self.whole) if spool.from_stock else (self.whole,):
            lengths = place.get(spool.item, Counter())
            if lengths[mm]:
                lengths[mm] -= 1
                return True
        pieces = self.pieces.get(spool.item, Counter())
        spare = next((piece for piece, n in pieces.items() if n and piece.length_mm == mm), None)
        if spool.from_stock and spare:
            pieces[spare] -= 1
            return True
        return spool.from_stock and shelf_unknown

    def _put_in(self, spool: PreviousSpool) -> None:
        """Add the pieces cut from a spool, and its offcut."""
        pieces = self.pieces.setdefault(spool.item, Counter())
        for piece in spool.pieces:
            pieces[CutStock(piece.entry_no, piece.purpose, _mm(piece.length_m), 1)] += piece.quantity
        if offcut := _mm(spool.offcut_m):
            self.loose.setdefault(spool.item, Counter())[offcut] += 1

    def stock(self) -> ClubStock:
        """Return what is in hand."""
        none: Counter[int] = Counter()
        lengths = {
            item: tuple(sorted((self.whole.get(item, none) + self.loose.get(item, none)).elements()))
            for item in dict.fromkeys((*self.whole, *self.loose))
        }
        pieces = {
            item: tuple(CutStock(p.entry_no, p.purpose, p.length_mm, n) for p, n in found.items() if n)
            for item, found in self.pieces.items()
        }
        return ClubStock(
            lengths_mm={item: found for item, found in lengths.items() if found},
            sums=self.sums,
            cut={item: found for item, found in pieces.items() if found},
            notes=tuple(self.notes),
            counted_mm={
                item: tuple((found & self.loose.get(item, none)).elements())
                for item, found in self.counted.items()
            },
        )


def _doubts(
    rows: Sequence[Received], order: PreviousOrder, delivery: Delivery, before: Sequence[Delivery]
) -> list[str]:
    """A sentence for what may have been told twice: the same list again, or more packs than were ordered."""
    said = []
    if rows and any(one.data == delivery.data for one in before):
        said.append(f"{delivery.name}: the same list was received before; what it tells is counted again.")
    items = {got.item.id: got.item for got in rows}
    came: Counter[tuple[str, Decimal]] = Counter()
    for got in rows:
        came[got.item.id, got.pack_size or Decimal(0)] += got.packs
    for line in order.lines:
        came[line.item, line.pack_size or Decimal(0)] -= line.packs or 0
    said += [
        f"{delivery.name}: {more} packs of {size:f} {items[item].unit} of {items[item].description} more "
        "than the order in force asks for are received."
        for (item, size), more in came.items()
        if more > 0 and order.lines
    ]
    return said


def _too_many_cut(got: Received, cut: int, waiting: int) -> CatalogueError:
    size = f" of {got.pack_size:f} m" if got.pack_size else ""
    return got.row.wrong(
        "cut",
        f"{got.cut} lengths{size} are cut; of those in the cut list {waiting} are not cut yet, "
        f"and {cut} in hand",
        "no more than the cut list of the order then in force cuts of what is in hand",
        "give the delivery they came with first, or count what is left of them in a stocktake of the shelf",
    )


def _mm(length_m: Decimal) -> int:
    return int(length_m / STEP["m"])
