"""What came instead of what was ordered is cut for the boats that are shown to be as safe with it.

Each boat is judged again with what came in her parts (`sizing.audit.as_fitted`). Where nothing speaks against
it, her parts are cut of it and her thimbles, cones and connectors go with it; where something does, what she
needs stays on order, and it is said why.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from sizing.audit import AuditContext
from sizing.audit.as_fitted import (
    FIRST,
    PARTS,
    FittedColumns,
    RopesPut,
    as_fitted,
    fitted_requirements,
    place_of,
)
from sizing.entry_key import entry_key
from sizing.model import CameFor, MendPlan, Piece, RequirementColumns
from sizing.order.came import SUITABLE, CameRope, CutOf, Key
from sizing.order.consumables import known_items
from sizing.order.cutting import cut_length_mm
from sizing.order.fitted import boats_known, less_what_is_fitted, needs_of
from sizing.order.pieces import parts_list
from sizing.order.stock import ClubStock
from sizing.units import both

NO_LENGTH: Final = "none of it that is left is long enough"


@dataclass(frozen=True)
class Substituted:
    """The requirements with what came, what each piece is cut of, and what is to be said of every boat."""

    requirements: RequirementColumns
    cut_of: CutOf = field(default_factory=dict)
    said: tuple[CameFor, ...] = ()


@dataclass(frozen=True)
class _Case:
    """One piece of a boat's that may be cut of what came; `ready` of them are cut already."""

    piece: Piece
    place: int
    rope: CameRope
    ready: int

    @property
    def key(self) -> Key:
        return self.piece.row, self.piece.purpose

    @property
    def length_mm(self) -> int:
        return cut_length_mm(self.piece.length_m or 0.0)


def substitute(
    context: AuditContext,
    plans: Sequence[MendPlan],
    stock: ClubStock | None,
    *,
    others: Sequence[MendPlan] = (),
    samples: int = 0,
) -> Substituted:
    """Choose which pieces are cut of what came instead of what was ordered.

    `plans` are those of the boats that are bought for, `others` those of the rest. Pieces that were cut of it
    for a boat come first, then the longest. With `samples` a boat is judged at last by a spread of strikes of
    her own.
    """
    needed = context.requirements
    if stock is None or not stock.came:
        return Substituted(needed)
    cases = _cases(context, plans, stock, others)
    usable = [case for case in cases if case.rope.suits]
    said = [
        _said(case, (f"it is {case.rope.material}, and parts are made of {SUITABLE} alone",))
        for case in cases if not case.rope.suits
    ]  # fmt: skip
    if not usable:
        return Substituted(needed, {}, tuple(said))
    single = as_fitted(context, plans, _put([(case,) for case in usable]))
    said += [_said(case, single.against(at)) for at, case in enumerate(usable) if not single.fits[at]]
    fitting = [case for at, case in enumerate(usable) if single.fits[at]]
    held, without = _given_lengths(fitting, _lengths(stock, fitting), _loss_mm(context))
    said += [_said(case, (NO_LENGTH,)) for case in without]
    boats: dict[int, tuple[_Case, ...]] = {}
    for case in held:
        boats[case.piece.row] = (*boats.get(case.piece.row, ()), case)
    while boats:
        fitted = as_fitted(context, plans, _put(list(boats.values())), samples=samples)
        against = {row: fitted.against(at) for at, row in enumerate(boats) if not fitted.fits[at]}
        if not against:
            break
        for row, why in against.items():
            *kept, last = boats.pop(row)
            said.append(_said(last, why))
            if kept:
                boats[row] = tuple(kept)
    if not boats:
        return Substituted(needed, {}, tuple(said))
    fitted = as_fitted(context, plans, _put(list(boats.values())), samples=samples)
    done = [_said(case, (), fitted, at) for at, hers in enumerate(boats.values()) for case in hers]
    return Substituted(
        fitted_requirements(needed, fitted.put, fitted.asked_n, context.policy, context.catalogue),
        {case.key: case.rope for hers in boats.values() for case in hers},
        (*done, *said),
    )


def _cases(
    context: AuditContext, plans: Sequence[MendPlan], stock: ClubStock, others: Sequence[MendPlan]
) -> list[_Case]:
    """Pieces of items that something came instead of, while there is some of that in hand."""
    fleet, policy, catalogue = context.fleet, context.policy, context.catalogue
    entries = [str(entry) for entry in fleet.text["entry_no"]]
    parts = [parts_list(plan, fleet, context.requirements, policy, catalogue) for plan in (*plans, *others)]
    pieces = [piece for part in parts[: len(plans)] for piece in part.pieces]
    left = stock
    if stock.last is not None:
        listed = frozenset(map(entry_key, boats_known(entries, (p for part in parts for p in part.problems))))
        wanted = needs_of((piece for part in parts for piece in part.pieces), entries)
        known = {**known_items(catalogue), **{rope.item.id: rope.item for rope in stock.came}}
        left, _ = less_what_is_fitted(stock, stock.last, wanted, listed, known)
    cases = []
    for rope in stock.came:
        if not left.lengths_mm.get(rope.item.id) and not left.cut.get(rope.item.id):
            continue
        cut = {
            (entry_key(c.entry_no), c.purpose, c.length_mm): c.quantity
            for c in left.cut.get(rope.item.id, ())
        }
        for piece in pieces:
            place = place_of(piece.purpose, int(context.sections[piece.row]))
            if piece.item == rope.instead_of and place >= 0:
                case = _Case(piece, place, rope, 0)
                ready = cut.get((entry_key(entries[piece.row]), piece.purpose, case.length_mm), 0)
                cases.append(replace(case, ready=min(ready, piece.quantity)))
    return sorted(cases, key=lambda case: (not case.ready, -case.length_mm * case.piece.quantity))


def _put(boats: Sequence[Sequence[_Case]]) -> RopesPut:
    """Each boat with what is cut for her of what came."""
    diameter, strength, mass = np.full((3, len(boats), len(PARTS)), np.nan)
    for at, cases in enumerate(boats):
        for case in cases:
            diameter[at, case.place] = case.rope.diameter_m
            strength[at, case.place] = case.rope.strength_n
            mass[at, case.place] = case.rope.mass_kg_per_m or np.nan
    return RopesPut(np.array([cases[0].piece.row for cases in boats], np.int64), diameter, strength, mass)


def _lengths(stock: ClubStock, cases: Iterable[_Case]) -> dict[str, list[int]]:
    return {case.rope.item.id: list(stock.lengths_mm.get(case.rope.item.id, ())) for case in cases}


def _loss_mm(context: AuditContext) -> int:
    return round(context.policy.order.spool_end_loss * 1000)


def _given_lengths(
    cases: Sequence[_Case], lengths: dict[str, list[int]], loss_mm: int
) -> tuple[list[_Case], list[_Case]]:
    """Cases for which there is enough, each piece in one length; those for which there is not."""
    rooms = {item: [mm - loss_mm for mm in found] for item, found in lengths.items()}
    held, without = [], []
    taken: set[Key] = set()
    for case in cases:
        if case.key in taken:
            continue
        room = rooms[case.rope.item.id]
        trial = sorted(room)
        for _ in range(case.piece.quantity - case.ready):
            at = next((at for at, mm in enumerate(trial) if mm >= case.length_mm), None)
            if at is None:
                without.append(case)
                break
            trial[at] -= case.length_mm
            trial.sort()
        else:
            rooms[case.rope.item.id] = trial
            held.append(case)
            taken.add(case.key)
    return held, [case for case in without if case.key not in taken]


def _said(case: _Case, against: Sequence[str], fitted: FittedColumns | None = None, at: int = 0) -> CameFor:
    """What is told of one piece: shown, with what goes with it, or what stands against it."""
    rope, row, purpose = case.rope, case.piece.row, case.piece.purpose
    words = f"{rope.item.description} came instead of {rope.instead_of}"
    if fitted is None:
        said = f"{words}. It is not cut for her {purpose}: {'; '.join(against)}. Her own rope stays on order."
        return CameFor(row, purpose, rope.instead_of, rope.item.id, shown=False, sentence=said)
    asked, held = float(fitted.asked_n[at, case.place]), float(fitted.held_n[at, case.place])
    told = f"Her {purpose} is cut of it: it holds {both(held, 'force')}, and {both(asked, 'force')} is asked."
    if case.place >= FIRST:
        small = float(fitted.small_end_m[at, case.place - FIRST])
        told += f" Its cones have a small end of {both(small, 'small_length')}."
    return CameFor(row, purpose, rope.instead_of, rope.item.id, shown=True, sentence=f"{words}. {told}")
