"""The wave strike on the gear aboard, and the checks against it."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sizing.audit import audit_fleet, findings_of, sentence
from sizing.audit.aboard import gear_aboard, strike_aboard
from sizing.drogue.holding import compare_hold
from sizing.drogue.strengthen import strike_required
from sizing.drogue.strike_fleet import StrikePlan
from sizing.model import Finding, Standing, StrikeColumns
from sizing.policy import Policy
from tests.sizing.audit.boats import CATALOGUE, boat, context_of, fleet_of

ONCE = StrikePlan(samples=0, histories=False)


VARIED = StrikePlan(samples=64, histories=False)
LIMITS = ("bridle.strength-residual", "line.strength-residual", "line.sections", "attachment.load",
          "hardware.shackles")  # fmt: skip
"""Checks with a further limit from the varied strikes, beside the published one."""


def struck(plan: StrikePlan = ONCE, /, **changes: str) -> StrikeColumns:
    context = context_of(fleet_of(boat(**changes)))
    _, needed = strike_required(context.fleet, context.policy, CATALOGUE, plan)
    return strike_aboard(context, needed, plan)


def findings(plan: StrikePlan = ONCE, /, **changes: str) -> dict[str, Finding]:
    context = context_of(fleet_of(boat(**changes)))
    context = dataclasses.replace(context, strike_aboard=struck(plan, **changes))
    return {f.check.id: f for f in findings_of(audit_fleet(context), context.fleet, 0)}


def behind(**changes: str) -> float:
    """How far the gear aboard stays behind what she needs."""
    strike = struck(**changes)
    assert strike.hold_required is not None
    return float(compare_hold(strike.hold, strike.hold_required).excess[0])


def test_gear_like_the_required_rig_sees_a_like_peak() -> None:
    fleet = fleet_of(boat())
    _, required = strike_required(fleet, Policy(), CATALOGUE, ONCE)
    assert struck().peak_n[0] == pytest.approx(required.peak_n[0], rel=0.10)


def test_fewer_cones_hold_her_less() -> None:
    """With half the drag there is less load, and she is faster when it comes."""
    assert struck(cone_count="60").peak_n[0] < struck().peak_n[0]
    assert struck(cone_count="60").boat_speed_mps[0] > struck().boat_speed_mps[0]


def test_a_stiffer_line_is_struck_harder() -> None:
    thick = struck(lead_line_diameter="40 mm", section_diameters="40 mm", bridle_diameter="40 mm")
    assert thick.peak_n[0] > struck().peak_n[0]


def test_the_cones_of_each_section_are_those_counted_on_it() -> None:
    three = {"cone_count": "125", "section_diameters": "28 mm; 22 mm; 16 mm", "section_cones": "20; 21; 84"}
    gear = gear_aboard(context_of(fleet_of(boat(**three))))
    assert gear.rigs.section_cones[0].tolist() == [20.0, 21.0, 84.0]
    assert not gear.unknown
    # 125 x 20 in, and 2 ft to the end thimble (common practice, no source)
    assert gear.rigs.section_length_m[0].sum() == pytest.approx(125 * 0.508 + 0.6096)


def test_more_cones_on_the_thin_section_load_it_more() -> None:
    """124 cones on 25.4, 20 and 16 mm: 20/20/84 pulls harder at the last head than 42/41/41."""
    rope = {"cone_count": "124", "section_diameters": "25.4 mm; 20 mm; 16 mm"}
    even = struck(**rope, section_cones="42; 41; 41").head_peak_n[0, 3]
    outward = struck(**rope, section_cones="20; 20; 84").head_peak_n[0, 3]
    assert outward > 1.3 * even


def test_a_line_of_one_rope_has_all_cones_on_it() -> None:
    gear = gear_aboard(context_of(fleet_of(boat(section_diameters="28 mm"))))
    assert gear.rigs.section_cones[0].tolist() == [126.0, 0.0, 0.0]
    assert not gear.unknown


@pytest.mark.parametrize("cones", ["", "63", "63; 60"])
def test_cones_not_counted_on_each_section_are_not_guessed(cones: str) -> None:
    strike = struck(section_diameters="28 mm; 22 mm", section_cones=cones)
    assert "the cones on each section are not given" in strike.not_computed[0]
    assert np.isnan(strike.peak_n[0])
    assert np.isnan(strike.hold.speed_mps[0]).all()


def test_a_device_set_from_the_bow_is_not_struck_as_if_astern() -> None:
    bow = {"device_type": "parachute", "device_from": "bow", "device_diameter": "5 m", "cone_count": "",
           "cone_mouth": "", "cone_pitch": "", "section_diameters": "", "section_joints": ""}  # fmt: skip
    assert "set from the bow" in struck(**bow).not_computed[0]
    assert "from the bow or the stern" in struck(device_from="").not_computed[0]
    assert not struck(**(bow | {"device_from": "stern"})).not_computed


def test_gear_like_the_required_rig_holds_her_as_well() -> None:
    assert behind() < 0.05


def test_45_of_97_cones_are_too_little_though_every_part_is_strong_enough() -> None:
    few = {"displacement": "9,000 lb", "cone_count": "45"}
    assert behind(**few) > 0.10
    assert behind(**(few | {"cone_count": "97"})) < 0.05
    found = findings(VARIED, **few)
    for name in LIMITS:
        assert (found[name].standing, found[name].advised_standing) == (Standing.MEETS,) * 2, name
    assert found["drag.held"].standing is Standing.SHORT
    assert "falls behind the drogue she needs" in found["drag.held"].note
    assert findings(**(few | {"cone_count": "97"}))["drag.held"].standing is Standing.MEETS


@pytest.mark.parametrize(("diameter", "meets"), [("4.8 ft", True), ("2.4 ft", False)])
def test_a_single_device_is_held_against_a_single_device(diameter: str, meets: bool) -> None:
    """CG87 6.1: about 4.65 ft at 20,000 lb on the line between its two points; half of it is too small."""
    device = {"device_type": "cone drogue", "device_diameter": diameter, "cone_count": "", "cone_mouth": "",
              "cone_pitch": "", "section_diameters": "", "section_joints": "",
              "lead_line_length": "288 ft"}  # fmt: skip
    assert (behind(**device) <= 0.10) == meets


def test_a_boat_the_wave_carries_along_is_behind_without_end() -> None:
    assert behind(cone_count="5") == np.inf


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"line_material": "polyester"}, "not nylon double braid"),
        ({"cone_pitch": ""}, "cone pitch is not given"),
        ({"bridle_diameter": ""}, "bridle diameter is not given"),
        ({"device_type": "warps"}, "not one whose drag is known"),
        ({"device_type": "none"}, "no device aboard"),
        ({"lead_line_diameter": "4 mm"}, "not in the catalogue"),
        ({"section_diameters": ""}, "section diameters are not given"),
        ({"cone_count": "0"}, "no sound cones are counted on it"),
    ],
)
def test_gear_not_known_well_enough_says_what_is_missing(change: dict[str, str], words: str) -> None:
    strike = struck(**change)
    assert words in strike.not_computed[0]
    assert np.isnan(strike.peak_n[0])
    finding = findings(**change)["drag.held"]
    assert finding.standing in {Standing.UNPROVEN, Standing.NOT_APPLICABLE}
    assert finding.standing is Standing.NOT_APPLICABLE or words in finding.note


def test_a_single_cone_is_one_drag_element() -> None:
    single = {"device_type": "cone drogue", "device_diameter": "1.5 m", "cone_count": "", "cone_mouth": "",
              "cone_pitch": "", "section_diameters": "", "section_joints": ""}  # fmt: skip
    gear = gear_aboard(context_of(fleet_of(boat(**single))))
    assert not gear.unknown
    assert gear.rigs.element_diameter_m[0] == 1.5
    assert gear.rigs.section_cones.sum() == 0
    assert np.isfinite(struck(**single).peak_n[0])


def test_one_finding_holds_both_limits_and_the_published_one_decides() -> None:
    """Design load of 20,000 lb: 69.9 kN [CG87 6.2], and 0.70 of it a side [CG87 6.3]."""
    found = findings(VARIED)
    load = found["attachment.load"]
    assert load.required == pytest.approx(0.70 * 69.9e3, rel=2e-3)
    assert load.advised is not None
    assert load.required is not None
    assert load.advised > load.required, "stiffer rope and heavier boats are struck harder"
    between = findings(VARIED, attachment_rating=f"{(load.required + load.advised) / 2000:.1f} kN")
    assert between["attachment.load"].standing is Standing.MEETS
    assert between["attachment.load"].advised_standing is Standing.SHORT
    assert between["attachment.load"].below_advised
    assert between["attachment.load"].advice == between["attachment.load"].check.remedy
    assert "More is advised: " in sentence(between["attachment.load"], "her")
    assert not [check for check in found if check.startswith("strike.")], "no second answer"


def test_a_weak_boat_is_short_of_both_limits() -> None:
    weak = findings(VARIED, bridle_diameter="16 mm", shackle_rating="40 kN", attachment_rating="20 kN",
                    lead_line_diameter="16 mm", section_diameters="28 mm; 10 mm")  # fmt: skip
    for name in LIMITS:
        assert (weak[name].standing, weak[name].advised_standing) == (Standing.SHORT,) * 2, name
        assert not weak[name].below_advised, "what is required is open already"


def test_nothing_is_advised_where_no_strike_was_varied() -> None:
    for plan, changes in ((ONCE, {}), (VARIED, {"cone_pitch": ""})):
        found = findings(plan, **changes)
        assert [found[name].advised for name in LIMITS] == [None] * len(LIMITS)
        assert not any(finding.below_advised for finding in found.values())


def test_without_a_strike_its_check_is_left_out() -> None:
    checks = audit_fleet(context_of(fleet_of(boat())))
    assert "drag.held" not in [check.check.id for check in checks]


@pytest.mark.parametrize("cones", ["1", "5", "10"])
def test_a_boat_the_wave_carries_along_is_short(cones: str) -> None:
    """She runs ahead of the crest with the drogue behind her: a low peak there is no strength."""
    assert "did not pass" in struck(cone_count=cones).not_computed[0]
    held = findings(cone_count=cones)["drag.held"]
    assert held.standing is Standing.SHORT
    assert "does not hold at all" in held.note


@given(st.integers(20, 160), st.integers(1, 40))
@settings(deadline=None)
def test_more_drogue_is_never_held_worse(cones: int, more: int) -> None:
    few, many = findings(cone_count=str(cones)), findings(cone_count=str(cones + more))
    if few["drag.held"].standing is Standing.MEETS:
        assert many["drag.held"].standing is Standing.MEETS
    fell_behind = [behind(cone_count=str(count)) for count in (cones, cones + more)]
    assert fell_behind[1] <= fell_behind[0] + 0.01


def test_cg87_s_own_rig_at_7500_lb_meets() -> None:
    """Test piece: 90 cones of 5 in, 35 lb, 5,300 lbf a side [CG87 4.1.1, 6.4], on rope that holds it."""
    rig = {"displacement": "7,500 lb", "loa": "30 ft", "lwl": "26 ft", "beam": "10 ft", "cone_count": "90",
           "end_weight": "35 lb", "attachment_rating": "5,300 lbf", "transom_width": "2.4 m"}  # fmt: skip
    found = findings(VARIED, **rig)
    open_shalls = [f.check.id for f in found.values() if f.is_open and f.check.level == "shall"]
    assert open_shalls == []


def test_a_bridle_of_its_own_fibre_and_state_is_struck_as_such() -> None:
    """The strike of a page and its findings are about the same bridle."""
    gear = gear_aboard(context_of(fleet_of(boat(bridle_material="polyester"))))
    assert "stretch of a line or bridle" in gear.unknown[0]
    worn = gear_aboard(context_of(fleet_of(boat(bridle_state="worn"), boat())))
    leg = worn.strengths.by_part["bridle leg"]
    assert leg[0] == pytest.approx(0.7 * leg[1])  # the policy's factor of a worn line [assumed]


def test_torn_cones_hold_her_no_more_than_cones_that_are_not_there() -> None:
    """40 of 126 torn: 86 pull, which is as if the cones were so much smaller."""
    torn = gear_aboard(context_of(fleet_of(boat(cones_torn="40"), boat())))
    area = torn.rigs.cone_mouth_area_m2
    assert area[0] / area[1] == pytest.approx(86 / 126)
    assert behind(cones_torn="40") > behind() + 0.1
