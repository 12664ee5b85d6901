"""What is cut from each cloth of an order."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sizing.catalogue import Catalogue
from sizing.drogue.cone import ConePattern, pattern_of
from sizing.model import ConeSize, Order
from sizing.order.consolidate import cones_by_size, consolidate
from sizing.order.consumables import known_items
from sizing.order.loft.pattern_names import pattern_stem
from sizing.policy import Policy
from sizing.words import long_date


@dataclass(frozen=True)
class ClothJob:
    """Cones of one size from one cloth: those for boats, and the fleet's spares."""

    item: str
    description: str
    width_m: float
    size: ConeSize
    cones: int
    spare: int
    pattern: ConePattern
    pattern_name: str

    @property
    def own_small_end(self) -> bool:
        """Whether the small end is wider than the policy's, for a thick rope."""
        return "small-end" in self.pattern_name


def pattern_told(policy: Policy, day: date) -> str:
    """Return what stands on a pattern: the rally, and the day it was drawn."""
    return f"{policy.rally.name}, {long_date(day)}"


def cloth_jobs(order: Order, policy: Policy, catalogue: Catalogue) -> tuple[ClothJob, ...]:
    """Return what is cut from each cloth, as the order counts it; each size has its own spares."""
    jobs = []
    for job in consolidate(order.pieces, policy, known_items(catalogue)):
        if job.item.kind != "cloth":
            continue
        width_m = float(catalogue.cloths.width_m[catalogue.cloths.id.index(job.item.id)])
        for size, cones in cones_by_size(job.pieces).items():
            jobs.append(
                ClothJob(
                    job.item.id, job.item.description, width_m, size, cones, job.spare_cones[size],
                    pattern_of(size, policy), pattern_stem(size, policy.sizing),
                )
            )  # fmt: skip
    return tuple(jobs)
