"""Delimited text is read just as the csv module reads it in strict mode, whatever path it takes."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from sizing.delimited import find_rows, read_delimited
from sizing.errors import InputError
from sizing.intake.header_match import name_of
from sizing.raw_table import RawTable
from tests.sizing.intake.sheets import boat, read, read_boats, sheet

HEADER = ["entry_no", "boat_name", "boat_type"]
CELL = st.text(st.sampled_from(list("ab1 ,;\t|\"'\n\ré½’=+-@#")), max_size=6)
PLAIN_CELL = st.text(st.sampled_from(list('ab1 ,;"\né')), max_size=6)


def rows_of(table: RawTable) -> list[list[str]]:
    return [list(table.ragged.get(row, table.frame.row(row))) for row in range(table.frame.height)]


def told_by_csv(text: str, delimiter: str) -> list[tuple[int, list[str]]]:
    """Return (line, cells) of the rows below the header that hold anything; csv.Error if it is broken."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows = []
    line = 1
    for cells in reader:
        if any(cell.strip() for cell in cells):
            rows.append((line, cells))
        line = reader.line_num + 1
    return rows[1:]


def assert_same(text: str, delimiter: str) -> None:
    try:
        expected = told_by_csv(text, delimiter)
    except csv.Error:
        with pytest.raises(InputError):
            read_delimited(text.encode(), "fleet.csv", name_of)
        return
    table = read_delimited(text.encode(), "fleet.csv", name_of)
    assert table.delimiter == delimiter
    trimmed = [
        cells[:3] if len(cells) > 3 and not any(cell.strip() for cell in cells[3:]) else cells
        for _, cells in expected
    ]
    kept = [row for row in rows_of(table) if any(cell.strip() for cell in row)]
    assert kept == trimmed
    held = [bool("".join(row).strip()) for row in rows_of(table)]
    assert [line for line, full in zip(table.line_no.tolist(), held, strict=True) if full] == [
        line for line, _ in expected
    ]


@given(
    st.lists(st.lists(CELL, min_size=3, max_size=3), max_size=6),
    st.sampled_from([",", ";", "\t", "|"]),
    st.sampled_from(["\n", "\r\n", "\r"]),
    st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]),
)
def test_written_rows_come_back(rows: list[list[str]], delimiter: str, line_end: str, quoting: int) -> None:
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=delimiter, lineterminator=line_end, quoting=quoting)  # type: ignore[arg-type]
    writer.writerows([HEADER, *rows])
    assert_same(text.getvalue(), delimiter)


@given(st.text(st.sampled_from(list('ab,"\n\r ')), max_size=40))
@example('"a""b",c,d\n')
@example('"",b,""\r\n"c",d,"e"\r\n')
@example('a,b,"x\r\ny"\r\nc,d,e\r\n')
@example('a,"b"c,d\n')
@example('a,"b,c\n')
@example('a,b c"d,e\n')
def test_any_text_below_the_header_is_read_as_csv_reads_it(body: str) -> None:
    assert_same(",".join(HEADER) + "\n" + body, ",")


@given(st.lists(st.lists(PLAIN_CELL.filter(str.strip), min_size=3, max_size=3), min_size=1, max_size=5))
def test_written_rows_with_one_kind_of_line_end_are_plain(rows: list[list[str]]) -> None:
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerows([HEADER, *rows])
    records = find_rows(text.getvalue().encode(), ",", 0, 3)
    assert records is not None
    assert len(records.starts) == len(rows) + 1


def test_an_unterminated_quote_is_an_error_with_its_line() -> None:
    data = sheet(boat(), boat(entry_no="018")) + b'019,"Heron,sailing monohull\r\n'
    with pytest.raises(InputError, match=r"row 4, beginning at line 4: a quote .* never closed"):
        read(data)


def test_a_bare_inch_mark_is_text() -> None:
    data = sheet(boat()).replace(b"11.6 m", b"38' 1\"")
    assert read(data).fleet.entry(0).loa_m == pytest.approx(457 * 0.0254)


def test_a_row_with_a_comma_too_many_is_rejected_whole() -> None:
    data = sheet(boat(), boat(entry_no="018")).replace(b'"8,400 kg"', b"8,400 kg", 1)
    result = read(data)
    assert [row.cells[-2:] for row in result.rejected] == [("8", "400 kg")]
    assert result.rejected[0].errors[0].code == "cells"
    assert result.rows_in == 2


def test_a_row_cut_short_is_rejected() -> None:
    data = sheet(boat()) + b"018,Heron,sailing"
    assert [row.errors[0].code for row in read(data).rejected] == ["cells"]


def test_empty_cells_too_many_do_no_harm() -> None:
    data = sheet(boat()).rstrip() + b",,,\r\n"
    assert len(read(data).fleet) == 1


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_delimiters(delimiter: str) -> None:
    assert len(read_boats(boat(displacement="8400 kg"), delimiter=delimiter).fleet) == 1


def test_two_signs_that_divide_equally_well_are_asked_about() -> None:
    with pytest.raises(InputError, match="equally well"):
        read(b"x,y;z\n1,2;3\n4,5;6\n")


def test_a_large_cell_is_refused() -> None:
    with pytest.raises(InputError, match="32,767"):
        read(sheet(boat(notes="x" * 40_000)))


def test_too_many_columns_are_refused() -> None:
    names = {f"extra {number}": "" for number in range(500)}
    with pytest.raises(InputError, match="columns"):
        read(sheet({**boat(), **names}))


def test_rows_and_lines_are_those_of_the_file() -> None:
    data = sheet(boat(notes="two\nlines"), boat(entry_no="018", notes="x"), boat(entry_no="", notes="x"))
    result = read(data)
    assert result.fleet.line_no.tolist() == [2, 4]
    assert [(row.row_no, row.line_no) for row in result.rejected] == [(4, 5)]
