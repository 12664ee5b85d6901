"""Whole fleets: published cases, boats that cannot be computed, and what must hold of every boat."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.catalogue import Catalogue, load_catalogue
from sizing.catalogue.columns import TABLES
from sizing.drogue.envelope import TensionEnvelope
from sizing.drogue.marks import marks_table
from sizing.drogue.size import size_fleet
from sizing.errors import PolicyError
from sizing.model import RequirementColumns
from sizing.policy import ConditionRules, Policy, SizingRules
from tests.sizing.drogue.fleets import FOOT_M, POUND_FORCE_N, POUND_KG, fleet_of

CATALOGUE, POLICY = load_catalogue(), Policy()
LARGEST_KG = 250_000.0  # far above it cones no longer go over their rope


def weak(catalogue: Catalogue, table: str, rows: int) -> Catalogue:
    """The catalogue with only the first rows of one table."""
    whole = getattr(catalogue, table)
    names = [column.attribute for column in TABLES[table]]
    return replace(
        catalogue, **{table: replace(whole, **{name: getattr(whole, name)[:rows] for name in names})}
    )


def size(pounds: float | list[float], policy: Policy = POLICY) -> RequirementColumns:
    return size_fleet(fleet_of(np.atleast_1d(pounds) * POUND_KG), policy, CATALOGUE)


def test_the_smallest_published_boat() -> None:
    needed = size(7_500.0)
    assert needed.range_mark.tolist() == [0]
    assert needed.cones.tolist() == [93]  # CG87 6.1
    assert needed.design_load_n / POUND_FORCE_N == pytest.approx([7_500.0])  # CG87 6.2
    assert needed.attachment_load_n / POUND_FORCE_N == pytest.approx([5_250.0])  # CG87 6.3
    assert needed.end_weight_kg / POUND_KG == pytest.approx([25.0])  # CG87 6.3
    # CG87 6.3: design load at 60 % of minimum strength: 12,500 lbf.
    assert needed.line_strength_required_n / POUND_FORCE_N == pytest.approx([12_500.0])
    # Common practice, no source: 75 ft lead line, 2.5 x width bridle, 2 ft for splices.
    assert needed.lead_length_m == pytest.approx([75 * FOOT_M])
    assert needed.lead_cut_m == pytest.approx([77 * FOOT_M])
    assert needed.bridle_leg_m == pytest.approx([7.5])
    assert needed.bridle_leg_cut_m == pytest.approx([7.5 + 2 * FOOT_M])
    # 93 cones at 20 in, 2 ft to the end, 75 ft lead: 232 ft.
    assert needed.line_length_m == pytest.approx([232 * FOOT_M])


def test_the_largest_published_boat() -> None:
    needed = size(60_000.0)
    assert needed.range_mark.tolist() == [0]
    assert needed.cones.tolist() == [175]  # CG87 6.1
    assert needed.design_load_n / POUND_FORCE_N == pytest.approx([36_000.0])  # CG87 6.2
    assert needed.end_weight_kg / POUND_KG == pytest.approx([50.0])  # CG87 6.3
    # UFC Table 6-8: 60,000 lbf minimum asks for 4.5 in circumference (74 kip average).
    assert CATALOGUE.ropes.id[needed.lead_rope[0]] == "NDB-4.5in"


def test_light_displacement_is_factored_and_a_blank_basis_is_taken_as_loaded() -> None:
    # Project assumption: light x 1.15.
    used = [
        size_fleet(fleet_of(8_000.0, basis=basis), POLICY, CATALOGUE).displacement_used_kg[0]
        for basis in ("loaded", None, "light")
    ]
    assert used == pytest.approx([8_000.0, 8_000.0, 9_200.0])


def test_outside_the_published_range_boats_are_marked_and_computed() -> None:
    needed = size([700.0, 7_499.0, 60_001.0, 250_000.0])
    assert needed.range_mark.tolist() == [-1, -1, 1, 1]
    assert not needed.not_computed
    assert np.isfinite(needed.stowed_mass_kg).all()


def test_a_boat_whose_parts_nothing_joins_is_not_computed_and_told_why() -> None:
    """Shackles to 25 t are strong enough at 82 t, but no bow of theirs holds two of her thimbles."""
    few = weak(CATALOGUE, "shackles", CATALOGUE.shackles.id.index("SHB-25t") + 1)
    needed = size_fleet(fleet_of(np.array([60_000.0, 180_000.0]) * POUND_KG), POLICY, few)
    assert list(needed.not_computed) == [1]
    assert "joins the bridle legs to the lead line" in needed.not_computed[1]


def test_a_figure_that_is_no_figure_is_named_and_the_others_go_on() -> None:
    lengths = [12.0, 12.0, 12.0, np.nan, 12.0]
    fleet = fleet_of([8_000.0, np.nan, -5.0, 8_000.0, np.inf], numbers={"loa_m": lengths})
    needed = size_fleet(fleet, POLICY, CATALOGUE)
    assert sorted(needed.not_computed) == [1, 2, 3, 4]
    assert "displacement is -5" in needed.not_computed[2]
    assert "hull length (loa)" in needed.not_computed[3]
    alone = size_fleet(fleet_of([8_000.0], numbers={"loa_m": [12.0]}), POLICY, CATALOGUE)
    for name, values in vars(needed).items():
        if not isinstance(values, np.ndarray):
            continue
        assert (values[0] == getattr(alone, name)[0]).all(), name
        missing = values[1:]
        if name in ("range_mark", "hull_mark"):
            assert (missing == 0).all()
        elif values.dtype.kind == "i":
            assert (missing == -1).all(), name
        else:
            assert np.isnan(missing).all(), name


def test_a_boat_too_heavy_for_the_catalogue_is_not_computed_and_told_why() -> None:
    catalogue = weak(CATALOGUE, "ropes", 6)
    needed = size_fleet(fleet_of(np.array([7_500.0, 60_000.0]) * POUND_KG), POLICY, catalogue)
    assert list(needed.not_computed) == [1]
    reason = needed.not_computed[1]
    assert "60,000 lbf" in reason  # CG87 6.2 and 6.3: 36,000 / 0.6
    assert "NDB-16" in reason
    assert "stronger rope" in reason


def test_a_boat_without_a_shackle_or_thimble_is_not_computed() -> None:
    heavy = fleet_of(60_000.0 * POUND_KG)
    no_shackle = size_fleet(heavy, POLICY, weak(CATALOGUE, "shackles", 3)).not_computed
    assert "shackles" in no_shackle[0]
    assert "60,000 lbf" in no_shackle[0]  # CG87 6.2 and 6.3: 36,000 / 0.6
    no_thimble = size_fleet(heavy, POLICY, weak(CATALOGUE, "thimbles", 3)).not_computed
    assert "no thimble" in no_thimble[0]


def test_a_figure_that_comes_out_negative_is_not_shown() -> None:
    # A falling end weight, extended far beyond 60,000 lb, passes below nothing.
    sizing = SizingRules(end_weight_middle=60.0, end_weight_large=5.0)
    policy = Policy(sizing=sizing, reasons={"sizing.end_weight_large": "a trial"})
    needed = size_fleet(fleet_of([20_000.0, 200_000.0]), policy, CATALOGUE)
    assert list(needed.not_computed) == [1]
    assert "end weight" in needed.not_computed[1]
    assert np.isnan(needed.end_weight_kg[1])


def test_an_empty_fleet_has_an_empty_answer() -> None:
    needed = size_fleet(fleet_of(np.empty(0)), POLICY, CATALOGUE)
    assert len(needed) == 0
    assert needed.section_rope.shape == (0, 3)


def test_a_policy_whose_cone_is_no_cone_is_refused() -> None:
    sizing = SizingRules(cone_mouth=0.1, cone_small_end=0.15)
    with pytest.raises(PolicyError, match="make no cone"):
        size_fleet(fleet_of(8_000.0), Policy(sizing=sizing), CATALOGUE)


def test_a_policy_that_leaves_a_new_line_no_strength_is_refused() -> None:
    with pytest.raises(PolicyError, match="state_new"):
        size_fleet(fleet_of(8_000.0), Policy(condition=ConditionRules(state_new=0.0)), CATALOGUE)


def test_a_stricter_policy_asks_for_more() -> None:
    fleet = fleet_of([5_000.0, 12_000.0])
    plain = size_fleet(fleet, POLICY, CATALOGUE)
    strict = Policy(sizing=SizingRules(strength_use=0.3, attachment_share=1.0, lead_line_length="150 ft"))
    asked = size_fleet(fleet, strict, CATALOGUE)
    assert (asked.lead_rope > plain.lead_rope).all()
    assert asked.line_strength_required_n == pytest.approx(2.0 * plain.line_strength_required_n)
    assert asked.attachment_load_n == pytest.approx(asked.design_load_n)
    assert (asked.stowed_mass_kg > plain.stowed_mass_kg).all()


def test_a_strike_above_the_steady_rule_upsizes_line_and_bridle() -> None:
    fleet = fleet_of([5_000.0, 12_000.0])
    plain = size_fleet(fleet, POLICY, CATALOGUE)
    envelope = TensionEnvelope(np.array([0.0, 1.0]), np.array([1.0, 0.4]), 1.6)
    struck = size_fleet(fleet, POLICY, CATALOGUE, envelope)
    assert struck.chosen_strength_n == pytest.approx(1.6 * plain.design_load_n / 0.765)
    assert (struck.line_strength_required_n == plain.line_strength_required_n).all()
    assert (struck.lead_rope > plain.lead_rope).all()
    assert (struck.bridle_rope == struck.lead_rope).all()
    assert (struck.section_rope[:, 0] == plain.section_rope[:, 0]).all()
    assert (struck.cones == plain.cones).all()


def test_mass_in_the_bag_by_hand() -> None:
    needed = size(7_500.0)
    ropes, thimbles = CATALOGUE.ropes, CATALOGUE.thimbles
    used = needed.section_rope[0] >= 0
    rope = ropes.mass_kg_per_m[needed.lead_rope[0]] * (needed.lead_cut_m[0] + 2 * needed.bridle_leg_cut_m[0])
    rope += (ropes.mass_kg_per_m[needed.section_rope[0][used]] * needed.section_cut_m[0][used]).sum()
    # One cone: side of the frustum and two strips of 12 mm in 1.5 oz cloth, three 30 in tapes of 8 g/m.
    cloth = (np.pi * (0.127 + 0.0381) / 2 * 0.1524 + 2 * 0.012 * 0.1524) * 1.5 * 0.0339057
    cones = 93 * (cloth + 3 * 0.762 * 0.008)
    inner = thimbles.mass_kg[list(thimbles.id).index("THM-16")]
    outer = sum(2 * thimbles.mass_kg[list(thimbles.id).index(f"THM-{d}")] for d in (16, 14, 10))
    # Attachments 1.5 t each, apex 6.5 t (its bow takes two thimbles of 26 mm), line 3.25 t, end weight 1.5 t.
    shackles = 2 * 0.19 + 1.5 + 0.63 + 0.19
    metal = 6 * inner + outer + shackles
    assert [ropes.id[r] for r in needed.section_rope[0]] == ["NDB-16", "NDB-14", "NDB-10"]
    assert needed.stowed_mass_kg[0] == pytest.approx(rope + cones + metal, rel=1e-5)


def test_a_whole_drogue_takes_days_to_make() -> None:
    # Common practice, no source: two to four days for one whole drogue; the figure is in working hours.
    assert 16.0 < size(10_000.0).labour_hours[0] < 48.0


def test_marks_of_a_boat_not_computed_are_empty() -> None:
    needed = size_fleet(fleet_of([np.nan, 8_000.0]), POLICY, CATALOGUE)
    assert len(marks_table(needed, POLICY, 0)) == 0
    assert len(marks_table(needed, POLICY, 1)) == needed.cones[1]


@given(st.lists(st.floats(300.0, LARGEST_KG), min_size=2, max_size=30))
def test_more_displacement_never_needs_less(values: list[float]) -> None:
    needed = size_fleet(fleet_of(sorted(values)), POLICY, CATALOGUE)
    assert not needed.not_computed
    for name in ("cones", "lead_rope", "shackle", "thimble", "cloth"):
        assert (np.diff(getattr(needed, name)) >= 0).all(), name
    for name in (
        "design_load_n",
        "attachment_load_n",
        "end_weight_kg",
        "line_length_m",
        "line_strength_required_n",
    ):
        assert (np.diff(getattr(needed, name)) >= 0.0).all(), name


@given(st.lists(st.floats(300.0, LARGEST_KG), min_size=2, max_size=10))
def test_each_boat_alone_gives_the_same_figures(values: list[float]) -> None:
    together = size_fleet(fleet_of(values), POLICY, CATALOGUE)
    for row, value in enumerate(values):
        alone = size_fleet(fleet_of(value), POLICY, CATALOGUE)
        for name, column in vars(together).items():
            if isinstance(column, np.ndarray):
                assert column[row] == pytest.approx(getattr(alone, name)[0], rel=1e-13), name


@given(st.lists(st.floats(300.0, LARGEST_KG), min_size=1, max_size=10))
def test_lengths_and_cones_add_up(values: list[float]) -> None:
    needed = size_fleet(fleet_of(values), POLICY, CATALOGUE)
    assert (needed.section_cones.sum(axis=1) == needed.cones).all()
    whole = needed.section_length_m.sum(axis=1) + needed.lead_length_m
    assert whole == pytest.approx(needed.line_length_m)
    used = needed.section_cones > 0
    assert ((needed.section_rope >= 0) == used).all()
    assert (needed.section_cut_m[~used] == 0.0).all()
