"""Strength of a line new and in service."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.catalogue import load_catalogue
from sizing.drogue import rope
from sizing.fields import CHOICES
from sizing.model import CodeArray
from sizing.policy import ConditionRules, SizingRules

ROPES = load_catalogue().ropes
RULES, CONDITION = SizingRules(), ConditionRules()


def code(column: str, word: str | None) -> CodeArray:
    return np.array([-1 if word is None else CHOICES[column].index(word)], dtype=np.int8)


def test_interpolation_meets_every_catalogue_row() -> None:
    assert rope.strength_at_diameter_n(ROPES, ROPES.diameter_m) == pytest.approx(ROPES.minimum_strength_n)
    assert rope.ea_at_diameter_n(ROPES, ROPES.diameter_m) == pytest.approx(ROPES.ea_n)
    assert rope.mass_at_diameter_kg_per_m(ROPES, ROPES.diameter_m) == pytest.approx(ROPES.mass_kg_per_m)


@given(st.floats(0.006, 0.12192), st.floats(0.006, 0.12192))
def test_thicker_rope_is_stronger_stiffer_and_heavier(one: float, other: float) -> None:
    thin, thick = sorted((one, other))
    for figure in (rope.strength_at_diameter_n, rope.ea_at_diameter_n, rope.mass_at_diameter_kg_per_m):
        assert figure(ROPES, thin) <= figure(ROPES, thick)


@pytest.mark.parametrize("diameter_m", [0.0, 0.005, 0.2, math.nan])
def test_outside_the_catalogue_there_is_no_figure(diameter_m: float) -> None:
    assert math.isnan(rope.strength_at_diameter_n(ROPES, diameter_m))


def test_wet_nylon_loses_fifteen_per_cent() -> None:
    # UFC Table 6-8, footnote: reduce nylon lines by 15 % for wet conditions.
    assert rope.wet_factor(code("line_material", "nylon double braid"), RULES) == pytest.approx([0.85])
    assert rope.wet_factor(code("line_material", "nylon three strand"), RULES) == pytest.approx([0.85])
    # From memory: polyester keeps its strength wet.
    assert rope.wet_factor(code("line_material", "polyester"), RULES) == pytest.approx([1.0])


@pytest.mark.parametrize(
    ("word", "diameter_mm", "pounds"),
    # Minimum tensile strengths commonly published for three-strand rope (federal specification tables):
    # nylon 1/2 in 5,750 lb, 5/8 in 9,350 lb, 4 in circumference 38,800 lb;
    # polypropylene 3,780, 5,600, 21,300 lb.
    [
        ("nylon three strand", 12.7, 5_750.0),
        ("nylon three strand", 15.875, 9_350.0),
        ("nylon three strand", 33.02, 38_800.0),
        ("polypropylene", 12.7, 3_780.0),
        ("polypropylene", 15.875, 5_600.0),
        ("polypropylene", 33.02, 21_300.0),
    ],
)
def test_other_materials_are_not_taken_for_stronger_than_published(
    word: str, diameter_mm: float, pounds: float
) -> None:
    factor = rope.material_factor(code("line_material", word))[0]
    taken = factor * rope.strength_at_diameter_n(ROPES, diameter_mm / 1e3)
    published = pounds * 4.4482216152605
    assert 0.75 * published < taken <= 1.02 * published


def test_ends_and_state_follow_the_policy() -> None:
    # Common practice, no source: eye splice 0.90, knot 0.50. States are project assumptions.
    assert rope.termination_factor(code("line_ends", "spliced"), RULES) == pytest.approx([0.90])
    assert rope.termination_factor(code("line_ends", "knotted"), RULES) == pytest.approx([0.50])
    states = [rope.state_factor(code("line_state", w), CONDITION)[0] for w in CHOICES["line_state"]]
    assert states == pytest.approx([1.0, 0.9, 0.7, 0.0])


def test_what_is_not_said_has_no_figure() -> None:
    assert np.isnan(rope.material_factor(code("line_material", None)))
    assert np.isnan(rope.material_factor(code("line_material", "unknown")))
    assert np.isnan(rope.wet_factor(code("line_material", "unknown"), RULES))
    assert np.isnan(rope.termination_factor(code("line_ends", None), RULES))
    assert np.isnan(rope.state_factor(code("line_state", None), CONDITION))


def test_age_takes_strength_after_the_grace_and_ends_at_the_limit() -> None:
    # Project assumptions: nothing for 5 years, 2 % a year after, unproven past 15.
    ages = np.array([0.0, 5.0, 10.0, 15.0, 15.5, -1.0, math.nan])
    expected = [1.0, 1.0, 0.9, 0.8, math.nan, math.nan, math.nan]
    assert rope.age_factor(ages, CONDITION) == pytest.approx(expected, nan_ok=True)


def test_age_never_takes_more_than_there_is() -> None:
    harsh = ConditionRules(age_loss_per_year=0.2, age_grace_years=0.0)
    assert rope.age_factor(np.array([4.0, 6.0, 14.0]), harsh) == pytest.approx([0.2, 0.0, 0.0], abs=1e-12)


def test_residual_strength_of_a_new_wet_spliced_line() -> None:
    # UFC 0.85 wet x 0.90 eye splice (practice): 3 in line of 28.56 kip minimum keeps 21.85 kip.
    share = rope.new_residual_share(RULES, CONDITION)
    assert share == pytest.approx(0.765)
    assert rope.residual_strength_n(28.56, 0.85, 0.90, 1.0, 1.0) == pytest.approx(28.56 * share)
    assert math.isnan(rope.residual_strength_n(28.56, 0.85, math.nan, 1.0, 1.0))


@given(st.floats(1e3, 1e6), st.lists(st.floats(0.0, 1.0), min_size=4, max_size=4))
def test_service_never_adds_strength(new: float, factors: list[float]) -> None:
    wet, ends, state, age = factors
    assert rope.residual_strength_n(new, wet, ends, state, age) <= new
