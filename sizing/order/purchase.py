"""From every boat's plan to one purchase for the fleet.

`build_order` is the whole story: pieces, spares, cutting, packs, lead times, shares.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from time import monotonic
from typing import TypeAlias

from sizing.catalogue import Catalogue
from sizing.entry_key import entry_key
from sizing.errors import MusterError
from sizing.model import FleetColumns, MendPlan, Order, OrderProblem, Piece, RequirementColumns
from sizing.order.buying import Bought, buy_counts, not_bought_line, offers_for
from sizing.order.came import CameRope
from sizing.order.charges import charges_of
from sizing.order.consolidate import Job, by_cloth, consolidate, counted
from sizing.order.consumables import known_items
from sizing.order.fitted import boats_known, less_what_is_fitted, needs_of
from sizing.order.items import CUT_KINDS
from sizing.order.lead_times import dated, day_of_need
from sizing.order.length_stock import Stocked
from sizing.order.lengths import buy_lengths
from sizing.order.money import allocate, boat_totals
from sizing.order.pieces import parts_list
from sizing.order.prices import Offer, PriceBook
from sizing.order.sheets import in_hand_lengths
from sizing.order.stock import ClubStock, left_over, take_ready
from sizing.order.tags import with_tags
from sizing.policy import Policy

Progress: TypeAlias = Callable[[str, int, int], None]
"""Told what is at hand, how many items are done, and how many there are."""

TIME_LIMIT_S = 60.0
LEAST_TIME_S = 0.5
"""Time every item gets, so that a tight limit still gives each a plan."""


def build_order(
    fleet: FleetColumns,
    requirements: RequirementColumns,
    plans: Sequence[MendPlan],
    policy: Policy,
    catalogue: Catalogue,
    prices: PriceBook | None,
    *,
    departure: date | None = None,
    time_limit_s: float = TIME_LIMIT_S,
    progress: Progress | None = None,
    stock: ClubStock | None = None,
    today: date | None = None,
    others: Sequence[MendPlan] = (),
    cut_of: Mapping[tuple[int, str], CameRope] | None = None,
) -> Order:
    """Return one purchase for the fleet: whole packs of every item, how rope is cut, whose each piece is.

    What cannot be ordered (a piece longer than every spool, a part the catalogue does not have, a price not
    known) is listed as a problem, and the rest of the order stands. Without a price book packs are of common
    sizes, chosen for least length, and there is no cost. The total is the sum of the priced lines; problems
    name those it is without. `boat_totals` add up to it to the cent.

    `departure` is the policy's where none is given. `time_limit_s` is for cutting, shared out over the
    items. `progress` is told what is at hand, and how many items are done of how many. `stock` is what
    the club has (remnants, packs bought, pieces cut): it is used first and nothing is bought twice. `today`
    lets a lead time that ends after departure or a milestone be found late. `others` are plans of boats that
    nothing is bought for: what they still need is not taken for fitted aboard. `cut_of` says of pieces, by
    row and purpose, that they are cut of rope that came instead of what was ordered: none of it is bought.
    """
    tell = progress or (lambda _what, _done, _total: None)
    came = {rope.item.id: rope.item for rope in (stock.came if stock else ())}
    items = {**known_items(catalogue), **came}
    entries = [str(entry) for entry in fleet.text["entry_no"]]
    tell("Listing the parts of every boat", 0, 1)
    parts = [parts_list(plan, fleet, requirements, policy, catalogue) for plan in plans]
    pieces = tuple(_cut_of(piece, cut_of or {}) for part in parts for piece in part.pieces)
    problems = [problem for part in parts for problem in part.problems]
    if prices:
        problems += [OrderProblem(None, "", note) for note in prices.notes]
    jobs = consolidate(pieces, policy, items)
    shelf = stock or ClubStock()
    if shelf.last is not None:
        besides = [parts_list(plan, fleet, requirements, policy, catalogue) for plan in others]
        unknown = [problem for part in besides for problem in part.problems]
        listed = frozenset(map(entry_key, boats_known(entries, (*problems, *unknown))))
        wanted = needs_of((*pieces, *(piece for part in besides for piece in part.pieces)), entries)
        shelf, said = less_what_is_fitted(shelf, shelf.last, wanted, listed, items)
        problems += said
    done: list[Bought] = []
    deadline = monotonic() + time_limit_s
    for at, job in enumerate(jobs):
        tell(f"Ordering {job.item.description}", at, len(jobs))
        to_cut = sum(later.item.kind in CUT_KINDS for later in jobs[at:])
        limit = max(LEAST_TIME_S, (deadline - monotonic()) / max(to_cut, 1))
        offers, said = ((), ()) if job.item.id in came else offers_for(job.item, prices)
        problems += said
        try:
            done.append(_bought(job, offers, shelf, entries, policy, catalogue, limit))
        except MusterError as problem:
            problems.append(OrderProblem(None, job.item.id, str(problem)))
            unit = "cone" if job.item.kind == "cloth" else job.item.unit
            done.append(Bought((not_bought_line(job.item, counted(job), unit),)))
    tell("Ordering", len(jobs), len(jobs))
    lines = tuple(line for bought in done for line in bought.lines)
    problems += [problem for bought in done for problem in bought.problems]
    milestones = policy.rally.milestones
    day = departure or policy.rally.departure
    need = day_of_need(day, milestones, policy.order.delivery_margin_days)
    lines, late = dated(lines, need, milestones, today)
    problems += late
    totals = boat_totals(allocate(lines)) if prices else {}
    order = Order(
        lines=lines,
        spools=tuple(spool for bought in done for spool in bought.spools),
        cutting=tuple(bought.summary for bought in done if bought.summary),
        pieces=pieces,
        problems=tuple(problems),
        currency=prices.currency if prices else "",
        total=sum((line.amount for line in lines if line.amount), Decimal("0.00")) if prices else None,
        boat_totals=totals,
    )
    charges = charges_of(order, entries, stock.costs if stock else (), items)
    spools = with_tags(order.spools, in_hand_lengths(order), shelf.tags, entries)
    return replace(
        order, left_over=left_over(order, shelf, items), charges=charges, spools=spools, tags=shelf.tags
    )


def _cut_of(piece: Piece, cut_of: Mapping[tuple[int, str], CameRope]) -> Piece:
    rope = cut_of.get((piece.row, piece.purpose)) if piece.kind == "rope" else None
    return piece if rope is None else replace(piece, item=rope.item.id)


def _bought(
    job: Job,
    offers: tuple[Offer, ...],
    stock: ClubStock,
    entries: Sequence[str],
    policy: Policy,
    catalogue: Catalogue,
    limit_s: float,
) -> Bought:
    """Buy one item: cut in single lengths, as cloth for cones, or by the sum."""
    item = job.item
    sums = stock.sums.get(item.id, Decimal(0))
    if item.kind in CUT_KINDS:
        ready, rest, lengths = take_ready(job.wanted, stock.cut.get(item.id, ()), entries)
        stocked = Stocked(
            offers=offers,
            stock_mm=(*stock.lengths_mm.get(item.id, ()), *lengths),
            end_loss_mm=round(policy.order.spool_end_loss * 1000),
            time_limit_s=limit_s,
            ready=tuple(ready),
        )
        return buy_lengths(item, rest, stocked)
    if item.kind == "cloth":
        boats, spare = by_cloth(job, policy, catalogue)
        return Bought(buy_counts(item, boats, spare, offers, sums))
    return Bought(buy_counts(item, counted(job), job.spare, offers, sums))
