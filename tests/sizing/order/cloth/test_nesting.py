"""Layouts: nothing overlaps, everything lies on the cloth, and the metres make sense."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import STRtree

from sizing.drogue.cone import ConePattern, cone_pattern, usual_cone
from sizing.errors import CatalogueError, ComputationError, MusterError
from sizing.model import ConeSize
from sizing.order import cloth_yield
from sizing.order.cloth import ClothLayout, Grain, lattices, nest
from sizing.order.cloth.pair import head_to_tail
from sizing.order.cloth_yield import cloth_needed_m
from sizing.policy import OrderRules, Policy
from tests.sizing.order.cloth.pieces import RULES, cones, default_cone, pieces, polygon

GRAINS = ["along", pytest.param("across", marks=pytest.mark.thorough)]
TOLERANCE_M = 1e-6
"""Chords of the inner arc stand out of the true piece by half of this at most."""


def least_length_m(layout: ClothLayout) -> float:
    """Length that no layout undercuts: as if cones filled the cloth between its margins."""
    return layout.count * layout.pattern.area_m2 / (layout.cloth_width_m - 2.0 * layout.selvedge_margin_m)


def assert_sound(layout: ClothLayout) -> None:
    """Every distance is held, by shapely's own measure."""
    laid = pieces(layout)
    assert len(laid) == layout.count
    tree = STRtree(laid)
    first, second = tree.query(laid, predicate="dwithin", distance=layout.knife_gap_m + 0.001)
    for i, j in zip(first, second, strict=True):
        if i < j:
            assert laid[i].distance(laid[j]) >= layout.knife_gap_m - TOLERANCE_M
            assert not laid[i].intersects(laid[j]) or layout.knife_gap_m == 0.0
            assert laid[i].intersection(laid[j]).area < 1e-9
    bounds = np.array([piece.bounds for piece in laid])
    assert bounds[:, 0].min() >= layout.knife_gap_m - TOLERANCE_M
    assert bounds[:, 1].min() >= layout.selvedge_margin_m - TOLERANCE_M
    assert bounds[:, 2].max() <= layout.length_m - layout.knife_gap_m + TOLERANCE_M
    assert bounds[:, 3].max() <= layout.cloth_width_m - layout.selvedge_margin_m + TOLERANCE_M


@settings(max_examples=settings().max_examples // 5)
@given(
    cones(),
    st.floats(0.7, 1.8),
    st.integers(1, 45),
    st.sampled_from([0.0, 0.003, 0.012]),
    st.sampled_from([0.0, 0.015, 0.03]),
    st.sampled_from(["along", "across"]),
)
def test_cones_never_overlap_nor_leave_the_cloth(
    pattern: ConePattern, width_m: float, count: int, gap_m: float, margin_m: float, grain: Grain
) -> None:
    rules = OrderRules(knife_gap=gap_m, selvedge_margin=margin_m)
    west, south, east, north = polygon(pattern).bounds
    depth_m = (north - south) if grain == "across" else (east - west)
    width_m = max(width_m, depth_m + 2.0 * margin_m + 1e-3)
    layout = nest(pattern, width_m, count, rules, grain)
    assert_sound(layout)
    assert layout.length_m > least_length_m(layout)
    assert 0.0 < layout.utilisation < 1.0


@pytest.mark.parametrize("grain", GRAINS)
def test_a_fleets_worth_is_sound(grain: Grain) -> None:
    assert_sound(nest(default_cone(), 1.5, 300, RULES, grain))


@pytest.mark.parametrize(
    ("width_m", "grain", "share"),
    [
        (1.5, "along", 0.75),
        pytest.param(1.5, "across", 0.81, marks=pytest.mark.thorough),
        pytest.param(1.4, "along", 0.77, marks=pytest.mark.thorough),
        pytest.param(1.4, "across", 0.80, marks=pytest.mark.thorough),
    ],
)
def test_long_layouts_use_at_least_this_share_of_the_cloth(
    width_m: float, grain: Grain, share: float
) -> None:
    """Figures measured on this nesting, rounded down; no published layout to compare with."""
    layout = nest(default_cone(), width_m, 1000, RULES, grain)
    assert layout.utilisation >= share
    assert layout.length_m <= least_length_m(layout) / share


def test_better_than_boxes_side_by_side() -> None:
    """The plain layout: each cone in its own upright rectangle."""
    pattern, count = default_cone(), 1000
    west, south, east, north = pieces(nest(pattern, 1.5, 1, RULES))[0].bounds
    across = math.floor(
        (1.5 - 2 * RULES.selvedge_margin + RULES.knife_gap) / (north - south + RULES.knife_gap)
    )
    boxes_m = math.ceil(count / across) * (east - west + RULES.knife_gap)
    assert nest(pattern, 1.5, count, RULES).length_m < 0.85 * boxes_m


@pytest.mark.parametrize("grain", GRAINS)
def test_more_cones_never_take_less_cloth(grain: Grain) -> None:
    lengths = [nest(default_cone(), 1.5, count, RULES, grain).length_m for count in range(1, 120)]
    assert all(b >= a for a, b in pairwise(lengths))


def test_the_long_run_is_the_repeat() -> None:
    layout = nest(default_cone(), 1.5, 1_000_000, RULES)
    repeat = layout.cones_per_period * layout.pattern.area_m2 / (layout.cloth_width_m * layout.period_m)
    assert layout.utilisation == pytest.approx(repeat, rel=1e-3)


def test_grain_is_kept() -> None:
    """The axis, up on the pattern, lies along the cloth (quarter turns) or across it, never askew."""
    along = {place.turn_deg for place in nest(default_cone(), 1.5, 60, RULES, "along").placements()}
    across = {place.turn_deg for place in nest(default_cone(), 1.5, 60, RULES, "across").placements()}
    assert along <= {90, 270}
    assert across <= {0, 180}


def test_a_layout_of_fewer_cones_with_the_same_repeat_is_the_beginning_of_it() -> None:
    layout = nest(default_cone(), 1.5, 200, RULES)
    fewer = list(replace(layout, count=150).placements())
    assert fewer == list(layout.placements())[:150]


def test_the_same_call_gives_the_same_layout() -> None:
    first, again = (nest(default_cone(), 1.5, 77, RULES) for _ in range(2))
    assert first == again
    assert list(first.placements()) == list(again.placements())


def test_one_cone_takes_its_own_length_and_the_two_gaps() -> None:
    """Depth of the sector: R - r cos(half angle), and half the seam's width across its slope."""
    pattern = default_cone()
    half = pattern.angle_rad / 2.0
    depth = pattern.outer_radius_m - pattern.inner_radius_m * math.cos(half) + pattern.seam_m * math.sin(half)
    assert nest(pattern, 1.5, 1, RULES).length_m == pytest.approx(depth + 2 * RULES.knife_gap, abs=1e-4)


@pytest.mark.parametrize("width_m", [0.0, -1.5, math.nan, math.inf, 25.0, 0.2])
def test_cloth_that_cannot_serve_is_refused(width_m: float) -> None:
    with pytest.raises(CatalogueError) as caught:
        nest(default_cone(), width_m, 10, RULES)
    assert caught.value.where == "cloths.csv, column width"
    assert " m" in caught.value.found
    assert caught.value.expected
    assert "cloth" in caught.value.mend


def test_the_least_width_named_in_the_refusal_is_enough() -> None:
    with pytest.raises(CatalogueError) as caught:
        nest(default_cone(), 0.3, 1, RULES)
    least = float(caught.value.expected.split(" m")[0].removeprefix("at least "))
    assert_sound(nest(default_cone(), least, 5, RULES))
    with pytest.raises(CatalogueError):
        nest(default_cone(), least - 0.002, 5, RULES)


@pytest.mark.parametrize("count", [0, -3, 2.5, True, 10**12, "12"])
def test_nonsense_counts_are_refused(count: int) -> None:
    with pytest.raises(ComputationError, match="whole number"):
        nest(default_cone(), 1.5, count, RULES)


def test_nonsense_grain_and_cones_are_refused() -> None:
    with pytest.raises(ComputationError, match="along"):
        nest(default_cone(), 1.5, 10, RULES, "askew")  # type: ignore[arg-type]
    with pytest.raises(ComputationError, match="side by side"):
        nest(cone_pattern(0.01, 0.004, 0.02, 0.0), 9.0, 10, RULES)
    with pytest.raises(MusterError, match="angle"):
        nest(replace(default_cone(), angle_rad=7.0), 1.5, 10, RULES)


def test_the_order_takes_the_layouts_length_up_to_the_next_tenth() -> None:
    policy = Policy()
    length = nest(default_cone(), 1.5, 500, policy.order).length_m
    ordered = float(cloth_needed_m({usual_cone(policy.sizing.cone_mouth, policy.sizing): 500}, 1.5, policy))
    assert 0.0 <= ordered - length < 0.1


def test_two_sizes_take_the_cloth_of_both_and_none_takes_none() -> None:
    policy = Policy()
    small, large = (usual_cone(mouth, policy.sizing) for mouth in (policy.sizing.cone_mouth, 0.2))
    both = float(cloth_needed_m({small: 100, large: 40}, 1.5, policy))
    alone = [float(cloth_needed_m({size: n}, 1.5, policy)) for size, n in ((small, 100), (large, 40))]
    assert sum(alone) - 0.2 < both <= sum(alone)
    assert cloth_needed_m({small: 0}, 1.5, policy) == 0


def test_a_cone_is_matched_with_itself_once_however_often_it_is_nested(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A fleet's boats ask for the same few cones again and again: 97 % of the choosing of plans once."""
    matched = []

    def counted(*of: Any) -> Any:
        matched.append(of)
        return head_to_tail(*of)

    monkeypatch.setattr(lattices, "head_to_tail", counted)
    lattices.pair_for.cache_clear()
    for count in (3, 70, 131):
        nest(default_cone(), 1.4, count, RULES)
    assert len(matched) == 1


def test_a_layout_is_made_once_for_the_same_cones(monkeypatch: pytest.MonkeyPatch) -> None:
    """Boats ask for the same few cones in the same counts, way after way; another rule is another layout."""
    made: list[int] = []

    def counted(pattern: ConePattern, width_m: float, count: int, rules: OrderRules) -> ClothLayout:
        made.append(count)
        return nest(pattern, width_m, count, rules)

    monkeypatch.setattr(cloth_yield, "nest", counted)
    cones = {ConeSize(0.1273, 0.0381): 61}
    first = cloth_needed_m(cones, 1.5, Policy())
    assert first == cloth_needed_m(cones, 1.5, Policy())
    assert made == [61]
    wide = Policy(order=OrderRules(knife_gap=0.02))
    assert cloth_needed_m(cones, 1.5, wide) > first
    assert made == [61, 61]
