"""Units in a row under the header, headers broken over lines, and cells beyond the last header."""

from __future__ import annotations

import io

import pytest
from openpyxl import Workbook

from sizing.intake import read_fleet, write_rejects
from tests.sizing.intake.sheets import GOOD, TODAY, codes, read, rows_csv

HEADER = ["Entry no", "Yacht", "Type", "LOA", "Transom width", "Displacement", "Windage", "Made", "Berth"]
UNITS = ["", "", "", "ft", "[m]", "(t)", "m²", "-", "quay"]
BOAT = ["1", "Grey Plover", "sloop", "38", "2.9", "8.4", "18", "2020", "B12"]


def test_units_under_the_header_are_the_headers_units() -> None:
    """38 ft are 11.5824 m [SP 811]."""
    result = read(rows_csv([HEADER, UNITS, BOAT, ["2", *BOAT[1:]]]))
    assert result.rows_in == len(result.fleet) == 2
    assert result.fleet.value("loa_m", 0) == pytest.approx(11.5824)
    assert result.fleet.value("displacement_kg", 0) == pytest.approx(8400.0)
    assert result.fleet.value("windage_area_m2", 0) == pytest.approx(18.0)
    assert any("Row 2 (line 2) holds units" in note for note in result.file_notes)


def test_rejected_rows_keep_the_units_they_were_written_under() -> None:
    """Mended there and fed back, a figure must not have lost its unit."""
    result = read(rows_csv([HEADER, UNITS, BOAT, ["2", "", *BOAT[2:]]]))
    assert len(result.rejected) == 1
    text = io.StringIO(newline="")
    write_rejects(result, text)
    again = read(text.getvalue().encode())
    assert [error.code for error in again.rejected[0].errors] == ["blank"]


@pytest.mark.parametrize(
    "row",
    [
        ["", "", "", "m", "2.9 m", "kg", "", "", ""],  # a figure among the units
        ["7", "", "", "m", "m", "kg", "", "", ""],  # an entry number
        ["", "", "", "m", "", "", "", "", ""],  # one unit alone
        ["", "", "", "kg", "m", "kg", "", "", ""],  # a unit of something else
    ],
)
def test_a_row_that_may_be_a_boat_is_no_row_of_units(row: list[str]) -> None:
    result = read(rows_csv([HEADER, row, BOAT]))
    assert result.rows_in == len(result.fleet) + len(result.rejected) == 2


def test_a_header_with_its_own_unit_is_not_overruled() -> None:
    header = [title if title != "LOA" else "LOA (ft)" for title in HEADER]
    result = read(rows_csv([header, ["", "", "", "m", "m", "t", "", "", ""], BOAT]))
    assert result.rows_in == 2
    assert any(code == "blank" for _, code in codes(result))


def test_a_header_broken_over_lines_keeps_its_unit() -> None:
    header = ["Entry\nno", "Name", "Type", "LOA\n(ft)", "Transom\nwidth (m)", "Displ.\n(t)"]
    result = read(rows_csv([header, BOAT[:6]]))
    assert result.fleet.value("loa_m", 0) == pytest.approx(11.5824)


def test_a_cell_beyond_the_last_header_is_not_called_empty() -> None:
    sheet = Workbook()
    assert sheet.active is not None
    for row in (list(GOOD), list(GOOD.values()), [""] * 11 + ["see the letter"]):
        sheet.active.append(row)
    data = io.BytesIO()
    sheet.save(data)
    result = read_fleet(data.getvalue(), "fleet.xlsx", today=TODAY)
    assert (len(result.fleet), len(result.rejected)) == (1, 1)
    assert "L holds “see the letter”" in result.rejected[0].errors[0].found
