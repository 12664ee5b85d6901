"""What suppliers are asked: their items only, with nothing of boats or of anybody's prices."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from openpyxl.utils import get_column_letter

from sizing.catalogue import load_catalogue
from sizing.order.buying import IN_HAND
from sizing.order.consumables import known_items
from sizing.order.quotes.asked import ASKED, Round, packs_for, parse_round
from sizing.order.quotes.request import request_files
from sizing.order.quotes.required import required
from sizing.policy import Policy
from tests.office import converted, needs_office, recalculated
from tests.sizing.order.price_books import PLAIN
from tests.sizing.order.quotes.rounds import FLEET, POLICY, asked_for, filled_in, ordered, sheet_rows

KNOWN = known_items(load_catalogue())


@pytest.fixture(scope="module")
def asked() -> Round:
    return asked_for()


@pytest.fixture(scope="module")
def files(asked: Round) -> Mapping[str, bytes]:
    return request_files(asked)


def opened(files: Mapping[str, bytes], name: str) -> Any:
    return load_workbook(io.BytesIO(files[name])).worksheets[0]


def test_every_supplier_of_the_price_book_has_a_workbook_and_a_mail(files: Mapping[str, bytes]) -> None:
    stems = ("far-ropes", "loft-supply", "near-iron", "quay-iron", "quay-ropes")
    assert sorted(files) == sorted([ASKED, *(f"ask-{s}.{kind}" for s in stems for kind in ("txt", "xlsx"))])


def test_a_supplier_is_asked_for_his_own_items_and_sees_no_price(
    asked: Round, files: Mapping[str, bytes]
) -> None:
    """Each supplier saw the others' prices."""
    _, order, prices = ordered()
    bought = {line.item for line in order.lines if line.supplier != IN_HAND}
    for supplier in asked.suppliers:
        name = next(n for n in files if n.endswith("xlsx") and opened(files, n)["B2"].value == supplier)
        sold = {o.item for offers in prices.offers.values() for o in offers if o.supplier == supplier}
        rows = sheet_rows(opened(files, name))
        assert {row["item"] for row in rows} == sold & bought
        assert {row["price"] for row in rows} == {None}
        with zipfile.ZipFile(io.BytesIO(files[name])) as archive:
            inside = "".join(archive.read(part).decode() for part in archive.namelist())
        for other in (*asked.suppliers, "Plover", "E001", "secret@boat.example", "A. Skipper"):
            assert other == supplier or other not in inside
        for price in re.findall(r",(\d+\.\d\d),EUR", PLAIN):
            assert f">{Decimal(price).normalize():f}<" not in inside or price.endswith(".00"), price
        assert FLEET[0].boat_name not in files[name.replace("xlsx", "txt")].decode()


def test_the_sheet_says_who_buys_where_to_and_by_when(files: Mapping[str, bytes]) -> None:
    """The workbook had no buyer, delivery address, date or VAT."""
    ws = opened(files, "ask-quay-iron.xlsx")
    said = {ws.cell(row, 1).value: ws.cell(row, 2).value for row in range(2, 9)}
    assert ws["A1"].value == "Request for prices: =the rally"
    assert said["Buyer"] == "The club"
    assert said["Deliver to"] == "Sail loft, Quay 4"
    assert said["Needed by"] == "2027-05-27, 5 days before departure on 2027-06-01"
    assert (said["Currency"], ws["H6"].value) == ("EUR", 22)
    mail = files["ask-quay-iron.txt"].decode()
    assert "delivered by 2027-05-27" in mail
    assert "Sail loft, Quay 4" in mail


def test_what_the_policy_leaves_out_is_asked_of_the_supplier_or_said_to_be_missing() -> None:
    asked = asked_for(Policy())
    ws = opened(request_files(asked), "ask-quay-iron.xlsx")
    assert [ws[f"B{row}"].value for row in (3, 4, 5, 6)] == ["not given yet: please ask"] * 4
    assert ws["H6"].value is None
    assert not ws["H6"].protection.locked, "the supplier says his rate of VAT"


def test_only_the_cells_to_be_filled_in_are_open(files: Mapping[str, bytes]) -> None:
    ws = opened(files, "ask-quay-iron.xlsx")
    assert ws.protection.sheet
    assert ws.protection.password is None
    rows = [row["row"] for row in sheet_rows(ws)]
    wanted = {f"{letter}{row}" for row in rows for letter in "GIJK"}
    wanted |= {"H2", "I2", "H3", "I3", "H4", "I4", "H5", "I5", *(f"{letter}7" for letter in "HIJK")}
    found = {cell.coordinate for cells in ws.iter_rows() for cell in cells if not cell.protection.locked}
    assert found == wanted


def test_the_sheet_prints_one_page_wide_at_ten_points(files: Mapping[str, bytes]) -> None:
    for name in (name for name in files if name.endswith("xlsx")):
        ws = opened(files, name)
        assert (ws.page_setup.paperSize, ws.page_setup.fitToWidth, ws.page_setup.fitToHeight) == (9, 1, 0)
        head = next(row for row in range(1, 20) if ws.cell(row, 1).value == "Item")
        assert ws.print_title_rows == f"${head}:${head}"
        assert ws.freeze_panes == f"A{head + 1}"
        widths = sum(ws.column_dimensions[get_column_letter(at)].width for at in range(1, ws.max_column + 1))
        # A character of a column's width is 7 pixels of 1/96 inch [ECMA-376-1 18.3.1.13]; A4 is 11.69 in.
        assert widths * 7 / 96 <= 11.69 - ws.page_margins.left - ws.page_margins.right, "nothing is shrunk"
        assert {cell.font.sz for cells in ws.iter_rows() for cell in cells if cell.value} == {10, 14}


def test_every_item_says_what_it_must_hold_and_what_may_replace_it(asked: Round) -> None:
    ropes = load_catalogue().ropes
    for need in asked.needs:
        assert need.least
        assert need.instead
    rope = next(need for need in asked.needs if need.item == "NDB-16")
    strong = float(ropes.minimum_strength_n[ropes.id.index("NDB-16")]) / 1000
    assert rope.strength_kn is not None
    assert 0 <= float(rope.strength_kn) - strong < 0.1, "rounded, and never below what boats were sized by"
    assert f"breaks new and dry at {rope.strength_kn} kN or more, certified" in rope.least
    assert f"Longest single length: {rope.pieces[0][0] / 1000 + 0.1:g} m" in rope.least


@pytest.mark.parametrize("item", KNOWN.values(), ids=lambda item: item.id)
def test_anything_that_can_be_ordered_can_be_asked_for(item: Any) -> None:
    found = required(item, load_catalogue())
    assert found.least.endswith(".")
    assert found.instead.endswith(".")
    cut = item.kind in ("rope", "tape", "chain", "shackle")
    assert (found.strength_kn is not None) == cut


def test_packs_are_those_of_the_order_where_one_supplier_has_all(asked: Round) -> None:
    _, order, _ = ordered()
    thimbles = {line.pack_size: line.packs for line in order.lines if line.item == "THM-16"}
    asked_packs = {
        p.pack_size: p.packs for p in asked.asked_of("Quay Iron") if p.item == "THM-16" and p.packs
    }
    assert asked_packs == thimbles


def test_anybody_else_is_asked_for_as_many_as_would_do(asked: Round) -> None:
    need = next(need for need in asked.needs if need.item == "NDB-16")
    pack = next(p for p in asked.asked_of("Far Ropes") if p.item == "NDB-16")
    assert pack.packs is not None
    assert pack.packs * pack.pack_size >= need.amount
    assert pack.packs == packs_for(need.pieces, 149_900)
    chain = next(p for p in asked.asked_of("Far Ropes") if p.item == "CHN-12")
    length = next(need for need in asked.needs if need.item == "CHN-12")
    assert chain.step is not None
    assert chain.packs is not None
    assert length.amount <= chain.packs * chain.pack_size <= length.amount + Decimal("0.6")


def test_the_round_is_read_back_as_it_was_kept(asked: Round) -> None:
    assert parse_round(asked.kept(), ASKED) == asked
    other = asked.kept().replace(b'"currency": "EUR"', b'"currency": "USD"')
    for broken in (b"{}", b"[]", b"x", other):
        with pytest.raises(Exception, match=r"asked\.json: it is not what this program wrote"):
            parse_round(broken, ASKED)


def test_the_same_order_asks_with_the_same_bytes(asked: Round, files: Mapping[str, bytes]) -> None:
    assert request_files(asked_for()) == files
    assert asked_for(POLICY, PLAIN).number != asked.number


@needs_office
@pytest.mark.thorough
def test_libreoffice_works_out_the_sums_of_a_workbook_filled_in(
    asked: Round, files: Mapping[str, bytes], tmp_path: Path
) -> None:
    prices = dict.fromkeys((need.item for need in asked.needs), 3.17)

    def carriage(ws: Any) -> None:
        ws["H5"] = 12.5

    data = filled_in(files["ask-quay-iron.xlsx"], carriage, prices)
    ws: Any = recalculated(data, tmp_path).worksheets[0]
    rows = sheet_rows(ws)
    sums = [round(float(row["packs"]) * float(row["price"]), 2) for row in rows]
    assert [row["sum"] for row in rows] == pytest.approx(sums)
    at = rows[-1]["row"] + 2
    assert [ws.cell(at + n, 5).value for n in range(4)] == [
        "Sum without VAT",
        "Carriage",
        "VAT",
        "Total with VAT",
    ]
    net, carried, vat, total = (ws.cell(at + n, 8).value for n in range(4))
    assert net == pytest.approx(sum(sums))
    assert (carried, vat) == (12.5, pytest.approx(round(0.22 * (net + 12.5), 2)))
    assert total == pytest.approx(net + carried + vat)


@needs_office
@pytest.mark.thorough
def test_libreoffice_prints_it_one_page_wide(files: Mapping[str, bytes], tmp_path: Path) -> None:
    pdf = converted(files["ask-quay-iron.xlsx"], "pdf", tmp_path)
    pages = len(re.findall(rb"/Type\s*/Page\b", pdf))
    ws = opened(files, "ask-quay-iron.xlsx")
    points = sum(ws.row_dimensions[row].height or 15 for row in range(1, ws.max_row + 1))
    height = 8.27 * 72 - 72 * (ws.page_margins.top + ws.page_margins.bottom)
    assert pages <= points // (height - 50) + 1, "as many pages as it is high, and none beside another"
