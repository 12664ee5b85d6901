"""Values of the database as cells of a CSV table, and back, to the last character.

A cell is as `sizing.spreadsheet` writes it, so that no spreadsheet runs it. Besides: `\\N` is no value
(NULL), `\\F PATH` a value in a file of its own (bytes, and text too long for a spreadsheet's cell), and text
that begins with a backslash has one more in front. What was received is kept packed, and written as received.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import PurePosixPath
from typing import Any, Final

from sqlalchemy import Column, Float, Integer, LargeBinary, Table

from api.storage.packing import packed, unpacked
from sizing.errors import MusterError
from sizing.spreadsheet import LONGEST, Cell, from_text

NONE: Final = "\\N"
FILE: Final = "\\F "
BYTES: Final = "\\B "
_RECEIVED: Final = {"rule_files": "rules", "revisions": "lists", "stock_files": "stock"}
_UNSAFE: Final = re.compile(r"[^\w. -]+", re.ASCII)
_RESERVED: Final = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\.|$)", re.IGNORECASE)


def cell_of(value: Any, column: Column[Any], keep: Callable[[bytes], str]) -> Cell:
    """The cell of one value; `keep` puts bytes into a file and returns its path."""
    if value is None:
        return NONE
    if isinstance(value, bytes | memoryview):
        return _of_bytes(bytes(value), column, keep)
    if isinstance(value, str):
        if "\0" in value:
            raise MusterError(
                f"table {column.table.name}, column {column.name}",
                "it has a zero byte",
                "text",
                "correct it: not every database takes such text",
            )
        if len(value) > LONGEST:
            return FILE + keep(value.encode("utf-8"))
        return f"\\{value}" if value.startswith("\\") else value
    return Decimal(repr(value)) if isinstance(value, float) else int(value)


def value_of(cell: str, column: Column[Any], read: Callable[[str], bytes]) -> Any:
    """The value of one cell, for a column of the database it goes into."""
    if cell == NONE:
        return None
    kind = column.type
    if isinstance(kind, Float):
        return float(cell)
    if isinstance(kind, Integer):
        return int(cell)
    if cell.startswith(BYTES):
        return base64.b64decode(cell.removeprefix(BYTES), validate=True)
    if cell.startswith(FILE):
        return _from_file(read(cell.removeprefix(FILE)), column)
    text = from_text(cell)
    return text.removeprefix("\\") if text.startswith("\\\\") else text


def _of_bytes(value: bytes, column: Column[Any], keep: Callable[[bytes], str]) -> str:
    if is_received(column):
        return FILE + keep(unpacked(value))
    if len(value) * 4 // 3 + 8 > LONGEST:
        return FILE + keep(value)
    return BYTES + base64.b64encode(value).decode("ascii")


def _from_file(data: bytes, column: Column[Any]) -> bytes | str:
    if not isinstance(column.type, LargeBinary):
        return data.decode("utf-8")
    return packed(data) if is_received(column) else data


def is_received(column: Column[Any]) -> bool:
    """Whether a value is a file that somebody brought."""
    return column.name == "content" and column.table.name in _RECEIVED


def path_of(table: Table, row: Any, column: str, taken: set[str]) -> str:
    """Where a value of a row lies: what was received under its own name, in a folder for its number."""
    keys = [str(row[key.name]) for key in table.primary_key.columns]
    received = is_received(table.c[column])
    name = str(row["name" if "name" in row else "filename"]) if received else column
    if received and keys[-1] == name:
        keys.pop()
    folder = f"received/{_RECEIVED[table.name]}" if received else f"values/{table.name}"
    path = plain = "/".join([folder, *map(_safe, keys), _safe(name)])
    number = 1
    while path.casefold() in taken:  # names that differ in signs alone that no file may have
        number += 1
        at = PurePosixPath(plain)
        path = str(at.with_name(f"{at.stem}-{number}{at.suffix}"))
    taken.add(path.casefold())
    return path


def _safe(name: str) -> str:
    """A name any system takes for a file; what it was called stands in the table.

    >>> _safe("../Rally list.csv"), _safe("nul"), _safe("")
    ('_Rally list.csv', '_nul', '_')
    """
    plain = _UNSAFE.sub("_", name).lstrip(". ").rstrip(". ")
    plain = plain if len(plain) <= 80 else plain[:40] + plain[-40:]
    return f"_{plain}" if not plain or _RESERVED.match(plain) else plain
