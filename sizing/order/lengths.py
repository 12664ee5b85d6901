"""Buying and cutting what must be in one length: rope, tape, chain, sleeves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from sizing.model import CutPiece, CutSpool, CutSummary, OrderLine, OrderProblem
from sizing.order.buying import Bought, Share, in_hand_line, not_bought_line, order_line
from sizing.order.equal_lengths import equal_pieces
from sizing.order.items import STEP, Item
from sizing.order.length_stock import MM, Spools, Stocked, Wanted, pack_mm, runs
from sizing.order.mixed_lengths import mixed_pieces
from sizing.order.money import FLEET_ACCOUNT
from sizing.order.prices import Offer


def buy_lengths(item: Item, wanted: Sequence[Wanted], stocked: Stocked) -> Bought:
    """Return the lines, the cut spools and the proof for one item.

    Pieces all of one length are packed exactly by a table of packs, least orders included; others by the cut
    optimiser. A piece too long for every priced spool is cut from an unpriced one if that is long enough; one
    too long for all is listed on a line without packs, with a problem: no piece is ever joined.
    """
    if len({piece.length_mm for piece in wanted}) <= 1:
        spools, packs, summary, left = equal_pieces(item, wanted, stocked)
    else:
        spools, packs, summary, left = mixed_pieces(item, wanted, stocked)
    spools = [*_ready_spools(item, stocked.ready), *spools]
    spools = [(replace(spool, spool_no=at), offer) for at, (spool, offer) in enumerate(spools, 1)]
    lines = _lines(item, spools, packs)
    unpriced = [offer for offer in stocked.offers if offer.pack_price is None]
    if left and unpriced and len(unpriced) < len(stocked.offers):
        rest = buy_lengths(item, left, replace(stocked, offers=tuple(unpriced), stock_mm=(), ready=()))
        moved = tuple(replace(s, spool_no=s.spool_no + len(spools)) for s in rest.spools)
        return Bought(
            (*lines, *rest.lines),
            (*(s for s, _ in spools), *moved),
            _joined(summary, rest.summary),
            rest.problems,
        )
    problems = _problems(item, left, stocked)
    if left:
        share = Share()
        for piece in left:
            share.add(piece.row, _metres(piece.length_mm * piece.quantity))
        lines.append(replace(not_bought_line(item, share.boats, item.unit), spare=share.spare))
    return Bought(tuple(lines), tuple(spool for spool, _ in spools), summary, problems)


def _metres(mm: int) -> Decimal:
    return Decimal(mm) * STEP["m"]


def _ready_spools(item: Item, ready: Sequence[Wanted]) -> Spools:
    """Pieces cut already, each a length of its own with nothing left over."""
    spools: Spools = []
    for piece in ready:
        length_m = piece.length_mm / MM
        cut = CutSpool(item.id, 0, length_m, (CutPiece(piece.row, piece.purpose, length_m),), 0.0)
        spools += [(cut, None)] * piece.quantity
    return spools


def _lines(item: Item, spools: Spools, packs: dict[Offer, int]) -> list[OrderLine]:
    """One line for what is in hand, and one for each offer bought."""
    shares: dict[Offer | None, Share] = {}
    for spool, offer in spools:
        share = shares.setdefault(offer, Share())
        for piece, count in runs(spool):
            share.add(piece.row, _metres(round(piece.length_m * MM) * count))
    lines = []
    if None in shares:
        lines.append(in_hand_line(item, shares[None], sum(offer is None for _, offer in spools)))
    lines += [
        order_line(item, offer, count, shares.get(offer, Share()))
        for offer, count in sorted(packs.items(), key=lambda pair: (-pair[0].pack_size, pair[0].supplier))
        if count
    ]
    return lines


def _problems(item: Item, left: Sequence[Wanted], stocked: Stocked) -> tuple[OrderProblem, ...]:
    longest = max((*(pack_mm(offer) for offer in stocked.offers), *stocked.stock_mm), default=0)
    room = max(longest - stocked.end_loss_mm, 0) / MM
    return tuple(
        OrderProblem(
            None if piece.row == FLEET_ACCOUNT else piece.row,
            item.id,
            f"Her {piece.purpose} is {piece.length_mm / MM:g} m in one piece, and the longest "
            f"{item.description} on offer gives {room:g} m; it needs a longer spool, since no piece is "
            "ever joined.",
        )
        for piece in left
    )


def _joined(first: CutSummary, second: CutSummary | None) -> CutSummary:
    """One summary for an item cut partly from priced and partly from unpriced spools."""
    if second is None:
        return first
    return replace(
        first,
        pieces=first.pieces + second.pieces,
        spools=first.spools + second.spools,
        cost=None,
        bound=None,
        optimal=False,
        method=f"{first.method}; unpriced spools for the longest pieces",
    )
