"""Workbooks: what the sheet showed arrives as text; damage is an error."""

from __future__ import annotations

import datetime as dt
import io
import re
import struct
import time
import tracemalloc
import zipfile
from collections.abc import Callable
from typing import Any

import openpyxl
import pytest

from sizing.errors import InputError
from sizing.intake import Limits, read_fleet
from sizing.model import IntakeResult
from tests.sizing.intake.sheets import GOOD, TODAY, boat, codes, read_boats


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
    names = ("last_inspected_day", "made_year", "stowed_ready", "cone_count")
    assert [result.fleet.value(name, 0) for name in names] == [
        dt.date(2026, 4, 18).toordinal(), 2021, 1, 100
    ]  # fmt: skip


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
    assert result.fleet.row_no.tolist() == [4, 6]


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
    stream = io.BytesIO(data)
    with zipfile.ZipFile(stream, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/padding.xml", b"0" * 2_000_000)
    with pytest.raises(InputError, match="unpacks to 2 MB"):
        read_fleet(stream.getvalue(), "fleet.xlsx", today=TODAY, limits=Limits(max_unpacked=1_600_000))


def test_many_sheets_of_one_part_are_counted_as_often_as_they_are_read() -> None:
    """Twenty sheets of the directory, all the same part of the archive: each would be unpacked anew."""
    data = workbook([list(GOOD), list(GOOD.values())])
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as before, zipfile.ZipFile(stream, "w") as after:
        for part in before.namelist():
            content = before.read(part)
            if part == "xl/workbook.xml":
                sheet = re.search(rb"<sheet [^>]*?/>", content)
                assert sheet is not None
                more = [
                    sheet[0].replace(b'name="', b'name="%d' % n).replace(b'sheetId="', b'sheetId="%d' % n)
                    for n in range(1, 20)
                ]
                content = content.replace(sheet[0], sheet[0] + b"".join(more))
            after.writestr(part, content)
        most = sum(entry.file_size for entry in after.infolist())
        again = 19 * after.getinfo("xl/worksheets/sheet1.xml").file_size
    assert again > most
    read_fleet(stream.getvalue(), "fleet.xlsx", today=TODAY, limits=Limits(max_unpacked=most + again))
    with pytest.raises(InputError, match="unpacks to"):
        read_fleet(stream.getvalue(), "fleet.xlsx", today=TODAY, limits=Limits(max_unpacked=most))


def test_a_part_that_unpacks_to_more_than_it_says_is_read_no_further() -> None:
    """The directory tells of a small sheet; packed there are 200 MB, of which nothing more is unpacked."""
    data = workbook([list(GOOD), list(GOOD.values())])
    stream = io.BytesIO()
    cells = "xl/worksheets/sheet1.xml"
    with zipfile.ZipFile(io.BytesIO(data)) as before:
        parts = {part: before.read(part) for part in before.namelist()}
    small = len(parts[cells])
    parts[cells] += b" " * 200_000_000
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as after:
        for part, content in parts.items():
            after.writestr(part, content)
    packed = bytearray(stream.getvalue())
    place = packed.rfind(cells.encode()) - 46  # the directory's record of it [APPNOTE.TXT, 4.3.12]
    assert packed[place : place + 4] == b"PK\x01\x02"
    struct.pack_into("<I", packed, place + 24, small)
    tracemalloc.start()
    try:
        with pytest.raises(InputError, match="damaged"):
            read_fleet(bytes(packed), "fleet.xlsx", today=TODAY, limits=Limits(max_unpacked=1_600_000))
        assert tracemalloc.get_traced_memory()[1] < 20_000_000
    finally:
        tracemalloc.stop()


def test_an_empty_workbook_is_refused() -> None:
    with pytest.raises(InputError, match="every sheet is empty"):
        read(workbook([]))


def book_of(sheets: dict[str, list[list[Any]]], hidden: str = "") -> openpyxl.Workbook:
    book = openpyxl.Workbook()
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
        sheet.sheet_state = "hidden" if title == hidden else "visible"
    book.remove(book.worksheets[0])
    return book


def saved(book: openpyxl.Workbook) -> bytes:
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


ENTRIES = [list(GOOD), list(GOOD.values())]
OLD = [list(GOOD), list(boat(entry_no="old").values())]


def test_the_sheet_with_the_entries_is_read_wherever_it_stands() -> None:
    result = read(
        saved(book_of({"Read me": [["Hello"], ["The entries are on sheet 2"]], "Entries": ENTRIES}))
    )
    assert len(result.fleet) == 1
    assert "Other sheets left out: “Read me”." in result.file_notes


def test_a_hidden_sheet_is_not_read_in_place_of_a_visible_one() -> None:
    result = read(saved(book_of({"Old": OLD, "Now": ENTRIES}, hidden="Old")))
    assert result.fleet.text["entry_no"].to_list() == ["017"]
    assert any(note.startswith("Sheet “Old”, which is hidden, looks like") for note in result.file_notes)


def test_a_second_list_that_is_not_read_is_said_plainly() -> None:
    result = read(saved(book_of({"Monohulls": ENTRIES, "Multihulls": [row[:-1] for row in OLD]})))
    assert any("“Multihulls” looks like an entry list too" in note for note in result.file_notes)


@pytest.mark.parametrize(
    "column", ["end_weight", "cone_count", "condition", "notes", "bolts", "displacement"]
)
def test_a_formula_without_a_result_is_no_blank_cell(column: str) -> None:
    """A workbook that no spreadsheet program has worked out yet, such as one written by a script."""
    cells = {**GOOD, column: '=12&" kg"'}
    result = read(saved(book_of({"Entries": [list(cells), list(cells.values())]})))
    named = "attachment_bolts" if column == "bolts" else column
    assert set(codes(result)) == {(named, "no_result")}
    assert len(result.fleet) == (column != "displacement")


def test_a_formula_with_an_empty_text_as_result_is_blank() -> None:
    cells = {**GOOD, "notes": "=IF(1=1,IF(1=1,A2))"}
    source = zipfile.ZipFile(io.BytesIO(saved(book_of({"Entries": [list(cells), list(cells.values())]}))))
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as target:
        for name in source.namelist():
            part = source.read(name)
            if name == "xl/worksheets/sheet1.xml":  # as spreadsheet programs store an empty text
                assert part.count(b'<c r="I2"><f>') == 1
                part = part.replace(b'<c r="I2"><f>', b'<c r="I2" t="str"><f>')
            target.writestr(name, part)
    result = read(stream.getvalue())
    assert len(result.fleet) == 1
    assert result.fleet.text["notes"].to_list() == [""]


def test_hidden_rows_and_merged_cells_are_said() -> None:
    boats = [
        boat(entry_no=f"{number:03}", boat_name=f"Boat {number}", condition="good") for number in range(4)
    ]
    book = book_of({"Entries": [["Entries 2027"], list(boats[0]), *(list(one.values()) for one in boats)]})
    sheet = book.worksheets[0]
    sheet.merge_cells("A1:H1")
    sheet.merge_cells("I3:I5")
    sheet.row_dimensions[4].hidden = True
    result = read(saved(book))
    assert len(result.fleet) == 4
    assert "1 row is hidden in the sheet and read like all others: 4." in result.file_notes
    assert any("merged over several rows (I3:I5)" in note for note in result.file_notes)


def test_hidden_columns_that_have_a_header_are_said() -> None:
    """An old figure may stand in a column nobody sees; those hidden beyond the table hold none."""
    book = book_of({"Entries": ENTRIES})
    place = list(GOOD).index("displacement") + 1
    letter = openpyxl.utils.get_column_letter(place)
    sheet = book.worksheets[0]
    sheet.column_dimensions[letter].hidden = True
    sheet.column_dimensions["Z"].hidden = True
    notes = read(saved(book)).file_notes
    assert f"1 column is hidden in the sheet and read like all others: {letter} “displacement”." in notes


def test_a_date_with_a_time_of_day_is_that_day_and_says_so() -> None:
    cells = {**GOOD, "last_inspected": "2026-04-18 09:30:00"}
    result = read(workbook([list(cells), [*GOOD.values(), dt.datetime(2026, 4, 18, 9, 30)]]))
    day = dt.date(2026, 4, 18).toordinal()
    assert result.fleet.number["last_inspected_day"].tolist() == [day]
    assert any("2026-04-18 09:30:00" in text for text in result.fleet.remarks_of(0, "interpretation"))


def with_part(data: bytes, name: str, change: Callable[[bytes], bytes]) -> bytes:
    """A workbook with one part changed, or added where there is none."""
    stream = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as before,
        zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as to,
    ):
        for part in dict.fromkeys((*before.namelist(), name)):
            content = before.read(part) if part in before.namelist() else b""
            to.writestr(part, change(content) if part == name else content)
    return stream.getvalue()


CELLS = "xl/worksheets/sheet1.xml"
PARSED = ("[Content_Types].xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml",
          "docProps/core.xml", CELLS)  # fmt: skip
HIDDEN = (b"<!-- a comment -->", b"<!DOCTYPE x>", b'<!DOCTYPE x [<!ENTITY e "lol">]>')


@pytest.mark.parametrize("hidden", HIDDEN)
@pytest.mark.parametrize("part", PARSED)
def test_comments_and_declarations_in_parts_that_are_parsed_are_refused(part: str, hidden: bytes) -> None:
    """No spreadsheet program writes them; expat takes time that grows with the square of their length."""
    data = workbook(ENTRIES)
    start = b"\n<" if b"?>" in zipfile.ZipFile(io.BytesIO(data)).read(part)[:100] else b"<"
    changed = with_part(data, part, lambda was: was.replace(start, hidden + start, 1))
    assert changed != data
    with pytest.raises(InputError, match=r"holds an XML comment or declaration.*save it again as \.xlsx"):
        read(changed)


@pytest.mark.parametrize("before", [0, 1, 2**14 - 2, 2**16 - 3, 2**20 - 3, 2**20 - 2, 2**20 - 1, 2**20])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16-le", "utf-16-be"])
def test_a_comment_is_found_wherever_it_stands(encoding: str, before: int) -> None:
    """In either encoding that a part may have [ECMA-376-2, 9.1.2], over the edges of what is read at once."""

    def change(part: bytes) -> bytes:
        text = part.decode().replace("<sheetData>", "\n<!-- seen --><sheetData>")
        at = text.index("<!--")
        width = len("a".encode(encoding))
        mark = "" if encoding == "utf-8" else "\ufeff"
        padding = " " * max(0, before // width - at - len(mark))
        return (mark + text[:at] + padding + text[at:]).encode(encoding)

    with pytest.raises(InputError, match="XML comment"):
        read(with_part(workbook(ENTRIES), CELLS, change))


@pytest.mark.parametrize("megabytes", [5, 50])
def test_a_long_comment_costs_no_time(megabytes: int) -> None:
    """Seen: a workbook of 9 KB with a comment of 5 MB took 35 s, one of 10 MB more than a minute."""
    hidden = b"<!--" + b" " * (megabytes * 1_000_000) + b"--><sheetData>"
    data = with_part(workbook(ENTRIES), CELLS, lambda part: part.replace(b"<sheetData>", hidden))
    started = time.process_time()
    with pytest.raises(InputError, match="XML comment"):
        read(data)
    assert time.process_time() - started < 1.0


@pytest.mark.parametrize(
    "part",
    ["customXml/item1.xml", "xl/drawings/vmlDrawing1.vml", "xl/media/image1.svg", "xl/charts/chart1.xml"],
)
def test_parts_that_are_not_parsed_may_hold_anything(part: str) -> None:
    data = with_part(workbook(ENTRIES), part, lambda _: b"<!DOCTYPE x><!-- made by hand --><x/>")
    assert len(read(data).fleet) == 1


def test_text_that_looks_like_markup_is_text() -> None:
    """As programs write it, escaped; and in a CDATA section, which is text too [XML 1.0, 2.7]."""
    cells = {**GOOD, "notes": "<!-- <!DOCTYPE"}
    result = read(workbook([list(cells), list(cells.values())]))
    assert result.fleet.text["notes"].to_list() == ["<!-- <!DOCTYPE"]
    data = workbook(ENTRIES)
    name = GOOD["boat_name"].encode()
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        part = next(part for part in archive.namelist() if name in archive.read(part))
    found = read(with_part(data, part, lambda was: was.replace(name, b"<![CDATA[" + name + b"]]>")))
    assert found.fleet.text["boat_name"].to_list() == [GOOD["boat_name"]]


def test_cell_comments_are_no_xml_comments() -> None:
    """The notes of a sheet, with the drawing in which their boxes stand; the blank entry sheet has such."""
    book = book_of({"Entries": ENTRIES})
    book.worksheets[0]["A1"].comment = openpyxl.comments.Comment("<!-- the rally's own number -->", "Office")
    data = saved(book)
    assert any("comment" in part for part in zipfile.ZipFile(io.BytesIO(data)).namelist())
    assert len(read(data).fleet) == 1


@pytest.mark.parametrize("kind", [b'<x a="%s"/>', b"<?x %s?>"])
def test_a_workbook_that_takes_too_long_is_given_up(kind: bytes) -> None:
    """Other long pieces of XML cost the same: the time of the processor is bounded, by size."""
    long = kind % (b" " * 3_000_000) + b"<sheetData>"
    data = with_part(workbook(ENTRIES), CELLS, lambda part: part.replace(b"<sheetData>", long))
    limits = Limits(workbook_seconds=0.05, workbook_seconds_a_mb=0.0)
    with pytest.raises(InputError, match="takes too long to read"):
        read_fleet(data, "fleet.xlsx", today=TODAY, limits=limits)
