"""One kit a boat: what goes into her bag, where it is cut, and the hours to build it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate
from math import log2

from sizing.model import FleetColumns, MendPlan, Order, Piece, RequirementColumns
from sizing.order.length_stock import runs
from sizing.order.recovery_pieces import LINE
from sizing.policy import OrderRules, Policy


@dataclass(frozen=True)
class KitCut:
    """`count` equal pieces for this boat on one spool; `marked` where the marks table of the boat applies."""

    item: str
    spool_no: int
    purpose: str
    length_m: float
    count: int
    marked: bool


@dataclass(frozen=True)
class Work:
    """What there is to do for one boat, by count."""

    cones_to_sew: int = 0
    cones_to_fit: int = 0
    splices: int = 0
    rope_pieces: int = 0
    bags: int = 0


@dataclass(frozen=True)
class Kit:
    """One boat's bag: the pick list, the cut list, the work and its hours for a crew that learns on the way.

    `marks` says where the distances of the cones along the line stand.
    """

    row: int
    entry_no: str
    boat_name: str
    contents: tuple[Piece, ...]
    cuts: tuple[KitCut, ...]
    work: Work
    hours: float
    marks: str

    @property
    def stowage_bags(self) -> int:
        """Bags that her drogue is stowed in, as far as they are in the kit."""
        return sum(piece.quantity for piece in self.contents if piece.kind == "bag")


def kits_for(
    order: Order,
    fleet: FleetColumns,
    requirements: RequirementColumns,
    plans: Sequence[MendPlan],
    policy: Policy,
) -> tuple[Kit, ...]:
    """Return a kit for every boat that gets anything, in the order of the fleet."""
    pieces: dict[int, list[Piece]] = {}
    for piece in order.pieces:
        pieces.setdefault(piece.row, []).append(piece)
    cuts = _cuts(order)
    kits = []
    for plan in sorted(plans, key=lambda plan: plan.row):
        contents = pieces.get(plan.row)
        if not contents:
            continue
        entry = str(fleet.text["entry_no"][plan.row])
        work = work_of(plan, contents, requirements)
        marked = tuple(cut for cut in cuts.get(plan.row, ()) if cut.marked)
        kits.append(
            Kit(
                row=plan.row,
                entry_no=entry,
                boat_name=str(fleet.text["boat_name"][plan.row]),
                contents=tuple(contents),
                cuts=tuple(cuts.get(plan.row, ())),
                work=work,
                hours=build_hours(work, policy.order),
                marks=f"marks table of entry {entry}" if marked else "",
            )
        )
    return tuple(kits)


def _cuts(order: Order) -> dict[int, list[KitCut]]:
    """Every boat's cuts in the order of the spools, equal ones on a spool as one."""
    cuts: dict[int, list[KitCut]] = {}
    for spool in order.spools:
        counts: dict[tuple[int, str, float], int] = {}
        for piece, count in runs(spool):
            key = (piece.row, piece.purpose, piece.length_m)
            counts[key] = counts.get(key, 0) + count
        for (row, purpose, length_m), count in counts.items():
            marked = purpose.startswith(("cone line", "extension"))
            cuts.setdefault(row, []).append(
                KitCut(spool.item, spool.spool_no, purpose, length_m, count, marked)
            )
    return cuts


def work_of(plan: MendPlan, contents: Sequence[Piece], requirements: RequirementColumns) -> Work:
    """Return what there is to do for one boat; on a new cone line all her cones are fitted, old ones too."""
    fitted = int(requirements.cones[plan.row]) if "cone line" in plan.groups else plan.cones_to_make
    return Work(
        cones_to_sew=plan.cones_to_make,
        cones_to_fit=fitted,
        splices=sum(piece.quantity for piece in contents if piece.kind == "thimble" or piece.purpose == LINE),
        rope_pieces=sum(piece.quantity for piece in contents if piece.kind == "rope"),
        bags=1,
    )


def learned_minutes(count: int, minutes: float, rate: float, practised: int) -> float:
    """Return the minutes one person takes for `count` equal tasks, learning on the way.

    t_n = t (n / p)^(log2 r) up to the p-th task, and t from there on: each doubling of the count takes the
    time of one to the share r, till it is the practised time t. [assumed rate; Wright's learning curve]

    Units: min. Range: count >= 0, 0 < r <= 1, p >= 1.

    >>> learned_minutes(100, 12.0, 1.0, 50)
    1200.0
    >>> round(learned_minutes(1, 12.0, 0.5, 2), 6)
    24.0
    """
    learning = _learning(rate, practised)
    return minutes * (learning[min(count, practised)] + max(0, count - practised))


@lru_cache(maxsize=16)
def _learning(rate: float, practised: int) -> tuple[float, ...]:
    """Sum over the first n tasks of their time over the practised time, for n = 0 to `practised`."""
    times = ((n / practised) ** log2(rate) for n in range(1, practised + 1))
    return tuple(accumulate(times, initial=0.0))


def build_hours(work: Work, rules: OrderRules) -> float:
    """Return the hours of one kit for one crew that has not done it before.

    Cones are learned (`learned_minutes`); splices, rope and packing are at their practised time. Hours.
    """
    rate, practised = rules.learning_rate, rules.practised_cones
    minutes = learned_minutes(work.cones_to_sew, rules.sew_minutes_per_cone, rate, practised)
    minutes += learned_minutes(work.cones_to_fit, rules.minutes_per_cone, rate, practised)
    minutes += work.splices * rules.splice_minutes + work.rope_pieces * rules.rope_minutes_per_piece
    minutes += work.bags * rules.packing_minutes
    return minutes / 60
