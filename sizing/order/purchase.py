"""From every boat's plan to one purchase for the fleet.

`build_order` is the whole story: pieces, spares, cutting, packs, lead times, shares.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from time import monotonic
from typing import TypeAlias

from sizing.catalogue import Catalogue
from sizing.entry_key import entry_key
from sizing.errors import MusterError
from sizing.model import (
    FleetColumns,
    MendPlan,
    Order,
    OrderProblem,
    Piece,
    RequirementColumns,
    RopesTogether,
)
from sizing.order.buying import Bought, buy_counts, not_bought_line, offers_for
from sizing.order.came import CutOf
from sizing.order.charges import charges_of
from sizing.order.consolidate import Job, by_cloth, consolidate, counted
from sizing.order.consumables import known_items
from sizing.order.fitted import boats_known, less_what_is_fitted, needs_of
from sizing.order.items import CUT_KINDS, Item
from sizing.order.lead_times import dated, day_of_need
from sizing.order.length_stock import Stocked, Wanted
from sizing.order.lengths import buy_lengths
from sizing.order.money import allocate, boat_totals
from sizing.order.one_optimum import OneOptimum, RopeStock, choose_ropes
from sizing.order.pieces import PartsList, parts_list
from sizing.order.prices import Offer, PriceBook
from sizing.order.rope_choices import Besides, Rejudge, ready_by_boat, rope_runs, told
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
    cut_of: CutOf | None = None,
    rejudge: Rejudge | None = None,
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

    With `rejudge` pieces of rope may be cut one or two sizes thicker than needed where the whole order costs
    less for it, and nothing speaks against it when the boat is judged again as fitted with them; without, no
    piece is. Then most of the time is for that choice, and the rest for cutting by it. A boat with a piece
    of what came was judged with that: none of her others is cut thicker besides.
    """
    tell = progress or (lambda _what, _done, _total: None)
    shelf = stock or ClubStock()
    came = {rope.item.id: rope.item for rope in shelf.came}
    buyer = _Buyer(
        fleet, plans, policy, catalogue, prices, departure, shelf, today, others, cut_of or {}, came,
        {**known_items(catalogue), **came}, tell,
    )  # fmt: skip
    thicker = rejudge is not None and prices is not None and policy.order.thicker_pieces
    end = monotonic() + time_limit_s
    plain = buyer.order(requirements, time_limit_s / 4 if thicker else time_limit_s)
    if cut_of:
        plain = replace(plain, made=requirements)
    if not thicker or rejudge is None:
        return plain
    tell("Cutting all ropes as one", 0, 1)
    left_s = max(LEAST_TIME_S, end - monotonic())
    found = buyer.one_optimum(requirements, rejudge, 0.75 * left_s)
    tell("Cutting all ropes as one", 1, 1)
    together = RopesTogether(
        cost=found.cost, bound=found.bound, judged=found.judged, refused=found.refused,
        time_ran_out=found.time_ran_out,
    )  # fmt: skip
    if not found.ropes or plain.total is None:
        return replace(plain, together=together)
    made = rejudge.made(found.ropes)
    order = buyer.order(made, max(LEAST_TIME_S, end - monotonic()))
    if order.total is None or _dearness(order) >= _dearness(plain):
        return replace(plain, together=together)
    saving = max(Decimal("0.00"), plain.total - order.total)
    pieces = told(found.ropes, requirements, catalogue)
    return replace(order, together=replace(together, pieces=pieces, saving=saving), made=made)


def _dearness(order: Order) -> tuple[int, int, Decimal]:
    """By what two orders for the same boats are compared: pieces that nothing holds, lines unpriced, cost."""
    lines = [line.amount is None for line in order.lines]
    lacking = [line.packs is None and line.supplier == "" for line in order.lines]
    return sum(lacking), sum(lines), order.total or Decimal(0)


@dataclass(frozen=True)
class _Buyer:
    """All that an order rests on but the rigs."""

    fleet: FleetColumns
    plans: Sequence[MendPlan]
    policy: Policy
    catalogue: Catalogue
    prices: PriceBook | None
    departure: date | None
    stock: ClubStock
    today: date | None
    others: Sequence[MendPlan]
    cut_of: CutOf
    came: Mapping[str, Item]
    items: Mapping[str, Item]
    tell: Progress

    @property
    def entries(self) -> list[str]:
        """Entry numbers by row."""
        return [str(entry) for entry in self.fleet.text["entry_no"]]

    def parts(self, requirements: RequirementColumns, plans: Sequence[MendPlan]) -> list[PartsList]:
        """Return what these plans need."""
        return [parts_list(plan, self.fleet, requirements, self.policy, self.catalogue) for plan in plans]

    def order(self, requirements: RequirementColumns, time_limit_s: float) -> Order:
        """Return the order for rigs of the ropes of these requirements."""
        items, prices, entries = self.items, self.prices, self.entries
        self.tell("Listing the parts of every boat", 0, 1)
        parts = self.parts(requirements, self.plans)
        pieces = tuple(self.cut(piece) for part in parts for piece in part.pieces)
        problems = [problem for part in parts for problem in part.problems]
        if prices:
            problems += [OrderProblem(None, "", note) for note in prices.notes]
        jobs = consolidate(pieces, self.policy, items)
        shelf, fitted = self.shelf(requirements, pieces, problems)
        problems += fitted
        done: list[Bought] = []
        deadline = monotonic() + time_limit_s
        for at, job in enumerate(jobs):
            self.tell(f"Ordering {job.item.description}", at, len(jobs))
            to_cut = sum(later.item.kind in CUT_KINDS for later in jobs[at:])
            limit = max(LEAST_TIME_S, (deadline - monotonic()) / max(to_cut, 1))
            offers, said = ((), ()) if job.item.id in self.came else offers_for(job.item, prices)
            problems += said
            try:
                done.append(_bought(job, offers, shelf, entries, self.policy, self.catalogue, limit))
            except MusterError as problem:
                problems.append(OrderProblem(None, job.item.id, str(problem)))
                unit = "cone" if job.item.kind == "cloth" else job.item.unit
                done.append(Bought((not_bought_line(job.item, counted(job), unit),)))
        self.tell("Ordering", len(jobs), len(jobs))
        lines = tuple(line for bought in done for line in bought.lines)
        problems += [problem for bought in done for problem in bought.problems]
        milestones = self.policy.rally.milestones
        day = self.departure or self.policy.rally.departure
        need = day_of_need(day, milestones, self.policy.order.delivery_margin_days)
        lines, late = dated(lines, need, milestones, self.today)
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
        charges = charges_of(order, entries, self.stock.costs, items)
        spools = with_tags(order.spools, in_hand_lengths(order), shelf.tags, entries)
        return replace(
            order, left_over=left_over(order, shelf, items), charges=charges, spools=spools, tags=shelf.tags
        )

    def cut(self, piece: Piece) -> Piece:
        """Return a piece as it is cut: of what came, where it is cut of that."""
        rope = self.cut_of.get((piece.row, piece.purpose)) if piece.kind == "rope" else None
        return piece if rope is None else replace(piece, item=rope.item.id)

    def shelf(
        self, requirements: RequirementColumns, pieces: Sequence[Piece], problems: Sequence[OrderProblem]
    ) -> tuple[ClubStock, tuple[OrderProblem, ...]]:
        """Return what is in hand without what has been fitted aboard, and what is to be said of that."""
        if self.stock.last is None:
            return self.stock, ()
        besides = self.parts(requirements, self.others)
        unknown = [problem for part in besides for problem in part.problems]
        listed = frozenset(map(entry_key, boats_known(self.entries, (*problems, *unknown))))
        wanted = needs_of((*pieces, *(piece for part in besides for piece in part.pieces)), self.entries)
        return less_what_is_fitted(self.stock, self.stock.last, wanted, listed, self.items)

    def one_optimum(
        self, requirements: RequirementColumns, rejudge: Rejudge, time_limit_s: float
    ) -> OneOptimum:
        """Return which pieces are best cut of thicker rope than needed."""
        parts = self.parts(requirements, self.plans)
        pieces = [self.cut(piece) for part in parts for piece in part.pieces]
        shelf, _ = self.shelf(requirements, pieces, [problem for part in parts for problem in part.problems])
        ropes = self.catalogue.ropes.id
        stock: dict[int, RopeStock] = {}
        for at, name in enumerate(ropes):
            offers, _ = offers_for(self.items[name], self.prices)
            if any(offer.pack_price is not None for offer in offers):
                stocked = _stocked(
                    self.items[name], offers, (), shelf, self.entries, self.policy, time_limit_s
                )
                stock[at] = RopeStock(self.items[name], stocked, ready_by_boat(shelf, name, self.entries))
        held = frozenset(row for row, _ in self.cut_of)
        bought = [piece for piece in pieces if piece.item not in self.came]
        runs = rope_runs(bought, self.catalogue, frozenset(ropes[at] for at in stock), held)
        worth = Besides(self.policy, self.catalogue, self.prices, shelf.last, self.entries)
        return choose_ropes(runs, stock, worth, rejudge, time_limit_s)


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
        _ready, rest, _lengths = take_ready(job.wanted, stock.cut.get(item.id, ()), entries)
        return buy_lengths(item, rest, _stocked(item, offers, job.wanted, stock, entries, policy, limit_s))
    if item.kind == "cloth":
        boats, spare = by_cloth(job, policy, catalogue)
        return Bought(buy_counts(item, boats, spare, offers, sums))
    return Bought(buy_counts(item, counted(job), job.spare, offers, sums))


def _stocked(
    item: Item,
    offers: tuple[Offer, ...],
    wanted: Sequence[Wanted],
    stock: ClubStock,
    entries: Sequence[str],
    policy: Policy,
    limit_s: float,
) -> Stocked:
    """What an item may be cut from; of pieces cut already those that are wanted are ready as they are."""
    ready, _rest, lengths = take_ready(wanted, stock.cut.get(item.id, ()), entries)
    return Stocked(
        offers=offers,
        stock_mm=(*stock.lengths_mm.get(item.id, ()), *lengths),
        end_loss_mm=round(policy.order.spool_end_loss * 1000),
        time_limit_s=limit_s,
        ready=tuple(ready),
    )
