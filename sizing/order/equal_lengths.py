"""Pieces all of one length: each length in hand or on offer holds a whole number of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import chain

from sizing.model import CutPiece, CutSpool
from sizing.order.buying import cents, comparable
from sizing.order.items import Item
from sizing.order.length_stock import MM, Made, Spools, Stocked, Wanted, cost_of, pack_mm, summary_of
from sizing.order.money import FLEET_ACCOUNT
from sizing.order.packs import PackOffer, cheapest_packs
from sizing.order.prices import Offer

EQUAL_PIECES = "equal pieces, table of packs"


def equal_pieces(item: Item, wanted: Sequence[Wanted], stocked: Stocked) -> Made:
    """Pieces of one length: each length in hand or on offer holds a whole number of them."""
    if not wanted:
        return (
            [],
            {},
            summary_of(item, [], EQUAL_PIECES, (Decimal("0.00"), Decimal("0.00")), 0.0, proven=True),
            [],
        )
    length, loss = wanted[0].length_mm, stocked.end_loss_mm
    count = sum(piece.quantity for piece in wanted)
    choice = [offer for offer in comparable(stocked.offers) if pack_mm(offer) - loss >= length]
    holds = [(mm, max(mm - loss, 0) // length) for mm in sorted(stocked.stock_mm)]
    lengths: list[tuple[int, int, Offer | None]] = []
    for mm, held in holds:
        if held and sum(n for _, n, _ in lengths) < count:
            lengths.append((mm, held, None))
    short = max(0, count - sum(n for _, n, _ in lengths))
    packs: tuple[int, ...] = ()
    if choice:
        per_pack = [(pack_mm(offer) - loss) // length for offer in choice]
        packs = cheapest_packs(short, [
            PackOffer(held, cents(offer) or pack_mm(offer), offer.minimum_packs)
            for held, offer in zip(per_pack, choice, strict=True)
        ])  # fmt: skip
        for offer, held, n in zip(choice, per_pack, packs, strict=True):
            lengths += [(pack_mm(offer), held, offer)] * n
    queue = _PieceQueue(wanted)
    spools: Spools = []
    for number, (mm, held, source) in enumerate(lengths, 1):
        pieces = queue.take(held)
        offcut = mm - loss - len(pieces) * length
        spools.append((CutSpool(item.id, number, mm / MM, pieces, offcut / MM), source))
    bought = {offer: n for offer, n in zip(choice, packs, strict=True) if n}
    cost = cost_of(bought)
    summary = summary_of(item, spools, EQUAL_PIECES, (cost, cost), 0.0, proven=True)
    return spools, bought, summary, queue.rest()


class _PieceQueue:
    """Equal pieces still to be cut, boat by boat in the order given, spares last."""

    def __init__(self, wanted: Sequence[Wanted]) -> None:
        ordered = sorted(wanted, key=lambda piece: piece.row == FLEET_ACCOUNT)
        self._waiting = [(piece, piece.quantity) for piece in reversed(ordered)]

    def take(self, count: int) -> tuple[CutPiece, ...]:
        """The next pieces, at most `count`; equal ones are one object."""
        runs: list[list[CutPiece]] = []
        while self._waiting and count > 0:
            piece, left = self._waiting.pop()
            n = min(left, count)
            count -= n
            if left > n:
                self._waiting.append((piece, left - n))
            runs.append([CutPiece(piece.row, piece.purpose, piece.length_mm / MM)] * n)
        return tuple(chain.from_iterable(runs))

    def rest(self) -> list[Wanted]:
        """What no length was left for."""
        return [replace(piece, quantity=left) for piece, left in reversed(self._waiting)]
