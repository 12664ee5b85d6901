"""Axes: order is kept, nothing leaves them, ticks are round in the reader's own units."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sitegen.drawings.axes import Axis, log_ticks, round_ticks, thinned, ticks_of

# 1 lbf = 4.448 221 615 260 5 N [SP 811].
POUND_FORCE = 4.4482216152605


@st.composite
def axes(draw: st.DrawFn) -> Axis:
    low = draw(st.floats(0.01, 1e5))
    high = low * draw(st.floats(1.05, 1000.0))
    ends = draw(st.sampled_from([(0.0, 600.0), (300.0, 20.0)]))
    return Axis(low, high, *ends, log=draw(st.booleans()))


@given(axes(), st.lists(st.floats(0.0, 1.0), min_size=2, max_size=8))
def test_order_is_kept_and_all_stay_inside(axis: Axis, shares: list[float]) -> None:
    values = sorted(min(max(axis.low + s * (axis.high - axis.low), axis.low), axis.high) for s in shares)
    places = [axis.at(v) for v in values]
    assert places == sorted(places, reverse=axis.end < axis.start)
    low, high = sorted((axis.start, axis.end))
    assert all(low - 1e-6 <= p <= high + 1e-6 for p in places)


@given(axes())
def test_ends_map_to_ends(axis: Axis) -> None:
    assert axis.at(axis.low) == pytest.approx(axis.start, abs=1e-6)
    assert axis.at(axis.high) == pytest.approx(axis.end, abs=1e-6)


def test_values_outside_are_refused() -> None:
    axis = Axis(1.0, 2.0, 0.0, 100.0)
    for value in (0.9, 2.1, math.nan, math.inf):
        with pytest.raises(ValueError, match="outside"):
            axis.at(value)


@pytest.mark.parametrize(("low", "high", "log"), [(1.0, 1.0, False), (2.0, 1.0, False), (0.0, 1.0, True)])
def test_axes_that_cannot_be_are_refused(low: float, high: float, log: bool) -> None:
    with pytest.raises(ValueError, match="cannot run"):
        Axis(low, high, 0.0, 1.0, log)


@given(st.floats(-1e4, 1e4), st.floats(1e-3, 1e5), st.integers(2, 9))
def test_round_ticks_are_even_inside_and_few(low: float, span: float, at_most: int) -> None:
    ticks = round_ticks(low, low + span, at_most)
    assert len(ticks) <= at_most
    assert all(low - 1e-6 * span <= t <= low + span * (1 + 1e-6) for t in ticks)
    steps = [b - a for a, b in pairwise(ticks)]
    assert steps == pytest.approx([steps[0]] * len(steps) if steps else [], rel=1e-6)


@given(st.floats(1.0, 1e5), st.floats(1.3, 500.0))
def test_log_ticks_have_two_or_more(low: float, ratio: float) -> None:
    ticks = log_ticks(low, low * ratio, 8)
    assume(ratio > 1.5)
    assert 2 <= len(ticks) <= 8
    assert ticks == sorted(ticks)


def test_ticks_are_round_in_both_systems() -> None:
    metric, us = ticks_of(Axis(0.0, 100e3, 300.0, 0.0), "force", 6)
    assert [label for _, label in metric] == ["0", "20", "40", "60", "80", "100"]
    assert [label for _, label in us] == ["0", "5,000", "10,000", "15,000", "20,000"]
    assert [value for value, _ in us] == pytest.approx([5000 * i * POUND_FORCE for i in range(5)])


def test_thinning_keeps_peak_and_shape() -> None:
    curve = [(i * 0.1, 100 * math.exp(-(((i - 1500) / 300) ** 2))) for i in range(6000)]
    kept = thinned(curve)
    assert len(kept) < 200
    assert max(y for _, y in kept) == pytest.approx(100.0)
    assert kept[0] == curve[0]
    assert kept[-1] == curve[-1]
    for (xa, ya), (xb, yb) in pairwise(kept):
        between = [(x, y) for x, y in curve[::7] if xa <= x <= xb]
        for x, y in between:
            on_chord = ya + (yb - ya) * (x - xa) / (xb - xa)
            slope = (yb - ya) / (xb - xa)
            assert abs(y - on_chord) / math.hypot(1.0, slope) <= 0.1501


def test_thinning_has_a_limit() -> None:
    noise = [(float(i) / 10, 100 * math.sin(i * 1.1) * math.sin(i * 0.37)) for i in range(5000)]
    assert len(thinned(noise, at_most=300)) <= 300
