"""Sheets of one workbook that hold one list in parts, "Monohulls" and "Multihulls": read together, none lost.

Two sheets are of one shape where their known columns are named alike, in any order; other columns may differ.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from sizing.entry_key import entry_key
from sizing.intake.header_words import normal_header
from sizing.raw_table import HEAD_ROWS, NameOf, find_header
from sizing.units import clip

Rows = list[tuple[int, int, list[str]]]
_PARTS: Final = 50
"""Most sheets that are read together."""
_SAME_BOATS: Final = 0.5
"""Share of the shorter sheet's entry numbers from which two sheets are versions of one list [assumed]."""


@dataclass(frozen=True)
class Part:
    """One sheet: its title, and its rows that are not blank, those above the header among them."""

    title: str
    rows: Rows

    def header_at(self, name_of: NameOf) -> int:
        """The place of its header row."""
        return find_header([cells for _, _, cells in self.rows[:HEAD_ROWS]], name_of)[0]


def shape(rows: Sequence[Sequence[str]], name_of: NameOf) -> frozenset[str]:
    """Return what makes two sheets one list: the headers that are known, as they are compared."""
    at, known = find_header(rows, name_of)
    if known < 2:
        return frozenset()
    return frozenset(normal_header(cell) for cell in rows[at] if name_of(cell.strip()))


def copies(one: Part, other: Part, name_of: NameOf) -> bool:
    """Whether two sheets hold the same boats, such as last week's list beside this week's."""
    first, second = _numbers(one, name_of), _numbers(other, name_of)
    fewest = min(len(first), len(second))
    return fewest > 0 and len(first & second) > _SAME_BOATS * fewest


def _numbers(part: Part, name_of: NameOf) -> set[str]:
    at = part.header_at(name_of)
    place = next(
        (place for place, cell in enumerate(part.rows[at][2]) if name_of(cell.strip()) == "entry_no"), None
    )
    if place is None:
        return set()
    return {entry_key(cells[place].strip()) for _, _, cells in part.rows[at + 1 :]
            if place < len(cells) and cells[place].strip()}  # fmt: skip


def together(parts: Sequence[Part], name_of: NameOf) -> tuple[Rows, list[str]]:
    """Return the rows of all parts under the header of the first, and a note that says how rows are counted.

    Columns of further parts are put under the header of the same words; those of their own come after the
    others. Rows are numbered on from part to part, so that each number names one row.
    """
    first, *others = parts[:_PARTS]
    at = first.header_at(name_of)
    rows = [(number, line, list(cells)) for number, line, cells in first.rows]
    header = rows[at][2]
    places = {normal_header(cell): place for place, cell in enumerate(header) if normal_header(cell)}
    last = max((number for number, _, _ in rows), default=0)
    counted = [f"“{clip(first.title)}” as there"]
    for part in others:
        head = part.header_at(name_of)
        to: list[int] = []
        for cell in part.rows[head][2]:
            key = normal_header(cell)
            if not key or key not in places:
                header.append(cell)
                places.setdefault(key or f"\0{len(header)}", len(header) - 1)
                to.append(len(header) - 1)
            else:
                to.append(places[key])
        for number, line, cells in part.rows[head + 1 :]:
            row = [""] * len(header)
            for place, cell in zip(to, cells, strict=False):
                row[place] = cell
            row += cells[len(to) :]  # what stands beyond the header is said of the row
            rows.append((last + number, line, row))
        counted.append(f"“{clip(part.title)}” from {last + 1}, which is its row 1")
        last = max(last, *(number for number, _, _ in rows))
    titles = " and ".join(f"“{clip(part.title)}”" for part in parts)
    said = f"have the same columns and are read together. Rows are counted: {'; '.join(counted)}."
    return rows, [f"Sheets {titles} {said}"]
