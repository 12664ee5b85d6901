"""A displacement that may be in the wrong one of kg and lb: asked about where that is dangerous."""

from __future__ import annotations

import numpy as np
import pytest

from api.judging.sheet import FleetCells
from sizing.catalogue import load_catalogue
from sizing.drogue.size import size_fleet
from sizing.intake import FoundCell, read_boat
from sizing.intake.weight_line import typical_boats, usual_displacement_kg
from sizing.model import Notation
from sizing.policy import Policy
from tests.sizing.intake.leave_one_out import off_the_line, rates
from tests.sizing.intake.sheets import GOOD, TODAY, boat, read_boats

ALL = ("sailing monohull", "sailing multihull", "motor monohull", "motor multihull")
LIGHT = {"displacement": "8,400 lb"}  # she has 8,400 kg
CONFIRMED = {"displacement_confirmed": "2026-05-09", "displacement_confirmed_by": "The office"}


def asked(**cells: str) -> bool:
    fleet = read_boats(boat(**cells)).fleet
    return fleet.weight_asked is not None and bool(fleet.weight_asked[0])


def test_slips_are_found_more_often_than_sound_boats_are_asked() -> None:
    """95 % of dangerous slips, at 10 % false alarms by length, 3.5 % with beam, 3 % with waterline."""
    alone = rates(ALL, ("loa_m",))
    assert alone.light_found >= 0.95
    assert alone.light_false <= 0.10
    for *more, most in (("beam_m", 0.035), ("lwl_m", 0.03), ("lwl_m", "beam_m", 0.03)):
        further = rates(ALL, ("loa_m", *map(str, more)))
        assert further.light_found >= 0.95
        assert further.light_false <= float(most)


def test_the_line_goes_with_the_cube_of_the_length() -> None:
    """Geometric similarity: bodies alike displace as the cube of their length; each fit is near to it."""
    for word in ALL:
        short, long = (
            float(usual_displacement_kg(
                {"loa_m": np.array([length]), "lwl_m": np.array([np.nan]), "beam_m": np.array([np.nan])},
                np.array([ALL.index(word)], dtype=np.int8))[0])
            for length in (10.0, 15.0)
        )  # fmt: skip
        assert 2.3 < np.log(long / short) / np.log(1.5) < 3.6


def test_a_boat_of_the_books_lies_on_the_line() -> None:
    """The 40 ft example of a yacht-design textbook: 12.05 m, 10.02 m, 3.71 m and 8.1 t [memory]."""
    number = {"loa_m": np.array([12.05]), "lwl_m": np.array([10.02]), "beam_m": np.array([3.71])}
    usual = usual_displacement_kg(number, np.zeros(1, dtype=np.int8))
    assert usual[0] == pytest.approx(8100.0, rel=0.15)


def test_the_table_has_figures_and_their_origin_and_no_names() -> None:
    assert {one.boat_type for one in typical_boats()} == set(ALL)
    assert {one.origin for one in typical_boats()} == {"certificate", "listed", "memory"}
    assert len(off_the_line("sailing monohull", ("loa_m",))) > 100


def test_a_weight_2_2_times_too_light_is_asked_about_and_sizes_nothing() -> None:
    assert not asked()
    result = read_boats(boat(**LIGHT), boat(entry_no="018"))
    assert result.fleet.weight_asked is not None
    assert result.fleet.weight_asked.tolist() == [True, False]
    needs = size_fleet(result.fleet, Policy(), load_catalogue())
    assert set(needs.not_computed) == {0}
    assert "confirm" in needs.not_computed[0]
    assert np.isnan(needs.design_load_n[0])
    warning = result.fleet.entry(0).warnings[-1]
    assert "3,810 kg (8,400 lb) is light for a sailing monohull of 11.6 m" in warning


@pytest.mark.parametrize("known", [{"beam": ""}, {"lwl": ""}, {"beam": "", "lwl": ""}])
def test_it_is_asked_about_whatever_else_is_known_of_her(known: dict[str, str]) -> None:
    assert asked(**LIGHT, **known)
    assert not asked(**known)


def test_a_day_and_a_name_confirm_it_and_one_of_them_does_not() -> None:
    fleet = read_boats(boat(**LIGHT, **CONFIRMED)).fleet
    assert fleet.weight_asked is None
    assert not fleet.entry(0).warnings
    assert any("It was confirmed" in said for said in fleet.entry(0).remarks)
    assert "The office" not in str(fleet.entry(0))
    for missing in CONFIRMED:
        assert asked(**LIGHT, **{**CONFIRMED, missing: ""})
    assert asked(**LIGHT, **{**CONFIRMED, "displacement_confirmed": "last spring"})


def test_what_a_scrutineer_found_needs_no_confirmation() -> None:
    fleet, _ = read_boat({**GOOD, **LIGHT}, Notation(), {}, TODAY)
    assert fleet.weight_asked is not None
    assert fleet.weight_asked.all()
    fleet, _ = read_boat({**GOOD, **LIGHT}, Notation(), {"displacement": FoundCell("8,400 lb", ".")}, TODAY)
    assert fleet.weight_asked is None


@pytest.mark.parametrize(
    "cells",
    [
        {"displacement": "18,500 kg"},
        {"boat_type": "catamaran", "loa": "12 m", "lwl": "11.7 m", "beam": "6.8 m", "displacement": "9 t"},
        {"boat_type": "trimaran", "loa": "11 m", "lwl": "10.6 m", "beam": "8 m", "displacement": "4.2 t"},
        {"displacement": "19,300 kg", "lwl": "8.5 m", "loa": "9.8 m", "beam": "3.3 m"},
    ],
)
def test_no_sentence_names_a_lighter_figure_that_would_fit(cells: dict[str, str]) -> None:
    result = read_boats(boat(**cells, transom_width=""))
    told = [said for one in result.fleet.remarks for said in one.sentences]
    told += [error.sentence for row in result.rejected for error in row.errors]
    assert not [said for said in told if "which fits" in said]


def test_no_line_is_drawn_beyond_the_boats_of_the_table() -> None:
    assert not asked(loa="46 m", lwl="42 m", beam="9 m", transom_width="", displacement="200 t")


def test_she_stays_confirmed_where_her_cells_are_read_again_without_the_name() -> None:
    """The name is the officer's and is not kept with her cells; a day that had none is not kept either."""
    whole = FleetCells(read_boats(boat(**LIGHT, **CONFIRMED)).fleet)[0]
    again, _ = read_boat(whole.cells, Notation(), {}, TODAY)
    assert "displacement_confirmed_by" not in whole.cells
    assert again.weight_asked is not None
    assert not again.weight_asked.any()
    unnamed = FleetCells(read_boats(boat(**LIGHT, displacement_confirmed="2026-05-09")).fleet)[0]
    again, _ = read_boat(unnamed.cells, Notation(), {}, TODAY)
    assert again.weight_asked is not None
    assert again.weight_asked.all()
