"""What is wrong, by kind, and the sheet that goes back to the club."""

from __future__ import annotations

import io

import openpyxl

from sizing.intake import grouped, sheet_to_send_back
from tests.sizing.intake.sheets import boat, read_boats


def test_one_heading_for_a_fault_of_many_and_what_boats_are_sized_by_first() -> None:
    boats = [
        boat(entry_no=str(at), boat_name=f"Boat {at}", displacement="8400", design="=1+1")
        for at in range(1, 31)
    ]
    boats.append(boat(entry_no="31", boat_name="Thirty-one", loa="?"))
    groups = grouped(read_boats(*boats, boat(entry_no="32")))
    assert [(one.column, len(one.boats)) for one in groups] == [("displacement", 30), ("loa", 1)]
    assert groups[0].boats[0][0] == "1 Boat 1 (row 2)"
    assert groups[1].boats[0][0] == "31 Thirty-one (row 32)"
    assert "To mend: write the unit after the figure" in groups[0].heading


def test_the_sheet_to_send_back_has_wrong_cells_coloured_and_no_formula_in_it() -> None:
    result = read_boats(boat(boat_name="=Plover", displacement="8400"), boat(entry_no="2"))
    sheet = openpyxl.load_workbook(io.BytesIO(sheet_to_send_back(result))).worksheets[0]
    titles = [cell.value for cell in sheet[1]]
    row = dict(zip(titles, sheet[2], strict=True))
    assert (sheet.max_row, row["displacement"].value, row["boat_name"].value) == (2, "8400", "=Plover")
    assert row["boat_name"].data_type == "s"
    assert row["displacement"].fill.fgColor.rgb != row["loa"].fill.fgColor.rgb
    assert "has no unit" in str(row["displacement"].comment)
    assert "has no unit" in str(row["what to do"].value)
    assert row["loa"].comment is None
