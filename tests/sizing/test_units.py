"""Units: factors against NIST SP 811, spellings, and refusals."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.catalogue.columns import UNITS
from sizing.errors import QuantityError
from sizing.unit_words import SI_FACTORS, SPELLINGS
from sizing.units import (
    DISPLAY_DIMENSIONS,
    Dimension,
    both,
    parse_quantity,
    read_quantity,
    registry,
    show,
    si_factor,
    unit_factors,
)


@pytest.mark.parametrize(
    ("unit", "factor"),
    [
        # NIST SP 811 (2008), Appendix B.8, factors listed alphabetically; seven digits as printed.
        ("foot", 3.048e-01),
        ("inch", 2.54e-02),
        ("pound", 4.535924e-01),
        ("long_ton", 1.016047e03),
        ("short_ton", 9.071847e02),
        ("metric_ton", 1.0e03),
        ("kilogram_force", 9.80665e00),
        ("pound_force", 4.448222e00),
        ("kip", 4.448222e03),
        ("foot**2", 9.290304e-02),
        ("foot**3", 2.831685e-02),
        ("litre", 1.0e-03),
        ("knot", 5.144444e-01),
        ("mile/hour", 4.4704e-01),
        ("kilometre/hour", 2.777778e-01),
        ("foot/second", 3.048e-01),
        ("psi", 6.894757e03),
        ("foot*pound_force", 1.355818e00),
        ("ounce/yard**2", 3.390575e-02),
        ("degree", 1.745329e-02),
        ("standard_gravity", 9.80665e00),
    ],
)
def test_factors_agree_with_sp_811(unit: str, factor: float) -> None:
    assert si_factor(unit) == pytest.approx(factor, rel=5e-7)


@pytest.mark.parametrize("unit", SI_FACTORS)
def test_written_factors_are_those_of_pint(unit: str) -> None:
    assert SI_FACTORS[unit] == float(registry().Quantity(Decimal(1), unit).to_base_units().magnitude)


def test_every_unit_of_the_sheet_and_the_catalogue_has_its_factor_written() -> None:
    """So that no reading of a fleet waits for pint."""
    written = {unit for units in SPELLINGS.values() for unit in units}
    catalogued = {unit for units in UNITS.values() for unit in units.values()}
    assert written | catalogued <= SI_FACTORS.keys()


@pytest.mark.parametrize(
    "text",
    ["40'6\"", "40 ft 6 in", "40.5'", "40.5 ft", "40′ 6″", "40’6”", "40'-6\"", "40 Feet 6 Inches", "40ft6in",
     "40 1/2 ft", "40½ ft", "486 in", "486\"", "486''", "1234.44 cm", "12,344.4 mm", "12 344.4 mm",
     "12.3444 m", "40 ft. 6 in.", "40\u00a0ft\u00a06\u00a0in"],
)  # fmt: skip
def test_one_length_in_many_spellings(text: str) -> None:
    # 40 ft 6 in = 486 in of 25.4 mm (SP 811).
    assert parse_quantity(text, "length") == pytest.approx(486 * 0.0254, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("9,300 lb", "mass", 4218.409041),
        ("9'300 kg", "mass", 9300.0),
        ("1’250’000.5 kg", "mass", 1250000.5),
        ("4.2 t", "mass", 4200.0),
        ("3 long tons", "mass", 3048.1407264),
        ("3 short tons", "mass", 2721.55422),
        ("5/8 in", "small_length", 0.015875),
        ("1 1/2 in", "small_length", 0.0381),
        ("1-1/2\"", "small_length", 0.0381),
        ("45 kN", "force", 45000.0),
        ("4,500 daN", "force", 45000.0),
        ("10 lbf", "force", 44.482216152605),
        ("3 kgf", "force", 29.41995),
        ("18 m²", "area", 18.0),
        ("100 sq. ft.", "area", 9.290304),
        ("10 kn", "speed", 5.144444444444445),
    ],
)  # fmt: skip
def test_quantities(text: str, dimension: Dimension, value: float) -> None:
    assert parse_quantity(text, dimension) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "code"),
    [
        ("", "length", "empty"),
        ("11.6", "length", "no_unit"),
        ("11.6 furlongs", "length", "unknown_unit"),
        ("11.6 kg", "length", "wrong_dimension"),
        ("8 tons", "mass", "which_ton"),
        ("8 ton", "mass", "which_ton"),
        ("300 kg", "force", "mass_for_force"),
        ("300 lb", "force", "mass_for_force"),
        ("nan m", "length", "no_number"),
        ("inf m", "length", "no_number"),
        ("-3 m", "length", "sign"),
        ("1_000 m", "length", "unknown_unit"),
        ("1e3 m", "length", "unknown_unit"),
        ("١٢ m", "length", "no_number"),
        ("12 m", "mass", "wrong_dimension"),
        ("1,16 m", "length", "bad_number"),
        ("0,500 m", "length", "bad_number"),
        ("3-4 m", "length", "bad_number"),
        ("1/0 in", "length", "bad_number"),
        ("1 3/2 in", "length", "bad_number"),
        ("10 ft 12 in", "length", "feet_inches"),
        ("9'300 m", "length", "unknown_unit"),
        ("9'30 kg", "mass", "unknown_unit"),
        ("10.5 ft 3 in", "length", "feet_inches"),
        ("1.2.3 m", "length", "bad_number"),
        ("9" * 100 + " m", "length", "bad_number"),
        ("1 " * 200 + "m", "length", "too_long"),
    ],
)
def test_refusals(text: str, dimension: Dimension, code: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, dimension)
    assert caught.value.code == code


@pytest.mark.parametrize(("dimension", "units"), [("force", "N, kN, daN"), ("speed", "m/s, kn, km/h")])
def test_units_are_named_as_they_are_written(dimension: Dimension, units: str) -> None:
    """A kilonewton is kN, a knot is kn [SP 811]."""
    with pytest.raises(QuantityError) as refused:
        parse_quantity("45 furlongs", dimension)
    assert units in refused.value.mend


def test_a_bare_number_takes_the_unit_given_and_a_written_unit_is_stronger() -> None:
    assert parse_quantity("38", "length", unit="ft") == pytest.approx(11.5824)
    assert parse_quantity("11.6 m", "length", unit="ft") == 11.6


def test_decimal_comma_is_read_only_when_asked_for() -> None:
    assert parse_quantity("11,6 m", "length", decimal=",") == 11.6
    assert parse_quantity("9.300,5 kg", "mass", decimal=",") == 9300.5
    with pytest.raises(QuantityError):
        parse_quantity("11,6 m", "length")


def test_only_the_exact_spelling_of_kilonewton_goes_without_a_note() -> None:
    assert read_quantity("45 kN", "force").notes == ()
    assert read_quantity("45 KN", "force").notes == ("“KN” is read as kN (kilonewtons)",)


@given(st.text(max_size=30), st.sampled_from(["length", "small_length", "mass", "force", "area", "speed"]))
def test_any_text_is_a_finite_quantity_or_a_refusal(text: str, dimension: Dimension) -> None:
    try:
        value = parse_quantity(text, dimension)
    except QuantityError:
        return
    assert math.isfinite(value)
    assert value >= 0.0


@given(st.integers(0, 10**9), st.sampled_from(["length", "mass", "force", "area", "speed"]), st.data())
def test_grouping_and_case_do_not_matter(number: int, dimension: Dimension, data: st.DataObject) -> None:
    unit = data.draw(st.sampled_from(sorted(unit_factors(dimension))))
    plain = parse_quantity(f"{number} {unit}", dimension)
    assert plain == number * unit_factors(dimension)[unit]
    assert parse_quantity(f"{number:,} {unit.upper()}", dimension) == plain
    assert parse_quantity(f"{number:,} {unit}".replace(",", " "), dimension) == plain
    assert parse_quantity(f"{number:,} {unit}".replace(",", "."), dimension, decimal=",") == plain


@pytest.mark.parametrize(
    ("value", "dimension", "text"),
    [
        (4218.41, "mass", "4,218 kg (9,300 lb)"),
        (11.6, "length", "11.6 m (38 ft 1 in)"),
        (0.5, "length", "0.5 m (1 ft 7½ in)"),
        (0.127, "small_length", "127 mm (5 in)"),
        (33361.66, "force", "33.4 kN (7,500 lbf)"),
        (18.0, "area", "18 m² (194 ft²)"),
        (20.0, "speed", "20 m/s (38.9 kn)"),
        (700e6, "pressure", "700 MPa (101,526 psi)"),
        (0.05, "volume", "50 litres (1.77 ft³)"),
        (math.pi / 2, "angle", "90°"),
        (1.234, "time", "1.23 s"),
        (12.5, "hours", "12.5 h"),
        (1234, "count", "1,234"),
        (0.7, "ratio", "70 %"),
        (0.0, "mass", "0 kg (0 lb)"),
    ],
)
def test_display(value: float, dimension: str, text: str) -> None:
    # Converted with the SP 811 factors above and rounded by hand.
    assert both(value, dimension) == text


@given(st.floats(-1e12, 1e12), st.sampled_from(DISPLAY_DIMENSIONS))
def test_display_has_neither_exponent_nor_digits_out_of_nothing(value: float, dimension: str) -> None:
    shown = show(value, dimension)
    for text in (shown.metric, shown.us):
        assert "e+" not in text
        assert "e-" not in text


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_missing_figure_is_never_shown(value: float) -> None:
    with pytest.raises(QuantityError):
        show(value, "mass")


def test_an_unknown_dimension_is_refused() -> None:
    with pytest.raises(QuantityError):
        show(1.0, "colour")
