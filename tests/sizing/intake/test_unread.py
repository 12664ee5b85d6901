"""What need not reject a boat: an optional cell that cannot be read is shown, and is evidence of nothing."""

from __future__ import annotations

from datetime import date

import pytest

from sizing.audit import audit_fleet, findings_of
from sizing.audit.cases import READY
from sizing.fields import FIELDS
from sizing.intake import FoundCell, read_boat
from sizing.model import Finding, Notation, Standing
from sizing.policy import Policy
from sizing.privacy import private_boats
from tests.sizing.audit.boats import context_of, intake_of
from tests.sizing.intake.sheets import GOOD, TODAY, boat, codes, read_boats

# Cells as people write them, and a check that the gear meets where the cell is plain.
LOOSE = [
    ("last_inspected", "Spring 2026", "condition.inspected"),
    ("cone_count", "about 100", "drag.cone-count"),
    ("cone_count", "ca. 130", "drag.cone-count"),
    ("cone_count", "120-140", "drag.cone-count"),
    ("end_weight", "12 kg chain", "end-weight.mass"),
    ("bridle_leg_length", "7 to 8 m", "bridle.leg-length"),
    ("bridle_material", "some white rope", "bridle.material"),
    ("bridle_material", "some white rope", "bridle.strength-residual"),
    ("bridle_state", "so so", "bridle.strength-residual"),
    ("bridle_year", "old", "bridle.strength-residual"),
    ("cones_year", "when we bought her", "condition.cones-age"),
    ("swivel", "the shiny one", "hardware.swivel"),
    ("section_diameters", "28 mm; thinner", "line.sections"),
    ("attachment_rating", "strong", "attachment.load"),
    ("chafe_gear", "hose, mostly", "chafe.protection"),
]


def judged(**cells: str) -> dict[str, Finding]:
    intake = intake_of({**READY, **cells})
    assert not intake.rejected
    context = context_of(intake.fleet)
    return {finding.check.id: finding for finding in findings_of(audit_fleet(context), intake.fleet, 0)}


@pytest.mark.parametrize(("column", "cell", "check"), LOOSE)
def test_a_loose_cell_costs_no_boat_and_proves_nothing(column: str, cell: str, check: str) -> None:
    finding = judged(**{column: cell})[check]
    assert finding.standing is Standing.UNPROVEN
    assert f"“{cell}”" in finding.said


def test_what_stands_in_for_a_blank_does_not_stand_in_for_what_cannot_be_read() -> None:
    """A bridle of which nothing is said is taken for rope like the line's; an unknown rope is not."""
    blank, loose = judged(bridle_material=""), judged(bridle_material="blue stuff")
    assert blank["bridle.material"].standing is Standing.MEETS
    assert loose["bridle.material"].standing is Standing.UNPROVEN


def test_an_unknown_device_with_a_count_of_cones_is_no_series_drogue() -> None:
    said = judged(device_type="storm anchor + 100 m warp")["drag.device-accepted"]
    assert said.standing is Standing.UNPROVEN
    assert "storm anchor + 100 m warp" in said.said


def test_the_rest_of_her_gear_is_judged_as_before() -> None:
    plain, loose = judged(), judged(last_inspected="Spring 2026")
    changed = {check for check in plain if plain[check].standing != loose[check].standing}
    assert changed == {"condition.inspected", "data.plausible"}


@pytest.mark.parametrize("field", [one for one in FIELDS if one.kind != "text"], ids=lambda one: one.name)
def test_only_number_name_and_what_sizing_needs_reject(field: object) -> None:
    name, required = field.name, field.required  # type: ignore[attr-defined]
    result = read_boats(boat(**{name: "don't ask me!"}))
    assert len(result.rejected) == required
    assert len(result.fleet) == (not required)
    assert [column for column, _ in codes(result)] == [name]
    if not required:
        [warning] = [said for said in result.fleet.entry(0).warnings if said.startswith(name)]
        assert "“don't" in warning
        assert result.fleet.entry(0).as_written.get(name, "don't ask me!") == "don't ask me!"
        assert result.fleet.unread_text(name, 0) == "don't ask me!"


def test_a_page_is_not_public_where_the_word_on_it_cannot_be_read() -> None:
    result = read_boats(boat(public="rather not"), boat(entry_no="018"))
    assert private_boats(result.fleet, Policy()) == {0}


def test_legs_that_cannot_meet_are_set_aside_with_the_figure() -> None:
    result = read_boats(boat(bridle_leg_length="1 m"))
    assert codes(result) == [("bridle_leg_length", "implausible")]
    assert result.fleet.value("bridle_leg_length_m", 0) is None


def test_a_row_that_is_rejected_tells_all_that_is_wrong_with_it() -> None:
    result = read_boats(boat(displacement="heavy", cone_count="many"))
    assert {column for column, _ in codes(result)} == {"displacement", "cone_count"}
    assert not result.fleet


def test_what_was_measured_has_to_be_read_at_once() -> None:
    """Whoever stands before the gear can write it again; the cell that it replaces is not looked at."""
    found = {"cone_count": FoundCell("about 100", ".")}
    _, faults = read_boat(GOOD, Notation(), found, date(2026, 6, 1))
    assert [name for name, _ in faults] == ["cone_count"]
    fleet, faults = read_boat({**GOOD, "cone_count": "about 100"}, Notation(), {}, TODAY)
    assert not faults
    assert fleet.unread_text("cone_count", 0) == "about 100"
    fleet, faults = read_boat(
        {**GOOD, "cone_count": "about 100"}, Notation(), {"cone_count": FoundCell("110", ".")}, TODAY
    )
    assert not faults
    assert not fleet.unread
    assert fleet.value("cone_count", 0) == 110.0


def test_words_of_others_are_no_places_for_the_voice_and_tell_no_contact() -> None:
    said = judged(cone_count="[her] 100 [|], ask sue@boat.example")["drag.cone-count"].said
    assert "(her) 100 (|), ask (contact left out)" in said
