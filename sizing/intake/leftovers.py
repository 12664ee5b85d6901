"""Rows below the header that are no boats: blank rows, totals, the header again, the template's guidance."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from sizing.intake.table import RawTable
from sizing.model import BoolArray
from sizing.units import clip

GUIDANCE_MARK: Final = "(guidance, not a boat)"
_TOTAL: Final = r"(?:sub|grand|fleet)?[ -]*(?:totals?|sums?|average|mean|count)\b[ :]*"
_TOTAL_CELL: Final = re.compile(_TOTAL + r"(?:of [a-z ]+|boats|entries|[0-9]+)?", re.IGNORECASE)
_CANDIDATE: Final = r"(?i)^\s*$|^\s*" + _TOTAL + r"|^\s*\(guidance"
_FIGURE: Final = re.compile(r"[0-9][0-9., ]*[A-Za-z%²'\"]{0,6}2?")


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
    if stripped[place["boat_type"]]:
        return ""
    if any(_TOTAL_CELL.fullmatch(cell) for cell in filled):
        return "total"
    if not stripped[place["boat_name"]] and all(_FIGURE.fullmatch(cell) for cell in filled):
        return "total"
    return ""
