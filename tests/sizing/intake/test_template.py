"""The blank entry sheet is made from the table of columns and can be read once it is filled in."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from sizing.errors import InputError, OutputError
from sizing.fields import CHOICES, FIELDS
from sizing.intake import blank_template, read_fleet, write_template
from sizing.intake.template import guidance_table
from tests.sizing.intake.sheets import GOOD, TODAY, read


@pytest.fixture(scope="module")
def workbook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    (path,) = write_template(tmp_path_factory.mktemp("template") / "entries.xlsx")
    return path


@pytest.fixture(scope="module")
def fleet_sheet(workbook: Path) -> Worksheet:
    sheet = openpyxl.load_workbook(workbook)["Fleet"]
    assert isinstance(sheet, Worksheet)
    return sheet


def test_the_header_has_every_column_in_order() -> None:
    assert next(csv.reader([blank_template().decode()])) == [field.name for field in FIELDS]


def test_every_column_has_guidance() -> None:
    rows = list(csv.DictReader(io.StringIO(guidance_table().decode(), newline="")))
    assert [row["column"] for row in rows] == [field.name for field in FIELDS]
    assert all(row["what to write"] and row["example"] for row in rows)
    assert {row["column"]: row["words"] for row in rows}["boat_type"] == ", ".join(CHOICES["boat_type"])


def test_the_examples_make_a_boat_that_is_accepted() -> None:
    # Examples are independent of each other, so only their reading is asked for, not their agreement.
    text = io.StringIO(newline="")
    csv.writer(text).writerows([[f.name for f in FIELDS], [f.example for f in FIELDS]])
    result = read(text.getvalue().encode())
    assert result.rejected == ()
    assert not [one for one in result.fleet.remarks if one.kind == "warning"]


def test_a_csv_template_comes_with_guidance_beside_it(tmp_path: Path) -> None:
    sheet, guidance = write_template(tmp_path / "entries.csv")
    assert sheet.read_bytes() == b"\xef\xbb\xbf" + blank_template()
    assert guidance.name == "entries-guidance.csv"
    with pytest.raises(InputError, match="not one boat"):
        read(sheet.read_bytes())


def test_the_workbook_is_read_once_filled_in_and_its_guidance_is_no_boat(
    workbook: Path, tmp_path: Path
) -> None:
    with pytest.raises(InputError, match="not one boat"):
        read_fleet(workbook, workbook.name, today=TODAY)
    book, path = openpyxl.load_workbook(workbook), tmp_path / "filled.xlsx"
    sheet = book["Fleet"]
    names = [cell.value for cell in sheet[1]]
    for name, text in GOOD.items():
        sheet.cell(row=3, column=names.index(name) + 1, value=text)
    book.save(path)
    result = read_fleet(path, path.name, today=TODAY)
    assert (result.rows_in, len(result.fleet)) == (1, 1)
    assert result.fleet.entry(0).entry_no == "017"
    assert any("Row 2 (line 2) is the guidance" in note for note in result.file_notes)


def test_the_workbook_offers_the_words_of_every_choice(fleet_sheet: Worksheet) -> None:
    offered = {str(one.formula1) for one in fleet_sheet.data_validations.dataValidation}
    for field in FIELDS:
        if field.kind == "choice":
            assert f'"{",".join(CHOICES[field.name])}"' in offered


def test_a_template_that_cannot_be_written_is_an_error(tmp_path: Path) -> None:
    for name in ("x.csv", "x.xlsx"):
        with pytest.raises(OutputError):
            write_template(tmp_path / "none" / name)


def test_the_guidance_is_not_cut_off_and_required_columns_stand_out(fleet_sheet: Worksheet) -> None:
    sheet = fleet_sheet
    longest = max(len(str(cell.value)) for cell in sheet[2])
    height = sheet.row_dimensions[2].height
    assert height is not None
    assert height >= 12 * longest / sheet.column_dimensions["A"].width  # 12 points a line at the least
    fills = {str(cell.value): cell.fill.fgColor.rgb for cell in sheet[1]}
    required = {fills[field.name] for field in FIELDS if field.required}
    assert len(required) == 1
    assert required.isdisjoint(fills[field.name] for field in FIELDS if not field.required)
