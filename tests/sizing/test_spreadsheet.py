"""Text that could be taken as a formula is stored as text, and comes back unchanged."""

from __future__ import annotations

import csv
import io

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.spreadsheet import as_text, could_be_formula, csv_bytes, csv_of_cells, from_text

printable = st.text(st.characters(exclude_categories=["Cs", "Cc"]) | st.sampled_from("\t\r\n'=+-@"))


@given(printable)
def test_no_text_cell_begins_like_a_formula(text: str) -> None:
    """Leading characters from the OWASP page on CSV injection: = + - @ tab CR."""
    assert not could_be_formula(as_text(text))


@given(printable)
def test_it_comes_back_unchanged(text: str) -> None:
    assert from_text(as_text(text)) == text


@given(st.lists(st.tuples(printable, printable), min_size=1))
def test_a_large_table_is_written_like_a_small_one_and_read_back_by_the_standard_library(
    rows: list[tuple[str, str]],
) -> None:
    written = [tuple(map(as_text, row)) for row in rows]
    columns = {name: [row[at] or None for row in written] for at, name in enumerate(("one", "two"))}
    large = csv_of_cells(pl.DataFrame(columns, schema=dict.fromkeys(columns, pl.String)))
    read = csv.reader(io.StringIO(large.decode(), newline=""))
    assert [tuple(row) for row in read] == [("one", "two"), *written]
    assert large == csv_bytes([("one", "two"), *rows])


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ('=HYPERLINK("x")', '\'=HYPERLINK("x")'),
        ("+1 555", "'+1 555"),
        ("-3.5", "'-3.5"),
        ("@cmd", "'@cmd"),
        ("\tx", "'\tx"),
        ("'=x", "''=x"),
        ("O'Brien", "O'Brien"),
        ("a\x00b", "a\x00b"),
        (" \xa0=x", "' \xa0=x"),
    ],
)
def test_examples(text: str, written: str) -> None:
    assert as_text(text) == written
