"""All ropes cut as one: which pieces are cut thicker than needed, so that the fleet's rope costs least.

The program of `cutting.together` chooses for every piece the rope it is cut of, over whole packs, lengths by
the metre and what is in hand. Boats whose pieces it takes from thicker rope are judged again as fitted with
it; where that speaks against it, these choices are barred together and the search goes on.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from itertools import islice
from math import lcm
from typing import Final, TypeAlias

from sizing.model import RopeSearch
from sizing.order.buying import cents, comparable, least_steps
from sizing.order.cutting.clock import Deadline
from sizing.order.cutting.together import solve_together
from sizing.order.cutting.together_problem import ByLength, Goods, Pack, Packed, Problem, Run, Solution
from sizing.order.items import STEP, Item
from sizing.order.length_stock import Stocked, Wanted, pack_mm
from sizing.order.lengths import buy_lengths, whole_packs
from sizing.order.money import CENT, FLEET_ACCOUNT
from sizing.order.prices import Offer
from sizing.order.rope_choices import Boat, Rejudge, RopeRun, Ropes

LEAST_TIME_S: Final = 0.25
REL_GAP: Final = 0.004
"""How near its bound the choice of ropes is taken as it is: the last thousandths take most of the time."""

MOST_ROUNDS: Final = 6
"""Times that boats are judged again; what is still spoken against then is cut of its own rope."""

_Class: TypeAlias = tuple[int, int, int, tuple[int, ...], tuple[int, ...]]
"""Length, quantity, rope needed, ropes, and what each costs besides."""


@dataclass(frozen=True)
class OneOptimum(RopeSearch):
    """What is cut of thicker rope, and how far that is proven."""

    ropes: Ropes = field(default_factory=dict)


@dataclass(frozen=True)
class RopeStock:
    """What pieces of one rope are cut of, and how many of a run are still to be cut of it.

    `ready` are pieces cut already, by (row, purpose).
    """

    item: Item
    stocked: Stocked
    ready: Mapping[tuple[int, str], int] = field(default_factory=dict)

    @property
    def offers(self) -> tuple[Offer, ...]:
        """Its offers with a price."""
        return tuple(offer for offer in comparable(self.stocked.offers) if offer.pack_price is not None)

    def holds(self, length_mm: int) -> bool:
        """Whether a piece can be cut of it at all."""
        if any(offer.step is not None for offer in self.offers):
            return True
        lengths = (*(pack_mm(offer) for offer in self.offers), *self.stocked.stock_mm)
        return length_mm + self.stocked.end_loss_mm <= max(lengths, default=0)


def choose_ropes(
    runs: Sequence[RopeRun],
    stock: Mapping[int, RopeStock],
    besides: Callable[[RopeRun, int], Decimal],
    rejudge: Rejudge,
    limit_s: float,
) -> OneOptimum:
    """Return which pieces are cut thicker than needed.

    `stock` is by rope, with those that have a price; `besides` what it costs that a run is cut of a rope,
    rope aside. A piece that is cut already stays as it is. The same input gives the same choice, unless the
    time limit cuts in.
    """
    return _Choosing(runs, stock, besides, rejudge, Deadline(limit_s)).run()


class _Choosing:
    def __init__(
        self,
        runs: Sequence[RopeRun],
        stock: Mapping[int, RopeStock],
        besides: Callable[[RopeRun, int], Decimal],
        rejudge: Rejudge,
        deadline: Deadline,
    ) -> None:
        self.ready = {
            run.key: rope
            for run in runs
            for rope in run.ropes
            if rope != run.needed and _is_ready(run, rope, stock) and not _is_ready(run, run.needed, stock)
        }
        self.runs = [run for run in (_open(run, stock) for run in runs) if run is not None]
        self.ropes = sorted({rope for run in self.runs for rope in run.ropes})
        self.stock = {rope: stock[rope] for rope in self.ropes}
        self.offers = [self.stock[rope].offers for rope in self.ropes]
        prices = [_exact(offer) for offers in self.offers for offer in offers]
        self.coin = lcm(*(price.denominator for price in prices)) if prices else 1
        self.besides = besides
        self.rejudge = rejudge
        self.deadline = deadline
        self.accepted: dict[Boat, bool] = {}

    def run(self) -> OneOptimum:
        self._judge_each_alone()
        best = self._ready_alone()
        for _ in range(MOST_ROUNDS):
            self.runs = [run for run in self.runs if run.ropes]
            if all(run.ropes == (run.needed,) for run in self.runs):
                break
            alike = self._alike()
            found = solve_together(self._problem(alike), self._packed, self.deadline, REL_GAP)
            if found is None:
                break
            boats = self._chosen(alike, found)
            against = self._judged(boats)
            for boat in against:
                self._take_out(boat)
            made = self._made([boat for boat in boats if boat not in against], found)
            if not best.cost or made.cost < best.cost:
                best = made
            if not against or self.deadline.passed():
                break
        return replace(
            best, judged=len(self.accepted), refused=sum(not accepted for accepted in self.accepted.values()),
            time_ran_out=self.deadline.hit,
        )  # fmt: skip

    def _ready_alone(self) -> OneOptimum:
        """Nothing thicker but what is cut already, and what of it is spoken against left out."""
        boats = self._boats(())
        against = self._judged(boats)
        for boat in against:
            for key, _ in boat:
                self.ready.pop(key)
        return OneOptimum(ropes={key: rope for boat in boats if boat not in against for key, rope in boat})

    def _judge_each_alone(self) -> None:
        """Leave out what does not serve even as her only thicker piece; thicker than that does not either."""
        asked = [(r, rope) for r, run in enumerate(self.runs) for rope in run.ropes if rope != run.needed]
        boats: list[Boat] = [((self.runs[r].key, rope),) for r, rope in asked]
        least: dict[int, int] = {}
        for (r, rope), against in zip(asked, self.rejudge(boats, quick=True) if boats else (), strict=True):
            if against:
                least[r] = min(rope, least.get(r, rope))
        for r, rope in least.items():
            run = self.runs[r]
            self.runs[r] = replace(run, ropes=tuple(one for one in run.ropes if one < rope))

    def _alike(self) -> dict[_Class, list[RopeRun]]:
        """Runs that differ in nothing but whose they are, in the order of the fleet."""
        alike: dict[_Class, list[RopeRun]] = {}
        for run in self.runs:
            costs = tuple(int(self.besides(run, rope) / CENT) * self.coin for rope in run.ropes)
            kind = run.length_mm, run.quantity, run.needed, run.ropes, costs
            alike.setdefault(kind, []).append(run)
        return alike

    def _problem(self, alike: Mapping[_Class, Sequence[RopeRun]]) -> Problem:
        goods = tuple(
            Goods(
                packs=tuple(
                    Pack(pack_mm(o), self._price(o), o.minimum_packs) for o in offers if o.step is None
                ),
                by_length=tuple(
                    ByLength(_mm(o.step), least_steps(o) * _mm(o.step), self._price(o))
                    for o in offers if o.step is not None
                ),
                shelf_mm=tuple(sorted(self.stock[rope].stocked.stock_mm)),
                loss_mm=self.stock[rope].stocked.end_loss_mm,
            )
            for rope, offers in zip(self.ropes, self.offers, strict=True)
        )  # fmt: skip
        at = {rope: g for g, rope in enumerate(self.ropes)}
        return Problem(goods, tuple(
            Run(mm, quantity, tuple(zip((at[rope] for rope in ropes), costs, strict=True)), len(runs))
            for (mm, quantity, _, ropes, costs), runs in alike.items()
        ))  # fmt: skip

    def _price(self, offer: Offer) -> int:
        return int(_exact(offer) * self.coin)

    def _packed(self, g: int, rest: Mapping[int, int]) -> Packed | None:
        """Pack pieces into whole packs of one rope, as the order itself does."""
        rope = self.stock[self.ropes[g]]
        asked = [Wanted(FLEET_ACCOUNT, "", mm, n) for mm, n in rest.items()]
        in_packs = tuple(offer for offer in self.offers[g] if offer.step is None)
        stocked = replace(rope.stocked, offers=in_packs, ready=(), time_limit_s=self._limit_s)
        _spools, packs, summary, left = whole_packs(rope.item, asked, stocked)
        if left:
            return None
        cost = sum(self._price(offer) * n for offer, n in packs.items())
        bound = cost if summary.optimal else 0
        if not summary.optimal and summary.cost and summary.bound is not None:
            bound = int(Fraction(cost) * Fraction(summary.bound) / Fraction(summary.cost))
        return Packed(cost, bound)

    def _chosen(self, alike: Mapping[_Class, Sequence[RopeRun]], found: Solution) -> list[Boat]:
        """The thicker ropes by boat: of runs alike the first in the order of the fleet get the thickest."""
        chosen = []
        for runs, counts in zip(alike.values(), found.choice, strict=True):
            waiting = iter(runs)
            for choice in range(len(counts) - 1, -1, -1):
                cut = [(run, run.ropes[choice]) for run in islice(waiting, counts[choice])]
                chosen += [(run.key, rope) for run, rope in cut if rope != run.needed]
        return self._boats(chosen)

    def _boats(self, chosen: Iterable[tuple[tuple[int, str], int]]) -> list[Boat]:
        """These thicker ropes, and those of pieces that are cut already, boat by boat."""
        boats: dict[int, dict[tuple[int, str], int]] = {}
        for key, rope in (*self.ready.items(), *chosen):
            boats.setdefault(key[0], {})[key] = rope
        return [tuple(sorted(boats[row].items())) for row in sorted(boats)]

    def _judged(self, boats: Sequence[Boat]) -> list[Boat]:
        """Judge the boats again, each choice once; returns those that are spoken against."""
        asked = [boat for boat in boats if boat not in self.accepted]
        for boat, against in zip(asked, self.rejudge(asked) if asked else (), strict=True):
            self.accepted[boat] = not against
        return [boat for boat in boats if not self.accepted[boat]]

    def _take_out(self, boat: Boat) -> None:
        """Leave a boat fewer choices: none as thick as what was spoken against.

        Where several pieces were thicker together, the longest keeps its choice, which is judged alone next.
        """
        length = {run.key: run.length_mm * run.quantity for run in self.runs}
        kept = max(boat, key=lambda piece: (length.get(piece[0], 0), piece[0]))[0] if len(boat) > 1 else None
        thick = dict(boat)
        for key in thick:
            if key != kept:
                self.ready.pop(key, None)
        for r, run in enumerate(self.runs):
            rope = thick.get(run.key)
            if rope is not None and run.key != kept:
                self.runs[r] = replace(run, ropes=tuple(one for one in run.ropes if one < rope))

    def _made(self, boats: Sequence[Boat], found: Solution) -> OneOptimum:
        """The choice for these boats; what the others' ropes cost then, where some were spoken against."""
        ropes = {key: rope for boat in boats for key, rope in boat}
        cost = self._cost(ropes)
        bound = min(found.bound, cost)
        cost_money, bound_money = (Decimal(coins // self.coin) * CENT for coins in (cost, bound))
        return OneOptimum(cost_money, bound_money, ropes=ropes)

    def _cost(self, ropes: Ropes) -> int:
        """What all runs cost with these ropes."""
        demand: list[dict[int, int]] = [{} for _ in self.ropes]
        cost = 0
        for run in self.runs:
            if not run.ropes:
                continue
            rope = ropes.get(run.key, run.needed)
            if rope not in run.ropes:
                rope = run.ropes[0]
            cost += int(self.besides(run, rope) / CENT) * self.coin
            g = self.ropes.index(rope)
            demand[g][run.length_mm] = demand[g].get(run.length_mm, 0) + run.quantity
        for g, rest in enumerate(demand):
            if rest:
                cost += self._bought(g, dict(sorted(rest.items(), reverse=True)))
        return cost

    def _bought(self, g: int, rest: Mapping[int, int]) -> int:
        rope = self.stock[self.ropes[g]]
        asked = [Wanted(FLEET_ACCOUNT, "", mm, n) for mm, n in rest.items()]
        stocked = replace(rope.stocked, offers=self.offers[g], ready=(), time_limit_s=self._limit_s)
        bought = buy_lengths(rope.item, asked, stocked)
        return sum(int((line.amount or 0) / CENT) * self.coin for line in bought.lines)

    @property
    def _limit_s(self) -> float:
        return max(LEAST_TIME_S, self.deadline.left_s() / 4)


def _is_ready(run: RopeRun, rope: int, stock: Mapping[int, RopeStock]) -> bool:
    """Whether pieces of a run are cut already of a rope."""
    return rope in stock and stock[rope].ready.get(run.key, 0) > 0


def _open(run: RopeRun, stock: Mapping[int, RopeStock]) -> RopeRun | None:
    """What of a run is still to be cut, of the ropes it can be cut of; None where that is nothing.

    A run of which pieces are cut already stays with the rope they are of.
    """
    for rope in run.ropes:
        if _is_ready(run, rope, stock):
            left = run.quantity - stock[rope].ready[run.key]
            return replace(run, ropes=(rope,), quantity=max(left, 0)) if left > 0 else None
    ropes = tuple(rope for rope in run.ropes if rope in stock and stock[rope].holds(run.length_mm))
    return replace(run, ropes=ropes) if ropes else None


def _exact(offer: Offer) -> Fraction:
    """Cents of a pack, or of one step of what is cut to length."""
    return Fraction(cents(offer) or 0) / Fraction(offer.pack_size) * Fraction(offer.step or offer.pack_size)


def _mm(length_m: Decimal | None) -> int:
    return int((length_m or Decimal(0)) / STEP["m"])
