"""Mended rows put back into their sheet, by row and entry number: the whole list, with what was corrected."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from sizing.entry_key import entry_key
from sizing.errors import InputError
from sizing.intake.fleet import DEFAULT_LIMITS, read_table
from sizing.intake.header_match import name_of
from sizing.intake.headers import PROBLEM_PREFIX
from sizing.raw_table import Limits, RawTable
from sizing.spreadsheet import cells_as_they_were, from_text
from sizing.units import clip

_ROW: Final = f"{PROBLEM_PREFIX}row"
_COLUMN: Final = f"{PROBLEM_PREFIX}column"


@dataclass(frozen=True)
class Merged:
    """The whole list as CSV, each row where it stood, and what was put into it."""

    content: bytes
    notes: tuple[str, ...]


def merge_mended(
    sheet: bytes, sheet_name: str, mended: bytes, mended_name: str, limits: Limits = DEFAULT_LIMITS
) -> Merged:
    """Return the sheet with its mended rows; InputError where a mended row belongs to none of the sheet.

    A row is found by its number in the sheet, where the entry number there is the same, or was what had to be
    mended; else by its entry number. A column that the sheet does not have comes after the others.
    """
    table, rows = read_table(sheet, sheet_name, limits), read_table(mended, mended_name, limits)
    header = [cell.strip() for cell in table.header]
    own = [from_text(cell.strip()) for cell in rows.header]
    cells = {row: list(table.ragged.get(row) or table.frame.row(row)) for row in range(table.frame.height)}
    numbers = _by_number(table)
    by_row = {int(number): row for row, number in enumerate(table.row_no.tolist())}
    put: dict[int, str] = {}
    for at in range(rows.frame.height):
        found = dict(zip(own, (from_text(cell) for cell in rows.frame.row(at)), strict=True))
        told = {key: cell for key, cell in found.items() if key and not key.startswith(PROBLEM_PREFIX)}
        entry = _entry(told)
        row = _place(found, entry, by_row, numbers, cells, header)
        if row is None or row in put:
            why = "is not in the sheet" if row is None else f"is row {table.row_no[row]} once more"
            raise InputError(
                f"{mended_name}, row {rows.row_no[at]}", f"entry “{clip(entry)}” {why}",
                f"the rows that were rejected of {sheet_name}, each once",
                "correct its entry number or problem_row, or take the row out",
            )  # fmt: skip
        cells[row] = _mended(cells[row], header, told)
        put[row] = entry
    named = ", ".join(f"{clip(entry)} (row {table.row_no[row]})" for row, entry in list(put.items())[:10])
    more = f" and {len(put) - 10} more" if len(put) > 10 else ""
    note = f"{len(put)} mended rows of {mended_name} are put into {sheet_name}: entry {named}{more}."
    return Merged(_written(table, header, cells), (note,) if put else ())


def _entry(told: Mapping[str, str]) -> str:
    return next((cell.strip() for key, cell in told.items() if name_of(key) == "entry_no"), "")


def _by_number(table: RawTable) -> dict[str, list[int]]:
    place = next((at for at, cell in enumerate(table.header) if name_of(cell.strip()) == "entry_no"), None)
    numbers: dict[str, list[int]] = {}
    if place is not None:
        for row, cell in enumerate(table.frame[str(place)].to_list()):
            if cell.strip():
                numbers.setdefault(entry_key(cell.strip()), []).append(row)
    return numbers


def _place(
    found: Mapping[str, str],
    entry: str,
    by_row: Mapping[int, int],
    numbers: Mapping[str, list[int]],
    cells: Mapping[int, list[str]],
    header: Sequence[str],
) -> int | None:
    """Return the row of the sheet that a mended row is, None if that is not certain."""
    said = found.get(_ROW, "").strip()
    row = by_row.get(int(said)) if said.isdecimal() else None
    same = numbers.get(entry_key(entry), []) if entry else []
    if row is not None:
        place = next((at for at, cell in enumerate(header) if name_of(cell) == "entry_no"), None)
        before = cells[row][place].strip() if place is not None and place < len(cells[row]) else ""
        mended = place is not None and header[place] in found.get(_COLUMN, "")
        if row in same or not before or not entry or mended:
            return row
    return same[0] if len(same) == 1 else None


def _mended(before: list[str], header: list[str], told: Mapping[str, str]) -> list[str]:
    row = (before + [""] * len(header))[: len(header)]
    for key, cell in told.items():
        if key not in header:
            if not cell.strip():
                continue
            header.append(key)
        place = header.index(key)
        row += [""] * (place + 1 - len(row))
        row[place] = cell
    return row


def _written(table: RawTable, header: Sequence[str], cells: Mapping[int, Sequence[str]]) -> bytes:
    """Return the list as CSV with blank rows where rows were left out, so that every row keeps its number."""
    numbers = [int(number) for number in table.row_no]
    rows: list[tuple[int, Sequence[str]]] = [(min(numbers, default=2) - 1, header)]
    for row, number in enumerate(numbers):
        whole = len(cells[row]) >= len(table.header)  # what was cut short stays so, to be said
        rows.append((number, [*cells[row], *[""] * (len(header) - len(cells[row]) if whole else 0)]))
    return cells_as_they_were(rows, table.delimiter or "\t")  # a tab says nothing of the decimal sign
