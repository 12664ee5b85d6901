"""All ropes cut as one: least cost by full enumeration, and the saving of thirty boats by another program."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import product
from typing import Any

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import coo_matrix

from sizing.audit.as_fitted import fitted_requirements
from sizing.model import Order, RequirementColumns
from sizing.order import build_order
from sizing.order.came import CameRope
from sizing.order.cutting import CutProblem, Piece, Stock
from sizing.order.items import Item
from sizing.order.judged_again import boats_of, ropes_put
from sizing.order.length_stock import Stocked
from sizing.order.one_optimum import OneOptimum, RopeStock, choose_ropes
from sizing.order.prices import Offer, PriceBook, parse_prices
from sizing.order.rope_choices import Boat, RopeRun, Ropes
from sizing.order.stock import ClubStock, CutStock
from sizing.policy import OrderRules, Policy
from tests.benchmarks.cutting import drogue_rope
from tests.sizing.order.cutting.brute_force import least_value_and_spools
from tests.sizing.order.fleet_builder import Boat as Fitted
from tests.sizing.order.fleet_builder import Case, case
from tests.sizing.order.price_books import KNOWN

LOSS_MM = 100
LEAST_SAVING = Decimal(10)


class Judge:
    """Accepts all thicker rope but for what `against` names; counts what it was asked."""

    def __init__(self, against: frozenset[tuple[int, str]] = frozenset(), made: Case | None = None) -> None:
        self.against, self.case, self.asked = against, made, 0

    def __call__(self, boats: Sequence[Boat], *, quick: bool = False) -> Sequence[tuple[str, ...]]:
        self.asked += len(boats)
        return [("no",) if not quick and self.against & {key for key, _ in boat} else () for boat in boats]

    def made(self, ropes: Ropes) -> RequirementColumns:
        assert self.case is not None
        needed, catalogue = self.case.requirements, self.case.catalogue
        put = ropes_put(boats_of(ropes), np.zeros(len(self.case.fleet), np.int64), catalogue.ropes)
        return fitted_requirements(
            needed, put, np.full((len(put.row), 5), np.nan), self.case.policy, catalogue
        )


def rope_stock(packs: Mapping[int, Sequence[tuple[int, int]]]) -> dict[int, RopeStock]:
    """Ropes by place, each in packs of (m, price)."""
    stock = {}
    for rope, offered in packs.items():
        item = Item(f"R{rope}", "rope", f"rope {rope}", "m", "")
        offers = tuple(
            Offer(item.id, item.description, "m", Decimal(m), Decimal(price), "Shed", 1, 1, line)
            for line, (m, price) in enumerate(offered)
        )
        stock[rope] = RopeStock(item, Stocked(offers, (), LOSS_MM, 20.0))
    return stock


def besides(run: RopeRun, rope: int) -> Decimal:
    return LEAST_SAVING * (rope - run.needed) * run.quantity


def least_by_enumeration(runs: Sequence[RopeRun], packs: Mapping[int, Sequence[tuple[int, int]]]) -> Decimal:
    """Every choice of ropes, each rope's pieces cut by exhaustive search."""
    known: dict[tuple[int, tuple[int, ...]], int | None] = {}

    def cut(rope: int, lengths: tuple[int, ...]) -> int | None:
        key = rope, lengths
        if key not in known:
            stock = tuple(Stock(str(n), 1000 * m, 100 * price) for n, (m, price) in enumerate(packs[rope]))
            pieces = tuple(Piece(mm, str(n)) for n, mm in enumerate(lengths))
            found = least_value_and_spools(CutProblem(pieces, stock, per_spool_mm=LOSS_MM))
            known[key] = None if found is None else found[0]
        return known[key]

    best = Decimal("Infinity")
    for chosen in product(*(run.ropes for run in runs)):
        total = sum((besides(run, rope) for run, rope in zip(runs, chosen, strict=True)), Decimal(0))
        for rope in set(chosen):
            lengths = sorted(
                mm for run, one in zip(runs, chosen, strict=True) if one == rope
                for mm in [run.length_mm] * run.quantity
            )  # fmt: skip
            cost = cut(rope, tuple(lengths))
            total += Decimal("Infinity") if cost is None else Decimal(cost) / 100
        best = min(best, total)
    return best


def small(seed: int) -> tuple[list[RopeRun], dict[int, list[tuple[int, int]]]]:
    """Seven pieces of three ropes, the two thicker ones dearer by the metre."""
    rng = np.random.default_rng(seed)
    packs = {rope: [(30, 60 + 15 * rope), (60, 112 + 29 * rope)] for rope in range(3)}
    runs = []
    for boat in range(6):
        own = int(rng.integers(0, 3))
        length_mm = 500 * int(rng.integers(8, 40))
        runs.append(RopeRun(boat, "lead line", length_mm, 1, tuple(range(own, 3)), own))
    runs.append(RopeRun(0, "bridle leg", 500 * int(rng.integers(8, 16)), 2, (0, 1, 2), 0))
    return runs, packs


def is_near(found: OneOptimum, least: Decimal) -> bool:
    """At the least, or as near it as the search says that it stops."""
    return found.bound <= least <= found.cost <= least * Decimal("1.0041")


@pytest.mark.parametrize("seed", range(4))
def test_nothing_costs_less_by_full_enumeration(seed: int) -> None:
    runs, packs = small(seed)
    found = choose_ropes(runs, rope_stock(packs), besides, Judge(), 60.0)
    plain = least_by_enumeration([replace(run, ropes=run.ropes[:1]) for run in runs], packs)
    least = least_by_enumeration(runs, packs)
    assert not found.time_ran_out
    assert least == plain if not found.ropes else is_near(found, least)


@pytest.mark.thorough
@pytest.mark.parametrize("seed", range(4, 40))
def test_nothing_costs_less_by_full_enumeration_of_more(seed: int) -> None:
    test_nothing_costs_less_by_full_enumeration(seed)


def test_some_of_these_are_cheaper_cut_thicker() -> None:
    """Else the enumeration would compare nothing."""
    thicker = [bool(found_by(seed, Judge()).ropes) for seed in range(4)]
    assert any(thicker)


def prepared(seed: int) -> tuple[list[RopeRun], dict[int, RopeStock], Callable[[RopeRun, int], Decimal]]:
    runs, packs = small(seed)
    return runs, rope_stock(packs), besides


def found_by(seed: int, judge: Judge) -> OneOptimum:
    runs, stock, costs = prepared(seed)
    return choose_ropes(runs, stock, costs, judge, 60.0)


def test_what_a_boat_judged_again_speaks_against_is_not_cut() -> None:
    runs, stock, costs = prepared(0)
    free = choose_ropes(runs, stock, costs, Judge(), 60.0)
    assert free.ropes
    judge = Judge(frozenset(free.ropes))
    found = choose_ropes(runs, stock, costs, judge, 60.0)
    assert not free.ropes.keys() & found.ropes.keys()
    assert found.refused > 0
    assert not found.ropes or found.cost >= free.bound


def test_a_piece_that_is_cut_already_stays_as_it_is() -> None:
    runs, stock, costs = prepared(0)
    free = choose_ropes(runs, stock, costs, Judge(), 60.0)
    key, rope = next(iter(free.ropes.items()))
    needed = next(run.ropes[0] for run in runs if run.key == key)
    quantity = next(run.quantity for run in runs if run.key == key)
    cut = {**stock, needed: replace(stock[needed], ready={key: quantity})}
    assert key not in choose_ropes(runs, cut, costs, Judge(), 60.0).ropes
    thick = {**stock, rope: replace(stock[rope], ready={key: quantity})}
    assert choose_ropes(runs, thick, costs, Judge(), 60.0).ropes.get(key) == rope


def test_the_same_input_gives_the_same_choice() -> None:
    first, second = (found_by(2, Judge()) for _ in range(2))
    assert first == second


# The saving of thirty boats, against another program: an arc-flow relaxation (positions along a spool are
# nodes, a piece laid there an arc; Valerio de Carvalho 1999, from memory) by scipy, over all ropes at once.
SPOOLS = ((100, 1.0), (150, 1.42), (200, 1.86))
STEP_MM = 1000


def thirty_boats() -> tuple[list[RopeRun], dict[int, list[tuple[int, int]]]]:
    """The benchmark's invented fleet; a metre costs by the square of the diameter, larger spools less."""
    pieces = drogue_rope(30, STEP_MM)
    diameters = sorted(pieces)
    packs = {
        rope: [(m, round(0.0195 * mm * mm * factor * 100)) for m, factor in SPOOLS]
        for rope, mm in enumerate(diameters)
    }
    last = len(diameters) - 1
    runs = [
        RopeRun(at * 100 + rope, piece.label, piece.length_mm, piece.quantity,
                tuple(range(rope, min(rope + 2, last) + 1)), rope)
        for rope, mm in enumerate(diameters) for at, piece in enumerate(pieces[mm])
    ]  # fmt: skip
    return runs, packs


def arc_flow_bound(
    runs: Sequence[RopeRun], packs: Mapping[int, Sequence[tuple[int, int]]], *, thicker: bool
) -> float:
    """What no cutting of these pieces can cost less than: the linear relaxation of the arc-flow model."""
    kinds = sorted({(run.length_mm, run.ropes if thicker else run.ropes[:1]) for run in runs}, reverse=True)
    asked = [
        sum(r.quantity for r in runs if (r.length_mm, r.ropes if thicker else r.ropes[:1]) == kind)
        for kind in kinds
    ]
    rows: list[int] = []
    columns: list[int] = []
    values: list[float] = []
    costs: list[float] = []
    nodes = 0
    flow_rows = {}
    for rope, offered in packs.items():
        longest = max(m for m, _ in offered)
        for at in range(longest + 1):
            flow_rows[rope, at] = nodes
            nodes += 1

    def arc(cost: float, *entries: tuple[int, float]) -> None:
        for row, value in entries:
            rows.append(row)
            columns.append(len(costs))
            values.append(value)
        costs.append(cost)

    for rope, offered in packs.items():
        longest = max(m for m, _ in offered)
        for m, price in offered:  # a spool lets flow in at 0 and out at its usable end
            end = (1000 * m - LOSS_MM) // STEP_MM
            arc(float(price), (flow_rows[rope, 0], 1.0), (flow_rows[rope, end], -1.0))
        for at in range(longest):
            arc(0.0, (flow_rows[rope, at], -1.0), (flow_rows[rope, at + 1], 1.0))
        for number, (mm, ropes) in enumerate(kinds):
            if rope in ropes:
                cost = float(LEAST_SAVING) * (rope - ropes[0])
                for at in range(longest - mm // STEP_MM + 1):
                    arc(cost, (flow_rows[rope, at], -1.0), (flow_rows[rope, at + mm // STEP_MM], 1.0),
                        (nodes + number, 1.0))  # fmt: skip
    at_rows, at_columns = np.array(rows), np.array(columns)
    shape = nodes + len(kinds), len(costs)
    table: Any = coo_matrix((np.array(values), (at_rows, at_columns)), shape=shape).tocsr()
    needed = np.concatenate([np.zeros(nodes), asked])
    solved = linprog(np.array(costs), A_eq=table, b_eq=needed, method="highs")
    assert solved.status == 0
    assert solved.fun is not None
    return float(solved.fun)


@pytest.mark.thorough
@pytest.mark.timeout(900)
def test_thirty_boats_save_by_thicker_rope() -> None:
    """The saving is real, and what is left of it to be found is less than the gap that is told."""
    runs, packs = thirty_boats()
    stock = rope_stock(packs)
    found = choose_ropes(runs, stock, besides, Judge(), 240.0)
    own = [replace(run, ropes=run.ropes[:1]) for run in runs]
    plain = arc_flow_bound(own, packs, thicker=False)
    least = arc_flow_bound(runs, packs, thicker=True)
    assert float(found.cost) < plain, "less than any cutting of every piece of its own rope can cost"
    assert float(found.cost) >= least - 0.01
    assert float(found.bound) <= float(found.cost)
    assert found.gap_percent < 2.0


THICKER = Policy(order=OrderRules(thicker_pieces=True))


def rally(policy: Policy = THICKER) -> Case:
    """Two boats that leave more of a spool of the thicker rope over than they need of the thinner."""
    return case([Fitted("1", "Knot"), Fitted("2", "Dunlin")], policy)


def offered(*rows: str) -> PriceBook:
    header = "item,unit,pack_size,pack_price,currency,supplier\n"
    return parse_prices((header + "\n".join(rows) + "\n").encode(), "prices.csv", KNOWN)


ROPES = offered(
    "NDB-16,m,200,800,EUR,Shed", "NDB-18,m,200,1000,EUR,Shed", "NDB-20,m,200,1200,EUR,Shed",
    "NDB-20,m,100,640,EUR,Shed",
)  # fmt: skip


def order_of(
    fleet: Case, stock: ClubStock | None = None, *, judged: bool = True, prices: PriceBook = ROPES
) -> Order:
    judge = Judge(made=fleet) if judged else None
    return build_order(
        fleet.fleet, fleet.requirements, fleet.plans, fleet.policy, fleet.catalogue, prices,
        time_limit_s=120.0, stock=stock, rejudge=judge,
    )  # fmt: skip


def test_the_order_costs_less_and_tells_one_thickness_everywhere() -> None:
    fleet = rally()
    plain, order = order_of(fleet, judged=False), order_of(fleet)
    assert plain.total is not None
    assert order.total is not None
    assert order.together.pieces
    assert order.total == plain.total - order.together.saving < plain.total
    assert sum(order.boat_totals.values()) == order.total
    told = {(piece.row, piece.purpose): piece.item for piece in order.together.pieces}
    pieces = {(piece.row, piece.purpose): piece.item for piece in order.pieces if piece.kind == "rope"}
    assert told.items() <= pieces.items()
    cut = {(piece.row, piece.purpose): spool.item for spool in order.spools for piece in spool.pieces}
    assert {key: cut[key] for key in pieces} == pieces
    ropes = fleet.catalogue.ropes
    thimbles = {p.row: p.item for p in order.pieces if p.kind == "thimble" and p.purpose == "lead line, ends"}
    for row, item in thimbles.items():
        rope_mm = 1000 * ropes.diameter_m[ropes.id.index(pieces[row, "lead line"])]
        assert int(item.removeprefix("THM-")) >= round(rope_mm)
    assert order.made is not None
    for (row, purpose), item in told.items():
        if purpose == "lead line":
            assert ropes.id[order.made.lead_rope[row]] == item


def test_a_policy_may_forbid_it_and_without_judging_nothing_is_thicker() -> None:
    forbidden = order_of(rally(Policy(order=OrderRules(thicker_pieces=False))))
    unjudged = order_of(rally(), judged=False)
    assert not forbidden.together.pieces
    assert forbidden.lines == unjudged.lines


def test_a_boat_with_a_piece_of_what_came_gets_no_other_thicker() -> None:
    fleet = rally()
    row = order_of(fleet).together.pieces[0].row
    item = Item("CAME-40", "rope", "40 mm nylon double braid", "m", "as it came")
    came = CameRope(item, "NDB-16", 0.04, 300e3, "nylon double braid", "certificate", None, Decimal(900))
    order = build_order(
        fleet.fleet, fleet.requirements, fleet.plans, fleet.policy, fleet.catalogue, ROPES, time_limit_s=60.0,
        stock=ClubStock(lengths_mm={item.id: (200_000,)}, came=(came,)), rejudge=Judge(made=fleet),
        cut_of={(row, "lead line"): came},
    )  # fmt: skip
    pieces = {(p.row, p.purpose): p.item for p in order.pieces if p.kind == "rope"}
    assert pieces[row, "lead line"] == item.id
    assert row not in {piece.row for piece in order.together.pieces}
    assert order.made is not None
    own = fleet.catalogue.ropes.id[fleet.requirements.bridle_rope[row]]
    assert pieces[row, "bridle leg"] == own


def test_what_is_cut_stays_and_nothing_else_is_cut_anew_for_it() -> None:
    fleet = rally()
    first = order_of(fleet)
    entries = [str(entry) for entry in fleet.fleet.text["entry_no"]]
    cut: dict[str, list[CutStock]] = {}
    for spool in first.spools:
        for piece in spool.pieces:
            if spool.item.startswith("NDB"):
                mm = round(1000 * piece.length_m)
                cut.setdefault(spool.item, []).append(CutStock(entries[piece.row], piece.purpose, mm, 1))
    again = order_of(fleet, ClubStock(cut={item: tuple(found) for item, found in cut.items()}))
    bought = [line for line in again.lines if line.item.startswith("NDB") and line.supplier != "in hand"]
    assert not bought


def test_an_order_by_a_price_book_without_the_thinner_rope_is_the_choice_made_before() -> None:
    """As the book that the round of quotations leaves: it has rows for nothing but what is bought."""
    fleet = rally()
    first = order_of(fleet)
    again = order_of(fleet, prices=offered("NDB-20,m,200,1111,EUR,Shed"))
    assert [(p.row, p.purpose, p.item) for p in again.together.pieces] == [
        (p.row, p.purpose, p.item) for p in first.together.pieces
    ]
    bought = [line for line in again.lines if line.item.startswith("NDB")]
    assert [(line.item, line.packs, line.amount) for line in bought] == [("NDB-20", 1, Decimal("1111.00"))]
