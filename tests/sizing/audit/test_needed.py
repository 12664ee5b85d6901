"""What a column has to be: the figure a scrutineer measures against, the same that the findings go by."""

from __future__ import annotations

import pytest

from sizing.audit import needed_of
from sizing.model import Finding, Standing
from tests.sizing.audit.boats import CATALOGUE, boat, findings

LINE = ("lead_line_diameter", "line.strength-new", "line.strength-residual")
BRIDLE = ("bridle_diameter", "bridle.strength-new", "bridle.strength-residual")


def needed(column: str, **changes: str) -> tuple[Finding, ...]:
    return needed_of(findings(boat(**changes)).values()).get(column, ())


def figure(column: str, **changes: str) -> float:
    (first, *_) = needed(column, **changes)
    return first.needed[0]


@pytest.mark.parametrize(("mouth", "cones"), [("4 in", 195), ("5 in", 125), ("6 in", 87)])
def test_cones_are_counted_against_what_cones_of_her_own_mouth_make(mouth: str, cones: int) -> None:
    """By hand: the area of 125 cones of 5 in is that of 195 of 4 in and of 87 of 6 in [CG87 6.1]."""
    assert cones == pytest.approx(125 * (5 / float(mouth.split(maxsplit=1)[0])) ** 2, abs=1)
    assert figure("cone_count", cone_mouth=mouth) == cones


def test_of_two_findings_the_stricter_counts_and_a_shall_stands_before_a_should() -> None:
    (first, second) = needed("shackle_rating", shackle_rating="") + needed("lead_line_length")
    assert (first.check.id, second.check.id) == ("hardware.shackles", "line.lead-length")
    lines = findings(boat(lead_line_diameter="20 mm"))
    both = [lines[check].needed[0] for check in LINE[1:]]
    assert figure("lead_line_diameter", lead_line_diameter="20 mm") == max(both)


def test_what_may_not_be_exceeded_is_told_as_such() -> None:
    (mouth,) = needed("cone_mouth")
    assert mouth.at_most
    assert mouth.needed == pytest.approx((1.3 * 0.127,))


@pytest.mark.parametrize("gear", [
    {}, {"line_ends": "knotted"}, {"line_material": "polyester"}, {"line_state": "worn"},
    {"line_state": "good", "made_year": "2021"}, {"bridle_leg_length": "1.6 m"},
])  # fmt: skip
@pytest.mark.parametrize("column", [LINE, BRIDLE])
def test_a_line_as_thick_as_needed_meets_and_a_thinner_one_does_not(
    gear: dict[str, str], column: tuple[str, ...]
) -> None:
    """The figure turned about: the strength of that diameter is the strength required."""
    name, *checks = column
    least = figure(name, **gear)
    assert CATALOGUE.ropes.diameter_m[0] < least < CATALOGUE.ropes.diameter_m[-1]
    just = findings(boat(**gear, **{name: f"{least * 1000:.9f} mm"}))
    thin = findings(boat(**gear, **{name: f"{least * 990:.9f} mm"}))
    assert [just[check].standing for check in checks] == [Standing.MEETS] * 2
    assert Standing.SHORT in {thin[check].standing for check in checks}


def test_sections_as_thick_as_needed_hold() -> None:
    (asked,) = needed("section_diameters", section_diameters="12 mm; 12 mm; 12 mm")
    assert len(asked.needed) == 3
    assert list(asked.needed) == sorted(asked.needed, reverse=True)
    cell = "; ".join(f"{diameter * 1000:.9f} mm" for diameter in asked.needed)
    assert findings(boat(section_diameters=cell))["line.sections"].standing is Standing.MEETS


@pytest.mark.parametrize("unsaid", [{"line_ends": ""}, {"line_state": ""}, {"line_material": ""}])
def test_what_is_not_said_is_taken_at_its_best_since_less_is_never_enough(unsaid: dict[str, str]) -> None:
    assert figure("lead_line_diameter", **unsaid) <= figure("lead_line_diameter") * (1 + 1e-9)


def test_no_diameter_is_named_where_none_would_do() -> None:
    """A damaged line holds nothing: of the lines that are new and dry alone something can be asked."""
    assert not findings(boat(line_state="damaged"))["line.strength-residual"].needed
    assert not needed("lead_line_diameter", displacement="290 t", loa="46 m", lwl="42 m", beam="9 m",
                      transom_width="6 m", bridle_leg_length="", boat_type="motor monohull")  # fmt: skip


def test_nothing_is_asked_of_gear_that_a_check_is_not_about() -> None:
    assert needed("end_weight")
    assert not needed("end_weight", device_type="warps")
