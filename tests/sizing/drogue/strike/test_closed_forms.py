"""The march against closed forms of mechanics: each is named beside its check."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from sizing.drogue.strike import (
    DEFAULT_SETTINGS,
    StrikeRigs,
    deep_water_crest_speed_m_s,
    rigs,
    strike,
    strike_history,
)
from tests.sizing.drogue.strike.boats import FT, required_rig


def towed(displacement_kg: float, **other: object) -> StrikeRigs:
    """A boat with way on and no wave behind her: no slope, no crest water."""
    still = {"slope_rad": 0.0, "hull_drag_coefficient": 0.0, "face_run_m": 0.0, "crest_run_m": 0.0}
    return rigs(displacement_kg=displacement_kg, **{**still, **other})  # type: ignore[arg-type]


def test_deep_water_crest_of_300_ft_runs_at_39_2_ft_s() -> None:
    """Linear theory for deep water, c = sqrt(g L / 2 pi); CG87 6.2 uses 39 ft/s at 300 ft."""
    assert deep_water_crest_speed_m_s(300 * FT) / FT == pytest.approx(39.2, abs=0.05)


def test_boat_on_a_rigid_massless_line_slows_hyperbolically() -> None:
    """m dv/dt = -K v^2 has v(t) = v0 / (1 + K v0 t / m): elementary integration."""
    boat = towed(
        4000.0,
        lead_length_m=12.0,
        lead_ea_n=5e7,
        lead_mass_kg_per_m=1e-3,
        element_diameter_m=1.2,
        element_entrained_mass_kg=2.0,
    )
    settings = replace(DEFAULT_SETTINGS, end_time_s=4.0, early_end=False)
    _, history = strike_history(boat, settings=settings)
    drag = 0.5 * 1025.0 * 1.2 * math.pi * 1.2**2 / 4.0
    v0 = 39 * FT
    expected = v0 / (1.0 + drag * v0 * history.time_s / (4000.0 * 1.05))
    assert history.boat_speed_m_s == pytest.approx(expected, rel=1e-2)
    # The element's own few kilograms are up to speed by then.
    late = history.time_s > 0.2
    assert history.boat_speed_m_s[late] == pytest.approx(expected[late], rel=2e-3)


def test_tension_wave_runs_at_the_bar_speed_and_carries_the_impedance_load() -> None:
    """A bar pulled at v carries v sqrt(EA mu) behind a front at sqrt(EA / mu): d'Alembert's solution."""
    ea, mu = 200e3, 0.2
    boat = towed(
        1e6,
        lead_length_m=900.0,
        lead_ea_n=ea,
        lead_mass_kg_per_m=mu,
        element_diameter_m=1.0,
        loss_time_s=2e-4,
    )
    settings = replace(DEFAULT_SETTINGS, end_time_s=0.5, early_end=False, bare_spacing_m=0.5)
    _, history = strike_history(boat, settings=settings, interval_s=0.005)
    plateau = 39 * FT * math.sqrt(ea * mu)
    behind = history.bridle_load_n[history.time_s > 0.1]
    assert behind == pytest.approx(plateau, rel=5e-3)
    front = history.station_m[np.flatnonzero(history.envelope_n > 0.5 * plateau)[-1]]
    assert front / 0.5 == pytest.approx(math.sqrt(ea / mu), rel=0.01)


def test_at_steady_speed_the_bridle_carries_the_sum_of_the_cones_drag() -> None:
    """Newton's second law at steady speed: T = sum of 1/2 rho Cd a V^2, each head with its cones outboard."""
    rig = required_rig(7_500)
    ea = 4e6
    boat = towed(
        1e6,
        lead_length_m=rig.lead_length_m,
        lead_ea_n=ea,
        lead_mass_kg_per_m=0.2,
        section_length_m=rig.section_length_m,
        section_cones=rig.section_cones,
        section_ea_n=ea,
        section_mass_kg_per_m=0.2,
        loss_time_s=2e-3,
        crest_speed_m_s=6.0,
    )
    settings = replace(DEFAULT_SETTINGS, end_time_s=8.0, early_end=False)
    _, history = strike_history(boat, settings=settings)
    one = 0.5 * 1025.0 * 1.2 * float(boat.cone_mouth_area_m2[0])
    speed = history.boat_speed_m_s[-1]
    assert history.bridle_load_n[-1] == pytest.approx(one * boat.section_cones.sum() * speed**2, rel=5e-3)
    # On a soft line no head overshoots its steady share, so the peaks are the steady loads.
    soft = replace(boat, lead_ea_n=boat.lead_ea_n / 10, section_ea_n=boat.section_ea_n / 10)
    result = strike(soft, settings=settings)
    outboard = np.cumsum(boat.section_cones[0][::-1])[::-1] / boat.section_cones.sum()
    assert result.head_peak_n[0, 2:] / result.peak_load_n[0] == pytest.approx(outboard, rel=0.02)


def test_quasi_static_stretch_stores_half_t_squared_over_k() -> None:
    """Hooke: energy T^2 L / (2 EA). A spring-held boat without drag stops with all her energy in the line.

    A great entrained mass holds the far end; v0 sqrt(k m) is then the peak load of the half swing.
    """
    length, ea, mass = 60.0, 150e3, 3000.0
    boat = towed(
        mass,
        lead_length_m=length,
        lead_ea_n=ea,
        lead_mass_kg_per_m=1e-3,
        element_diameter_m=0.01,
        element_entrained_mass_kg=1e6,
        surge_mass_factor=1.0,
    )
    result = strike(boat, settings=replace(DEFAULT_SETTINGS, end_time_s=4.0, early_end=False))
    peak = 39 * FT * math.sqrt(ea / length * mass * 1e6 / (mass + 1e6))
    assert result.peak_load_n[0] == pytest.approx(peak, rel=2e-3)
    quarter = 0.5 * math.pi * math.sqrt(mass * length / ea)
    assert result.peak_time_s[0] == pytest.approx(quarter, rel=5e-3)
