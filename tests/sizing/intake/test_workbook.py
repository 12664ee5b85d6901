"""Workbooks: what the sheet showed arrives as text; damage is an error."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from typing import Any

import openpyxl
import pytest

from sizing.errors import InputError
from sizing.intake import Limits, read_fleet
from sizing.model import IntakeResult
from tests.sizing.intake.sheets import GOOD, TODAY, boat, read_boats


def workbook(rows: list[list[Any]], formats: dict[str, str] | None = None, *, before: int = 0) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for number in range(before):
        book.create_sheet(f"Empty {number}", 0)
    for row in rows:
        sheet.append(row)
    for cell, number_format in (formats or {}).items():
        sheet[cell].number_format = number_format
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def read(data: bytes) -> IntakeResult:
    return read_fleet(data, "fleet.xlsx", today=TODAY)


def test_a_workbook_gives_the_same_boat_as_csv() -> None:
    result = read(workbook([list(GOOD), list(GOOD.values())], before=1))
    assert result.fleet.entry(0) == read_boats(boat()).fleet.entry(0)
    assert "Sheet “Sheet” is read." in result.file_notes
    assert "Other sheets left out: “Empty 0”." in result.file_notes


def test_numbers_dates_and_formats_arrive_as_shown() -> None:
    header = ["entry_no", "boat_name", "boat_type", "LOA (m)", "transom_width", "displacement (kg)",
              "last_inspected", "made_year", "stowed_ready", "cone_count"]  # fmt: skip
    cells = [17, "Plover", "yacht", 11.6, 2.9, 8400, dt.datetime(2026, 4, 18), 2021, True, 100]
    result = read(workbook([header, cells], {"A2": "000", "E2": '0.00" m"', "F2": "#,##0"}))
    entry = result.fleet.entry(0)
    assert (entry.entry_no, entry.loa_m, entry.transom_width_m, entry.displacement_kg) == (
        "017",
        11.6,
        2.9,
        8400.0,
    )
    assert entry.gear.last_inspected == "2026-04-18"
    assert (entry.gear.made_year, entry.gear.stowed_ready, entry.gear.cone_count) == (2021, True, 100)


def test_short_rows_of_a_workbook_are_no_broken_rows() -> None:
    header = [*GOOD, "notes", "condition"]
    assert len(read(workbook([header, list(GOOD.values())])).fleet) == 1


def test_an_error_value_is_refused_as_such() -> None:
    cells = {**GOOD, "displacement": "#REF!"}
    result = read(workbook([list(cells), list(cells.values())]))
    assert [error.code for row in result.rejected for error in row.errors] == ["cell_error"]


def test_title_rows_and_blank_rows() -> None:
    rows = [["Entries"], [], list(GOOD), list(GOOD.values()), [], list(boat(entry_no="018").values())]
    result = read(workbook(rows))
    assert result.fleet.record_no.tolist() == [4, 6]


@pytest.mark.parametrize("keep", [0.1, 0.5, 0.9])
def test_a_workbook_cut_short_is_refused(keep: float) -> None:
    data = workbook([list(GOOD), list(GOOD.values())])
    with pytest.raises(InputError):
        read(data[: int(len(data) * keep)])


@pytest.mark.parametrize("part", ["xl/workbook.xml", "xl/worksheets/sheet1.xml", "[Content_Types].xml"])
def test_a_workbook_with_a_broken_part_is_refused(part: str) -> None:
    source = zipfile.ZipFile(io.BytesIO(workbook([list(GOOD), list(GOOD.values())])))
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as target:
        for name in source.namelist():
            target.writestr(name, b"<broken" if name == part else source.read(name))
    with pytest.raises(InputError):
        read(stream.getvalue())


def test_an_archive_that_is_no_workbook_is_refused() -> None:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("content.xml", "x")
    with pytest.raises(InputError, match=r"not an \.xlsx"):
        read(stream.getvalue())


def test_a_workbook_that_unpacks_to_too_much_is_refused() -> None:
    data = workbook([list(GOOD), list(GOOD.values())])
    with zipfile.ZipFile(io.BytesIO(data), "a") as archive:
        pass
    stream = io.BytesIO(data)
    with zipfile.ZipFile(stream, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/padding.xml", b"0" * 2_000_000)
    with pytest.raises(InputError, match="unpacks to"):
        read_fleet(stream.getvalue(), "fleet.xlsx", today=TODAY, limits=Limits(max_bytes=200_000))


def test_an_empty_workbook_is_refused() -> None:
    with pytest.raises(InputError, match="every sheet is empty"):
        read(workbook([]))
