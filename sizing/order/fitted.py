"""What was received for a boat whose plan no longer wants it is taken as aboard, not as there for others.

Nobody records what is handed out. A boat that is still on the list and asks for less than when a delivery
came was given the rest: rather is a part bought again than missing. Where a part of another size is wanted in
its place, her entry was amended, and nothing was handed out. What was for a boat that left the list is there.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import ROUND_UP, Decimal
from typing import Final, NamedTuple

from sizing.entry_key import entry_key
from sizing.model import OrderProblem, Piece
from sizing.order.earlier_order import PreviousOrder
from sizing.order.items import CUT_KINDS, STEP, Item
from sizing.order.stock import ClubStock, CutStock
from sizing.order.tags import Given, TagBook
from sizing.spreadsheet import plain_text

_FIGURES: Final = re.compile(r"\d+(?:[.,]\d+)*")
_MOST_NAMED: Final = 12


class Need(NamedTuple):
    """What one boat needs of an item for one purpose; `length_mm` is 0 for what is bought by the sum."""

    entry: str
    item: str
    kind: str
    purpose: str
    length_mm: int

    @property
    def place(self) -> tuple[str, str, str]:
        """Where it goes aboard, whichever item it is and however much."""
        return self.entry, self.kind, _FIGURES.sub("#", self.purpose)


Needs = Mapping[Need, Decimal]
"""Pieces of what is cut to length, cones, else the sum in the item's unit."""


def needs_of(pieces: Iterable[Piece], entries: Sequence[str]) -> Needs:
    """What boats need, from the pieces of an order."""
    return _summed(
        (plain_text(entries[piece.row]), piece.item, piece.kind, piece.purpose, piece.quantity,
         None if piece.length_m is None else Decimal(round(piece.length_m / float(STEP["m"]))) * STEP["m"])
        for piece in pieces
    )  # fmt: skip


def needs_then(order: PreviousOrder, *, bought_or_not: bool = False) -> Needs:
    """What boats needed by an earlier order: what was bought for them, or besides what nobody bought."""
    pieces = (*order.pieces, *order.not_ordered) if bought_or_not else order.pieces
    return _summed((p.entry_no, p.item, p.kind, p.purpose, p.quantity, p.length_m) for p in pieces)


def boats_known(entries: Sequence[str], problems: Iterable[OrderProblem]) -> tuple[str, ...]:
    """Entry numbers of the boats whose needs are all known: not of one for which none could be computed."""
    unknown = {problem.row for problem in problems if problem.row is not None and not problem.item}
    return tuple(plain_text(entry) for row, entry in enumerate(entries) if row not in unknown)


def _summed(pieces: Iterable[tuple[str, str, str, str, int, Decimal | None]]) -> Needs:
    needs: Counter[Need] = Counter()
    for entry_no, item, kind, purpose, quantity, length_m in pieces:
        if kind in CUT_KINDS:
            need = Need(entry_key(entry_no), item, kind, purpose, int((length_m or 0) / STEP["m"]))
            amount = Decimal(quantity)
        else:
            need = Need(entry_key(entry_no), item, kind, _FIGURES.sub("#", purpose), 0)
            amount = quantity * (Decimal(1) if length_m is None else length_m)
        needs[need] += amount  # type: ignore[assignment]  # a Counter adds decimals as well
    return needs  # type: ignore[return-value]


def no_longer_wanted(then: Needs, now: Needs, listed: Collection[str] | None) -> dict[Need, Decimal]:
    """How much less boats of the list want than they did; `listed` are their entry keys, None for any.

    What is wanted in the same place aboard, of another item or length, is not less.
    """
    less: dict[tuple[str, str, str], Decimal] = {}
    for needs, sign in ((then, 1), (now, -1)):
        for need, amount in needs.items():
            less[need.place] = less.get(need.place, Decimal(0)) + sign * amount
    gone: dict[Need, Decimal] = {}
    for need in sorted(then):
        amount = min(then[need] - now.get(need, Decimal(0)), less[need.place])
        if amount > 0 and (listed is None or need.entry in listed):
            gone[need] = amount
            less[need.place] -= amount
    return gone


def less_what_is_fitted(
    stock: ClubStock,
    order: PreviousOrder,
    now: Needs,
    listed: Collection[str] | None,
    known: Mapping[str, Item],
) -> tuple[ClubStock, tuple[OrderProblem, ...]]:
    """What is in hand without what boats have been given since `order`, and a sentence for each item of that.

    Of what is cut to length, pieces that are known to be cut go first; the others are taken to be cut from
    the shortest length that is long enough, but never from one that a stocktake counted.
    """
    then = needs_then(order)
    lengths = {item: Counter(found) for item, found in stock.lengths_mm.items()}
    cut = {item: list(found) for item, found in stock.cut.items()}
    sums = dict(stock.sums)
    told: dict[str, tuple[Decimal, list[str]]] = {}
    given: list[Given] = []
    out: list[tuple[str, Decimal]] = []
    for need, amount in no_longer_wanted(then, now, listed).items():
        if need.item not in known:
            continue
        if need.kind in CUT_KINDS:
            counted = Counter(stock.counted_mm.get(need.item, ()))
            pieces, whole = cut.setdefault(need.item, []), lengths.setdefault(need.item, Counter())
            taken = Decimal(_cut_for(need, int(amount), pieces, whole, counted, given))
        else:
            each = _metres_a_cone(need, order, then) if need.kind == "cone" else Decimal(1)
            most = (amount * each).quantize(STEP[known[need.item].unit], ROUND_UP)
            taken = min(most, sums.get(need.item, Decimal(0)))
            sums[need.item] = sums.get(need.item, Decimal(0)) - taken
            out.append((need.item, taken))
        if taken > 0:
            total, boats = told.get(need.item, (Decimal(0), []))
            told[need.item] = total + taken, [*boats, need.entry]
    book = TagBook.of(stock.tags)
    if stock.tags:
        book.give(given, out)
    left = replace(
        stock, sums=sums, tags=book.tags,
        lengths_mm={item: tuple(sorted(found.elements())) for item, found in lengths.items() if +found},
        cut={item: tuple(found) for item, found in cut.items() if found},
    )  # fmt: skip
    return left, tuple(_told(known[item], total, boats) for item, (total, boats) in told.items())


def _cut_for(
    need: Need,
    wanted: int,
    cut: list[CutStock],
    lengths: Counter[int],
    counted: Counter[int],
    given: list[Given],
) -> int:
    """Take pieces out of what is in hand; how many were there."""
    left = wanted
    cut.sort(key=lambda piece: not piece.issued)
    for at, piece in enumerate(cut):
        if (entry_key(piece.entry_no), piece.purpose, piece.length_mm) == (
            need.entry, need.purpose, need.length_mm,
        ):  # fmt: skip
            n = min(left, piece.quantity)
            cut[at] = replace(piece, quantity=piece.quantity - n)
            left -= n
            given += [Given(need.item, need.entry, need.purpose, need.length_mm, None)] * n
    cut[:] = [piece for piece in cut if piece.quantity]
    while left:
        long_enough = [mm for mm, n in lengths.items() if n > counted[mm] and mm >= need.length_mm]
        if not long_enough:
            break
        shortest = min(long_enough)
        lengths[shortest] -= 1
        given.append(Given(need.item, need.entry, need.purpose, need.length_mm, shortest))
        if rest := shortest - need.length_mm:
            lengths[rest] += 1
        left -= 1
    return wanted - left


def _metres_a_cone(need: Need, order: PreviousOrder, then: Needs) -> Decimal:
    """Cloth for one of a boat's cones, by her share in the order."""
    shares = (
        amount
        for line in order.lines if line.item == need.item
        for entry_no, amount in line.boats.items() if entry_key(entry_no) == need.entry
    )  # fmt: skip
    cones = sum(n for one, n in then.items() if (one.entry, one.item) == (need.entry, need.item))
    return sum(shares, Decimal(0)) / cones


def _told(item: Item, total: Decimal, entries: Sequence[str]) -> OrderProblem:
    boats = list(dict.fromkeys(entries))
    names = ", ".join(boats[:_MOST_NAMED]) + (
        f" and {len(boats) - _MOST_NAMED} more" if boats[_MOST_NAMED:] else ""
    )
    if item.kind in CUT_KINDS:
        what, mend = f"{total} lengths", "give them in a stocktake"
    else:
        what, mend = f"{total:f} {item.unit}", "record them as a delivery"
    sentence = (
        f"{what} of {item.description} were received for boats that no longer want them (entries {names}): "
        f"they are taken as aboard, and are not counted on. Where they are on the shelf, {mend}."
    )
    return OrderProblem(None, item.id, sentence)
