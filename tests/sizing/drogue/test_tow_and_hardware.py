"""Windage, drift and the choice of parts."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.catalogue import load_catalogue
from sizing.drogue import hardware, tow

CATALOGUE = load_catalogue()
KNOT = 1852.0 / 3600.0  # exact [SP 811]


@given(st.floats(15.0, 31.0), st.floats(5.0, 200.0), st.floats(0.5, 20.0))
def test_wind_and_water_balance_at_the_drift_speed(wind: float, air: float, drag_area: float) -> None:
    drift = float(tow.drift_speed_mps(wind, air, drag_area, 1025.0))
    push = 0.5 * 1.225 * air * (wind - drift) ** 2
    hold = 0.5 * 1025.0 * drag_area * drift**2
    assert push == pytest.approx(hold)
    assert 0.0 < drift < wind


def test_drift_rises_with_wind_and_falls_with_cones() -> None:
    wind = np.array([30.0, 40.0, 50.0, 60.0]) * KNOT
    for cones in (90.0, 180.0):
        area = tow.water_drag_area_m2(cones, 0.012668, 1.2, 0.2)
        drift = tow.drift_speed_mps(wind, np.full(4, 15.5), np.full(4, area), 1025.0)
        assert (np.diff(drift) > 0.0).all()
    less = tow.water_drag_area_m2(90.0, 0.012668, 1.2, 0.2)
    more = tow.water_drag_area_m2(180.0, 0.012668, 1.2, 0.2)
    assert tow.drift_speed_mps(25.7, 15.5, more, 1025.0) < tow.drift_speed_mps(25.7, 15.5, less, 1025.0)


def test_shackle_is_the_smallest_that_holds() -> None:
    # EN 13889 sizes; breaking load 5 x WLL from memory: 2 t breaks at 98.07 kN.
    loads = np.array([1.0, 98.06e3, 98.08e3, 1e7, math.nan])
    chosen = hardware.shackle_for(CATALOGUE, loads)
    assert [CATALOGUE.shackles.id[i] if i >= 0 else None for i in chosen] == [
        "SHB-0.5t",
        "SHB-2t",
        "SHB-3.25t",
        None,
        None,
    ]


def test_a_thimble_takes_the_rope_and_the_next_smaller_does_not() -> None:
    ropes = np.arange(len(CATALOGUE.ropes))
    diameter = CATALOGUE.ropes.diameter_m
    table, chosen = CATALOGUE.thimbles, hardware.thimble_for(CATALOGUE, ropes)
    assert (table.rope_diameter_m[chosen] >= diameter).all()
    smaller = chosen[chosen > 0] - 1
    assert (table.rope_diameter_m[smaller] < diameter[chosen > 0]).all()
    assert hardware.thimble_for(CATALOGUE, np.array([-1])).tolist() == [-1]


def test_thimbles_are_not_thin_sheet() -> None:
    # CG87 6.3: thin sheet thimbles are not adequate.
    assert set(CATALOGUE.thimbles.thimble_type) == {"reinforced", "solid"}


def test_heavier_cloth_from_thirty_thousand_pounds() -> None:
    # CG87 6.3: 1.5 oz rip-stop below 30,000 lb, heavier above.
    limit = 30_000 * 0.45359237
    chosen = hardware.cloth_for(CATALOGUE.cloths, np.array([limit - 1.0, limit, limit + 1.0]), limit)
    assert [CATALOGUE.cloths.cone_cloth[i] for i in chosen] == ["light rip-stop", "heavy", "heavy"]


@given(st.lists(st.floats(0.0, 100.0), min_size=1, max_size=20))
def test_smallest_enough_by_trying_all(needed: list[float]) -> None:
    sizes = np.array([1.0, 5.0, 20.0, 80.0])
    for want, got in zip(needed, hardware.smallest_enough(sizes, np.array(needed)), strict=True):
        enough = [i for i, size in enumerate(sizes) if size >= want * (1 - 1e-9)]
        assert got == (enough[0] if enough else -1)
