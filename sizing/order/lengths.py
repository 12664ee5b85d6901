"""Buying and cutting what must be in one length: rope, tape, chain, sleeves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import chain

from sizing.model import CutPiece, CutSpool, CutSummary, OrderLine, OrderProblem
from sizing.order.buying import Bought, Share, cents, comparable, in_hand_line, not_bought_line, order_line
from sizing.order.by_length import with_lengths
from sizing.order.cutting import CutPlan, CutProblem, Piece, Remnant, Stock, plan_cuts
from sizing.order.items import STEP, Item
from sizing.order.length_stock import (
    MM,
    Made,
    Spools,
    Stocked,
    Wanted,
    cost_of,
    pack_mm,
    runs,
    summary_of,
)
from sizing.order.money import CENT, FLEET_ACCOUNT
from sizing.order.packs import PackOffer, cheapest_packs
from sizing.order.prices import Offer
from sizing.order.takers import Takers

EQUAL_PIECES = "equal pieces, table of packs"
LEAST_TIME_S = 0.25
MIXED = "{}, branching on least orders"


def buy_lengths(item: Item, wanted: Sequence[Wanted], stocked: Stocked) -> Bought:
    """Return the lines, the cut spools and the proof for one item.

    What is best bought by the metre is settled first. The rest, where its pieces are all of one length, is
    packed exactly by a table of packs, least orders included; otherwise by the cut optimiser. A piece too
    long for every priced spool is cut from an unpriced one if that is long enough; one too long for all is
    listed on a line without packs, with a problem: no piece is ever joined.
    """
    if any(offer.step for offer in comparable(stocked.offers)):
        spools, packs, summary, left = with_lengths(item, wanted, stocked, whole_packs)
    else:
        spools, packs, summary, left = whole_packs(item, wanted, stocked)
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
        share = Share.of((piece.row, _metres(piece.length_mm * piece.quantity)) for piece in left)
        lines.append(replace(not_bought_line(item, share.boats, item.unit), spare=share.spare))
    return Bought(tuple(lines), tuple(spool for spool, _ in spools), summary, problems)


def whole_packs(item: Item, wanted: Sequence[Wanted], stocked: Stocked) -> Made:
    """Pieces cut from whole packs and what is in hand."""
    if len({piece.length_mm for piece in wanted}) <= 1:
        return _equal_pieces(item, wanted, stocked)
    return _mixed_pieces(item, wanted, stocked)


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


def _equal_pieces(item: Item, wanted: Sequence[Wanted], stocked: Stocked) -> Made:
    """Pieces of one length: each length in hand or on offer holds a whole number of them."""
    if not wanted:
        nothing = (Decimal("0.00"), Decimal("0.00"))
        return [], {}, summary_of(item, [], EQUAL_PIECES, nothing, 0.0, proven=True), []
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
    ordered = sorted(wanted, key=lambda piece: piece.row == FLEET_ACCOUNT)
    takers = Takers((piece, piece.quantity) for piece in ordered)
    spools: Spools = []
    for number, (mm, held, source) in enumerate(lengths, 1):
        pieces = tuple(chain.from_iterable(
            [CutPiece(piece.row, piece.purpose, length / MM)] * n for piece, n in takers.take(held)
        ))  # fmt: skip
        offcut = mm - loss - len(pieces) * length
        spools.append((CutSpool(item.id, number, mm / MM, pieces, offcut / MM), source))
    bought = {offer: n for offer, n in zip(choice, packs, strict=True) if n}
    cost = cost_of(bought)
    summary = summary_of(item, spools, EQUAL_PIECES, (cost, cost), 0.0, proven=True)
    return spools, bought, summary, [replace(piece, quantity=n) for piece, n in takers.rest()]


@dataclass(frozen=True)
class _Candidate:
    """One plan that keeps every least order.

    `forced` offers are bought in their least order whatever is cut from it; `value` and `bound` are cents, or
    mm where nothing is priced.
    """

    plan: CutPlan
    offers: tuple[Offer, ...]
    forced: tuple[Offer, ...]
    value: int
    bound: int
    branched: bool

    @property
    def rank(self) -> tuple[int, int]:
        """Fewest pieces left out first, then least value."""
        return sum(entry.piece.quantity for entry in self.plan.uncut), self.value


def _mixed_pieces(item: Item, wanted: Sequence[Wanted], stocked: Stocked) -> Made:
    """Cut pieces of several lengths at least cost, keeping least orders."""
    best = _best(wanted, comparable(stocked.offers), (), stocked)
    counts = {offer: offer.minimum_packs for offer in best.forced}
    for name, n in best.plan.bought:
        offer = best.offers[int(name)]
        counts[offer] = counts.get(offer, 0) + n
    counts = {offer: n for offer, n in counts.items() if n}
    spools = _planned_spools(item, wanted, best, counts)
    left = [
        replace(wanted[int(entry.piece.label)], quantity=entry.piece.quantity) for entry in best.plan.uncut
    ]
    cost = cost_of(counts)
    bound = None if cost is None else best.bound * CENT
    gap = (best.value - best.bound) / best.value if best.value else 0.0
    method = MIXED.format(best.plan.method) if best.branched else best.plan.method
    summary = summary_of(item, spools, method, (cost, bound), gap, proven=best.value == best.bound)
    return spools, counts, summary, left


def _best(
    wanted: Sequence[Wanted], offers: tuple[Offer, ...], forced: tuple[Offer, ...], stocked: Stocked
) -> _Candidate:
    """Return the best plan that keeps every least order.

    If a plan takes fewer of an offer than its least order, either none of it is bought or the least order is,
    which then is there to be cut like a remnant: both are planned and the better one kept. So the result is
    proven least where both plans are, and its bound is the lower of theirs. [derived]
    """
    plan = _plan(wanted, offers, forced, stocked)
    sunk = sum((cents(offer) or pack_mm(offer)) * offer.minimum_packs for offer in forced)
    taken = {offers[int(name)]: n for name, n in plan.bought}
    broken = [o for o, n in taken.items() if 0 < n < o.minimum_packs and o not in forced]
    if not broken:
        return _Candidate(plan, offers, forced, plan.value + sunk, plan.bound + sunk, branched=bool(forced))
    offer = broken[0]
    half = replace(stocked, time_limit_s=max(LEAST_TIME_S, stocked.time_limit_s / 2))
    without = _best(wanted, tuple(o for o in offers if o != offer), forced, half)
    with_it = _best(wanted, offers, (*forced, offer), half)
    kept = min(with_it, without, key=lambda candidate: candidate.rank)
    same = with_it.rank[0] == without.rank[0]
    bound = min(with_it.bound, without.bound) if same else kept.bound
    return replace(kept, bound=bound, branched=True)


def _plan(
    wanted: Sequence[Wanted], offers: Sequence[Offer], forced: Sequence[Offer], stocked: Stocked
) -> CutPlan:
    pieces = tuple(Piece(piece.length_mm, str(at), piece.quantity) for at, piece in enumerate(wanted))
    stock = tuple(Stock(str(at), pack_mm(offer), cents(offer)) for at, offer in enumerate(offers))
    remnants = [Remnant(f"hand {at}", mm) for at, mm in enumerate(sorted(stocked.stock_mm))]
    for offer in forced:
        at = offers.index(offer)
        remnants += [Remnant(f"least {at} {n}", pack_mm(offer)) for n in range(offer.minimum_packs)]
    problem = CutProblem(pieces, stock, tuple(remnants), per_spool_mm=stocked.end_loss_mm)
    return plan_cuts(problem, stocked.time_limit_s)


def _source(name: str, best: _Candidate) -> Offer | None:
    """Return the offer a spool is bought by, from its id in the plan; None for a length in hand."""
    kind, _, rest = name.partition(" ")
    if kind == "hand":
        return None
    return best.offers[int(rest.split()[0] if kind == "least" else name)]


def _planned_spools(
    item: Item, wanted: Sequence[Wanted], best: _Candidate, counts: dict[Offer, int]
) -> Spools:
    """The plan's spools with boats on them, lengths in hand first; whole spools of a least order last."""
    spools: Spools = []
    for spool in sorted(best.plan.spools, key=lambda spool: _source(spool.id, best) is not None):
        pieces = chain.from_iterable(
            [CutPiece(wanted[int(cut.label)].row, wanted[int(cut.label)].purpose, cut.length_mm / MM)]
            * cut.quantity
            for cut in spool.cuts
        )
        made = CutSpool(item.id, len(spools) + 1, spool.length_mm / MM, tuple(pieces), spool.offcut_mm / MM)
        spools.append((made, _source(spool.id, best)))
    for offer, n in counts.items():
        extra = n - sum(source == offer for _, source in spools)
        for _ in range(extra):
            whole = pack_mm(offer) / MM
            spools.append((CutSpool(item.id, len(spools) + 1, whole, (), whole), offer))
    return spools
