"""Who is who: entry numbers that identify one boat each, and names that two boats share."""

from __future__ import annotations

from typing import Final

import numpy as np
import polars as pl

from sizing.intake.collect import Collected, Fault
from sizing.intake.table import RawTable
from sizing.units import clip

_MONTH: Final = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*"
_LIKE_DATE: Final = (
    rf"(?i)^(?:[0-9]{{1,2}}[-/ .]{_MONTH}(?:[-/ .][0-9]{{2,4}})?|{_MONTH}[-/ .][0-9]{{1,4}}"
    r"|[0-9]{1,2}[/.-][0-9]{1,2}[/.-][0-9]{2,4}|[0-9]{4}-[0-9]{2}-[0-9]{2}(?: .*)?)$"
)
_LIKE_EXPONENT: Final = r"(?i)^[0-9](?:[.,][0-9]+)?e[+]?[0-9]+$"
_NAMED_ROWS: Final = 5


def check_entry_numbers(table: RawTable, cells: pl.Series, column: int, collected: Collected) -> None:
    """Reject rows that share an entry number, each naming the others; flag what a spreadsheet may have done.

    Numbers are compared without surrounding spaces and without case.
    """
    keys = cells.str.strip_chars()
    folded = keys.str.to_lowercase()
    if keys.str.contains(r"[^\x00-\x7f]").any():
        folded = pl.Series([key.casefold() for key in keys.to_list()], dtype=pl.String)
    for row, others in _sharing(folded, table):
        found = f"entry number “{clip(keys[row])}” also stands in row {others}"
        mend = "correct the entry number that is wrong, or delete the row that is there twice"
        fault = Fault("duplicate_entry", found, "a number for each boat that no other boat has", mend)
        collected.fault(row, column, fault)
    _flag(keys, _LIKE_DATE, "entry_date", "looks like a date; a spreadsheet may have changed it", collected)
    _flag(keys, _LIKE_EXPONENT, "entry_exponent",
          "looks like a number with an exponent; a spreadsheet may have changed it", collected)  # fmt: skip
    _flag_lost_zeros(keys, collected)


def _flag(keys: pl.Series, pattern: str, code: str, words: str, collected: Collected) -> None:
    rows = np.flatnonzero(keys.str.contains(pattern).to_numpy())
    said = [f"“{clip(keys[int(row)])}” {words}" for row in rows]
    collected.remark("warning", code, "entry_no", rows, said)


def _flag_lost_zeros(keys: pl.Series, collected: Collected) -> None:
    """Flag short numbers where the others are written with leading zeros to one length."""
    padded = keys.filter(keys.str.contains(r"^0[0-9]+$"))
    if padded.is_empty() or padded.str.len_bytes().n_unique() > 1:
        return
    width = len(padded[0])
    short = keys.str.contains(rf"^[1-9][0-9]{{0,{max(width - 2, 0)}}}$") if width > 1 else keys == "\0"
    rows = np.flatnonzero(short.to_numpy())
    said = [
        f"“{clip(keys[int(row)])}” is shorter than “{clip(padded[0])}”; leading zeros may have been cut"
        for row in rows
    ]
    collected.remark("warning", "entry_zeros", "entry_no", rows, said)


def check_names(table: RawTable, cells: pl.Series, collected: Collected) -> None:
    """Warn where two boats have one name; that is allowed, but worth a look."""
    folded = cells.str.strip_chars().str.to_lowercase()
    shared = _sharing(folded, table)
    rows = np.array([row for row, _ in shared], dtype=np.int64)
    said = [f"the boat in row {others} has the same name" for _, others in shared]
    collected.remark("warning", "same_name", "boat_name", rows, said)


def _sharing(keys: pl.Series, table: RawTable) -> list[tuple[int, str]]:
    """Return each row whose key other rows have too, with the file's numbers of the first few of those."""
    rows = np.flatnonzero((keys.is_duplicated() & (keys != "")).to_numpy()).tolist()
    own = keys.gather(rows).to_list()
    rows_of: dict[str, list[int]] = {}
    for row, key in zip(rows, own, strict=True):
        rows_of.setdefault(key, []).append(row)
    shared = []
    for row, key in zip(rows, own, strict=True):
        few = [other for other in rows_of[key][: _NAMED_ROWS + 1] if other != row][:_NAMED_ROWS]
        more = " and more" if len(rows_of[key]) > len(few) + 1 else ""
        shared.append((row, ", ".join(str(table.row_no[other]) for other in few) + more))
    return shared
