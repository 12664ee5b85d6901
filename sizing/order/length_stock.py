"""What is cut from what, in single lengths; what both ways of cutting share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from typing import TypeAlias

from sizing.model import CutPiece, CutSpool, CutSummary
from sizing.order.items import STEP, Item
from sizing.order.prices import Offer

MM = 1000


@dataclass(frozen=True)
class Wanted:
    """Equal pieces for one boat (or, with row FLEET_ACCOUNT, spare ones for the fleet)."""

    row: int
    purpose: str
    length_mm: int
    quantity: int


@dataclass(frozen=True)
class Stocked:
    """What an item may be cut from: offers, lengths in hand (mm), and what every length loses at its end.

    `ready` are pieces cut already, each for the boat it is wanted for.
    """

    offers: tuple[Offer, ...]
    stock_mm: tuple[int, ...]
    end_loss_mm: int
    time_limit_s: float
    ready: tuple[Wanted, ...] = ()


Spools: TypeAlias = list[tuple[CutSpool, Offer | None]]
"""Cut spools with the offer each is bought by, None for a length in hand."""

Made: TypeAlias = tuple[Spools, dict[Offer, int], CutSummary, list[Wanted]]
"""Spools, packs bought of each offer, the proof, and the pieces nothing was long enough for."""


def runs(spool: CutSpool) -> Iterator[tuple[CutPiece, int]]:
    """Yield the pieces of a spool in order, equal ones next to each other as one with their count."""
    for piece, equal in groupby(spool.pieces):
        yield piece, sum(1 for _ in equal)


def pack_mm(offer: Offer) -> int:
    """Return the length of one pack in mm."""
    return int(offer.pack_size / STEP["m"])


def cost_of(counts: Mapping[Offer, int]) -> Decimal | None:
    """Return what so many packs cost; None if any has no price."""
    if any(offer.pack_price is None for offer in counts):
        return None
    return sum((offer.pack_price * n for offer, n in counts.items() if offer.pack_price), Decimal("0.00"))


def summary_of(
    item: Item,
    spools: Spools,
    method: str,
    money: tuple[Decimal | None, Decimal | None],
    gap: float,
    *,
    proven: bool,
) -> CutSummary:
    """Return how well an item was cut, and how far that is proven; `money` is (cost, bound)."""
    taken = sum(round(spool.spool_length_m * MM) for spool, _ in spools)
    used = sum(round(piece.length_m * MM) * count for spool, _ in spools for piece, count in runs(spool))
    return CutSummary(
        item=item.id,
        pieces=sum(len(spool.pieces) for spool, _ in spools),
        spools=len(spools),
        cost=money[0],
        bound=money[1],
        optimal=proven,
        gap_percent=100 * gap,
        waste_percent=100 * (1 - used / taken) if taken else 0.0,
        method=method,
    )
