"""Cones laid out on cloth of one width: how many metres, where each cone lies, how much cloth is used."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from sizing.drogue.cone import ConePattern
from sizing.errors import CatalogueError, ComputationError
from sizing.order.cloth.drop import Lattice
from sizing.order.cloth.lattices import TURNS, Grain, best_lattices, pair_for
from sizing.order.cloth.outline import require_pattern
from sizing.policy import OrderRules

COUNT_LIMIT: Final = 100_000_000
WIDTH_LIMIT_M: Final = 10.0
_DEEPEST_ROWS: Final = 40


@dataclass(frozen=True)
class Placement:
    """Where one cone lies: its sector's centre, and the anticlockwise turn of a pattern whose axis is up.

    x runs along the cloth from its cut end, y across from one selvedge. m, degrees.
    """

    x_m: float
    y_m: float
    turn_deg: int


@dataclass(frozen=True)
class ClothLayout:
    """Cones of one pattern on one cloth; every cone lies its gap from the next and inside the margins. m."""

    pattern: ConePattern
    count: int
    cloth_width_m: float
    knife_gap_m: float
    selvedge_margin_m: float
    grain: Grain
    period_m: float
    length_m: float
    _first: tuple[Placement, ...] = field(repr=False)  # of the first period, by their far ends

    @property
    def cones_per_period(self) -> int:
        """Cones in each repeat of the layout."""
        return len(self._first)

    @property
    def utilisation(self) -> float:
        """Share of the whole cloth that ends in cones with their seams: N A / (w L). [derived]"""
        return self.count * self.pattern.area_m2 / (self.cloth_width_m * self.length_m)

    def placements(self) -> Iterator[Placement]:
        """Return every cone, in order of its far end: the first so many are a shorter layout."""
        for number in range(self.count):
            period, place = divmod(number, len(self._first))
            first = self._first[place]
            yield Placement(first.x_m + period * self.period_m, first.y_m, first.turn_deg)


def nest(
    pattern: ConePattern, cloth_width_m: float, count: int, rules: OrderRules, grain: Grain = "along"
) -> ClothLayout:
    """Return the shortest layout found for so many cones on cloth of one width.

    Cones lie with the sector's axis along the cloth ("along") or across it ("across"), head to tail at
    will, `rules.knife_gap` apart and `rules.selvedge_margin` from either selvedge; a knife gap is left at
    both cut ends. The layout repeats along the cloth; of the lattices found the one that is shortest for
    this count is taken, so more cones never take less cloth. m; width over the cone and its margins.
    [derived; gap and margin assumed]

    >>> from sizing.drogue.cone import cone_pattern
    >>> layout = nest(cone_pattern(0.127, 0.0381, 0.1524, 0.012), 1.5, 100, OrderRules())
    >>> layout.utilisation > 0.7
    True
    """
    require_pattern(pattern)
    _require_count(count)
    usable_m = _usable_width_m(pattern, cloth_width_m, rules, grain)
    pair = pair_for(pattern, grain, rules.knife_gap)
    lattices = best_lattices(pattern, grain, usable_m, rules.knife_gap)
    candidates = [
        laid
        for lattice in lattices
        for lead in range(len(lattice.ways))
        for laid in [_Laid.of(lattice, lead, pair.left_m, pair.length_m, count)]
    ]
    best = min(candidates, key=lambda laid: laid.reach_m)
    gap, margin = rules.knife_gap, rules.selvedge_margin
    first = tuple(
        Placement(
            left + gap - pair.left_m[way], up + margin, (TURNS[grain] + 180 * way) % 360
        )
        for left, up, way in best.rows
    )  # fmt: skip
    return ClothLayout(
        pattern=pattern,
        count=count,
        cloth_width_m=cloth_width_m,
        knife_gap_m=gap,
        selvedge_margin_m=margin,
        grain=grain,
        period_m=best.period_m,
        length_m=best.reach_m + 2.0 * gap,
        _first=first,
    )


@dataclass(frozen=True)
class _Laid:
    """One lattice with one of its pieces at the cut end; rows are (left end, height, way) by left end."""

    rows: tuple[tuple[float, float, int], ...]
    period_m: float
    reach_m: float

    @classmethod
    def of(
        cls, lattice: Lattice, lead: int, left_m: tuple[float, float], piece_m: float, count: int
    ) -> _Laid:
        lefts = [x + left_m[way] for x, way in zip(lattice.along_m, lattice.ways, strict=True)]
        period = lattice.period_m
        from_lead = [0.0 if i == lead else (left - lefts[lead]) % period for i, left in enumerate(lefts)]
        rows = sorted(zip(from_lead, lattice.up_m, lattice.ways, strict=True))
        periods, place = divmod(count - 1, len(rows))
        return cls(tuple(rows), period, periods * period + rows[place][0] + piece_m)


def _require_count(count: int) -> None:
    if isinstance(count, bool) or not isinstance(count, int | np.integer) or not 1 <= count <= COUNT_LIMIT:
        raise ComputationError("cloth layout", f"{count!r} cones", f"a whole number to {COUNT_LIMIT:,}",
                               "lay out at least one cone")  # fmt: skip


def _usable_width_m(pattern: ConePattern, cloth_width_m: float, rules: OrderRules, grain: Grain) -> float:
    if grain not in TURNS:
        raise ComputationError("cloth layout", f"grain {grain!r}", '"along" or "across"',
                               "say how the sector's axis lies on the cloth")  # fmt: skip
    where = "cloths.csv, column width"
    if not (math.isfinite(cloth_width_m) and 0.0 < cloth_width_m <= WIDTH_LIMIT_M):
        raise CatalogueError(where, f"{cloth_width_m:g} m", f"over 0 and up to {WIDTH_LIMIT_M:g} m",
                             "correct the width of the cloth")  # fmt: skip
    depth_m = pair_for(pattern, grain, rules.knife_gap).depth_m
    needed_m = depth_m + 2.0 * rules.selvedge_margin
    if cloth_width_m < needed_m:
        raise CatalogueError(
            where,
            f"{cloth_width_m:g} m",
            f"at least {math.ceil(needed_m * 1000) / 1000:.3f} m for this cone with "
            f"{1000 * rules.selvedge_margin:g} mm left at either selvedge",
            "choose a wider cloth, or a smaller cone",
        )
    if cloth_width_m > _DEEPEST_ROWS * depth_m:
        raise ComputationError(
            "cloth layout",
            f"a cone {depth_m:g} m deep on cloth {cloth_width_m:g} m wide",
            f"at most {_DEEPEST_ROWS} cones side by side across the cloth",
            "correct the cone or the width",
        )
    return cloth_width_m - 2.0 * rules.selvedge_margin
