"""Reading price books: what is taken, what is noted, what is refused and in which words."""

from __future__ import annotations

from decimal import Decimal

import pytest

from sizing.errors import CatalogueError
from sizing.order.amounts import decimal_sign, parse_price
from sizing.order.prices import parse_prices
from tests.sizing.order.price_books import KNOWN, book

HEAD = "item,pack_size,unit,pack_price,currency,supplier,lead_days,minimum_packs\n"


def rows(*lines: str) -> str:
    return HEAD + "\n".join(lines) + "\n"


def test_several_packs_and_suppliers_of_one_item_are_kept() -> None:
    offers = book().offers["NDB-20"]
    assert [(o.pack_size, o.pack_price, o.supplier, o.lead_days, o.minimum_packs) for o in offers] == [
        (Decimal("100.000"), Decimal("318.35"), "Quay Ropes", 10, 1),
        (Decimal("220.000"), Decimal("671.10"), "Far Ropes", 40, 2),
    ]
    assert book().currency == "EUR"


@pytest.mark.parametrize(
    ("cell", "unit", "header", "metres"),
    [
        ("200 m", "", "pack_size", "200.000"),
        ("656 ft", "", "pack_size", "199.948"),  # 656 x 0.3048 = 199.9488, rounded down
        ("200", "m", "pack_size", "200.000"),
        ("600", "ft", "pack_size", "182.880"),
        ("600", "", "pack_size_ft", "182.880"),
        ("600", "", "Pack size (ft)", "182.880"),
        ("200 m", "ft", "pack_size", "200.000"),  # the cell is stronger than the column
    ],
)
def test_units_stand_in_cell_column_or_header(cell: str, unit: str, header: str, metres: str) -> None:
    text = f"item,{header},unit,pack_price,currency\nNDB-16,{cell},{unit},10.00,EUR\n"
    assert book(text).offers["NDB-16"][0].pack_size == Decimal(metres)


@pytest.mark.parametrize(
    ("cell", "price"),
    [
        ('"1,250.00"', "1250.00"), ("€12.50", "12.50"), ("EUR 12.50", "12.50"), ("12.5 €", "12.50"),
        ("1250", "1250.00"), ('"€ 1,250.00"', "1250.00"), ("1 250.00", "1250.00"), ("1'250.00", "1250.00"),
    ],
)  # fmt: skip
def test_prices_with_thousands_and_signs(cell: str, price: str) -> None:
    assert book(rows(f"NDB-16,100 m,,{cell},EUR,,,")).offers["NDB-16"][0].pack_price == Decimal(price)


def test_a_column_of_decimal_commas() -> None:
    text = HEAD.replace(",", ";") + "NDB-16;100 m;;1.250,00;EUR;;;\nNDB-20;100 m;;1.300;EUR;;;\n"
    offers = book(text).offers
    assert offers["NDB-16"][0].pack_price == Decimal("1250.00")
    assert offers["NDB-20"][0].pack_price == Decimal("1300.00")


def test_a_price_that_could_be_two_is_refused() -> None:
    with pytest.raises(CatalogueError, match="may be thousands or a fraction"):
        book(rows('NDB-16,100 m,,"1,250",EUR,,,'))


def test_decimal_comma_and_point_in_one_column_are_refused() -> None:
    with pytest.raises(CatalogueError, match="one decimal sign"):
        decimal_sign(["12.50", "1.250,00"])


def test_a_price_is_read_to_the_cent() -> None:
    with pytest.raises(CatalogueError, match="one amount to the cent"):
        parse_price("12.505", ".", "prices.csv")


@pytest.mark.parametrize(
    ("line", "column", "words"),
    [
        ("NDB-16,-100 m,,10.00,EUR,,,", "pack_size", "negative"),
        ("THM-16,-10,,10.00,EUR,,,", "pack_size", "-10"),
        ("NDB-16,0 m,,10.00,EUR,,,", "pack_size", "nothing"),
        ("NDB-16,,,10.00,EUR,,,", "pack_size", "empty"),
        ("NDB-16,100,,10.00,EUR,,,", "pack_size", "no unit"),
        ("NDB-16,100 kg,,10.00,EUR,,,", "pack_size", "unit of mass"),
        ("NDB-16,100 m,,ten,EUR,,,", "pack_price", "not a price"),
        ("NDB-16,100 m,,-10.00,EUR,,,", "pack_price", "above 0"),
        ("NDB-16,100 m,,10.00,,,,", "currency", "three letters"),
        ("NDB-16,100 m,,€10.00,GBP,,,", "currency", "EUR and the currency says GBP"),
        ("NDB-16,100 m,,10.00,EUR,,soon,", "lead_days", "soon"),
        ("NDB-16,100 m,,10.00,EUR,,,-2", "minimum_packs", "-2"),
    ],
)
def test_a_bad_cell_is_named_by_file_line_and_column(line: str, column: str, words: str) -> None:
    with pytest.raises(CatalogueError) as caught:
        book(rows("NDB-20,100 m,,10.00,EUR,,,", line))
    assert "prices.csv, line 3" in caught.value.where
    assert f"“{column}”" in caught.value.where
    assert words in str(caught.value)


def test_all_bad_cells_are_told_at_once() -> None:
    with pytest.raises(CatalogueError) as caught:
        book(rows("NDB-16,-1 m,,10.00,EUR,,,", "NDB-20,100 m,,ten,EUR,,,", "THM-16,10,,5.00,EUR,,,"))
    assert "line 2" in str(caught.value)
    assert "line 3" in str(caught.value)


def test_mixed_currencies_are_refused_with_a_line_of_each() -> None:
    with pytest.raises(CatalogueError, match=r"EUR \(line 2\) and GBP \(line 4\)"):
        book(rows("NDB-16,100 m,,10.00,EUR,,,", "NDB-20,100 m,,10.00,EUR,,,", "THM-16,10,,10.00,GBP,,,"))


def test_a_missing_price_is_kept_and_listed() -> None:
    found = book(rows("NDB-16,100 m,,,,,,", "NDB-20,100 m,,10.00,EUR,,,"))
    assert found.offers["NDB-16"][0].pack_price is None
    assert found.unpriced == ("NDB-16",)


def test_an_unknown_item_is_a_note() -> None:
    found = book(rows("NDB-16,100 m,,10.00,EUR,,,", "=SUM(A1),3,,x,,,,"))
    assert found.unknown == ((3, "=SUM(A1)"),)
    assert "line 3" in found.notes[0]


def test_an_item_is_known_whatever_its_capitals() -> None:
    assert "NDB-16" in book(rows("ndb-16,100 m,,10.00,EUR,,,")).offers


def test_a_repeated_row_is_read_once_and_a_contradiction_refused() -> None:
    line = "NDB-16,100 m,,10.00,EUR,Quay,,"
    found = book(rows(line, line))
    assert len(found.offers["NDB-16"]) == 1
    assert "same row as line 2" in found.notes[0]
    with pytest.raises(CatalogueError, match="stands with other figures in line 2"):
        book(rows(line, "NDB-16,100 m,,11.00,EUR,QUAY,,"))


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"\x00\x01\x02", "zero byte"),
        (b"item,pack_price\nNDB-16,1\n", "no column pack_size"),
        (b'item,pack_size,pack_price\n"NDB-16,1,1\n', "never closed"),
        (b"item,pack_size,pack_price,item\nNDB-16,1,1,2\n", "two columns"),
        (b"item,pack_size,pack_price\nNDB-16,1,1,250.00\n", "4 cells"),
    ],
)
def test_what_is_no_table_is_refused(data: bytes, words: str) -> None:
    with pytest.raises(CatalogueError, match=words):
        parse_prices(data, "prices.csv", KNOWN)


def test_line_numbers_count_line_ends_inside_cells() -> None:
    text = HEAD + '\nNDB-16,100 m,,10.00,EUR,"Quay\nRopes",,\nNDB-20,100 m,,ten,EUR,,,\n'
    with pytest.raises(CatalogueError, match="line 5"):
        book(text)


def test_a_book_saved_with_a_byte_order_mark_or_in_the_old_encoding() -> None:
    text = rows("NDB-16,100 m,,10.00,EUR,Café,,")
    for encoding in ("utf-8-sig", "cp1252", "utf-16"):
        assert parse_prices(text.encode(encoding), "p.csv", KNOWN).offers["NDB-16"][0].supplier == "Café"


@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_a_book_is_read_as_a_fleet_sheet_is(sign: str) -> None:
    """Whatever the sign between cells, the rows above the header and the encoding; and it is said."""
    lines = (HEAD + "NDB-16,100 m,,10.00,EUR,Café,,\n").replace(",", sign).replace("\n", "\r\n")
    found = parse_prices(("Prices of the autumn\r\n\r\n" + lines).encode("cp1252"), "p.csv", KNOWN)
    assert found.offers["NDB-16"][0].supplier == "Café"
    assert any("Windows-1252" in note for note in found.notes)
    assert any("2 rows above the header left out: “Prices of the autumn”" in note for note in found.notes)
