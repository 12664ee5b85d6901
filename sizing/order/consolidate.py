"""All boats' pieces by item, with the spares that come on top."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from sizing.catalogue import Catalogue
from sizing.model import ConeSize, Piece
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
    an item that is cut; `spare_cones` the spares of each size of cone made from a cloth.
    """

    item: Item
    pieces: tuple[Piece, ...]
    spare: Decimal
    wanted: tuple[Wanted, ...]
    spare_cones: Mapping[ConeSize, int]


def consolidate(pieces: Sequence[Piece], policy: Policy, items: Mapping[str, Item]) -> tuple[Job, ...]:
    """Return one job for each item that any boat needs, in the order of `items`."""
    by_item: dict[str, list[Piece]] = {}
    for piece in pieces:
        by_item.setdefault(piece.item, []).append(piece)
    spare_cones = {
        item: {
            size: spare_count(count, policy.order.spare_cones_percent)
            for size, count in cones_by_size(found).items()
        }
        for item, found in by_item.items()
        if items[item].kind == "cloth"
    }
    all_spare_cones = sum(sum(spares.values()) for spares in spare_cones.values())
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
            spare = Decimal(sum(spare_cones[item.id].values()))
        elif item.kind == "tape":
            count = all_spare_cones * policy.order.tapes_per_cone
            length_mm = cut_length_mm(policy.order.tape_length)
            if count:
                wanted.append(Wanted(FLEET_ACCOUNT, "spare cones", length_mm, count))
            spare = count * length_mm * STEP["m"]
        else:
            spare += spare_hardware(item.kind, Decimal(sum(piece.quantity for piece in found)), policy)
        jobs.append(Job(item, tuple(found), spare, tuple(wanted), spare_cones.get(item.id, {})))
    return tuple(jobs)


def cones_by_size(pieces: Sequence[Piece]) -> dict[ConeSize, int]:
    """Return how many cones of each size these pieces are, smallest first."""
    counts: dict[ConeSize, int] = {}
    for piece in pieces:
        if piece.cone is not None:
            counts[piece.cone] = counts.get(piece.cone, 0) + piece.quantity
    return dict(sorted(counts.items()))


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
    weights: dict[int, Decimal] = {}
    for piece in job.pieces:
        if piece.cone is not None:
            side_mm2 = 1e6 * piece.cone.mouth_m * (piece.cone.mouth_m + piece.cone.small_end_m)
            weight = piece.quantity * Decimal(f"{side_mm2:.1f}")
            weights[piece.row] = weights.get(piece.row, Decimal(0)) + weight
    counts = cones_by_size(job.pieces)
    needed = cloth_needed_m(counts, width_m, policy)
    with_spares = {size: count + job.spare_cones[size] for size, count in counts.items()}
    spare = cloth_needed_m(with_spares, width_m, policy) - needed
    return share_out(needed, weights, STEP["m"]), spare
