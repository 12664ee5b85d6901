"""Figures as people write them: each with its value in SI, worked out by hand from SP 811's factors."""

from __future__ import annotations

import pytest

from sizing.errors import QuantityError
from sizing.fields import FIELD_BY_NAME
from sizing.intake.cells import Context, read_cell
from sizing.model import HeaderUnit
from tests.sizing.intake.sheets import boat, read_boats

FT, IN, LB = 0.3048, 0.0254, 0.45359237  # SP 811
# Column, cell, SI value. Common practice, no source: how owners fill in entry sheets.
SPELLINGS = [
    ("loa", "38 ft (11.58 m)", 38 * FT), ("loa", "11.58 m (38 ft)", 11.58), ("loa", "38' (11.6m)", 38 * FT),
    ("loa", "11.58 m / 38 ft", 11.58), ("loa", "38 ft = 11.58 m", 38 * FT), ("loa", "12 m (40 ft)", 12.0),
    ("loa", "38'6\" (11.73 m)", 38.5 * FT), ("loa", "12m50", 12.5), ("loa", "12 m 50", 12.5),
    ("loa", "12 m 50 cm", 12.5), ("loa", "11·6 m", 11.6), ("loa", "11.6 m.", 11.6),
    ("loa", "38 Fuß", 38 * FT),
    ("loa", "38 pieds", 38 * FT), ("loa", "38 pies", 38 * FT), ("loa", "38 piedi", 38 * FT),
    ("loa", "38 voet", 38 * FT), ("loa", "11,6 metri", 11.6), ("loa", "11,6 mètres", 11.6),
    ("loa", "11,6 metros", 11.6), ("loa", "11,6 mt", 11.6), ("loa", "11,6 Meter", 11.6),
    ("loa", "38 fot", 38 * FT), ("loa", "40 ft. 6 in.", 40.5 * FT), ("loa", "40ft6", 40.5 * FT),
    ("displacement", "8.4 MT", 8400.0), ("displacement", "8,4 to", 8400.0),
    ("displacement", "8,4 to.", 8400.0),
    ("displacement", "8,4 Tonnen", 8400.0), ("displacement", "8,4 toneladas", 8400.0),
    ("displacement", "8,4 tonnellate", 8400.0), ("displacement", "8.4 tons (metric)", 8400.0),
    ("displacement", "8.4 t (metric)", 8400.0), ("displacement", "8 t 400", 8400.0),
    ("displacement", "8t400", 8400.0), ("displacement", "8 t 400 kg", 8400.0),
    ("displacement", "18,500#", 18_500 * LB), ("displacement", "18500 #", 18_500 * LB),
    ("displacement", "8400 kg.", 8400.0), ("displacement", "8.400 kg (18,519 lb)", 8400.0),
    ("displacement", "18,519 lb (8.4 t)", 18_519 * LB), ("displacement", "8400 kg = 18,519 lbs", 8400.0),
    ("displacement", "8400 chilogrammi", 8400.0), ("displacement", "8400 kilogramos", 8400.0),
    ("displacement", "8 - 8.5 t", 8500.0), ("displacement", "8,000 to 8,500 kg", 8500.0),
    ("end_weight", "27 lb 8 oz", 27.5 * LB), ("end_weight", "27lbs 8oz", 27.5 * LB),
    ("end_weight", "27 pounds, 8 ounces", 27.5 * LB), ("end_weight", "12 kg (26 lb)", 12.0),
    ("lead_line_diameter", "Ø16 mm", 0.016), ("lead_line_diameter", "ø 16mm", 0.016),
    ("lead_line_diameter", "16 mm Ø", 0.016), ("lead_line_diameter", "16 mm dia", 0.016),
    ("lead_line_diameter", "16mm dia.", 0.016), ("lead_line_diameter", "dia. 16 mm", 0.016),
    ("lead_line_diameter", "d = 16 mm", 0.016), ("lead_line_diameter", "5/8\" dia", 5 / 8 * IN),
    ("lead_line_diameter", "5/8 in (16 mm)", 5 / 8 * IN), ("lead_line_diameter", "3/4 Zoll", 0.75 * IN),
    ("lead_line_diameter", "3/4 pouce", 0.75 * IN), ("lead_line_diameter", "3/4 pulgada", 0.75 * IN),
    ("windage_area", "18 qm", 18.0),
]  # fmt: skip
# What stays refused: no figure is made of what may mean another, or of what says that it is not sure.
REFUSED = [
    ("loa", "about 38 ft"), ("loa", "ca. 11.6 m"), ("loa", "38-40 ft"), ("loa", "40-6"), ("loa", "11.6"),
    ("displacement", "8.4 tons"), ("displacement", "8.4 tons (heavy)"), ("displacement", "8400"),
    ("displacement", "9 - 8 t"), ("displacement", "8.4"), ("cone_mouth", "5"),
    ("end_weight", "27 lb 18 oz"), ("end_weight", "12-15 kg"), ("lead_line_diameter", "16"),
]  # fmt: skip
DISAGREE = [
    ("loa", "38 ft (10.58 m)"), ("displacement", "8,400 kg (8,400 lb)"),
    ("lead_line_diameter", "5/8 in (20 mm)"),
]  # fmt: skip


def context(column: str) -> Context:
    return Context(FIELD_BY_NAME[column], None, None)


def test_there_are_at_least_sixty() -> None:
    assert len(SPELLINGS) >= 60


@pytest.mark.parametrize(("column", "cell", "value"), SPELLINGS)
def test_a_spelling_is_read(column: str, cell: str, value: float) -> None:
    assert read_cell(cell, context(column)).value == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(("column", "cell"), REFUSED)
def test_what_is_not_plain_stays_refused(column: str, cell: str) -> None:
    with pytest.raises(QuantityError):
        read_cell(cell, context(column))


@pytest.mark.parametrize(("column", "cell"), DISAGREE)
def test_two_figures_that_disagree_are_told(column: str, cell: str) -> None:
    with pytest.raises(QuantityError, match="says two things"):
        read_cell(cell, context(column))


def test_a_sign_of_diameter_takes_the_unit_of_the_header() -> None:
    ctx = Context(FIELD_BY_NAME["lead_line_diameter"], HeaderUnit("mm"), None)
    assert read_cell("Ø16", ctx).value == pytest.approx(0.016)


def test_the_greater_end_of_a_range_counts_and_is_said() -> None:
    fleet = read_boats(boat(displacement="8,000-8,400 kg", transom_width="2.8 - 2.9 m")).fleet
    assert fleet.value("displacement_kg", 0) == 8400.0
    assert fleet.value("transom_width_m", 0) == pytest.approx(2.9)
    assert sum("the greater end is taken" in said for said in fleet.entry(0).remarks) == 2
