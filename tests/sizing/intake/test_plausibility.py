"""Figures held against each other: slips are errors that name their cause, unusual boats are warnings."""

from __future__ import annotations

import numpy as np
import pytest

from sizing.intake.plausibility import displacement_length_ratio
from tests.sizing.intake.sheets import boat, codes, read_boats, remark_codes


def test_displacement_length_ratio() -> None:
    # By definition: one long ton on 100 ft is 1 / 1^3 = 1; ten long tons on 30 ft 10 / 0.027 = 370.37.
    tons = np.array([1016.0469088, 10160.469088])
    feet = np.array([30.48, 9.144])
    assert displacement_length_ratio(tons, feet) == pytest.approx([1.0, 370.37037], rel=1e-7)


def mend_of(**changes: str) -> tuple[list[tuple[str, str]], str]:
    result = read_boats(boat(**changes))
    told = [error.mend for row in result.rejected for error in row.errors]
    aside = [sentence for one in result.fleet.remarks for sentence in one.sentences]
    return codes(result), " ".join(told + aside)


def test_pounds_written_as_kilograms() -> None:
    found, mend = mend_of(
        displacement="19,300 kg", lwl="8.5 m", loa="9.8 m", beam="3.3 m", transom_width="2.5 m"
    )
    assert found == [("displacement", "implausible")]
    assert "check the unit of the displacement" in mend, "no lighter figure is offered"


def test_thousands_written_with_a_point_in_a_file_with_decimal_points() -> None:
    """Read as tonnes, 20.000 lb would be more than twice the boat that is meant."""
    found, mend = mend_of(displacement="20.000 lb", loa="12.2 m")
    assert found == [("displacement", "out_of_range")]
    assert "read with thousands it would be 9,072 kg (20,000 lb), which fits" in mend


def test_feet_written_as_metres() -> None:
    found, mend = mend_of(loa="38 m", lwl="33 m", beam="12 m", transom_width="9.5 m")
    assert ("loa", "implausible") in found
    assert "read as ft it would be 11.58 m (38 ft), which fits" in mend


def test_millimetres_and_inches_mixed_up() -> None:
    found, mend = mend_of(cone_mouth="5 mm", lead_line_diameter="20 in")
    assert found == [("cone_mouth", "out_of_range"), ("lead_line_diameter", "out_of_range")]
    assert "read as in it would be 127 mm (5 in)" in mend
    assert "read as mm it would be 20 mm" in mend


def test_tonnes_written_as_kilograms_and_back() -> None:
    assert "read as t it would be 8,400 kg" in mend_of(displacement="8.4 kg")[1]
    assert "read as kg it would be 8,400 kg" in mend_of(displacement="8400 t")[1]


@pytest.mark.parametrize(
    ("changes", "column"),
    [
        ({"transom_width": "4.2 m"}, "transom_width"),
        ({"lwl": "12 m"}, "lwl"),
        ({"lwl": "4.5 m"}, "lwl"),
        ({"beam": "1.2 m", "transom_width": "1 m"}, "beam"),
        ({"beam": "7.5 m"}, "beam"),
        ({"bridle_leg_length": "1.4 m"}, "bridle_leg_length"),
    ],
)
def test_figures_that_cannot_go_together(changes: dict[str, str], column: str) -> None:
    assert (column, "implausible") in mend_of(**changes)[0]


def test_the_wrong_one_of_two_lengths_is_blamed() -> None:
    found, mend = mend_of(beam="12 m", lwl="")
    assert found == [("beam", "implausible")]
    assert "read as ft it would be 3.658 m (12 ft)" in mend


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"displacement": "18 t"}, "displacement_length"),
        ({"beam": "2.2 m", "transom_width": "1.8 m"}, "beam_length"),
        ({"lwl": "7 m", "displacement": "4 t"}, "lwl_loa"),
        ({"transom_width": "1.5 m", "beam": "4.9 m", "loa": "13.5 m", "lwl": "12 m"}, "transom_length"),
        ({"section_diameters": "12 mm; 16 mm"}, "section_order"),
        ({"made_year": "2024", "last_inspected": "2023-12-31"}, "inspected_before_made"),
        ({"device_type": "nil", "cone_count": "100"}, "gear_of_none"),
    ],
)
def test_unusual_boats_are_accepted_with_a_warning(changes: dict[str, str], code: str) -> None:
    result = read_boats(boat(**changes))
    told = [one.code for one in result.fleet.remarks if one.kind == "warning"]
    assert [one for one in told if not one.startswith("weight_")] == [code]
    assert len(result.fleet.entry(0).warnings) == len(told)


@pytest.mark.parametrize(("width", "set_aside"), [("2.4 ft", True), ("4.5 ft", False), ("40 ft", True)])
@pytest.mark.parametrize("beam", ["", "11'9\""])
def test_a_transom_is_held_against_the_length_too(width: str, beam: str, set_aside: bool) -> None:
    """36 ft with a transom of 40 ft, or of 2.4 ft, once passed where the beam was not given."""
    cells = {"loa": "36 ft", "lwl": "31 ft", "beam": beam, "transom_width": width}
    assert (("transom_width", "implausible") in mend_of(**cells)[0]) == set_aside


def test_an_inspection_on_the_first_day_of_the_year_made_is_no_wonder() -> None:
    result = read_boats(boat(made_year="2024", last_inspected="2024-01-01"))
    assert not [one for one in result.fleet.remarks if one.kind == "warning"]


@pytest.mark.parametrize(
    "changes",
    [
        # Ordinary proportions from common practice, no source.
        {"boat_type": "catamaran", "loa": "42 ft", "lwl": "41 ft", "beam": "23 ft", "transom_width": "20 ft",
         "displacement": "11 t"},
        {"boat_type": "trawler", "loa": "46 ft", "lwl": "38'4\"", "beam": "15'6\"", "transom_width": "13 ft",
         "displacement": "26 long tons"},
        {"loa": "27 ft", "lwl": "22 ft", "beam": "8.5 ft", "transom_width": "6 ft",
         "displacement": "7,500 lb"},
        {"loa": "60 ft", "lwl": "54 ft", "beam": "17 ft", "transom_width": "13 ft",
         "displacement": "60,000 lb"},
        {"boat_type": "trimaran", "loa": "11 m", "lwl": "10.6 m", "beam": "8 m", "transom_width": "1.7 m",
         "displacement": "4 t"},
    ],
)  # fmt: skip
def test_ordinary_boats_pass_without_warning(changes: dict[str, str]) -> None:
    result = read_boats(boat(**changes))
    warnings = [code for code in remark_codes(result) if code[1] not in ("choice_word", "grouped_digits")]
    assert (len(result.fleet), warnings) == (1, [])


def test_all_errors_of_a_row_are_collected() -> None:
    found, _ = mend_of(loa="x", transom_width="", displacement="8400", condition="odd", last_inspected="soon")
    assert [column for column, _ in found] == [
        "loa",
        "displacement",
        "condition",
        "last_inspected",
    ]
