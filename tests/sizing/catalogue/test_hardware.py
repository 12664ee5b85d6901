"""Shackles, thimbles, chain, bolts and cloth of the catalogue against their published sources."""

from __future__ import annotations

import numpy as np
import pytest

from sizing.catalogue import Catalogue
from sizing.catalogue.columns import READ_WORDS


def test_shackles_break_at_five_times_their_limit(catalogue: Catalogue) -> None:
    # EN 13889, from memory: minimum breaking load 5 x WLL; the standard covers 0.5 t to 25 t.
    shackles = catalogue.shackles
    assert shackles.breaking_load_n == pytest.approx(5.0 * 9.80665 * shackles.working_load_limit_kg, rel=1e-4)
    limits = [
        limit
        for limit, source in zip(shackles.working_load_limit_kg, shackles.source, strict=True)
        if "EN 13889" in source
    ]
    assert (limits[0], limits[-1]) == (500.0, 25_000.0)


def shackle_of(catalogue: Catalogue, limit_t: float) -> int:
    return int(np.flatnonzero(catalogue.shackles.working_load_limit_kg == 1000.0 * limit_t)[0])


def shackle_sizes_mm(catalogue: Catalogue, row: int) -> list[float]:
    """Bow's thickness, pin, jaw, bow, inside length."""
    s = catalogue.shackles
    return [1000.0 * float(size[row]) for size in (s.body_m, s.pin_m, s.jaw_m, s.bow_m, s.inside_length_m)]


@pytest.mark.parametrize(
    ("limit_t", "pin", "jaw", "bow"),
    # Quoted of RR-C-271 and EN 13889 in the engineering basis (rope-data.md, "Hardware"), mm.
    [(2, 16, 22, 33), (3.25, 19, 27, 42), (4.75, 22, 31, 51), (6.5, 25, 36, 58), (8.5, 28, 43, 68)],
)
def test_shackle_sizes_are_those_quoted(
    catalogue: Catalogue, limit_t: float, pin: float, jaw: float, bow: float
) -> None:
    row = shackle_of(catalogue, limit_t)
    assert shackle_sizes_mm(catalogue, row)[1:4] == pytest.approx([pin, jaw, bow])
    assert catalogue.shackles.read[row] == "quoted"


@pytest.mark.parametrize(
    ("limit_t", "body", "pin", "jaw", "bow", "length"),
    # One supplier's list of bow shackles, mm: to 85 t said to be of RR-C-271, larger ones of no standard.
    [
        (25, 45, 50, 74, 126, 178),
        (55, 65, 70, 105, 180, 260),
        (85, 75, 83, 127, 190, 330),
        (120, 89, 95, 150, 238, 380),
        (150, 102, 108, 170, 275, 400),
        (200, 120, 125, 180, 290, 500),
    ],
)
def test_large_shackles_are_as_listed(
    catalogue: Catalogue, limit_t: float, body: float, pin: float, jaw: float, bow: float, length: float
) -> None:
    row = shackle_of(catalogue, limit_t)
    assert shackle_sizes_mm(catalogue, row) == pytest.approx([body, pin, jaw, bow, length])
    assert ("RR-C-271" in catalogue.shackles.source[row]) == (limit_t <= 85)


@pytest.mark.parametrize(
    ("limit_t", "body", "pin", "jaw", "bow", "length"),
    # A second list, of forged bow shackles of grade S: another maker's figures for the same kind, mm.
    [
        (0.5, 6, 8, 12, 20, 29),
        (0.75, 8, 10, 13, 21, 31),
        (1, 10, 11, 17, 26, 37),
        (1.5, 11, 13, 18, 29, 43),
        (2, 13, 16, 21, 33, 48),
        (6.5, 22, 25, 37, 58, 84),
    ],
)
def test_shackle_sizes_agree_with_a_second_list_within_a_millimetre(
    catalogue: Catalogue, limit_t: float, body: float, pin: float, jaw: float, bow: float, length: float
) -> None:
    found = shackle_sizes_mm(catalogue, shackle_of(catalogue, limit_t))
    assert found == pytest.approx([body, pin, jaw, bow, length], abs=1.0)


@pytest.mark.parametrize(
    ("rope_in", "inside_in", "across_in", "groove_in"),
    # Lists of heavy thimbles after FF-T-276 type III, inches: inside width, face to face, groove.
    [
        (1 / 4, 0.88, 0.41, 0.28),
        (3 / 8, 1.12, 0.63, 0.41),
        (1 / 2, 1.50, 0.89, 0.59),
        (5 / 8, 1.75, 1.00, 0.66),
        (3 / 4, 2.00, 1.22, 0.78),
        (7 / 8, 2.25, 1.38, 0.94),
    ],
)
def test_thimbles_keep_the_proportions_of_the_listed_ones(
    catalogue: Catalogue, rope_in: float, inside_in: float, across_in: float, groove_in: float
) -> None:
    """Openings rounded down, thicknesses up; a straight line between two sizes may lie 0.5 mm off."""
    t = catalogue.thimbles
    near = t.rope_diameter_m <= 0.023

    def at(values: np.ndarray) -> float:
        return float(np.interp(rope_in * 25.4, 1000.0 * t.rope_diameter_m[near], 1000.0 * values[near]))

    assert inside_in * 25.4 - 1.5 <= at(t.inside_width_m) <= inside_in * 25.4 + 0.5
    assert across_in * 25.4 - 0.5 <= at(t.across_m) <= across_in * 25.4 + 1.0
    assert rope_in * 25.4 <= at(t.groove_m) <= groove_in * 25.4 + 0.6


def test_every_thimble_takes_its_rope(catalogue: Catalogue) -> None:
    assert (catalogue.thimbles.groove_m > catalogue.thimbles.rope_diameter_m).all()


@pytest.mark.parametrize(
    ("size_mm", "inside_mm", "pitch_mm", "breaking_kn"),
    # DIN 766 inside width 1.2 d (rope-data.md); pitch and breaking load of grade 3 as a list of ISO 4565 and
    # DIN 766 chain gives them.
    # Past 16 mm a second list of DIN 766; breaking loads there by 16 mm's 311 MPa of wire section.
    [
        (8, 9.6, 24, 32),
        (10, 12.0, 30, 50),
        (12, 14.4, 36, 71),
        (14, 16.8, 41, 100),
        (16, 19.2, 45, 125),
        (18, 21.6, 50, 158),
        (20, 24.0, 56, 195),
        (23, 27.6, 64, 258),
    ],
)
def test_chain_links_are_those_quoted(
    catalogue: Catalogue, size_mm: float, inside_mm: float, pitch_mm: float, breaking_kn: float
) -> None:
    c = catalogue.end_weights
    row = c.size_m.tolist().index(pytest.approx(size_mm / 1000.0))
    assert 1000.0 * c.inside_width_m[row] == pytest.approx(inside_mm)
    assert 1000.0 * c.pitch_m[row] == pytest.approx(pitch_mm)
    assert c.breaking_load_n[row] == pytest.approx(1000.0 * breaking_kn)


def test_hardware_says_what_was_read_of_it(catalogue: Catalogue) -> None:
    for table in (catalogue.shackles, catalogue.thimbles, catalogue.end_weights, catalogue.bolt_grades):
        for read, source in zip(table.read, table.source, strict=True):
            assert read in READ_WORDS
            if read == "quoted":
                assert "quoted" in source
            if read == "derived":
                assert "[derived]" in source


@pytest.mark.parametrize(
    ("grade", "factor"),
    # EN 1993-1-8 Table 3.4 as quoted, thread in the shear plane.
    [("4.6", 0.6), ("5.6", 0.6), ("8.8", 0.6), ("4.8", 0.5), ("5.8", 0.5), ("6.8", 0.5), ("10.9", 0.5)],
)
def test_shear_factors_of_bolts_are_those_of_their_grade(
    catalogue: Catalogue, grade: str, factor: float
) -> None:
    assert catalogue.bolt_grades.shear_factor[catalogue.bolt_grades.id.index(grade)] == factor


@pytest.mark.parametrize(
    ("size", "area_mm2"),
    # ISO 898-1, nominal stress areas of coarse threads.
    [
        ("M8", 36.6),
        ("M10", 58.0),
        ("M12", 84.3),
        ("M14", 115.0),
        ("M16", 157.0),
        ("M18", 192.0),
        ("M20", 245.0),
    ],
)
def test_bolt_stress_areas(catalogue: Catalogue, size: str, area_mm2: float) -> None:
    row = catalogue.bolts.id.index(size)
    assert catalogue.bolts.stress_area_m2[row] == pytest.approx(area_mm2 * 1e-6)


def test_bolt_grades(catalogue: Catalogue) -> None:
    # ISO 3506-1: A4-70 has Rm 700 MPa; ISO 898-1: class 8.8 has 800 MPa nominal.
    grades = dict(zip(catalogue.bolt_grades.id, catalogue.bolt_grades.tensile_strength_pa, strict=True))
    assert (grades["A4-70"], grades["A2-70"], grades["A4-80"], grades["8.8"]) == (7e8, 7e8, 8e8, 8e8)


def test_light_cloth_is_one_and_a_half_ounces(catalogue: Catalogue) -> None:
    # CG87 6.3: 1.5 oz rip-stop; 1 oz/yd2 is 33.906 g/m2 (SP 811).
    row = catalogue.cloths.cone_cloth.index("light rip-stop")
    assert catalogue.cloths.areal_mass_kg_m2[row] == pytest.approx(1.5 * 0.033906, rel=1e-4)


def test_chain_is_that_of_the_small_craft_anchor_chain_standard(catalogue: Catalogue) -> None:
    # ISO 4565 sizes, masses as a chain maker lists them: 8 mm 1.40 kg/m, 10 mm 2.25 kg/m, 12 mm 3.25 kg/m.
    masses = dict(zip(catalogue.end_weights.size_m, catalogue.end_weights.mass_kg_per_m, strict=True))
    assert [masses[0.008], masses[0.010], masses[0.012]] == pytest.approx([1.40, 2.25, 3.25])
