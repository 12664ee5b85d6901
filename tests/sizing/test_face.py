"""The face for programmers: the same boats, however they are given, as the command line has them."""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
from typing import Any

import numpy as np
import pandas as pd
import pint
import pytest

import sizing
import sizing.story  # a module that was once called as the function now is
from fleet_demo import fleet_csv, policy_toml, prices_csv
from sizing.audit import findings_of, sentence
from sizing.errors import InputError
from sizing.frame_cells import cell_text
from sizing.units import registry
from tests.calling import ROOT

DAY = dt.date(2026, 11, 25)
BOAT = {"boat_type": "sailing monohull", "loa": "38 ft", "transom_width": "2.9 m", "displacement": "8,400 kg"}


@pytest.fixture(scope="module")
def demo() -> sizing.Mustered:
    return sizing.muster(fleet_csv(), policy=policy_toml(), prices=prices_csv(), today=DAY, samples=0)


def test_importing_costs_nothing() -> None:
    heavy = "numpy pandas polars numba pint sizing.face sizing.fields"
    program = f"import sizing, sys; print(sorted(set('{heavy}'.split()) & sys.modules.keys()))"
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, cwd=ROOT
    )
    assert done.stdout == "[]\n"


def test_what_is_not_offered_is_no_attribute() -> None:
    assert callable(sizing.muster)
    with pytest.raises(AttributeError, match="mustering"):
        sizing.mustering  # noqa: B018


@pytest.mark.parametrize("given", ["text", "pint", "figures in columns with units"])
def test_one_boat_is_the_same_however_her_figures_are_given(given: str) -> None:
    units: pint.UnitRegistry[float] = pint.UnitRegistry()
    boats: dict[str, dict[str, Any]] = {
        "text": BOAT,
        "pint": BOAT
        | {"loa": 38 * units.foot, "transom_width": 290 * units.cm, "displacement": 8.4 * units.metric_ton},
        "figures in columns with units": {
            "boat_type": BOAT["boat_type"], "LOA (ft)": 38, "transom_width_m": 2.9,
            "Displacement [kg]": 8400.0,
        },
    }  # fmt: skip
    needs, again = sizing.size(boats[given]), sizing.size(BOAT)
    figures = [name for name, unit in again.attrs["units"].items() if unit]
    mine, others = (
        [np.nan if pd.isna(boat[n]) else float(boat[n]) for n in figures] for boat in (needs, again)
    )
    assert mine == pytest.approx(others, nan_ok=True)


def test_a_boat_that_cannot_be_sized_says_all_that_is_wrong() -> None:
    with pytest.raises(InputError, match=r"“12 tons”.*“about nine metres”|“about nine metres”.*“12 tons”"):
        sizing.size(BOAT | {"displacement": "12 tons", "loa": "about nine metres"})


@pytest.mark.parametrize("value", [object(), float("inf"), 3 * registry().second, {"m": 3}])
def test_a_cell_that_is_none_of_these_is_named(value: object) -> None:
    with pytest.raises(InputError, match="row 1, column “loa”"):
        sizing.size(BOAT | {"loa": value})


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, ""), (np.nan, ""), (pd.NA, ""), (pd.NaT, ""), (np.int64(7), "7"),
        (np.float64(1e-7), "0.0000001"), (np.bool_(False), "no"), (dt.date(2026, 4, 3), "2026-04-03"),
        (pd.Timestamp("2026-04-03 10:00"), "2026-04-03"), ([0.02, 0.016], "0.02; 0.016"),
    ],
)  # fmt: skip
def test_values_of_a_table_as_a_sheet_would_have_them(value: object, text: str) -> None:
    assert cell_text(value, "here") == text


def test_a_table_is_the_same_as_the_file_with_its_cells(demo: sizing.Mustered) -> None:
    written = demo.result.intake.fleet.as_written
    table = pd.DataFrame({name: written[name].to_list() for name in written.columns})
    units = {"loa": "loa (ft)", "displacement": "displacement (lb)"}
    units |= {name: f"{name} (mm)" for name in ("lead_line_diameter", "bridle_diameter")}
    again = sizing.muster(
        table.rename(columns=units), policy=policy_toml(), prices=prices_csv(), today=DAY, samples=0
    )
    pd.testing.assert_frame_equal(again.requirements, demo.requirements)
    pd.testing.assert_frame_equal(again.order, demo.order)
    same = [name for name in demo.findings if name != "note"]  # notes name rows of the file
    pd.testing.assert_frame_equal(again.findings[same], demo.findings[same])


def test_findings_are_those_of_the_pages(demo: sizing.Mustered) -> None:
    fleet = demo.result.intake.fleet
    shown = [finding for row in range(len(fleet)) for finding in findings_of(demo.result.checks, fleet, row)]
    table = demo.findings
    assert table["check"].tolist() == [finding.check.id for finding in shown]
    assert table["standing"].tolist() == [finding.standing.words for finding in shown]
    assert table["note"].tolist() == [finding.note for finding in shown]
    assert table["remedy"].tolist() == [finding.advice for finding in shown]
    told = [sentence(one, "her") if one.is_open or one.below_advised else "" for one in shown]
    assert table["sentence"].tolist() == told
    for name in ("required", "found", "margin_percent"):
        figures = np.array([getattr(finding, name) for finding in shown], dtype=np.float64)
        assert table[name].to_numpy() == pytest.approx(figures, nan_ok=True), name


def test_every_figure_has_its_unit_in_name_and_attrs_and_its_source(demo: sizing.Mustered) -> None:
    ends = {"kg": "_kg", "N": "_n", "m": "_m", "mm": "_mm", "h": "_hours", "%": "_percent", "days": "_days"}
    for table in (demo.requirements, demo.findings, demo.order):
        assert list(table.attrs["units"]) == list(table.attrs["sources"]) == list(table.columns)
        for name, unit in table.attrs["units"].items():
            assert name.endswith(ends.get(unit, "")), name
            if pd.api.types.is_numeric_dtype(table[name]):
                assert table.attrs["sources"][name], name
    assert demo.order.attrs["currency"] == "EUR"


def test_rows_in_are_rows_out(demo: sizing.Mustered) -> None:
    assert len(demo.requirements) + len(demo.rejected) == demo.result.intake.rows_in
    assert demo.rejected["problems"].str.contains("To mend it:").all()
