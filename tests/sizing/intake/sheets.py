"""Small fleet sheets for the tests."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Mapping, Sequence

from sizing.intake import read_fleet
from sizing.model import IntakeResult

TODAY = dt.date(2026, 6, 1)
GOOD: Mapping[str, str] = {
    "entry_no": "017",
    "boat_name": "Grey Plover",
    "boat_type": "sailing monohull",
    "loa": "11.6 m",
    "lwl": "10.1 m",
    "beam": "3.7 m",
    "transom_width": "2.9 m",
    "displacement": "8,400 kg",
}


def boat(**changes: str) -> dict[str, str]:
    """Return the good boat with some cells changed or added."""
    return {**GOOD, **changes}


def sheet(*boats: Mapping[str, str], delimiter: str = ",") -> bytes:
    """Return boats as CSV; columns are those of the first boat, then others as they come."""
    header = list(dict.fromkeys(name for one in boats for name in one))
    return rows_csv([header, *([one.get(name, "") for name in header] for one in boats)], delimiter)


def rows_csv(rows: Sequence[Sequence[str]], delimiter: str = ",") -> bytes:
    """Return rows as CSV in UTF-8."""
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=delimiter).writerows(rows)
    return text.getvalue().encode()


def read(data: bytes) -> IntakeResult:
    """Read a sheet on the tests' day."""
    return read_fleet(data, "fleet.csv", today=TODAY)


def read_boats(*boats: Mapping[str, str], delimiter: str = ",") -> IntakeResult:
    """Write boats as CSV and read them."""
    return read(sheet(*boats, delimiter=delimiter))


def codes(result: IntakeResult) -> list[tuple[str, str]]:
    """Return (column, code) of every problem of every rejected row, and of every cell that was set aside."""
    refused = [(error.column, error.code) for row in result.rejected for error in row.errors]
    aside = [pair for pair in remark_codes(result) if pair[1].startswith("unread_")]
    return refused + [(column, code.removeprefix("unread_")) for column, code in aside]


def remark_codes(result: IntakeResult) -> list[tuple[str, str]]:
    """Return (column, code) of every remark."""
    return [(remark.column, remark.code) for remark in result.fleet.remarks]
