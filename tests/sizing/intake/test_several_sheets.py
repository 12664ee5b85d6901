"""One list on several sheets of a workbook: nothing of it is lost in silence."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from typing import Any

import openpyxl

from sizing.intake import read_fleet
from sizing.model import IntakeResult
from tests.sizing.intake.sheets import GOOD, TODAY

HEAD = ["Entry No", "Yacht", "Boat type", "LOA (m)", "Transom (m)", "Displacement (kg)"]


def rows(kind: str, numbers: Sequence[int]) -> list[list[Any]]:
    return [[f"{number:03}", f"Boat {number}", kind, 11.6, 2.9, 8400] for number in numbers]


def read(sheets: Mapping[str, list[list[Any]]], hidden: str = "") -> IntakeResult:
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for title, cells in sheets.items():
        sheet = book.create_sheet(title)
        for row in cells:
            sheet.append(row)
        if title == hidden:
            sheet.sheet_state = "hidden"
    stream = io.BytesIO()
    book.save(stream)
    return read_fleet(stream.getvalue(), "fleet.xlsx", today=TODAY)


def test_sheets_of_one_shape_are_read_together_and_rows_keep_numbers_of_their_own() -> None:
    other = [HEAD[1], HEAD[0], *HEAD[2:], "Crew"]
    multi = [[row[1], row[0], *row[2:], 4] for row in rows("catamaran", range(4, 7))]
    multi[1][3] = "wide"
    result = read({"Monohulls": [HEAD, *rows("sloop", range(1, 4))], "Multihulls": [["2026"], other, *multi]})
    assert result.fleet.text["entry_no"].to_list() == ["001", "002", "003", "004", "006"]
    assert result.fleet.choice["boat_type"].tolist() == [0, 0, 0, 1, 1]
    assert result.fleet.as_written["Crew"].to_list() == ["", "", "", "4", "4"]
    assert (result.rows_in, result.fleet.row_no.tolist(), result.rejected[0].row_no) == (
        6,
        [2, 3, 4, 7, 9],
        8,
    )
    (note,) = [note for note in result.file_notes if "read together" in note]
    assert note.startswith("Sheets “Monohulls” and “Multihulls” have the same columns")
    assert "“Multihulls” from 5, which is its row 1" in note


def test_a_sheet_of_another_shape_and_one_that_is_hidden_are_told_of() -> None:
    shorter = [HEAD[:5], *(row[:5] for row in rows("catamaran", [4]))]
    result = read(
        {"A": [HEAD, *rows("sloop", [1])], "B": shorter, "C": [HEAD, *rows("sloop", [9])]}, hidden="C"
    )
    notes = " ".join(result.file_notes)
    assert result.rows_in == 1
    assert "Sheet “B” looks like an entry list too and is not read." in notes
    assert "Sheet “C”, which is hidden, looks like an entry list too and is not read." in notes


def test_last_week_s_list_beside_this_week_s_is_not_read_twice() -> None:
    result = read({"June": [HEAD, *rows("sloop", [1, 2, 3])], "May": [HEAD, *rows("sloop", [1, 2])]})
    assert (result.rows_in, len(result.rejected)) == (3, 0)
    assert any("“May” looks like an entry list too" in note for note in result.file_notes)


def test_a_boat_on_both_sheets_is_rejected_and_named() -> None:
    result = read({"A": [HEAD, *rows("sloop", [1, 2, 3])], "B": [HEAD, *rows("cat", [3, 4, 5])]})
    assert result.rows_in == 6
    assert [row.errors[0].code for row in result.rejected] == ["duplicate_entry"] * 2


def test_one_sheet_is_read_as_ever() -> None:
    result = read({"Fleet": [list(GOOD), list(GOOD.values())]})
    assert "Sheet “Fleet” is read." in result.file_notes
