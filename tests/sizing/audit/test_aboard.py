"""The wave strike on the gear aboard, and the checks against it."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from sizing.audit import audit_fleet, findings_of
from sizing.audit.aboard import gear_aboard, strike_aboard
from sizing.drogue.strengthen import strike_required
from sizing.drogue.strike_fleet import StrikePlan
from sizing.model import Finding, Standing, StrikeColumns
from sizing.policy import Policy
from tests.sizing.audit.boats import CATALOGUE, boat, context_of, fleet_of

ONCE = StrikePlan(samples=0, histories=False)


def struck(**changes: str) -> StrikeColumns:
    return strike_aboard(context_of(fleet_of(boat(**changes))), ONCE)


def findings(**changes: str) -> dict[str, Finding]:
    context = context_of(fleet_of(boat(**changes)))
    context = dataclasses.replace(context, strike_aboard=strike_aboard(context, ONCE))
    return {f.check.id: f for f in findings_of(audit_fleet(context), context.fleet, 0)}


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


def test_cones_are_shared_equally_and_none_is_lost() -> None:
    gear = gear_aboard(context_of(fleet_of(boat(cone_count="125", section_diameters="28 mm; 22 mm; 16 mm"))))
    assert gear.rigs.section_cones[0].tolist() == [42, 42, 41]
    # 125 x 20 in, and 2 ft to the end thimble (common practice, no source)
    assert gear.rigs.section_length_m[0].sum() == pytest.approx(125 * 0.508 + 0.6096)


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
        ({"cone_count": "0"}, "no cones are counted on it"),
    ],
)
def test_gear_not_known_well_enough_says_what_is_missing(change: dict[str, str], words: str) -> None:
    strike = struck(**change)
    assert words in strike.not_computed[0]
    assert np.isnan(strike.peak_n[0])
    finding = findings(**change)["strike.bridle"]
    assert finding.standing in {Standing.UNPROVEN, Standing.NOT_APPLICABLE}
    assert finding.standing is Standing.NOT_APPLICABLE or words in finding.note


def test_a_single_cone_is_one_drag_element() -> None:
    single = {"device_type": "cone drogue", "device_diameter": "1.5 m", "cone_count": "", "cone_mouth": "",
              "cone_pitch": "", "section_diameters": "", "section_joints": ""}  # fmt: skip
    gear = gear_aboard(context_of(fleet_of(boat(**single))))
    assert gear.rigs.element_diameter_m[0] == 1.5
    assert gear.rigs.section_cones.sum() == 0
    assert np.isfinite(struck(**single).peak_n[0])


def test_a_ready_boat_holds_its_strike_and_a_weak_one_does_not() -> None:
    ready = findings(attachment_rating="80 kN")
    for name in ("bridle", "lead-line", "sections", "attachments", "shackles"):
        assert ready[f"strike.{name}"].standing is Standing.MEETS, name
    weak = findings(bridle_diameter="16 mm", shackle_rating="40 kN", attachment_rating="20 kN",
                    section_diameters="28 mm; 10 mm")  # fmt: skip
    for name in ("bridle", "sections", "attachments", "shackles"):
        assert weak[f"strike.{name}"].standing is Standing.SHORT, name


def test_without_a_strike_its_checks_are_left_out() -> None:
    checks = audit_fleet(context_of(fleet_of(boat())))
    assert not [c.check.id for c in checks if c.check.family == "strike"]


@pytest.mark.parametrize("cones", ["1", "5", "10"])
def test_a_drogue_too_weak_to_hold_her_is_never_a_pass(cones: str) -> None:
    """She runs ahead of the crest with the drogue behind her: a low peak there is no strength."""
    assert "did not pass" in struck(cone_count=cones).not_computed[0]
    found = findings(cone_count=cones)
    for name in ("bridle", "lead-line", "sections", "attachments", "shackles"):
        assert found[f"strike.{name}"].standing is Standing.UNPROVEN, name
        assert "did not pass" in found[f"strike.{name}"].note
