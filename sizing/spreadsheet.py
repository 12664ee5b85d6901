"""The one writer of CSV [RFC 4180]: UTF-8, commas, CR LF; and text that stays text in every spreadsheet.

A cell of text that begins with = + - @, a tab or a line end can be taken for a formula or a number. Such text
gets one apostrophe in front, which `from_text` takes away again, so that a table can be mended and read back.
Numbers are given as numbers, and written in plain digits.
"""

from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from typing import Final, TypeAlias

import polars as pl

Cell: TypeAlias = str | int | Decimal | None

BYTE_ORDER_MARK: Final = "\ufeff".encode()
"""Put before a table that people open in a spreadsheet program, to tell it that the text is UTF-8."""
GUARDED: Final = "^'[ \xa0']*[=+\\-@\t\r\n＝＋－＠]"
"""What text that `as_text` put an apostrophe before begins with, as a regular expression."""

LONGEST: Final = 32_000
"""Characters of one cell of text that is made for a table; a spreadsheet holds 32,767."""

_LEADING: Final = " \xa0'"
_LIVE: Final = frozenset("=+-@\t\r\n＝＋－＠")
_DROPPED: Final = frozenset({"Cc", "Cs", "Cn"})


def csv_bytes(rows: Iterable[Iterable[Cell]]) -> bytes:
    r"""Return rows as CSV; the same rows give the same bytes.

    >>> csv_bytes([("boat", "kg"), ("=1+1", Decimal("-3.50"))])
    b"boat,kg\r\n'=1+1,-3.50\r\n"
    """
    out = io.StringIO(newline="")
    csv.writer(out).writerows([_written(cell) for cell in row] for row in rows)
    return out.getvalue().encode("utf-8")


def cells_as_they_were(rows: Iterable[tuple[int, Sequence[str]]], delimiter: str) -> bytes:
    r"""Return an entry list as CSV again, each row (number, cells) where it stood and no cell changed.

    For lists that were received alone: a formula in one is the sender's own, and reading gives the same text.

    >>> cells_as_they_were([(2, ["boat"]), (4, ["=1+1"])], ",")
    b'\r\nboat\r\n\r\n=1+1\r\n'
    """
    out = io.StringIO(newline="")
    write = csv.writer(out, delimiter=delimiter)
    at = 1
    for number, cells in rows:
        out.write("\r\n" * (number - at))
        write.writerow(cells)
        at = number + 1
    return out.getvalue().encode()


def rows_of(lines: Iterable[str]) -> Iterator[list[str]]:
    r"""Rows as `csv_bytes` wrote them, cells still as written; ValueError for what it did not write.

    For the program's own tables alone, where there is nothing to guess; lines keep their ends.

    >>> list(rows_of(['boat,kg\r\n', '"a\n', 'b",4\r\n']))
    [['boat', 'kg'], ['a\nb', '4']]
    """
    try:
        yield from csv.reader(lines, strict=True)
    except csv.Error as problem:
        raise ValueError(str(problem)) from problem


def csv_of_cells(cells: pl.DataFrame, *, header: bool = True) -> bytes:
    r"""Return a large table as CSV, as `csv_bytes` would; cells are text as written, by `as_text`, or null.

    >>> csv_of_cells(pl.DataFrame({"boat": ["'=1+1", None], "kg": ["-3.5", "4"]}))
    b"boat,kg\r\n'=1+1,-3.5\r\n,4\r\n"
    """
    out = io.BytesIO()
    cells.write_csv(out, include_header=header, line_terminator="\r\n")
    return out.getvalue()


def _written(cell: Cell) -> str | int | None:
    if isinstance(cell, str):
        return as_text(cell)
    return f"{cell:f}" if isinstance(cell, Decimal) else cell


def could_be_formula(text: str) -> bool:
    """Whether a spreadsheet could take the text for a formula."""
    return text.lstrip(" \xa0")[:1] in _LIVE


def as_text(text: str) -> str:
    """Return a cell of text that no spreadsheet would run; nothing is taken out of it.

    >>> as_text("=1+1"), as_text("Grey Plover")
    ("'=1+1", 'Grey Plover')
    """
    return f"'{text}" if text.lstrip(_LEADING)[:1] in _LIVE else text


def from_text(text: str) -> str:
    """Undo `as_text` for a cell that was written by it.

    >>> from_text("'=1+1"), from_text("'tis")
    ('=1+1', "'tis")
    """
    return text[1:] if text.startswith("'") and text.lstrip(_LEADING)[:1] in _LIVE else text


def plain_text(text: str) -> str:
    """Return text without control characters, lone surrogates and non-characters; line ends become spaces.

    >>> plain_text("Grey\\r\\nPlover\\x07")
    'Grey Plover'
    """
    spaced = " ".join(text.replace("\t", " ").splitlines())
    if spaced.isascii() and spaced.isprintable():
        return spaced[:LONGEST]
    return "".join(c for c in spaced if unicodedata.category(c) not in _DROPPED)[:LONGEST]
