"""The cut plan: who is cut from which spool, what to buy, how near the proven bound."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from typing import Literal

from sizing.errors import ComputationError
from sizing.order.cutting.grid import Instance, Packing
from sizing.order.cutting.problem import CutProblem, Piece, Remnant, Stock
from sizing.order.takers import Takers


@dataclass(frozen=True)
class Cut:
    """A run of equal pieces for one label."""

    length_mm: int
    label: str
    quantity: int


@dataclass(frozen=True)
class CutSpool:
    """One spool or remnant with its cuts in cutting order, longest first.

    A spoilt long piece can still give a shorter one, so the longest is cut first. [practice]
    """

    source: Literal["spool", "remnant"]
    id: str
    length_mm: int
    cuts: tuple[Cut, ...]
    offcut_mm: int  # what is left in one length, allowances already taken off

    @property
    def cut_mm(self) -> int:
        """Length that goes into pieces."""
        return sum(cut.length_mm * cut.quantity for cut in self.cuts)

    @property
    def pattern(self) -> tuple[str, int, tuple[tuple[int, int], ...]]:
        """What makes two spools cut alike: source, length, and (length, count) of the pieces."""
        counts: dict[int, int] = {}
        for cut in self.cuts:
            counts[cut.length_mm] = counts.get(cut.length_mm, 0) + cut.quantity
        return self.source, self.length_mm, tuple(sorted(counts.items(), reverse=True))


@dataclass(frozen=True)
class Uncut:
    """Pieces that are not in the plan, and why."""

    piece: Piece
    reason: str


@dataclass(frozen=True)
class CutPlan:
    """The plan with its proof.

    `objective` is "cost" (cents) when every stock kind has a price, else "length" (mm bought). `value` is
    what the plan reaches, `bound` what no plan for the same pieces can go below. `optimal` means value ==
    bound. Remnants count for nothing in either. `proof` says whether the bound rests on whole-number
    arithmetic alone or on the integer program's own search. `uncut` lists every piece that is asked for and
    not in `spools`.
    """

    spools: tuple[CutSpool, ...]
    bought: tuple[tuple[str, int], ...]
    objective: Literal["cost", "length"]
    value: int
    bound: int
    method: str
    proof: Literal["whole-number bound", "integer program"]
    time_ran_out: bool
    uncut: tuple[Uncut, ...]

    @property
    def spools_bought(self) -> int:
        """Number of spools bought, remnants not counted."""
        return sum(count for _, count in self.bought)

    @property
    def gap(self) -> float:
        """(value - bound) / value, 0 when proven optimal."""
        return (self.value - self.bound) / self.value if self.value else 0.0

    @property
    def optimal(self) -> bool:
        """True when no plan for the pieces cut can have a lower value."""
        return self.value == self.bound

    @property
    def complete(self) -> bool:
        """True when every piece asked for is in the plan."""
        return not self.uncut

    @property
    def patterns(self) -> int:
        """Number of distinct patterns."""
        return len({spool.pattern for spool in self.spools})

    @property
    def waste(self) -> float:
        """Share of the length taken (spools and remnants) that is not in a piece; 0 for an empty plan."""
        taken = sum(spool.length_mm for spool in self.spools)
        return 1 - sum(spool.cut_mm for spool in self.spools) / taken if taken else 0.0


def labelled_spools(
    problem: CutProblem, instance: Instance, pieces: list[Piece], packing: Packing
) -> tuple[CutSpool, ...]:
    """Every bin of a packing as a spool or remnant with labelled cuts; remnants first."""
    wanted: dict[int, dict[str, int]] = {}
    for piece in sorted(pieces, key=lambda piece: (piece.length_mm, piece.label)):
        labels = wanted.setdefault(piece.length_mm, {})
        labels[piece.label] = labels.get(piece.label, 0) + piece.quantity
    waiting = {length: Takers(labels.items()) for length, labels in wanted.items()}
    lengths = (instance.widths * instance.unit_mm - problem.per_piece_mm).tolist()
    shelf = _shelf(problem, instance)
    spools: list[CutSpool] = []
    for bundle in sorted(packing, key=lambda bundle: bundle.bin < instance.bought):
        for _ in range(bundle.times):
            source: Stock | Remnant
            if bundle.bin < instance.bought:
                source = problem.stock[instance.stock_index[bundle.bin]]
            else:
                source = shelf[bundle.bin - instance.bought].popleft()
            cuts = [
                Cut(length, label, n)
                for length, count in zip(lengths, bundle.counts, strict=True)
                if count
                for label, n in waiting[length].take(count)
            ]
            taken = sum(cut.quantity * (cut.length_mm + problem.per_piece_mm) for cut in cuts)
            left = source.length_mm - problem.per_spool_mm - taken
            kind: Literal["spool", "remnant"] = "spool" if isinstance(source, Stock) else "remnant"
            spools.append(CutSpool(kind, source.id, source.length_mm, tuple(cuts), left))
    return tuple(spools)


def _shelf(problem: CutProblem, instance: Instance) -> list[deque[Remnant]]:
    """Remnants of each length that is a bin of the instance, shortest length first, each in order of id."""
    least = int(instance.widths[-1]) * instance.unit_mm
    groups: dict[int, deque[Remnant]] = {}
    for remnant in sorted(problem.remnants, key=lambda remnant: (remnant.length_mm, remnant.id)):
        if remnant.length_mm - problem.per_spool_mm >= least:
            groups.setdefault(remnant.length_mm, deque()).append(remnant)
    return list(groups.values())


def require_sound(problem: CutProblem, plan: CutPlan) -> None:
    """Refuse a plan that does not cut exactly what was asked, or cuts more than a spool holds.

    A check on this package itself: people cut rope by this list.
    """
    asked: dict[tuple[int, str], int] = {}
    for piece in problem.pieces:
        key = (piece.length_mm, piece.label)
        asked[key] = asked.get(key, 0) + piece.quantity
    for spool in plan.spools:
        taken = problem.per_spool_mm
        for cut in spool.cuts:
            asked[cut.length_mm, cut.label] -= cut.quantity
            taken += (cut.length_mm + problem.per_piece_mm) * cut.quantity
        if spool.length_mm - taken != spool.offcut_mm or spool.offcut_mm < 0:
            raise _fault(f"{spool.source} {spool.id}", f"{taken} mm taken from {spool.length_mm} mm")
    for entry in plan.uncut:
        asked[entry.piece.length_mm, entry.piece.label] -= entry.piece.quantity
    for (length, label), missing in asked.items():
        if missing:
            raise _fault(f"piece {label!r} of {length} mm", f"{missing} more asked for than listed")
    if plan.bound > plan.value:
        raise _fault("cost bound", f"bound {plan.bound} above value {plan.value}")


def _fault(where: str, found: str) -> ComputationError:
    return ComputationError(
        f"cut plan, {where}",
        found,
        "a plan that cuts exactly what is asked and never more than a spool holds",
        "do not cut by this plan; report the input as a fault of the program",
    )
