"""Buying by the metre: which pieces come from a length the supplier cuts to measure, which from packs."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import chain
from typing import TypeAlias

from sizing.model import CutPiece, CutSpool
from sizing.order.buying import comparable, least_steps, whole_prices
from sizing.order.cutting.clock import Deadline
from sizing.order.cutting.together import solve_together
from sizing.order.cutting.together_problem import Bought, ByLength, Goods, Pack, Packed, Problem, Run
from sizing.order.items import STEP, Item
from sizing.order.length_stock import MM, Made, Spools, Stocked, Wanted, cost_of, pack_mm, summary_of
from sizing.order.money import CENT, FLEET_ACCOUNT
from sizing.order.prices import Offer
from sizing.order.takers import Takers

Packing: TypeAlias = Callable[[Item, Sequence[Wanted], Stocked], Made]
BY_THE_METRE = "{}, and by the metre"


def goods_of(offers: Sequence[Offer], stocked: Stocked, prices: Sequence[int]) -> Goods:
    """Return what an item is cut from, its offers at these whole prices (of a pack, or of a step)."""
    priced = list(zip(offers, prices, strict=True))
    return Goods(
        packs=tuple(Pack(pack_mm(o), price, o.minimum_packs) for o, price in priced if o.step is None),
        by_length=tuple(
            ByLength(int(o.step / STEP["m"]), least_steps(o) * int(o.step / STEP["m"]), price)
            for o, price in priced
            if o.step is not None
        ),
        shelf_mm=tuple(sorted(stocked.stock_mm)),
        loss_mm=stocked.end_loss_mm,
    )


def with_lengths(item: Item, wanted: Sequence[Wanted], stocked: Stocked, packing: Packing) -> Made:
    """Return the cheapest mix of whole packs and lengths cut to measure, the rest packed by `packing`.

    Of each offer one length is bought, since more lengths lose more ends and more part steps.
    """
    choice = comparable(stocked.offers)
    prices = whole_prices(choice)
    in_packs = replace(stocked, offers=tuple(o for o in stocked.offers if o.step is None))
    by_the_metre = [offer for offer in choice if offer.step is not None]

    def packed(_: int, rest: Mapping[int, int]) -> Packed | None:
        asked = [Wanted(FLEET_ACCOUNT, "", mm, n) for mm, n in rest.items()]
        _spools, packs, summary, left = packing(item, asked, in_packs)
        if left:
            return None
        price = dict(zip(choice, prices, strict=True))
        cost = sum(price[offer] * n for offer, n in packs.items())
        if summary.optimal or not summary.cost or summary.bound is None:
            return Packed(cost, cost if summary.optimal else 0)
        return Packed(cost, int(Fraction(cost) * Fraction(summary.bound) / Fraction(summary.cost)))

    runs = tuple(Run(piece.length_mm, piece.quantity, ((0, 0),)) for piece in wanted)
    problem = Problem((goods_of(choice, stocked, prices),), runs)
    found = solve_together(problem, packed, Deadline(stocked.time_limit_s))
    lengths = {} if found is None else {by_the_metre[j]: one for (_, j), one in found.by_length.items()}
    measured, bought, rest = _cut_to_measure(item, wanted, lengths, stocked.end_loss_mm)
    more, packs, summary, left = packing(item, rest, in_packs)
    if found is None:
        return more, packs, summary, left
    packs = {**packs, **bought}
    cost = cost_of(packs)
    gap = 1.0 - found.bound / found.cost if found.cost else 0.0
    bound = cost
    if cost and gap > 0.0:
        bound = (cost * Decimal(found.bound) / Decimal(found.cost)).quantize(CENT)
    method = BY_THE_METRE.format(summary.method) if bought else summary.method
    spools = [*more, *measured]
    proven = found.bound == found.cost and not left
    return spools, packs, summary_of(item, spools, method, (cost, bound), gap, proven=proven), left


def _cut_to_measure(
    item: Item, wanted: Sequence[Wanted], lengths: Mapping[Offer, Bought], loss_mm: int
) -> tuple[Spools, dict[Offer, int], list[Wanted]]:
    """The lengths with the boats' pieces on them, longest first, and what is left to be cut from packs."""
    waiting: dict[int, Takers[Wanted, int]] = {}
    for mm in {piece.length_mm for piece in wanted}:
        ordered = sorted(
            (piece for piece in wanted if piece.length_mm == mm), key=lambda p: p.row == FLEET_ACCOUNT
        )
        waiting[mm] = Takers((piece, piece.quantity) for piece in ordered)
    spools: Spools = []
    packs: dict[Offer, int] = {}
    for offer, bought in lengths.items():
        cut = offer.cut_to(bought.steps)
        pieces = tuple(chain.from_iterable(
            [CutPiece(piece.row, piece.purpose, mm / MM)] * n
            for mm, count in sorted(bought.pieces.items(), reverse=True)
            for piece, n in waiting[mm].take(count)
        ))  # fmt: skip
        left = pack_mm(cut) - loss_mm - sum(mm * n for mm, n in bought.pieces.items())
        spools.append((CutSpool(item.id, 0, pack_mm(cut) / MM, pieces, left / MM), cut))
        packs[cut] = packs.get(cut, 0) + 1
    rest = [
        replace(piece, quantity=n) for mm in sorted(waiting, reverse=True) for piece, n in waiting[mm].rest()
    ]
    return spools, packs, rest
