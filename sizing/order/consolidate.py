"""All boats' pieces by item, with the spares that come on top."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from sizing.catalogue import Catalogue
from sizing.model import Piece, RequirementColumns
from sizing.order.cloth_yield import cloth_needed_m
from sizing.order.cutting import cut_length_mm
from sizing.order.items import CUT_KINDS, STEP, Item, metres
from sizing.order.length_stock import Wanted
from sizing.order.money import FLEET_ACCOUNT, share_out
from sizing.order.spares import spare_count, spare_hardware, spares_with_cones
from sizing.policy import Policy


@dataclass(frozen=True)
class Job:
    """One item to be bought for the fleet.

    `spare` is in the item's unit, for cloth in cones. `wanted` are single lengths, spares among them, for
    an item that is cut; `mouths_m` the cone mouth of each boat that has cones made.
    """

    item: Item
    pieces: tuple[Piece, ...]
    spare: Decimal
    wanted: tuple[Wanted, ...]
    mouths_m: Mapping[int, float]


def consolidate(
    pieces: Sequence[Piece], requirements: RequirementColumns, policy: Policy, items: Mapping[str, Item]
) -> tuple[Job, ...]:
    """Return one job for each item that any boat needs, in the order of `items`."""
    by_item: dict[str, list[Piece]] = {}
    for piece in pieces:
        by_item.setdefault(piece.item, []).append(piece)
    spare_cones = {
        item: spare_count(sum(piece.quantity for piece in found), policy.order.spare_cones_percent)
        for item, found in by_item.items()
        if items[item].kind == "cloth"
    }
    all_spare_cones = sum(spare_cones.values())
    with_cones = spares_with_cones(all_spare_cones)
    jobs = []
    for item in items.values():
        found = by_item.get(item.id)
        if not found:
            continue
        wanted = []
        if item.kind in CUT_KINDS:
            wanted = [
                Wanted(piece.row, piece.purpose, cut_length_mm(piece.length_m or 0.0), piece.quantity)
                for piece in found
            ]
        spare = with_cones.get(item.id, Decimal(0))
        if item.kind == "cloth":
            spare = Decimal(spare_cones[item.id])
        elif item.kind == "tape":
            count = all_spare_cones * policy.order.tapes_per_cone
            length_mm = cut_length_mm(policy.order.tape_length)
            if count:
                wanted.append(Wanted(FLEET_ACCOUNT, "spare cones", length_mm, count))
            spare = count * length_mm * STEP["m"]
        else:
            spare += spare_hardware(item.kind, Decimal(sum(piece.quantity for piece in found)), policy)
        mouths = {piece.row: float(requirements.cone_mouth_m[piece.row]) for piece in found}
        jobs.append(Job(item, tuple(found), spare, tuple(wanted), mouths if item.kind == "cloth" else {}))
    return tuple(jobs)


def counted(job: Job) -> dict[int, Decimal]:
    """Return what each boat needs of an item by the sum: metres where pieces have a length, else pieces."""
    boats: dict[int, Decimal] = {}
    for piece in job.pieces:
        whole = piece.length_m is None
        amount = Decimal(piece.quantity) if whole else metres(piece.length_m or 0.0, piece.quantity)
        boats[piece.row] = boats.get(piece.row, Decimal(0)) + amount
    return boats


def by_cloth(job: Job, policy: Policy, catalogue: Catalogue) -> tuple[dict[int, Decimal], Decimal]:
    """Return each boat's metres of one cloth for her cones, and the metres for the fleet's spare cones.

    The fleet's cloth is one figure; the boats' shares go by the area of their cones, to the millimetre, and
    add up to it exactly. [derived]
    """
    width_m = float(catalogue.cloths.width_m[catalogue.cloths.id.index(job.item.id)])
    by_mouth: dict[float, int] = {}
    weights: dict[int, Decimal] = {}
    for piece in job.pieces:
        mouth_m = job.mouths_m[piece.row]
        by_mouth[mouth_m] = by_mouth.get(mouth_m, 0) + piece.quantity
        square_mm = (Decimal(repr(mouth_m)) * 1000).quantize(Decimal("0.1")) ** 2
        weights[piece.row] = weights.get(piece.row, Decimal(0)) + piece.quantity * square_mm
    needed = cloth_needed_m(by_mouth, width_m, policy)
    mouth_m = policy.sizing.cone_mouth
    with_spares = by_mouth | {mouth_m: by_mouth.get(mouth_m, 0) + int(job.spare)}
    spare = cloth_needed_m(with_spares, width_m, policy) - needed
    return share_out(needed, weights, STEP["m"]), spare
