"""Rows as a whole: those that are no boats, those broken as text, and who is who among the boats.

Blank rows, totals, the header again and the template's guidance are left out, each with a note.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
import polars as pl

from sizing.entry_key import entry_key
from sizing.errors import QuantityError
from sizing.fields import FIELD_BY_NAME
from sizing.intake.collect import Collected, Fault, check_damage
from sizing.intake.headers import Columns
from sizing.model import BoolArray, IntArray
from sizing.raw_table import RawTable, column_letter
from sizing.units import clip

GUIDANCE_MARK: Final = "(guidance, not a boat)"
_TOTAL: Final = r"(?:sub|grand|fleet)?[ -]*(?:totals?|sums?|average|mean|count)\b[ :]*"
_TOTAL_CELL: Final = re.compile(_TOTAL + r"(?:of [a-z ]+|boats|entries|[0-9]+)?", re.IGNORECASE)
_CANDIDATE: Final = r"(?i)^\s*$|^\s*" + _TOTAL + r"|^\s*\(guidance"
_FIGURE: Final = re.compile(r"[0-9][0-9., ]*[A-Za-z%²'\"]{0,6}2?")
# Control characters except tab, line feed and carriage return, and the sign put for unreadable bytes.
_BAD_SIGNS: Final = r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\x{fffd}]"
_ERROR: Final = r"^\s*#(?:(?:#+|[A-Z/0_?]+!?)\s*$|NO RESULT! )"
_MONTH: Final = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*"
_LIKE_DATE: Final = (
    rf"(?i)^(?:[0-9]{{1,2}}[-/ .]{_MONTH}(?:[-/ .][0-9]{{2,4}})?|{_MONTH}[-/ .][0-9]{{1,4}}"
    r"|[0-9]{1,2}[/.-][0-9]{1,2}[/.-][0-9]{2,4}|[0-9]{4}-[0-9]{2}-[0-9]{2}(?: .*)?)$"
)
_LIKE_EXPONENT: Final = r"(?i)^[0-9](?:[.,][0-9]+)?e[+]?[0-9]+$"
_NAMED_ROWS: Final = 5


def boats_only(table: RawTable, place: Mapping[str, int]) -> tuple[BoolArray, tuple[str, ...]]:
    """Return which rows are to be read as boats, and a note for every row left out.

    A totals row is one after the last boat, without an entry number or boat type, that has the word in a cell
    or holds figures alone.
    """
    keep = np.ones(table.frame.height, dtype=np.bool_)
    entry = table.frame[str(place["entry_no"])]
    title = table.header[place["entry_no"]].strip()
    candidates = np.flatnonzero(
        (entry.str.contains(_CANDIDATE) | (entry.str.strip_chars() == title)).to_numpy()
    )
    header = [cell.strip() for cell in table.header]
    kinds = {
        int(row): "header" if [cell.strip() for cell in cells] == header else _kind(cells, place)
        for row in candidates
        for cells in [table.frame.row(int(row))]
        if int(row) not in table.ragged  # what stands beyond the header is not empty, so it is said
    }
    boats = keep.copy()
    boats[[row for row, kind in kinds.items() if kind]] = False
    last_boat = int(np.flatnonzero(boats).max(initial=-1))
    notes = []
    blank = 0
    for row, kind in kinds.items():
        if not kind or (kind == "total" and row < last_boat):
            continue
        keep[row] = False
        where = f"Row {table.row_no[row]} (line {table.line_no[row]})"
        if kind == "blank":
            blank += 1
        elif kind == "header":
            notes.append(f"{where} repeats the header and is left out.")
        elif kind == "guidance":
            notes.append(f"{where} is the guidance of the entry sheet and is left out.")
        else:
            said = clip(", ".join(cell.strip() for cell in table.frame.row(row) if cell.strip()))
            notes.append(f"{where} is taken for a totals row and left out: “{said}”.")
    if blank:
        notes.append(f"{blank} row{'s' if blank > 1 else ''} with empty cells only left out.")
    return keep, tuple(notes)


def _kind(cells: Sequence[str], place: Mapping[str, int]) -> str:
    stripped = [cell.strip() for cell in cells]
    filled = [cell for cell in stripped if cell]
    if not filled:
        return "blank"
    if stripped[place["entry_no"]].casefold().startswith(GUIDANCE_MARK[:9]):
        return "guidance"
    if "boat_type" in place and stripped[place["boat_type"]]:
        return ""
    if any(_TOTAL_CELL.fullmatch(cell) for cell in filled):
        return "total"
    if not stripped[place["boat_name"]] and all(_FIGURE.fullmatch(cell) for cell in filled):
        return "total"
    return ""


def check_rows(table: RawTable, collected: Collected) -> None:
    """Record rows of the wrong length, and cells with signs that are no text."""
    width = len(table.header)
    for row, cells in table.ragged.items():
        found = f"the row has {len(cells)} cells and the header {width}"
        if len(cells) <= width:
            mend = "the row may be cut short: add the missing cells, empty if need be"
        elif table.delimiter:
            mend = (
                "a sign that separates cells stands inside one: put that cell in quotes, "
                "or write 9300 for 9,300"
            )
        else:
            beyond = next(place for place in range(width, len(cells)) if cells[place].strip())
            found += f"; {column_letter(beyond)} holds “{clip(cells[beyond].strip())}”"
            mend = "give that column a header, or empty the cell"
        collected.fault(row, -1, Fault("cells", found, f"{width} cells in every row", mend))
    if not table.suspect:
        return
    for place in range(width):
        column = table.frame[str(place)]
        for bad in _rows_like(column, _BAD_SIGNS):
            found = "the cell has a control character or a sign that could not be read"
            fault = Fault("bad_character", found, "readable text", "type the cell's text again")
            collected.fault(int(bad), place, fault)


def check_text_cells(table: RawTable, columns: Columns, collected: Collected) -> None:
    """Record error values that a spreadsheet left in text columns; other columns see to their own."""
    for name, place in columns.place.items():
        if FIELD_BY_NAME[name].kind != "text":
            continue
        cells = table.frame[str(place)]
        for row in _rows_like(cells, _ERROR):
            try:
                check_damage(cells[int(row)].strip())
            except QuantityError as error:
                fault = Fault(error.code, error.found, error.expected, error.mend)
                collected.fault(int(row), place, fault)


def _rows_like(cells: pl.Series, pattern: str) -> IntArray:
    hits: BoolArray = cells.str.contains(pattern).to_numpy()
    return np.flatnonzero(hits)


def check_entry_numbers(table: RawTable, cells: pl.Series, column: int, collected: Collected) -> None:
    """Reject rows that share an entry number, each naming the others; flag what a spreadsheet may have done.

    Numbers are compared by `entry_key`.
    """
    keys = cells.str.strip_chars()
    folded = pl.Series([entry_key(key) for key in keys.to_list()], dtype=pl.String)
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
