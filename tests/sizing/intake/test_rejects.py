"""Rejected rows, written so that they can be mended and read again."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from sizing.errors import OutputError
from sizing.intake import write_rejects
from sizing.intake.rejects import PROBLEM_COLUMNS
from sizing.model import IntakeResult
from tests.sizing.intake.sheets import boat, codes, read, read_boats, rows_csv, sheet

HOSTILE = ["=1+1", "+cmd|' /C calc'!A0", "@SUM(A1)", "-1+1", "\tx", "'=x", "'quoted", "＝1+1",
           "<script>alert(1)</script>", "{{ 7*7 }}", "../../etc/passwd", "a\nb", '"', "x,y;z"]  # fmt: skip


def written(result: IntakeResult) -> str:
    text = io.StringIO(newline="")
    write_rejects(result, text)
    return text.getvalue()


def rows_of(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline=""), strict=True))


def test_every_rejected_row_is_there_whole_with_its_problems() -> None:
    result = read_boats(
        boat(), boat(entry_no="018", loa="bad", displacement="8400"), boat(entry_no="", Colour="red")
    )
    header, *rows = rows_of(written(result))
    assert header == [*PROBLEM_COLUMNS, *result.header]
    assert len(rows) == len(result.rejected) == 2
    problems = len(PROBLEM_COLUMNS)
    assert [tuple(row[problems:]) for row in rows] == [row.cells for row in result.rejected]
    first = dict(zip(PROBLEM_COLUMNS, rows[0], strict=False))
    assert (first["problem_row"], first["problem_line"]) == ("3", "3")
    assert first["problem_column"] == "D loa | H displacement"
    assert first["problem_found"].count(" | ") == 1


def test_rows_read_back_have_the_same_cells_and_problems() -> None:
    result = read_boats(boat(loa="bad"), boat(entry_no="018", displacement="8400", notes="=1+1"))
    again = read(written(result).encode())
    assert again.header == result.header
    assert [row.cells for row in again.rejected] == [row.cells for row in result.rejected]
    assert codes(again) == codes(result)
    assert written(again).split("\n")[0] == written(result).split("\n")[0]


def test_a_mended_file_is_accepted_without_complaint_about_its_problem_columns() -> None:
    result = read_boats(boat(displacement="8400", notes="=1+1"))
    mended = read(written(result).replace(",8400,", ',"8,400 kg",').encode())
    assert (len(mended.fleet), mended.rejected) == (1, ())
    assert mended.fleet.text["notes"].to_list() == ["=1+1"]
    assert not [note for note in mended.file_notes if "problem_" in note]
    assert mended.fleet.extra_columns == ()


def test_the_decimal_sign_of_the_whole_file_goes_with_the_rejects() -> None:
    good = boat(loa="11,6 m", lwl="10,1 m", beam="3,7 m", transom_width="2,9 m", displacement="8.400 kg")
    bad = {**good, "entry_no": "018", "loa": "12 m", "lwl": "10 m", "beam": "4 m", "transom_width": "3 m",
           "attachment_rating": "1,200 kN", "boat_type": "odd"}  # fmt: skip
    result = read_boats({**good, "attachment_rating": ""}, bad)
    assert codes(result) == [("boat_type", "unknown_word")]
    again = read(written(result).replace(",odd", ",sloop").encode())
    assert again.fleet.value("attachment_rating_n", 0) == 1200.0
    assert again.fleet.entry(0).displacement_kg == 8400.0


@pytest.mark.parametrize("cells", [12, 5])
def test_rows_with_too_many_or_too_few_cells_stay_so(cells: int) -> None:
    row = (list(boat(entry_no="018").values()) + ["x"] * 4)[:cells]
    result = read(sheet(boat()) + rows_csv([row]))
    again = read(written(result).encode())
    assert [one.cells for one in again.rejected] == [tuple(row)]
    assert codes(again) == [("", "cells")]


@pytest.mark.parametrize("cell", HOSTILE)
def test_hostile_cells_are_kept_exactly_and_are_no_formulas(cell: str) -> None:
    fleet = read_boats(boat(boat_name=cell, notes=cell)).fleet
    assert fleet.as_written["notes"].to_list() == [cell]
    assert fleet.entry(0).boat_name == cell.strip()
    rejected = read_boats(boat(loa="bad", notes=cell))
    shown = rows_of(written(rejected))[1][-1]
    assert shown[0] not in "=+-@\t\r＝"
    assert [row.cells[-1] for row in read(written(rejected).encode()).rejected] == [cell]


def test_a_file_that_cannot_be_written_is_an_error(tmp_path: Path) -> None:
    result = read_boats(boat(loa="bad"))
    write_rejects(result, tmp_path / "rejects.csv")
    assert (tmp_path / "rejects.csv").read_bytes().startswith(b"\xef\xbb\xbf")
    with pytest.raises(OutputError):
        write_rejects(result, tmp_path / "none" / "rejects.csv")
