"""From a cut problem to a cut plan: lengths to grid units, the search, then labels on every piece."""

from __future__ import annotations

from math import isfinite

import numpy as np

from sizing.errors import PolicyError
from sizing.order.cutting.clock import Deadline
from sizing.order.cutting.finishing import fewer_patterns, use_shelf
from sizing.order.cutting.first_fit import first_fit_decreasing
from sizing.order.cutting.grid import Instance, Packing, longest_room_mm, to_instance, uses_of
from sizing.order.cutting.plan import CutPlan, Uncut, labelled_spools, require_sound
from sizing.order.cutting.problem import CutProblem, Piece, is_number
from sizing.order.cutting.solve import NOTHING, Outcome, search


def plan_cuts(problem: CutProblem, time_limit_s: float = 60.0) -> CutPlan:
    """Cut plan of least cost, then fewest spools, then (by a bounded effort) fewest distinct patterns.

    Cost is that of the spools bought. A remnant costs nothing, so the plan leans on remnants as far as
    that saves money; and in the plan handed back no piece on a bought spool would fit in the room left on
    any remnant, used or not. With any stock kind unpriced, "cost" is the length bought.

    Pieces too long for everything, or for which limited stock does not suffice, are listed in `uncut` with
    the reason; the proof then is about the pieces that are cut. The order of the input makes no
    difference, and the same input gives the same plan unless the time limit cuts in; then the best plan
    found is handed back with its gap and `time_ran_out` set.

    Units: mm, cents, s. Range: lengths to 100 km, a million pieces; memory and time grow with the longest
    spool over the common divisor of the lengths, so give lengths to 10 mm or coarser. [derived]
    """
    if not is_number(time_limit_s) or not isfinite(time_limit_s) or time_limit_s <= 0:
        raise PolicyError(
            "cutting time limit",
            f"{time_limit_s!r} s",
            "a finite time above 0 s",
            "give seconds, 60 by default",
        )
    deadline = Deadline(time_limit_s)
    room = longest_room_mm(problem)
    ordered = sorted(problem.pieces, key=lambda piece: (-piece.length_mm, piece.label, piece.quantity))
    uncut = [Uncut(piece, _too_long(problem, room)) for piece in ordered if piece.length_mm > room]
    pieces = [piece for piece in ordered if piece.length_mm <= room]
    plan = _plan(problem, pieces, uncut, deadline) if pieces else _empty(problem, uncut)
    require_sound(problem, plan)
    return plan


def _plan(problem: CutProblem, pieces: list[Piece], uncut: list[Uncut], deadline: Deadline) -> CutPlan:
    instance = to_instance(problem, pieces)
    outcome = search(instance, deadline)
    while outcome.packing is None:
        pieces, missing = _what_stock_gives(instance, problem, pieces)
        sure = "" if outcome.proven_short else " by any plan found"
        uncut = [*uncut, *(Uncut(piece, _used_up(sure)) for piece in missing)]
        instance = to_instance(problem, pieces)
        outcome = search(instance, deadline)
    packing = fewer_patterns(instance, outcome.packing, deadline)
    packing = use_shelf(instance, packing)
    return _assembled(problem, instance, pieces, packing, outcome, uncut, deadline)


def _too_long(problem: CutProblem, room: int) -> str:
    if not problem.stock and not problem.remnants:
        return "no stock kind and no remnant is given to cut from"
    return (
        f"longer than the longest length on offer gives ({max(room, 0)} mm after allowances); "
        "it needs a longer spool, since no piece is ever joined"
    )


def _used_up(sure: str) -> str:
    return f"the stock that can be had does not suffice{sure}; it needs more or longer spools"


def _what_stock_gives(
    instance: Instance, problem: CutProblem, pieces: list[Piece]
) -> tuple[list[Piece], list[Piece]]:
    """Split pieces into those that first-fit-decreasing places with all stock on hand, and the rest."""
    _, packing = first_fit_decreasing(instance)
    placed = np.zeros(len(instance.widths), dtype=np.int64)
    for bundle in packing:
        placed += bundle.times * np.array(bundle.counts)
    budget = dict(
        zip(
            ((instance.widths * instance.unit_mm) - problem.per_piece_mm).tolist(),
            placed.tolist(),
            strict=True,
        )
    )
    kept: list[Piece] = []
    missing: list[Piece] = []
    for piece in pieces:
        n = min(piece.quantity, budget[piece.length_mm])
        budget[piece.length_mm] -= n
        if n:
            kept.append(Piece(piece.length_mm, piece.label, n))
        if piece.quantity - n:
            missing.append(Piece(piece.length_mm, piece.label, piece.quantity - n))
    return kept, missing


def _empty(problem: CutProblem, uncut: list[Uncut]) -> CutPlan:
    return CutPlan(
        spools=(),
        bought=tuple((kind.id, 0) for kind in problem.stock),
        objective="cost" if problem.priced else "length",
        value=0,
        bound=0,
        method=NOTHING,
        proof="whole-number bound",
        time_ran_out=False,
        uncut=tuple(uncut),
    )


def _assembled(
    problem: CutProblem,
    instance: Instance,
    pieces: list[Piece],
    packing: Packing,
    outcome: Outcome,
    uncut: list[Uncut],
    deadline: Deadline,
) -> CutPlan:
    uses = uses_of(instance, packing)
    value, _ = instance.spent(uses)
    bought = dict.fromkeys(range(len(problem.stock)), 0)
    for b in range(instance.bought):
        bought[instance.stock_index[b]] = int(uses[b])
    return CutPlan(
        spools=labelled_spools(problem, instance, pieces, packing),
        bought=tuple((problem.stock[i].id, n) for i, n in bought.items()),
        objective="cost" if problem.priced else "length",
        value=value,
        bound=outcome.bound[0],
        method=outcome.method,
        proof="whole-number bound" if outcome.exact else "integer program",
        time_ran_out=deadline.hit,
        uncut=tuple(uncut),
    )
