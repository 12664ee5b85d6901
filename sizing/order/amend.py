"""What is in hand after a season's deliveries, cuts and stocktakes, so that nothing is bought twice."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Final, Literal

from sizing.errors import CatalogueError
from sizing.model import ReceivedCost
from sizing.model.tags import IN_HAND, State
from sizing.order.came import CameRope
from sizing.order.charges import costs_of
from sizing.order.csv_table import refuse
from sizing.order.delivery import Received, read_delivery, refuse_what_was_not_ordered
from sizing.order.earlier_order import PreviousOrder, PreviousSpool, parse_previous
from sizing.order.fitted import less_what_is_fitted, needs_then
from sizing.order.handing import hand_over
from sizing.order.items import CUT_KINDS, STEP, Item
from sizing.order.stock import ClubStock, CutStock, parse_remnants
from sizing.order.tags import TagBook

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
    """The last count of loose lengths on the shelf.

    It was made when `after` deliveries had been received, and after so many lists of what was `handed`.
    """

    data: bytes
    name: str
    after: int
    handed: int = 0


@dataclass(frozen=True)
class Handed:
    """A list of what was handed out to boats, or came back, when `after` deliveries had been received."""

    data: bytes
    name: str
    kind: Literal["issue", "return"]
    after: int


def stock_in_hand(
    deliveries: Sequence[Delivery], shelf: Stocktake | None, known: Mapping[str, Item], *,
    handed: Sequence[Handed] = (), new: bool = False,
) -> ClubStock:  # fmt: skip
    """Return what the club has: all its deliveries, in the order they were received, and the last stocktake.

    Deliveries add up. `cut` in a row with packs says how many of these packs have been cut: the first spools
    of that length in the cut list of the order in force that are not cut yet, those to be bought before those
    in hand. In a row with packs 0 it says how many spools have been cut of what came before: the first of the
    cut list that are there and not cut yet, whether it took them from stock or not (of the row's pack_size,
    if it gives one). Their pieces and offcuts are in hand from then on, the spools no more.

    A stocktake counts everything loose, offcuts with it, but no whole packs and no pieces cut for a boat: it
    takes the place of all loose lengths known before it.

    What is `handed` out to a boat still counts for her need, and for no other's; what comes back is loose.

    With `new` the last delivery is one that is being received: one that was received before, and what was not
    ordered, is refused. What was once taken in is never refused later.

    Raises CatalogueError naming file, line and column for everything that cannot be used.
    """
    ledger = _Ledger()
    orders: list[PreviousOrder] = []
    costs: list[ReceivedCost] = []
    came: dict[str, CameRope] = {}
    received: list[tuple[bytes, tuple[Received, ...]]] = []
    last: PreviousOrder | None = None
    parsed: dict[bytes, PreviousOrder] = {b"": NO_ORDER}
    counted = shelf is None
    waiting: list[tuple[int, int, Stocktake | Handed]] = [
        (one.after, 2 * at + 1, one) for at, one in enumerate(handed)
    ]
    waiting += [(shelf.after, 2 * shelf.handed, shelf)] if shelf else []
    waiting.sort(key=lambda event: event[:2])
    for at, delivery in enumerate(deliveries):
        while waiting and waiting[0][0] <= at:
            counted |= ledger.between(waiting.pop(0)[2], known)
        if delivery.order not in parsed:
            parsed[delivery.order] = parse_previous(delivery.order, "order.json")
        order = parsed[delivery.order]
        if delivery.order:
            if last is not None and order is not last:
                ledger.hand_out(last, order, known)
            last = order
        orders.append(order)
        rows, notes = read_delivery(delivery.data, delivery.name, orders, known)
        if new and at == len(deliveries) - 1:
            _refuse_if_known(rows, delivery, deliveries[:at])
            same = [row for order, earlier in received if order == delivery.order for row in earlier]
            refuse_what_was_not_ordered(rows, delivery.name, orders, same)
        received.append((delivery.order, rows))
        came |= {row.item.id: row.came for row in rows if row.came}
        known = {**known, **{item: rope.item for item, rope in came.items()}}
        ledger.notes.extend((*notes, *_doubts(rows, order, delivery, deliveries[:at])))
        ledger.receive(rows, delivery.name)
        costs += costs_of(rows, order)
        # what was cut before the last stocktake may come from lengths of one that it took the place of
        ledger.cut(rows, order, delivery, shelf_unknown=not counted)
    for _, _, event in waiting:
        ledger.between(event, known)
    return replace(ledger.stock(), last=last, costs=tuple(costs), came=tuple(came.values()))


@dataclass
class _Ledger:
    """What is in hand while deliveries are gone through: the book of tags, and all else follows from it."""

    book: TagBook = field(default_factory=TagBook)
    done: set[tuple[bytes, str, int]] = field(default_factory=set)
    notes: list[str] = field(default_factory=list)

    def between(self, event: Stocktake | Handed, known: Mapping[str, Item]) -> bool:
        """Take in what was recorded between deliveries; whether it was a stocktake."""
        if isinstance(event, Handed):
            hand_over(self.book, event.data, event.name, back=event.kind == "return")
            return False
        self.count_shelf(event, known)
        return True

    def count_shelf(self, shelf: Stocktake, known: Mapping[str, Item]) -> None:
        """Put what a stocktake found in the place of all loose lengths; one that is as long keeps its tag."""
        found = parse_remnants(shelf.data, shelf.name, known)
        self.notes.extend(found.notes)
        left = {item: Counter(lengths) for item, lengths in found.lengths_mm.items()}
        for one in self.book.tags:
            if one.state == "offcut":
                here = left.get(one.item, Counter())[one.length_mm] > 0
                self.book.put(one, "offcut" if here else "not found")
                if here:
                    left[one.item][one.length_mm] -= 1
                    self.book.by_tag[one.tag] = replace(one, counted=True)
        for item, lengths in left.items():
            for mm in lengths.elements():
                self.book.add(known[item], mm * STEP["m"], "offcut", shelf.name, counted=True)
        for item, counted in found.lengths_mm.items():
            packs = {one.length_mm for one in self.book.tags if (one.item, one.state) == (item, "whole")}
            self.notes.extend(
                f"{shelf.name}: {mm * STEP['m']:f} m of {item} is as long as a pack that was received. Whole "
                "packs are counted by their delivery: leave it out if it is one of them."
                for mm in sorted({*counted} & packs)
            )

    def hand_out(self, then: PreviousOrder, now: PreviousOrder, known: Mapping[str, Item]) -> None:
        """Take out what boats were given from one order to a later one: that was made of what is left."""
        wants = needs_then(now, bought_or_not=True)
        after, _ = less_what_is_fitted(self.stock(), then, wants, now.listed, known)
        self.book = TagBook.of(after.tags)

    def receive(self, rows: Sequence[Received], name: str) -> None:
        """Take in whole packs and sums: a tag for each length, roll, and box or bag."""
        for got in rows:
            if got.item.kind in CUT_KINDS or (got.item.unit != "piece" and got.packs and got.pack_size):
                for _ in range(got.packs):
                    self.book.add(got.item, got.pack_size or Decimal(0), "whole", name)
            elif got.total:
                self.book.add(got.item, got.total, "whole", name)

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
                if left and self._cut(spool, got.item, delivery.name, shelf_unknown=shelf_unknown):
                    self.done.add((delivery.order, spool.item, spool.spool_no))
                    left -= 1
            if left:
                problems.append(_too_many_cut(got, got.cut - left, len(waiting)))
        if problems:
            raise refuse(delivery.name, problems)

    def _cut(self, spool: PreviousSpool, item: Item, name: str, *, shelf_unknown: bool) -> bool:
        """Cut a spool of the cut list, by its tag where it had one; False if it is not there."""
        mm = _mm(spool.length_m)
        named = self.book.by_tag.get(spool.tag)
        known = named is not None and (named.item, named.length_mm) == (spool.item, mm)
        whole = named if known and named and named.state in IN_HAND else None
        if whole is None:
            states: tuple[State, ...] = ("offcut", "whole", "piece") if spool.from_stock else ("whole",)
            whole = self.book.find(spool.item, mm, *states)
        if whole is None:
            if not (spool.from_stock and shelf_unknown):
                return False
            whole = self.book.add(item, spool.length_m, "offcut", name)
        pieces: list[tuple[str, str, int, State]] = [
            (piece.entry_no, piece.purpose, _mm(piece.length_m), "piece")
            for piece in spool.pieces
            for _ in range(piece.quantity)
        ]
        self.book.cut(whole, pieces, _mm(spool.offcut_m))
        return True

    def stock(self) -> ClubStock:
        """Return what is in hand."""
        lengths: dict[str, list[int]] = {}
        counted: dict[str, list[int]] = {}
        pieces: dict[str, Counter[CutStock]] = {}
        sums: dict[str, Decimal] = {}
        for one in self.book.tags:
            if not one.single:
                sums[one.item] = sums.get(one.item, Decimal(0)) + one.left
            elif one.state in ("whole", "offcut"):
                lengths.setdefault(one.item, []).append(one.length_mm)
                if one.counted:
                    counted.setdefault(one.item, []).append(one.length_mm)
            elif one.state in ("piece", "issued") and one.purpose:
                made = CutStock(one.entry_no, one.purpose, one.length_mm, 1, one.state == "issued")
                pieces.setdefault(one.item, Counter())[made] += 1
        return ClubStock(
            lengths_mm={item: tuple(sorted(found)) for item, found in lengths.items()},
            sums=sums,
            cut={
                item: tuple(replace(piece, quantity=n) for piece, n in found.items())
                for item, found in pieces.items()
            },
            notes=tuple(self.notes),
            counted_mm={item: tuple(found) for item, found in counted.items()},
            tags=self.book.tags,
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
    for got in (row for row in rows if row.came is None):
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


def _refuse_if_known(rows: Sequence[Received], delivery: Delivery, before: Sequence[Delivery]) -> None:
    twin = next((one for one in before if (one.data, one.order) == (delivery.data, delivery.order)), None)
    if twin is not None and any(row.total for row in rows):
        raise CatalogueError(
            delivery.name, f"the same list was received before, as {twin.name}, for the same order",
            "each delivery once",
            "nothing was recorded; if the same came again, write the number of its note into a column note",
        )  # fmt: skip


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
