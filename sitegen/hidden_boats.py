"""Boats that are named nowhere but on their own pages, and what would name them elsewhere."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cached_property
from typing import Final

from sizing.entry_key import entry_key
from sizing.intake import rejected_cells
from sizing.model import IntakeResult
from sizing.policy import Policy
from sizing.privacy import private_boats, private_refused
from sizing.redaction import SHORTEST_PRIVATE, occurring, private_values

NAMED: Final = ("boat_name", "sail_no")
"""What a boat is known by beside her entry number."""


class HiddenBoats:
    """The boats of a list whose pages are private: `rows` of those taken, `refused` row numbers of others."""

    def __init__(self, intake: IntakeResult, policy: Policy) -> None:
        """Ask of every row of the list whether it is private."""
        self._intake, self._policy, self._fleet = intake, policy, intake.fleet
        self.rows = private_boats(intake.fleet, policy)
        self.refused = private_refused(intake, policy)

    def __len__(self) -> int:
        """How many there are, refused ones among them."""
        return len(self.rows) + len(self.refused)

    def __contains__(self, row: int) -> bool:
        return row in self.rows

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Their names and sail numbers: they are taken out of what others wrote.

        What also stands in a public boat's name, sail number or design tells nobody of the private one.
        """
        if not self:
            return ()
        text = self._fleet.text
        said = [str(text[name][row] or "") for name in NAMED for row in sorted(self.rows)]
        said += [cells.get(name, "") for cells in self._refused_cells() for name in NAMED]
        public = [row for row in range(len(self._fleet)) if row not in self]
        of_others = "\n".join(
            str(text[name][row] or "") for name in (*NAMED, "design") for row in public
        ).casefold()
        names = {name.strip() for name in said}
        return tuple(sorted(n for n in names if len(n) >= SHORTEST_PRIVATE and n.casefold() not in of_others))

    @cached_property
    def entries(self) -> frozenset[str]:
        """Their entry numbers, as they are compared; of no boat that is public."""
        entries = [entry_key(str(entry or "")) for entry in self._fleet.text["entry_no"]]
        found = {entries[row] for row in self.rows}
        found |= {entry_key(cells.get("entry_no", "")) for cells in self._refused_cells()}
        return frozenset(found - {entry for row, entry in enumerate(entries) if row not in self} - {""})

    def _refused_cells(self) -> Iterator[dict[str, str]]:
        names = self._intake.columns
        return (rejected_cells(row, names) for row in self._intake.rejected if row.row_no in self.refused)

    def named_in(self, text: str) -> bool:
        """Whether a sentence names one of them, by what she is called or as entry so and so."""
        folded = text.casefold()
        words = set(re.findall(r"[^\s“”\"',;:()]+", folded))
        return (
            bool(words & self.entries)
            or any(entry in folded for entry in self.entries if " " in entry)
            or any(name.casefold() in folded for name in self.names)
        )

    def left_out(self, row: int) -> tuple[str, ...]:
        """What is taken out of boat `row`'s texts: her contact details, and what names one of these boats."""
        hers = private_values(self._fleet, row)
        if not self.names or row in self:
            return hers
        entry = self._fleet.entry(row)
        waived = (
            w.reason for w in self._policy.waivers if entry_key(w.entry_no) == entry_key(entry.entry_no)
        )
        texts = (*entry.as_written.values(), *entry.remarks, *entry.warnings, *waived)
        return (*hers, *occurring(self.names, "\n".join(texts)))
