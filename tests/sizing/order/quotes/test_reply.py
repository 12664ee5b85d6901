"""Replies read back: what was filled in, and everything that cannot be used by file and cell."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Callable, Mapping
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from sizing.errors import CatalogueError
from sizing.order.quotes.asked import Round
from sizing.order.quotes.grid import MOST_BYTES
from sizing.order.quotes.reply import read_replies, read_reply
from sizing.order.quotes.request import request_files
from sizing.policy import Policy
from tests.office import converted, needs_office
from tests.sizing.order.price_books import PLAIN
from tests.sizing.order.quotes.rounds import PRICES, asked_for, filled_in, sheet_rows

IRON = "ask-quay-iron.xlsx"
PER_UNIT = {"SHB-1.5t": 11.0, "THM-16": 3.2, "CHN-12": 7.5, "WIRE-SEIZE": 0.41}


def nothing(_: Any) -> None:
    pass


@pytest.fixture(scope="module")
def asked() -> Round:
    return asked_for()


@pytest.fixture(scope="module")
def files(asked: Round) -> Mapping[str, bytes]:
    return request_files(asked)


def as_csv(data: bytes) -> bytes:
    """A workbook as a spreadsheet program saves it as CSV, sums worked out."""
    ws: Any = load_workbook(io.BytesIO(data)).worksheets[0]
    for row in sheet_rows(ws):
        price = ws.cell(row["row"], 7).value
        ws.cell(row["row"], 8).value = "" if price is None else round(float(row["packs"]) * price, 2)
        if not row["packs"]:
            ws.cell(row["row"], 6).value = "price only"
    out = io.StringIO()
    for values in ws.iter_rows(values_only=True):
        shown = [v.strftime("%Y-%m-%d") if hasattr(v, "strftime") else v for v in values]
        csv.writer(out).writerow(["" if str(v).startswith("=IF") else v for v in shown])
    return out.getvalue().encode()


def test_what_was_filled_in_is_read_back(asked: Round, files: Mapping[str, bytes]) -> None:
    def more(ws: Any) -> None:
        ws["H3"], ws["H4"], ws["H5"], ws["H7"] = (
            date(2027, 3, 1),
            250,
            "12.50",
            "=no formula".replace("=", ""),
        )
        row = next(row["row"] for row in sheet_rows(ws) if row["item"] == "CHN-12")
        ws.cell(row, 9, date(2027, 4, 2))
        ws.cell(row, 10, "14 mm chain")
        ws.cell(row, 11, 101.5)

    reply = read_reply(filled_in(files[IRON], more, PER_UNIT), "iron.xlsx", asked)
    assert (reply.supplier, reply.currency) == ("Quay Iron", "EUR")
    assert (reply.held_until, reply.least_order, reply.carriage) == (
        date(2027, 3, 1),
        Decimal(250),
        Decimal("12.50"),
    )
    assert (reply.remarks, reply.notes) == ("no formula", ())
    quoted = {(one.pack.item, one.pack.pack_size): one for one in reply.quotes}
    assert quoted["THM-16", Decimal(10)].price == Decimal("32.00")
    assert quoted["THM-16", Decimal(1)].delivered == date(2027, 5, 20)
    chain = quoted["CHN-12", Decimal(30)]
    assert (chain.delivered, chain.instead, chain.strength_kn) == (
        date(2027, 4, 2),
        "14 mm chain",
        Decimal("101.5"),
    )
    assert {item for item, _ in quoted} == set(PER_UNIT)


def test_a_csv_of_the_same_columns_says_the_same(asked: Round, files: Mapping[str, bytes]) -> None:
    data = filled_in(files[IRON], nothing, PER_UNIT)
    book, table = read_reply(data, "a.xlsx", asked), read_reply(as_csv(data), "a.csv", asked)
    assert table.quotes == book.quotes
    assert (table.supplier, table.currency) == (book.supplier, book.currency)


@needs_office
@pytest.mark.thorough
def test_what_libreoffice_saves_is_read_alike(
    asked: Round, files: Mapping[str, bytes], tmp_path: Path
) -> None:
    data = filled_in(files[IRON], nothing, PER_UNIT)
    reply = read_reply(data, "iron.xlsx", asked)
    for kind in ("xlsx", "csv"):
        (folder := tmp_path / kind).mkdir()
        saved = read_reply(converted(data, kind, folder), "iron.xlsx", asked)
        assert saved.quotes == reply.quotes, kind


def set_cell(place: str, value: Any) -> Callable[[Any], None]:
    def change(ws: Any) -> None:
        ws[place] = value

    return change


def set_line(column: int, value: Any, item: str = "SHB-1.5t") -> Callable[[Any], None]:
    def change(ws: Any) -> None:
        ws.cell(next(row["row"] for row in sheet_rows(ws) if row["item"] == item), column).value = value

    return change


@pytest.mark.parametrize(
    ("change", "at", "said"),
    [
        (set_line(8, 99.0), "H", "the sum was overwritten: 99 stands there. Expected: the formula =IF("),
        (set_line(8, "=1+1"), "H", "the sum was overwritten: =1+1 stands there"),
        (set_line(8, None), "H", "the sum was overwritten: the cell is empty"),
        (set_cell("B7", "USD"), "B7", "the currency is “USD”. Expected: EUR"),
        (set_line(7, "USD 11.00"), "G", "the price is in USD. Expected: prices in EUR"),
        (set_cell("B2", "Someone Else"), "B2", "“Someone Else” was not asked. Expected: “Quay Ropes” or"),
        (set_cell("B2", None), "B2", "the supplier is not named"),
        (set_line(1, "NDB-99"), "A", "NDB-99 in packs of 1 was not asked for"),
        (set_line(4, 25), "A", "SHB-1.5t in packs of 25 was not asked for"),
        (set_line(6, 3000), "F", "3000 packs. Expected: "),
        (set_line(7, -11.0), "G", "-11.00 is negative"),
        (set_line(7, 0), "G", "the price is 0"),
        (set_line(7, 11000), "G", "11000.00 for a pack of 1 piece. Expected: about 11.11 as in the price"),
        (set_line(7, 0.11), "G", "0.11 for a pack of 1 piece"),
        (set_line(7, 11.123), "G", "11.123 has parts of a cent"),
        (set_line(7, "eleven"), "G", "“eleven” is not a price"),
        (set_line(7, "=10+1"), "G", "the formula =10+1. Expected: what is meant, as plain text or a figure"),
        (set_line(10, '=HYPERLINK("https://x.example")'), "J", "the formula =HYPERLINK("),
        (set_line(9, "03/04/2027"), "I", "“03/04/2027” is no day that can be read in one way only"),
        (set_line(11, "strong"), "K", "“strong”. Expected: a figure from 0 to 5000"),
        (set_cell("H2", "=TODAY()"), "H2", "the formula =TODAY()"),
        (set_cell("H5", -3), "H5", "-3.00 is negative"),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_named_by_file_and_cell(
    change: Callable[[Any], None], at: str, said: str, asked: Round, files: Mapping[str, bytes]
) -> None:
    data = filled_in(files[IRON], change, PER_UNIT)
    if len(at) == 1:
        ws = load_workbook(io.BytesIO(files[IRON])).worksheets[0]
        at += str(next(row["row"] for row in sheet_rows(ws) if row["item"] == "SHB-1.5t"))
    with pytest.raises(CatalogueError) as met:
        read_replies([("iron.xlsx", data)], asked)
    assert str(met.value).startswith(f"iron.xlsx, cell {at}: {said}")
    assert met.value.mend


def test_overwritten_totals_are_named(asked: Round, files: Mapping[str, bytes]) -> None:
    def change(ws: Any) -> None:
        row = sheet_rows(ws)[-1]["row"] + 2
        ws.cell(row, 8, 1.0)

    with pytest.raises(CatalogueError, match=r"iron\.xlsx, cell H\d+: the sum was overwritten: 1 .*=SUM\("):
        read_reply(filled_in(files[IRON], change, PER_UNIT), "iron.xlsx", asked)


def test_of_a_csv_a_sum_that_is_not_packs_times_price_is_named(
    asked: Round, files: Mapping[str, bytes]
) -> None:
    data = as_csv(filled_in(files[IRON], nothing, PER_UNIT)).replace(b",7.5,", b",7.4,")
    ws = load_workbook(io.BytesIO(files[IRON])).worksheets[0]
    shackle = next(row for row in sheet_rows(ws) if row["item"] == "SHB-1.5t")
    right = f"{11 * shackle['packs']:.1f}".encode()
    assert right in data
    with pytest.raises(
        CatalogueError, match=r"iron\.csv, cell H\d+: the sum is 1\.0\. Expected: .* packs times price"
    ):
        read_reply(
            data.replace(b",11," + right, b",11,1.0").replace(b",11.0," + right, b",11.0,1.0"),
            "iron.csv",
            asked,
        )


def test_all_that_is_wrong_is_told_at_once_and_nothing_is_taken(
    asked: Round, files: Mapping[str, bytes]
) -> None:
    def change(ws: Any) -> None:
        set_line(7, -1.0)(ws)
        set_line(9, "soon", "THM-16")(ws)

    good = filled_in(files["ask-far-ropes.xlsx"], nothing, {"NDB-16": 2.0})
    bad = filled_in(files[IRON], change, PER_UNIT)
    with pytest.raises(CatalogueError) as met:
        read_replies([("far.xlsx", good), ("iron.xlsx", bad), ("none.csv", b"a,b\n1,2\n")], asked)
    for said in ("is negative", "“soon” is no day", "none.csv: there is no column “Item” or “Pack”"):
        assert said in str(met.value)


def test_the_same_reply_twice_and_two_of_one_supplier_are_named(
    asked: Round, files: Mapping[str, bytes]
) -> None:
    data, later = (filled_in(files[IRON], nothing, {**PER_UNIT, "CHN-12": per}) for per in (7.5, 7.6))
    with pytest.raises(CatalogueError, match=r"^b\.xlsx: it is the same file as a\.xlsx"):
        read_replies([("a.xlsx", data), ("b.xlsx", data)], asked)
    with pytest.raises(CatalogueError, match=r"^b\.xlsx: Quay Iron has replied in a\.xlsx too"):
        read_replies([("a.xlsx", data), ("b.xlsx", later)], asked)


def test_a_reply_to_an_earlier_request_is_told_and_its_prices_taken(files: Mapping[str, bytes]) -> None:
    now = asked_for(text=PRICES.replace("CHN-12,,chain,m,30,236.70", "CHN-12,,chain,m,25,199.70"))
    reply = read_reply(filled_in(files[IRON], nothing, PER_UNIT), "iron.xlsx", now)
    assert "it answers request " in reply.notes[0]
    assert any("CHN-12 in packs of 30 is not asked for now" in note for note in reply.notes)
    assert {one.pack.item for one in reply.quotes} == set(PER_UNIT) - {"CHN-12"}


def test_where_suppliers_have_no_name_anybody_may_reply() -> None:
    text = "\n".join(line.replace("Quay Iron", "") for line in PLAIN.splitlines())
    asked = asked_for(Policy(), text)
    data = request_files(asked)["ask-any-supplier.xlsx"]

    def named(ws: Any) -> None:
        ws["B2"] = "New Chandlery"

    reply = read_reply(filled_in(data, named, PER_UNIT), "new.xlsx", asked)
    assert reply.supplier == "New Chandlery"
    assert {one.pack.supplier for one in reply.quotes} == {"New Chandlery"}


def test_hostile_files_are_refused(asked: Round, files: Mapping[str, bytes]) -> None:
    bomb, broken = io.BytesIO(), files[IRON][:2000]
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b" " * 60_000_000)
    commented = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(files[IRON])) as old, zipfile.ZipFile(commented, "w") as new:
        for name in old.namelist():
            new.writestr(name, old.read(name).replace(b"<sheetData>", b"<!-- x --><sheetData>"))
    for data, said in (
        (b"x" * (MOST_BYTES + 1), "bytes long"), (bomb.getvalue(), "unpacks to 60 MB"), (broken, "cut short"),
        (commented.getvalue(), "XML comment"), (b"", "the file is empty"), (b"%PDF-1.7", "a PDF document"),
    ):  # fmt: skip
        with pytest.raises(CatalogueError, match=said):
            read_reply(data, "reply.xlsx", asked)
