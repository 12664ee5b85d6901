"""Quantities in cells: units, decimal signs, working load limits, and one boat in any spelling."""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.errors import QuantityError
from sizing.fields import FIELD_BY_NAME
from sizing.intake.cells import Context, read_cell
from sizing.intake.collect import Collected, Read
from sizing.intake.quantities import Column, read_column, split
from sizing.model import HeaderUnit
from sizing.units import DecimalSign
from tests.sizing.intake.sheets import boat, codes, read_boats, remark_codes

UNITS = {
    "loa": ("m", "ft", "cm", "mm", "in", "Ft.", "metres", "'", '"'),
    "displacement": ("kg", "lb", "t", "long tons", "short tons", "tons", "KG", "m"),
    "attachment_rating": ("kN", "lbf", "daN", "kgf", "KN", "kg", "N"),
    "windage_area": ("m2", "m²", "sq ft", "ft2", "ft^2"),
    "cone_mouth": ("mm", "in", "cm", "ins"),
}


@st.composite
def quantity_cells(draw: st.DrawFn, name: str) -> str:
    number = draw(
        st.one_of(
            st.from_regex(r"[0-9]{1,6}", fullmatch=True),
            st.from_regex(r"[0-9]{1,4}[.,][0-9]{1,4}", fullmatch=True),
            st.from_regex(r"[0-9]{1,3}([., ][0-9]{3}){1,2}", fullmatch=True),
            st.from_regex(r"[0-9]{1,4}[.,][0-9]{2,4}[.,][0-9]{1,3}", fullmatch=True),
            st.sampled_from(["", "nan", "1e3", "1_000", "5/8", "1 1/2", "-3", "+3", "٣", ".5", "12."]),
        )
    )
    space = draw(st.sampled_from(["", " ", "  ", "\u00a0"]))
    return number + space + draw(st.sampled_from(("", *UNITS[name])))


def alone(cell: str, context: Context) -> Read[float] | str:
    """Return what the careful reader makes of a cell, or the code of its refusal."""
    try:
        return read_cell(cell, context)
    except QuantityError as error:
        return error.code


@given(st.data(), st.sampled_from(sorted(UNITS)), st.sampled_from([".", ",", None]), st.booleans())
def test_whole_columns_agree_with_single_cells(
    data: st.DataObject, name: str, sign: DecimalSign | None, with_header: bool
) -> None:
    field = FIELD_BY_NAME[name]
    cells = data.draw(st.lists(quantity_cells(name), min_size=1, max_size=8))
    header = UNITS[name][1]
    unit = HeaderUnit(header) if with_header else None
    collected = Collected()
    frame = pl.DataFrame({"0": cells})
    parts = split(frame, ["0"])["0"]
    values = read_column(Column(field, 0, unit), parts, sign, collected)[parts.words.codes]
    for row, cell in enumerate(cells):
        if not cell.strip():
            assert np.isnan(values[row])
            assert row not in collected.faults
            continue
        single = alone(cell.strip(), Context(field, unit, sign))
        if isinstance(single, str):
            assert [fault.code for _, fault in collected.faults[row]] == [single]
            continue
        assert row not in collected.faults
        assert values[row] == pytest.approx(single.value, rel=1e-15, nan_ok=True)
        said = {code for _, code, _, rows, _ in collected._remarks if row in rows}
        assert said == {note.code for note in single.notes}


FEET_INCHES = st.sampled_from(["{f}'{i}\"", "{f} ft {i} in", "{f}′ {i}″", "{f}ft {i}in", "{f}’{i}”"])


@given(st.integers(30, 45), st.integers(0, 11), FEET_INCHES, st.integers(7000, 9999))
def test_one_boat_in_any_spelling(feet: int, inches: int, spelling: str, kilograms: int) -> None:
    loa = (feet * 12 + inches) * 0.0254
    lengths = [
        spelling.format(f=feet, i=inches),
        f"{loa:.4f} m",
        f"{loa * 1000:.1f} mm",
        f"{feet * 12 + inches} in",
    ]
    masses = [
        f"{kilograms} kg",
        f"{kilograms / 1000} t",
        f"{kilograms:,} kg",
        f"{kilograms / 0.45359237:.6f} lb",
    ]
    boats = [
        {
            **boat(entry_no=str(number), lwl="", beam="", transom_width="9 ft 6 in"),
            "loa": one,
            "displacement": mass,
        }
        for number, (one, mass) in enumerate(zip(lengths, masses, strict=True), start=1)
    ]
    fleet = read_boats(*boats).fleet
    assert len(fleet) == 4
    assert fleet.number["loa_m"] == pytest.approx(loa, abs=1e-4)
    assert fleet.number["displacement_kg"] == pytest.approx(kilograms, rel=1e-6)


def test_a_bare_number_is_an_error_that_says_so() -> None:
    result = read_boats(boat(loa="11.6", displacement="8400"))
    assert codes(result) == [("loa", "no_unit"), ("displacement", "no_unit")]
    assert "no unit" in result.rejected[0].errors[0].sentence


@pytest.mark.parametrize(
    "cell", ["NaN", "inf m", "1_000 kg", "٨٤٠٠ kg", "8.4e3 kg", "8400 kg kg", "eight t", "8 tons"]
)
def test_nonsense_is_an_error(cell: str) -> None:
    result = read_boats(boat(displacement=cell))
    assert [column for column, _ in codes(result)] == ["displacement"]


@pytest.mark.parametrize("cell", ["3.25 t WLL", "WLL 3.25t", "3250 kg (WLL)", "3.25t SWL", "7165 lb WLL"])
def test_working_load_limits_become_breaking_loads(cell: str) -> None:
    # EN 13889: minimum breaking load 5 x WLL (from memory); standard gravity 9.80665 m/s2 (SP 811).
    result = read_boats(boat(shackle_rating=cell))
    assert result.fleet.value("shackle_rating_n", 0) == pytest.approx(5 * 3250 * 9.80665, rel=1e-4)
    assert ("shackle_rating", "working_load_limit") in remark_codes(result)


@pytest.mark.parametrize("name", ["shackle_rating", "attachment_rating"])
def test_a_mass_in_a_force_column_is_asked_about(name: str) -> None:
    assert codes(read_boats({**boat(), name: "3000 kg"})) == [(name, "mass_for_force")]


def test_other_case_of_kilonewton_is_noted() -> None:
    assert ("shackle_rating", "spelling") in remark_codes(read_boats(boat(shackle_rating="60 KN")))
    assert ("shackle_rating", "spelling") not in remark_codes(read_boats(boat(shackle_rating="60 kN")))


def test_a_decimal_comma_is_taken_from_the_file() -> None:
    cells = boat(loa="11,6 m", lwl="10,1 m", beam="3,7 m", transom_width="2,9 m", displacement="8.400 kg")
    result = read_boats(cells)
    assert result.fleet.entry(0).displacement_kg == 8400.0
    assert result.fleet.entry(0).loa_m == 11.6
    assert ("loa", "decimal_comma") in remark_codes(result)
    assert ("displacement", "grouped_digits") in remark_codes(result)


def test_a_decimal_point_in_the_file_makes_three_places_plain() -> None:
    entry = read_boats(boat(displacement="8.400 t", loa="11.625 m")).fleet.entry(0)
    assert (entry.displacement_kg, entry.loa_m) == (8400.0, 11.625)


def test_grouped_digits_are_read_by_what_is_possible_if_the_file_does_not_tell() -> None:
    whole = boat(loa="12 m", lwl="10 m", beam="4 m", transom_width="3 m", displacement="9,300 kg")
    result = read_boats(whole)
    assert result.fleet.entry(0).displacement_kg == 9300.0
    assert ("displacement", "grouped_digits") in remark_codes(result)


def test_grouped_digits_that_could_be_either_are_asked_about() -> None:
    # 1.200 or 1,200 kN: 1.2 kN and 1,200 kN are both possible ratings.
    whole = boat(loa="12 m", lwl="10 m", beam="4 m", transom_width="3 m", displacement="9300 kg")
    assert codes(read_boats({**whole, "attachment_rating": "1,200 kN"})) == [
        ("attachment_rating", "which_number")
    ]


@pytest.mark.parametrize(
    ("cell", "diameters"),
    [("20 mm; 16 mm", (0.020, 0.016)), ("20; 16; 12 mm", (0.020, 0.016, 0.012)), ("16 mm", (0.016,)),
     ("20mm/16mm", (0.020, 0.016)), ('3/4 in + 5/8 in', (0.01905, 0.015875))],
)  # fmt: skip
def test_sections(cell: str, diameters: tuple[float, ...]) -> None:
    sections = read_boats(boat(section_diameters=cell)).fleet.section_diameters_m[0]
    assert sections[: len(diameters)].tolist() == pytest.approx(diameters)
    assert np.isnan(sections[len(diameters) :]).all()


@pytest.mark.parametrize("cell", ["20 mm; 16 mm; 12 mm; 10 mm", "20; 16", "2 m; 16 mm", ";", "20 mm; x"])
def test_sections_that_cannot_be(cell: str) -> None:
    assert [column for column, _ in codes(read_boats(boat(section_diameters=cell)))] == ["section_diameters"]


def test_blank_is_not_zero_and_not_stated_is_noted() -> None:
    result = read_boats(boat(end_weight="", shackle_rating="n/a", cone_count="?"))
    asked = ("end_weight_kg", "shackle_rating_n", "cone_count")
    assert [result.fleet.value(name, 0) for name in asked] == [None, None, None]
    assert {("shackle_rating", "not_stated"), ("cone_count", "not_stated")} <= set(remark_codes(result))
    assert not [code for code in remark_codes(result) if code[0] == "end_weight"]
