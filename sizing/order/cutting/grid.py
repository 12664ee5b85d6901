"""The problem in whole grid units: distinct widths with demands, and bins to pack them in."""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce
from math import gcd

import numpy as np
from numpy.typing import NDArray

from sizing.errors import ComputationError
from sizing.order.cutting.problem import CutProblem, Piece

Ints = NDArray[np.int64]

TABLE_LIMIT = 400_000_000  # bytes of the pricing table


@dataclass(frozen=True)
class Instance:
    """Widths (longest first) with demands, and bins: bought kinds first, then groups of equal remnants.

    Everything is in units of the greatest common divisor of the widths; capacities are rounded down to
    it, which loses nothing because no sum of widths lies in between.
    """

    widths: Ints
    demand: Ints
    capacities: tuple[int, ...]
    weights: tuple[int, ...]  # cents or millimetres of one bought spool; 0 for a remnant
    limits: tuple[int, ...]  # how many bins there are of each
    bought: int  # how many of the bins are bought kinds
    stock_index: tuple[int, ...]  # bin -> index in problem.stock, for the bought kinds
    unit_mm: int

    @property
    def bins(self) -> int:
        """Number of kinds of bin, bought and on the shelf."""
        return len(self.capacities)

    def spent(self, uses: Ints) -> tuple[int, int]:
        """(cost or length, number of spools) of bought bins used so many times each."""
        counts = [int(n) for n in uses[: self.bought]]
        return sum(n * w for n, w in zip(counts, self.weights, strict=False)), sum(counts)


@dataclass(frozen=True)
class Bundle:
    """So many bins of one kind, each cut by the same pattern (pieces of each width)."""

    bin: int
    counts: tuple[int, ...]
    times: int


Packing = list[Bundle]


def uses_of(instance: Instance, packing: Packing) -> Ints:
    """How many bins of each kind a packing takes."""
    uses = np.zeros(instance.bins, dtype=np.int64)
    for bundle in packing:
        uses[bundle.bin] += bundle.times
    return uses


def tidy(packing: Packing) -> Packing:
    """Equal bundles joined, empty ones left out, in a fixed order."""
    times: dict[tuple[int, tuple[int, ...]], int] = {}
    for bundle in packing:
        if bundle.times and any(bundle.counts):
            key = (bundle.bin, bundle.counts)
            times[key] = times.get(key, 0) + bundle.times
    return [
        Bundle(b, counts, n) for (b, counts), n in sorted(times.items(), key=lambda item: _order(item[0]))
    ]


def _order(key: tuple[int, tuple[int, ...]]) -> tuple[int, tuple[int, ...]]:
    return key[0], tuple(-n for n in key[1])


def longest_room_mm(problem: CutProblem) -> int:
    """The longest piece that any stock kind or remnant can give; negative when there is none."""
    lengths = [kind.length_mm for kind in problem.stock]
    lengths += [remnant.length_mm for remnant in problem.remnants]
    return max(lengths, default=0) - problem.per_spool_mm - problem.per_piece_mm


def _require_coarse_enough(problem: CutProblem, widths: int, most: int, unit: int) -> None:
    longest = min(most, longest_room_mm(problem) + problem.per_piece_mm)
    if widths * (longest // unit) > TABLE_LIMIT:
        raise ComputationError(
            "pieces to cut",
            f"{widths} different lengths in steps of {unit} mm on up to {longest} mm",
            f"lengths x steps of at most {TABLE_LIMIT}",
            "round the lengths up to a coarser step, such as 10 mm or 100 mm",
        )


def to_instance(problem: CutProblem, pieces: list[Piece]) -> Instance:
    """Group pieces by length and bins by kind, in grid units."""
    demands: dict[int, int] = {}
    for piece in pieces:
        demands[piece.length_mm] = demands.get(piece.length_mm, 0) + piece.quantity
    lengths = sorted(demands, reverse=True)
    total = sum(demands.values())
    taken = [length + problem.per_piece_mm for length in lengths]
    unit = reduce(gcd, taken)
    least = taken[-1]
    most = sum(width * demands[length] for width, length in zip(taken, lengths, strict=True))

    _require_coarse_enough(problem, len(taken), most, unit)

    def capacity(length_mm: int) -> int:
        return min(length_mm - problem.per_spool_mm, most) // unit

    kinds = [i for i, kind in enumerate(problem.stock) if kind.length_mm - problem.per_spool_mm >= least]
    shelf: dict[int, int] = {}
    for remnant in problem.remnants:
        room = remnant.length_mm - problem.per_spool_mm
        if room >= least:
            shelf[room] = shelf.get(room, 0) + 1
    rooms = sorted(shelf)
    chosen = [problem.stock[i] for i in kinds]
    weights = [
        kind.price_cents if problem.priced and kind.price_cents is not None else kind.length_mm
        for kind in chosen
    ]
    limits = [total if kind.available is None else min(total, kind.available) for kind in chosen]
    return Instance(
        widths=np.array([width // unit for width in taken], dtype=np.int64),
        demand=np.array([demands[length] for length in lengths], dtype=np.int64),
        capacities=(
            *(capacity(kind.length_mm) for kind in chosen),
            *(capacity(room + problem.per_spool_mm) for room in rooms),
        ),
        weights=(*weights, *(0 for _ in rooms)),
        limits=(*limits, *(min(total, shelf[room]) for room in rooms)),
        bought=len(chosen),
        stock_index=tuple(kinds),
        unit_mm=unit,
    )
