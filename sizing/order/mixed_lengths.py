"""Pieces of several lengths, by the cut optimiser; least orders are kept by branching on them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import chain

from sizing.model import CutPiece, CutSpool
from sizing.order.buying import cents, comparable
from sizing.order.cutting import CutPlan, CutProblem, Piece, Remnant, Stock, plan_cuts
from sizing.order.items import Item
from sizing.order.length_stock import MM, Made, Spools, Stocked, Wanted, cost_of, pack_mm, summary_of
from sizing.order.money import CENT
from sizing.order.prices import Offer

LEAST_TIME_S = 0.25
MIXED = "{}, branching on least orders"


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


def mixed_pieces(item: Item, wanted: Sequence[Wanted], stocked: Stocked) -> Made:
    """Cut pieces of several lengths at least cost, keeping least orders."""
    best = _best(wanted, comparable(stocked.offers), (), stocked)
    counts = {offer: offer.minimum_packs for offer in best.forced}
    for name, n in best.plan.bought:
        offer = best.offers[int(name)]
        counts[offer] = counts.get(offer, 0) + n
    counts = {offer: n for offer, n in counts.items() if n}
    spools = _spools(item, wanted, best, counts)
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


def _spools(item: Item, wanted: Sequence[Wanted], best: _Candidate, counts: dict[Offer, int]) -> Spools:
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
