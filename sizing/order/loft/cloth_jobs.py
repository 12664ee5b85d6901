"""What is cut from each cloth of an order."""

from __future__ import annotations

from dataclasses import dataclass

from sizing.catalogue import Catalogue
from sizing.drogue.cone import ConePattern, cone_pattern
from sizing.model import Order, RequirementColumns
from sizing.order.consolidate import consolidate
from sizing.order.consumables import known_items
from sizing.policy import Policy


@dataclass(frozen=True)
class ClothJob:
    """Cones of one mouth from one cloth: those for boats, and the fleet's spares among the policy's own."""

    item: str
    description: str
    width_m: float
    mouth_m: float
    cones: int
    spare: int
    pattern: ConePattern


def cloth_jobs(
    order: Order, requirements: RequirementColumns, policy: Policy, catalogue: Catalogue
) -> tuple[ClothJob, ...]:
    """Return what is cut from each cloth, as the order counts it; spares are of the policy's mouth."""
    sizing, jobs = policy.sizing, []
    for job in consolidate(order.pieces, requirements, policy, known_items(catalogue)):
        if job.item.kind != "cloth":
            continue
        counts: dict[float, int] = {}
        for piece in job.pieces:
            mouth_m = job.mouths_m[piece.row]
            counts[mouth_m] = counts.get(mouth_m, 0) + piece.quantity
        spares = {sizing.cone_mouth: int(job.spare)} if job.spare else {}
        width_m = float(catalogue.cloths.width_m[catalogue.cloths.id.index(job.item.id)])
        for mouth_m in sorted(counts | spares):
            scale = mouth_m / sizing.cone_mouth
            pattern = cone_pattern(
                mouth_m, sizing.cone_small_end * scale, sizing.cone_slant * scale, policy.order.seam_allowance
            )
            cones, spare = counts.get(mouth_m, 0), spares.get(mouth_m, 0)
            jobs.append(ClothJob(job.item.id, job.item.description, width_m, mouth_m, cones, spare, pattern))
    return tuple(jobs)
