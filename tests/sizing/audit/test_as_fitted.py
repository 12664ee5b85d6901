"""Boats judged with another rope than the one they need."""

from __future__ import annotations

import dataclasses
from typing import NamedTuple

import numpy as np
import pytest

from sizing.audit import AuditContext, audit_fleet, plan_boats
from sizing.audit.as_fitted import (
    EA_OVER_MINIMUM,
    OPENED,
    PARTS,
    FittedColumns,
    RopesPut,
    as_fitted,
    fitted_requirements,
)
from sizing.audit.cases import HUGE
from sizing.drogue.strengthen import strike_required
from sizing.drogue.strike_fleet import (
    StrikePlan,
    required_rigs,
    required_strengths,
    strike_columns,
)
from sizing.model import MendPlan
from sizing.policy import Policy
from tests.sizing.audit.boats import CATALOGUE, TODAY, boat, context_of, fleet_of

ONCE = StrikePlan(samples=0, histories=False)
ROPES = CATALOGUE.ropes
KIT = {"device_type": "none"}
"""A boat that gets a whole new drogue."""


class Planned(NamedTuple):
    context: AuditContext
    plans: tuple[MendPlan, ...]

    def rope(self, part: int, row: int = 0) -> int:
        """Position of the rope she needs in a part."""
        need = self.context.requirements
        return int((need.bridle_rope, need.lead_rope, *need.section_rope.T)[part][row])

    def put(self, *cases: dict[int, int], samples: int = 0, row: int = 0) -> FittedColumns:
        """Each case puts ropes (positions) into parts."""
        rope = np.full((len(cases), len(PARTS)), -1)
        for at, case in enumerate(cases):
            for part, position in case.items():
                rope[at, part] = position
        put = RopesPut.of_catalogue(ROPES, np.full(len(cases), row), rope)
        return as_fitted(self.context, self.plans, put, samples=samples)

    def put_one(self, part: int, diameter_m: float, strength_n: float) -> FittedColumns:
        """One rope that is not of the catalogue."""
        none = np.full((1, len(PARTS)), np.nan)
        diameter, strength = none.copy(), none.copy()
        diameter[0, part], strength[0, part] = diameter_m, strength_n
        return as_fitted(self.context, self.plans, RopesPut(np.zeros(1, int), diameter, strength, none))


def planned(*boats: dict[str, str], policy: Policy | None = None) -> Planned:
    rules, fleet = policy or Policy(), fleet_of(*boats)
    requirements, _ = strike_required(fleet, rules, CATALOGUE, ONCE)
    context = AuditContext(fleet, requirements, rules, CATALOGUE, TODAY)
    return Planned(context, plan_boats(context, audit_fleet(context)))


@pytest.fixture(scope="module")
def kit() -> Planned:
    return planned(boat(**KIT))


def test_the_rope_she_needs_fits_and_changes_nothing(kit: Planned) -> None:
    same = kit.put(*({part: kit.rope(part)} for part in range(4)))
    assert same.fits.all(), [same.against(case) for case in range(4)]
    assert same.asked_n[:, 1] == pytest.approx(kit.context.requirements.chosen_load_n[0], rel=1e-4)


def test_stretch_goes_by_the_minimum_as_in_the_published_table() -> None:
    """UFC 4-159-03 Table 6-8: AE of double-braid nylon is about 3.54 x average strength."""
    assert (~ROPES.derived).any()
    assert ROPES.ea_n[~ROPES.derived] == pytest.approx(
        3.54 * ROPES.average_strength_n[~ROPES.derived], rel=2e-3
    )
    assert EA_OVER_MINIMUM * ROPES.minimum_strength_n == pytest.approx(ROPES.ea_n, rel=2e-3)


def test_a_thicker_lead_line_pulls_harder_at_every_part_and_serves(kit: Planned) -> None:
    lead = kit.rope(1)
    two = kit.put({1: lead}, {1: lead + 1}, {1: lead + 2})
    assert two.fits.all()
    assert (np.diff(two.asked_n[:, 0]) > 0).all()
    assert (np.diff(two.attachment_n) > 0).all()


def test_loads_are_those_of_her_rig_struck_with_the_thicker_rope(kit: Planned) -> None:
    """The same rig by another way: the required one of columns in which the thicker rope stands."""
    fitted = kit.put({1: kit.rope(1) + 2, 2: kit.rope(2) + 1}, samples=32)
    context = kit.context
    need = fitted_requirements(context.requirements, fitted.put, fitted.asked_n, context.policy, CATALOGUE)
    assert int(need.lead_rope[0]) == kit.rope(1) + 2
    assert int(need.section_rope[0, 0]) == kit.rope(2) + 1
    direct = strike_columns(
        required_rigs(need, context.policy, CATALOGUE), required_strengths(need, context.policy, CATALOGUE),
        need.design_load_n, ["x"], context.policy, StrikePlan(samples=32, histories=False),
    )  # fmt: skip
    published = context.requirements.design_load_n[0]
    assert fitted.asked_n[0, 1] == pytest.approx(max(direct.head_p90_n[0, 0], published), rel=0.01)
    assert need.chosen_load_n[0] >= context.requirements.chosen_load_n[0]


def test_rope_that_came_weaker_than_certified_is_refused(kit: Planned) -> None:
    """F / u of the new strength, u = 0.60 (CG87 6.3 allows 0.60 to 0.75): a tenth less is not enough."""
    need = kit.context.requirements
    least = max(need.design_load_n[0] / 0.60, need.chosen_load_n[0] / (0.85 * 0.90))
    assert kit.put_one(1, 0.020, 1.001 * least).fits.all()
    weak = kit.put_one(1, 0.020, 0.9 * least)
    assert OPENED["strength"] in weak.against(0)


def test_thin_rope_however_strong_does_not_hold_tapes(kit: Planned) -> None:
    thin = kit.put_one(2, 0.008, 900_000.0)
    assert OPENED["tapes"] in thin.against(0)


def test_rope_thicker_than_any_thimble_or_cone_does_not_fit(kit: Planned) -> None:
    against = kit.put_one(2, 0.130, 900_000.0).against(0)
    assert {OPENED["thimbles"], OPENED["small ends"]} <= set(against)


def test_new_cones_get_a_wider_small_end_on_thicker_rope(kit: Planned) -> None:
    """Rule 20: rope and 3 mm; 40 mm of rope, so 43, in steps of 5 mm."""
    fitted = kit.put_one(2, 0.040, 300_000.0)
    assert fitted.small_end_m[0, 0] == pytest.approx(0.045)
    assert not fitted.opened["small ends"][0]


def test_cones_that_are_moved_must_pass_over_the_thicker_rope() -> None:
    """Her own cones go on a new line: their small end of 38 mm does not pass 36 mm and 3 mm."""
    moved = planned(boat(section_diameters="14 mm", lead_line_diameter="28 mm"))
    assert "cone line" in moved.plans[0].groups
    assert moved.plans[0].cones_to_make == 0
    assert not moved.put({2: moved.rope(2)}).opened["small ends"][0]
    assert moved.put_one(2, 0.036, 300_000.0).opened["small ends"][0]


def test_what_she_keeps_must_be_known_and_hold_the_harder_strike() -> None:
    bridle = boat(bridle_diameter="12 mm", bridle_leg_length="30 m")
    told = planned(bridle)
    assert told.plans[0].groups == ("bridle",)
    assert told.put({0: told.rope(0) + 1}).fits.all()
    untold = planned(bridle | {"cone_pitch": ""})
    assert untold.put({0: untold.rope(0) + 1}).against(0) == (OPENED["unknown"],)
    assert told.put({1: told.rope(1)}).against(0) == (OPENED["another part"],)


def test_attachments_that_just_held_are_pulled_out_by_stiffer_rope(kit: Planned) -> None:
    asked = kit.put({1: kit.rope(1)}, {1: kit.rope(1) + 4}).attachment_n
    just = planned(boat(**KIT, attachment_rating=f"{asked.mean():.0f} N", attachment_bolts=""))
    both = just.put({1: just.rope(1)}, {1: just.rope(1) + 4})
    assert both.opened["attachments"].tolist() == [False, True]


def test_without_waves_published_loads_alone_count() -> None:
    context = context_of(fleet_of(boat(**KIT)))
    calm = Planned(context, plan_boats(context, audit_fleet(context)))
    assert (context.requirements.chosen_by == 0).all()
    fitted = calm.put({1: calm.rope(1) + 1})
    assert fitted.fits.all()
    assert fitted.asked_n[0, 1] == context.requirements.design_load_n[0]


def test_a_boat_that_is_not_computed_takes_nothing() -> None:
    huge = planned(boat(**{**HUGE, **KIT}))
    assert not huge.put({1: 3}).fits.any()


def test_boats_do_not_mix() -> None:
    """Each boat's answer is the same alone and among others."""
    fleet = planned(boat(**KIT), boat(**KIT, displacement="9 t", loa="12 m"))
    alone = planned(boat(**KIT, displacement="9 t", loa="12 m"))
    put = fleet.put({1: fleet.rope(1, 1) + 1}, row=1)
    one = alone.put({1: alone.rope(1) + 1})
    assert put.asked_n[0] == pytest.approx(one.asked_n[0], nan_ok=True)
    assert dataclasses.replace(put.put, row=one.put.row).row[0] == 0
