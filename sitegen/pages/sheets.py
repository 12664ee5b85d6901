"""Scrutineers' sheets: one page a pontoon, to print and fill in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar, Final

from sitegen.boat_facts import BoatFacts, Pontoon, SheetFacts
from sitegen.pages.frame import Frame, SearchEntry
from sitegen.pages.parts import BoatStanding, Figure, FindingView, finding_view, plural
from sitegen.plain_text import one_line, visible
from sizing.audit import needed_of, needed_words
from sizing.fields import FIELD_BY_NAME

LETTERS: Final = 3
"""Longest name of a pontoon that does not say itself what it is: "A", but not "quay wall"."""


def berths_title(pontoon: str) -> str:
    """Return what the boats of one pontoon are called together.

    >>> berths_title("B"), berths_title("quay wall"), berths_title("")
    ('Pontoon B', 'quay wall', 'No berth given')
    """
    if not pontoon:
        return "No berth given"
    return f"Pontoon {pontoon}" if len(pontoon) <= LETTERS else pontoon


@dataclass(frozen=True)
class SheetBoat:
    """One boat on a sheet."""

    href: str
    entry_no: str
    boat_name: str
    berth: str
    boat_type: str
    standing: BoatStanding
    needs: tuple[Figure, ...]
    items: tuple[FindingView, ...]


@dataclass(frozen=True)
class SheetPage:
    """What the template of a sheet may use."""

    template: ClassVar[str] = "sheet.html.j2"

    address: str
    title: str
    boats: tuple[SheetBoat, ...]

    @property
    def frame(self) -> Frame:
        """The page as the theme sees it."""
        title = f"Sheet: {one_line(self.title)}"
        return Frame(self.address, title, "Scrutineer's sheet to print", "sheet", "sheets.html")

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """The sheet by its pontoon."""
        return (SearchEntry(self.address, self.frame.title, "scrutineer's sheet to print"),)


@dataclass(frozen=True)
class SheetLink:
    """One sheet in the list of sheets."""

    href: str
    title: str
    words: str


@dataclass(frozen=True)
class SheetsPage:
    """What the template of the list of sheets may use."""

    template: ClassVar[str] = "sheets.html.j2"
    frame = Frame("sheets.html", "Scrutineers' sheets", "Sheets to print", "sheets", "sheets.html")

    sheets: tuple[SheetLink, ...]

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """The list as a whole."""
        return (
            SearchEntry("sheets.html", "Scrutineers' sheets", "inspection, to print, by pontoon and berth"),
        )


def sheet_boat(facts: BoatFacts | SheetFacts) -> SheetBoat:
    """Return what the rally asks of a boat's gear, and what is open there, shalls first."""
    entry = facts.entry
    needs = [
        Figure(FIELD_BY_NAME[column].label, needed_words(strictest))
        for column, (strictest, *_) in needed_of(facts.findings).items()
        if strictest.check.level == "shall"
    ]
    still = (f for f in facts.findings if f.is_open or f.below_advised)
    open_findings = sorted(still, key=lambda f: f.below_advised or f.check.level != "shall")
    return SheetBoat(
        f"../{facts.address}",
        visible(entry.entry_no),
        visible(entry.boat_name),
        visible(entry.berth),
        entry.boat_type,
        facts.standing,
        tuple(needs),
        tuple(finding_view(finding, "her") for finding in open_findings),
    )


def sheet_page(pontoon: Pontoon, boats: Iterable[SheetBoat]) -> SheetPage:
    """Return the sheet of one pontoon."""
    return SheetPage(pontoon.address, berths_title(pontoon.name), tuple(boats))


def sheets_page(pontoons: Iterable[Pontoon]) -> SheetsPage:
    """Return the list of sheets."""
    return SheetsPage(
        tuple(SheetLink(p.address, berths_title(p.name), plural(len(p.rows), "boat")) for p in pontoons)
    )
