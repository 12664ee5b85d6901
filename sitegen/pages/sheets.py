"""The scrutineers' page: boats by berth. The sheets to fill in are among the papers, not on the site."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from sitegen.boat_facts import Gatherer
from sitegen.pages.frame import Frame, SearchEntry
from sitegen.pages.parts import BoatStanding
from sitegen.plain_text import visible
from sizing.papers.berths import parts_by_berth
from sizing.redaction import private_values, redact


@dataclass(frozen=True)
class ListedBoat:
    """One boat on the list."""

    href: str
    entry_no: str
    boat_name: str
    berth: str
    standing: BoatStanding


@dataclass(frozen=True)
class SheetsPart:
    """Boats that lie together."""

    title: str
    boats: tuple[ListedBoat, ...]


@dataclass(frozen=True)
class SheetsPage:
    """What the template of the scrutineers' page may use."""

    template: ClassVar[str] = "sheets.html.j2"
    frame = Frame("sheets.html", "Scrutineers' list", "Boats by berth", "sheets", "sheets.html")

    parts: tuple[SheetsPart, ...]
    hidden: bool

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """The page as a whole."""
        return (SearchEntry("sheets.html", "Scrutineers' list", "inspection, by pontoon and berth"),)


def sheets_page(gatherer: Gatherer) -> SheetsPage:
    """Return the page: public boats in parts, as they are walked to."""
    text = gatherer.fleet.text
    rows = [row for row in range(len(gatherer)) if gatherer.is_public(row)]
    entries = {row: str(text["entry_no"][row] or "") for row in rows}
    hidden = {row: (*private_values(gatherer.fleet, row), *gatherer.hidden.names) for row in rows}
    berths = {row: visible(redact(str(text["berth"][row] or ""), hidden[row])) for row in rows}

    def listed(row: int) -> ListedBoat:
        name = visible(str(text["boat_name"][row] or ""))
        return ListedBoat(
            gatherer.address(row), visible(entries[row]), name, berths[row], gatherer.standing(row)
        )

    return SheetsPage(
        tuple(
            SheetsPart(part.title, tuple(map(listed, part.rows))) for part in parts_by_berth(berths, entries)
        ),
        bool(gatherer.hidden.rows),
    )
