"""The files of an order: what stands in them, and that text stays text."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from itertools import takewhile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook
from openpyxl.utils import get_column_letter

from sizing.errors import OutputError
from sizing.model import IntakeResult, MusterResult, Order
from sizing.order.files import order_files, write_order
from sizing.order.kits import kits_for
from sizing.order.purchase import build_order
from sizing.order.sheets import Column, Sheet
from sizing.order.write_xlsx import xlsx_bytes
from sizing.policy import Policy
from sizing.spreadsheet import as_text, could_be_formula, plain_text
from tests.sizing.order.fleet_builder import Boat, Case, case
from tests.sizing.order.price_books import PLAIN, book

HOSTILE = (
    '=HYPERLINK("https://boat.example","x")', "+1+1", "-2+3", "@SUM(A1)", "\t=1+1", "\r=1+1",
    "Grey\x00\x07 Plover\u2028", "<script>alert(1)</script>", '"quoted", with comma', "Ærø Måge",
)  # fmt: skip
FLEET = [
    Boat(entry_no=f"{at:03}", boat_name=name, cones=(40 + at, 33 + at), leg_cut_m=6.0 + at / 7)
    for at, name in enumerate(HOSTILE)
] + [Boat(entry_no="=9", boat_name="-3.5")]


HOSTILE_RALLY = Policy.model_validate({
    "rally": {"name": "=the rally", "departure": date(2027, 6, 1), "contact": "+00 111"},
    "purchase": {"buyer": "=the club", "delivery": "-The loft; " * 18},
})  # fmt: skip


def built() -> tuple[Order, Mapping[str, bytes]]:
    c = case(FLEET)
    prices = book(PLAIN.replace("Quay Iron", "=Quay Iron"))
    order = build_order(c.fleet, c.requirements, c.plans, c.policy, c.catalogue, prices,
                        departure=date(2027, 6, 1), time_limit_s=20.0)  # fmt: skip
    kits = kits_for(order, c.fleet, c.requirements, c.plans, c.policy)
    return order, order_files(order, c.fleet, kits, prices, c.catalogue, HOSTILE_RALLY)


@pytest.fixture(scope="module")
def made() -> tuple[Order, Mapping[str, bytes]]:
    return built()


def table(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8"), newline="")))


def sheet(files: Mapping[str, bytes], name: str) -> list[dict[str, Any]]:
    rows = list(load_workbook(io.BytesIO(files["order.xlsx"]))[name].iter_rows(values_only=True))
    head = next(at for at, row in enumerate(rows) if row[0] in ("Item", "Entry"))
    return [dict(zip(rows[head], row, strict=True)) for row in rows[head + 1 :]]  # type: ignore[arg-type]


def test_two_runs_give_the_same_bytes(made: tuple[Order, Mapping[str, bytes]]) -> None:
    assert built()[1] == made[1]


def test_the_files_there_are(made: tuple[Order, Mapping[str, bytes]]) -> None:
    assert list(made[1]) == [
        "order.csv",
        "cuts.csv",
        "kits.csv",
        "allocation.csv",
        "consent.csv",
        "stock.csv",
        "order.json",
        "order.xlsx",
    ]


def test_the_csv_equals_the_order(made: tuple[Order, Mapping[str, bytes]]) -> None:
    order, files = made
    rows = table(files["order.csv"])
    assert len(rows) == len(order.lines)
    for row, line in zip(rows, order.lines, strict=True):
        assert (row["item"], Decimal(row["needed"]), Decimal(row["spare"])) == (
            line.item,
            line.needed,
            line.spare,
        )
        assert (int(row["packs"]), Decimal(row["amount"])) == (line.packs, line.amount)
        assert int(row["boats"]) == len(line.boats)
        if line.unit == "m":
            assert Decimal(row["ordered_ft"]) == pytest.approx(
                Decimal(row["ordered"]) / Decimal("0.3048"), abs=Decimal("0.01")
            )
        else:
            assert row["ordered_ft"] == ""


def test_the_spreadsheet_equals_the_order(made: tuple[Order, Mapping[str, bytes]]) -> None:
    order, files = made
    *rows, total = sheet(files, "Order")
    assert len(rows) == len(order.lines)
    for row, line in zip(rows, order.lines, strict=True):
        assert (row["Item"], row["Packs"]) == (line.item, line.packs)
        assert Decimal(str(row["Needed"])) == line.needed
        assert Decimal(str(row["Amount"])) == line.amount
    assert (total["Item"], Decimal(str(total["Amount"]))) == ("Total", order.total)


def test_kits_and_allocation_in_the_spreadsheet_equal_the_order(
    made: tuple[Order, Mapping[str, bytes]],
) -> None:
    order, files = made
    kits = sheet(files, "Kits")
    assert len(kits) == len(order.pieces)
    assert sum(row["Quantity"] for row in kits) == sum(piece.quantity for piece in order.pieces)
    paid: dict[str, Decimal] = {}
    for row in sheet(files, "Allocation"):
        paid[row["Entry"]] = paid.get(row["Entry"], Decimal(0)) + Decimal(str(row["Share of amount"]))
    entries = [boat.entry_no for boat in FLEET]
    assert paid == {entries[row]: total for row, total in order.boat_totals.items()}


def test_cuts_name_every_piece_and_what_is_left(made: tuple[Order, Mapping[str, bytes]]) -> None:
    order, files = made
    rows = [row for row in table(files["cuts.csv"]) if row["pieces"]]
    assert sum(int(row["pieces"]) for row in rows) == sum(len(spool.pieces) for spool in order.spools)
    last = {(row["item"], row["spool_no"]): Decimal(row["left_m"]) for row in rows}
    for spool in order.spools:
        assert last[spool.item, str(spool.spool_no)] == Decimal(str(round(spool.offcut_m, 3)))


def test_text_is_never_a_formula(made: tuple[Order, Mapping[str, bytes]]) -> None:
    _, files = made
    book_read = load_workbook(io.BytesIO(files["order.xlsx"]))
    names = set()
    for ws in book_read.worksheets:
        for row in ws.iter_rows():
            for cell in row:
                assert cell.data_type != "f"
                names.add(cell.value)
    assert '=HYPERLINK("https://boat.example","x")' in names
    assert "-3.5" in names
    assert "=9" in names
    for name in ("order.csv", "cuts.csv", "kits.csv", "allocation.csv", "consent.csv", "stock.csv"):
        for cells in table(files[name]):
            for key, value in cells.items():
                if key in ("entry_no", "boat_name", "supplier", "purpose", "note"):
                    assert not could_be_formula(value)
    assert "'-3.5" in {row["boat_name"] for row in table(files["kits.csv"])}
    assert "'=9" in {row["entry_no"] for row in table(files["kits.csv"])}


def test_numbers_stay_numbers() -> None:
    columns = (Column("a", "A", "quantity", 8), Column("b", "B", "text", 8))
    one = Sheet("One", columns, ((Decimal("-3.5"), "-3.5"),))
    assert one.csv() == b"a,b\r\n-3.5,'-3.5\r\n"
    row = load_workbook(io.BytesIO(xlsx_bytes([one], "t")))["One"][2]
    assert [(cell.value, cell.data_type) for cell in row] == [(-3.5, "n"), ("-3.5", "s")]


def test_no_contact_reaches_any_file(made: tuple[Order, Mapping[str, bytes]]) -> None:
    for name, data in made[1].items():
        parts = [data]
        if name.endswith(".xlsx"):
            with zipfile.ZipFile(io.BytesIO(data)) as archive:
                parts = [archive.read(entry) for entry in archive.namelist()]
        for part in parts:
            assert b"secret@boat.example" not in part
            assert b"+00 000 0000" not in part
            assert b"A. Skipper" not in part


def test_the_archive_has_no_time_of_writing(made: tuple[Order, Mapping[str, bytes]]) -> None:
    with zipfile.ZipFile(io.BytesIO(made[1]["order.xlsx"])) as archive:
        assert {info.date_time for info in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        core = archive.read("docProps/core.xml")
    assert core.count(b"2000-01-01T00:00:00Z") == 2


def test_sheets_are_laid_out_for_print(made: tuple[Order, Mapping[str, bytes]]) -> None:
    found = load_workbook(io.BytesIO(made[1]["order.xlsx"]))
    assert found.sheetnames == ["Order", "Cuts", "Kits", "Allocation", "Consent", "Prices"]
    for ws in found.worksheets:
        head = 1 + next(at for at, row in enumerate(ws.values) if row[0] in ("Item", "Entry"))
        assert ws.freeze_panes == f"A{head + 1}"
        assert ws.page_setup.orientation == "landscape"
        assert ws.page_setup.paperSize == 9  # A4
        assert (ws.page_setup.fitToWidth, ws.page_setup.fitToHeight) == (1, 0)
        assert ws.sheet_properties.pageSetUpPr is not None
        assert ws.sheet_properties.pageSetUpPr.fitToPage
        assert ws.print_title_rows == f"${head}:${head}"
        assert ws.print_area.endswith(f"${ws.max_row}")
        widths = [ws.column_dimensions[get_column_letter(at)].width for at in range(1, ws.max_column + 1)]
        assert all(width >= 6 for width in widths)
        assert len(set(widths)) > 1
        # A character of a column's width is 7 pixels of 1/96 inch [ECMA-376-1 18.3.1.13], print is 11 points
        # and A4 11.69 inches wide: what is one page wide then stays above 10 points.
        inches = 11.69 - ws.page_margins.left - ws.page_margins.right
        assert 11 * min(1.0, inches / (sum(widths) * 7 / 96)) > 10
    assert found["Order"]["K11"].number_format == "#,##0.00"


def test_the_order_says_who_buys_and_where_it_goes(made: tuple[Order, Mapping[str, bytes]]) -> None:
    above = above_the_order(made[1])
    assert (above["Order of"], above["Buyer"], above["Currency"]) == ("=the rally", "=the club", "EUR")
    assert above["Deliver to"].startswith("-The loft;"), "text stays text"
    assert above["Needed by"] == "2027-05-27, 5 days before departure on 2027-06-01"
    assert (
        above["VAT"]
        == "missing: the policy has no vat_percent in [purchase]; prices are asked for without it"
    )


def test_what_the_policy_leaves_out_stands_on_the_order_as_missing() -> None:
    c = case([Boat()])
    order = build_order(c.fleet, c.requirements, c.plans, c.policy, c.catalogue, None, time_limit_s=5.0)
    above = above_the_order(order_files(order, c.fleet, (), None, c.catalogue, c.policy))
    assert above["Buyer"] == "missing: the policy has no buyer in [purchase]"
    assert [label for label, text in above.items() if "missing" in text] == [
        "Buyer", "Deliver to", "Questions to", "Needed by", "VAT",
    ]  # fmt: skip


def above_the_order(files: Mapping[str, bytes]) -> dict[str, str]:
    rows = load_workbook(io.BytesIO(files["order.xlsx"]))["Order"].iter_rows(values_only=True)
    return {str(label): str(text) for label, text, *_ in takewhile(lambda row: row[0] != "Item", rows)}


def test_a_row_is_as_high_as_its_longest_text(made: tuple[Order, Mapping[str, bytes]]) -> None:
    note = "Ordered on 2026-11-25 it comes on 2026-12-23, after the entry list is closed. " * 3
    line = replace(made[0].lines[0], note=note)
    order = replace(made[0], lines=(line, *made[0].lines[1:]))
    c = case(FLEET)
    ws = load_workbook(
        io.BytesIO(order_files(order, c.fleet, (), None, c.catalogue, c.policy)["order.xlsx"])
    )["Order"]
    width = ws.column_dimensions[get_column_letter(ws.max_column)].width
    first = next(row for row in range(1, ws.max_row) if ws.cell(row, 1).value == "Item") + 1
    assert ws.row_dimensions[first].height >= 12 * len(note.strip()) / width  # 12 points a line at the least
    assert any(ws.row_dimensions[row].height is None for row in range(first + 1, ws.max_row + 1))


def test_problems_have_a_sheet_of_their_own() -> None:
    c = case([Boat(stowed_volume_m3=9.0)])
    order = build_order(c.fleet, c.requirements, c.plans, c.policy, c.catalogue, None, departure=None,
                        time_limit_s=5.0)  # fmt: skip
    files = order_files(order, c.fleet, (), None, c.catalogue, c.policy)
    rows = sheet(files, "Problems")
    assert rows[0]["Entry"] == "1"
    assert "No bag" in rows[0]["What could not be ordered, and why"]
    assert "no cost" in sheet(files, "Order")[-1]["Note"]


def test_the_json_holds_the_order(made: tuple[Order, Mapping[str, bytes]]) -> None:
    order, files = made
    read = json.loads(files["order.json"])
    assert Decimal(read["total"]) == order.total
    assert sum(Decimal(total) for total in read["boat_totals"].values()) == order.total
    assert [Decimal(line["needed"]) for line in read["lines"]] == [line.needed for line in order.lines]
    for line in read["lines"]:
        assert sum(Decimal(share) for share in line["boats"].values()) == Decimal(line["needed"])
    assert len(read["pieces"]) == len(order.pieces)


@given(st.text() | st.sampled_from(HOSTILE))
def test_any_text_is_safe_in_a_cell(text: str) -> None:
    safe = as_text(plain_text(text))
    assert not safe.lstrip(" \xa0").startswith(("=", "+", "-", "@", "\t", "\r"))
    assert safe.removeprefix("'") in (plain_text(text), plain_text(text).removeprefix("'"))
    one = Sheet("One", (Column("a", "A", "text", 8),), ((text,),))
    cell = load_workbook(io.BytesIO(xlsx_bytes([one], "t")))["One"].cell(2, 1)
    assert cell.data_type != "f"
    assert (cell.value or "") == plain_text(text)


def test_a_long_table_goes_on_in_a_further_sheet(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sizing.order.write_xlsx.ROWS_A_SHEET", 3)
    one = Sheet("One", (Column("a", "A", "count", 8),), tuple((n,) for n in range(7)))
    found = load_workbook(io.BytesIO(xlsx_bytes([one], "t")))
    assert found.sheetnames == ["One", "One 2", "One 3"]
    assert [row[0] for ws in found.worksheets for row in ws.iter_rows(min_row=2, values_only=True)] == list(
        range(7)
    )


def muster_result(c: Case, order: Order) -> MusterResult:
    intake = IntakeResult((), len(c.fleet), c.fleet, (), (), "")
    return MusterResult("1", date(2027, 1, 1), "", "", "", intake, c.requirements, (), c.plans, order)


def test_the_files_are_written_where_they_are_wanted(tmp_path: Path) -> None:
    c = case([Boat()])
    order = build_order(c.fleet, c.requirements, c.plans, c.policy, c.catalogue, None, time_limit_s=5.0)
    write_order(muster_result(c, order), c.policy, c.catalogue, None, tmp_path)
    kits = kits_for(order, c.fleet, c.requirements, c.plans, c.policy)
    files = order_files(order, c.fleet, kits, None, c.catalogue, c.policy)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir() if path.is_file()} == files
    assert "ask-any-supplier.xlsx" in {path.name for path in (tmp_path / "quotes").iterdir()}


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    c = case([Boat(groups=())])
    order = build_order(c.fleet, c.requirements, c.plans, c.policy, c.catalogue, None, time_limit_s=5.0)
    with pytest.raises(OutputError, match=r"order\.csv"):
        write_order(muster_result(c, order), c.policy, c.catalogue, None, tmp_path / "nowhere")
