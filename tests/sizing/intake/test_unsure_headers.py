"""Headers that are as often about something else: no evidence comes of them, and no row is rejected."""

from __future__ import annotations

import csv
import io

import pytest

from sizing.audit import audit_fleet, findings_of
from sizing.audit.cases import DAY, READY
from sizing.errors import InputError
from sizing.intake import read_fleet, write_rejects
from sizing.model import Standing
from tests.sizing.audit.boats import context_of
from tests.sizing.intake.sheets import GOOD, boat, read, read_boats, rows_csv
from tests.sizing.intake.test_header_corpus import GEAR

CLUB = {"Entry No": "017", "Yacht": "Grey Plover", "Boat type": "sloop", "LOA": "11.6 m", "Transom": "2.9 m",
        "Displacement": "8,400 kg"}  # fmt: skip


@pytest.mark.parametrize(
    "header", ["Year", "Year made", "Made", "Manufactured", "Baujahr", "Jahr", "Année", "Año", "Anno", "År"]
)
def test_the_year_of_the_boat_never_becomes_that_of_the_drogue(header: str) -> None:
    # Wherever it stands that is not in the midst of the gear, and with any year in it.
    for sheet in (
        {header: "2024", **CLUB, **GEAR},
        {"Entry No": "017", header: "2024", **CLUB, **GEAR},
        {**CLUB, header: "2024", **GEAR},
        {**CLUB, **GEAR, header: "2024"},
    ):
        result = read_boats(sheet)
        assert len(result.fleet) == 1
        assert str(result.fleet.number["made_year"].tolist()) == "[nan]", list(sheet)
        assert result.fleet.as_written.get_column(
            "boat_year" if "boat_year" in result.fleet.as_written.columns else header
        ).to_list() == ["2024"]


def test_the_year_between_two_columns_of_the_boat_is_hers_and_between_two_of_the_drogue_its_own() -> None:
    cells = {**{k: CLUB[k] for k in list(CLUB)[:3]}, "Year": "1998", **{k: CLUB[k] for k in list(CLUB)[3:]}}
    result = read_boats(cells)
    assert result.fleet.number["boat_year"].tolist() == [1998.0]
    assert any("D “Year” as boat_year" in note for note in result.file_notes)
    gear = {"Drogue type": "series drogue", "Year": "2021", "Number of cones": "120"}
    result = read_boats({**CLUB, **gear})
    assert result.fleet.number["made_year"].tolist() == [2021.0]


@pytest.mark.parametrize(
    ("header", "cells"),
    [
        ("Material", ("GRP", "steel", "alu")),
        ("State", ("NY", "ME", "MA")),
        ("Condition", ("A1", "ok-ish", "-")),
        ("Category", ("Cruising", "Racing", "Cruising")),
        ("Inspection", ("March", "no", "")),
        ("Gear", ("liferaft", "", "EPIRB")),
        ("Access", ("ladder", "", "")),
        ("Pitch", ("13 in prop", "", "")),
    ],
)
def test_a_word_about_something_else_rejects_no_row_and_is_said(header: str, cells: tuple[str, ...]) -> None:
    for place in (2, len(CLUB), len(CLUB) + 2):
        rows = []
        for at, cell in enumerate(cells):
            row = [*CLUB.items(), *GEAR.items()]
            row.insert(place, (header, cell))
            rows.append({**dict(row), "Entry No": str(at)})
        result = read_boats(*rows)
        assert (len(result.fleet), result.rejected) == (3, ())
        assert any(f"“{header}” is not used" in note for note in result.file_notes)
        assert result.fleet.as_written[header].to_list() == list(cells)


def test_a_type_is_taken_where_its_cells_are_types_and_else_asked_about() -> None:
    cells = {**CLUB, "Boat type": ""}
    del cells["Boat type"]
    result = read_boats({**cells, "Type": "catamaran"}, {**cells, "Entry No": "2", "Type": "Segelyacht"})
    assert result.fleet.choice["boat_type"].tolist() == [1, 0]
    with pytest.raises(InputError, match="F “Type” is left out, since “type” can mean several things"):
        read_boats({**cells, "Type": "Tern 38"}, {**cells, "Entry No": "2", "Type": "Gannet 31"})


def test_a_name_beside_the_name_of_the_boat_is_a_persons() -> None:
    result = read_boats({"Name": "A. Person", **CLUB})
    assert result.fleet.text["boat_name"].to_list() == ["Grey Plover"]
    assert result.fleet.text["skipper"].to_list() == ["A. Person"]
    alone = {("Name" if name == "Yacht" else name): cell for name, cell in CLUB.items()}
    assert read_boats(alone).fleet.text["boat_name"].to_list() == ["Grey Plover"]


def test_a_running_number_is_not_the_entry_number() -> None:
    result = read_boats({"No": "1", **CLUB})
    assert result.fleet.text["entry_no"].to_list() == ["017"]


def test_our_own_entry_sheet_needs_no_neighbours() -> None:
    result = read_boats(boat(condition="good", evidence="photo"))
    assert result.fleet.choice["condition"].tolist() == [1]


def test_the_year_of_the_boat_meets_no_check_of_age() -> None:
    """Through the whole audit: her drogue is told of without a year, and so its age is not shown."""
    cells = {
        name: cell for name, cell in READY.items() if name not in ("made_year", "cones_year", "bridle_year")
    }
    renamed = {
        "entry_no": "Entry No",
        "boat_name": "Yacht",
        **{name: name.replace("_", " ") for name in cells},
    }
    row = {renamed[name]: cell for name, cell in cells.items() if cell}
    row["Year"] = str(DAY.year - 1)
    fleet = read_fleet(rows_csv([list(row), list(row.values())]), "a.csv", today=DAY).fleet
    context = context_of(fleet)
    (age,) = [one for one in findings_of(audit_fleet(context), fleet, 0) if one.check.id == "condition.age"]
    assert age.standing is Standing.UNPROVEN


def test_length_in_feet_and_in_metres_are_both_used() -> None:
    cells = {name: cell for name, cell in GOOD.items() if name != "loa"}
    both = {**cells, "LOA (ft)": "38", "LOA (m)": "11.58"}
    rows = [both, {**both, "entry_no": "2", "LOA (ft)": ""}, {**both, "entry_no": "3", "LOA (m)": "11.2"},
            {**both, "entry_no": "4", "LOA (m)": "38"}]  # fmt: skip
    result = read_boats(*rows)
    assert result.fleet.number["loa_m"].tolist() == pytest.approx([38 * 0.3048, 11.58, 38 * 0.3048])
    assert result.fleet.as_written["loa"].to_list() == ["38", "11.58 m", "38"]
    (warned,) = [one for one in result.fleet.remarks if one.code == "two_figures"]
    assert warned.rows.tolist() == [2]
    assert "11.2 m" in str(warned.sentence_of(2))
    assert [(row.row_no, row.errors[0].code) for row in result.rejected if row.errors] == [(5, "two_figures")]


def test_laden_displacement_is_the_figure_and_the_other_its_check() -> None:
    cells = {name: cell for name, cell in GOOD.items() if name != "displacement"}
    row = {**cells, "Displacement": "7,000 kg", "Laden displacement": "8,400 kg"}
    light = {**row, "entry_no": "2", "Laden displacement": ""}
    less = {**row, "entry_no": "3", "Laden displacement": "3,900 kg"}
    result = read_boats(row, light, less)
    assert result.fleet.number["displacement_kg"].tolist() == [8400.0, 7000.0]
    assert result.fleet.choice_words("displacement_basis", 0) == "loaded"
    assert result.fleet.choice_words("displacement_basis", 1) is None
    assert [(one.column, one.code) for one in result.rejected[0].errors] == [
        ("Laden displacement", "two_figures")
    ]


def test_a_header_that_says_light_is_the_basis_of_every_boat() -> None:
    cells = {name: cell for name, cell in GOOD.items() if name != "displacement"}
    result = read_boats({**cells, "Leergewicht (kg)": "7000"})
    assert result.fleet.choice_words("displacement_basis", 0) == "light"


def test_design_and_class_are_not_refused() -> None:
    result = read_boats(boat(design="Tern 38", Class="Cruising 2", Make="Tern"))
    assert result.fleet.text["design"].to_list() == ["Tern 38"]
    assert any(
        "“Class” is not used: column I “design” is taken for design" in note for note in result.file_notes
    )


@pytest.mark.parametrize(
    ("words", "type_"),
    [
        ("Segelyacht", 0), ("velero", 0), ("zeiljacht", 0), ("alu yacht", 0), ("Segelbåt", 0), ("voilier", 0),
        ("GRP sloop", 0), ("catamarán", 1), ("Mehrrumpfboot", 1), ("catamarano a vela", 1), ("flerskrov", 1),
        ("motorbåt", 2), ("vedette", 2), ("Motorkatamaran", 3), ("catamarán a motor", 3), ("steel ketch", 0),
    ],
)  # fmt: skip
def test_types_are_read_in_the_languages_of_clubs(words: str, type_: int) -> None:
    result = read_boats(boat(boat_type=words, beam="", transom_width="2 m", displacement="6000 kg"))
    assert result.fleet.choice["boat_type"].tolist() == [type_]


def test_rejects_of_a_sheet_with_two_figures_read_as_the_sheet_did() -> None:
    cells = {name: cell for name, cell in GOOD.items() if name not in ("loa", "displacement")}
    row = {
        **cells,
        "LOA (ft)": "",
        "LOA (m)": "11.58",
        "Light displacement (kg)": "7000",
        "boat_type": "?",
    }
    result = read(rows_csv([list(row), list(row.values())]))
    stream = io.StringIO()
    write_rejects(result, stream)
    (mended,) = csv.DictReader(io.StringIO(stream.getvalue()))
    mended["boat_type"] = "sloop"
    again = read(rows_csv([list(mended), list(mended.values())]))
    assert again.fleet.number["loa_m"].tolist() == [11.58]
    assert again.fleet.choice_words("displacement_basis", 0) == "light"
