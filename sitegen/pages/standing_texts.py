"""Standing texts: glossary, cautions, licences of others' parts, the folder of boats."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from sitegen.pages.frame import Frame, SearchEntry
from sitegen.texts import Caution
from sizing.words import Term


@dataclass(frozen=True)
class GlossaryBlock:
    """The words of the site."""

    name: ClassVar[str] = "glossary"
    template: ClassVar[str] = "glossary.html.j2"

    terms: tuple[Term, ...]

    def search_entries(self, address: str) -> tuple[SearchEntry, ...]:
        """Every word, with what else people call it."""
        return tuple(
            SearchEntry(f"{address}#{term.anchor}", term.word, term.meaning, term.others)
            for term in self.terms
        )


@dataclass(frozen=True)
class HeadlineBlock:
    """What every page says of itself."""

    name: ClassVar[str] = "headline"
    template: ClassVar[str] = "headline.html.j2"

    headline_caution: str

    def search_entries(self, address: str) -> tuple[SearchEntry, ...]:
        """Nothing beside the page itself."""
        return ()


@dataclass(frozen=True)
class CautionsBlock:
    """The cautions that stand on boats' pages too."""

    name: ClassVar[str] = "cautions"
    template: ClassVar[str] = "cautions.html.j2"

    cautions: tuple[Caution, ...]

    def search_entries(self, address: str) -> tuple[SearchEntry, ...]:
        """Nothing beside the page itself."""
        return ()


@dataclass(frozen=True)
class LicensedPart:
    """A part of the site made by others."""

    name: str
    use: str
    text: str


@dataclass(frozen=True)
class LicencesPage:
    """What the licences template may use."""

    template: ClassVar[str] = "licences.html.j2"
    frame = Frame("licences.html", "Licences", "Parts made by others", "licences", "")

    parts: tuple[LicensedPart, ...]

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """Nothing anybody looks for."""
        return ()


@dataclass(frozen=True)
class BoatsPage:
    """What stands at the address of the folder of boats, where a server would else list its files."""

    template: ClassVar[str] = "boats.html.j2"
    frame = Frame(
        "boats/index.html", "Boats", "Where the boats are listed", "boats", "index.html", listed=False
    )

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """Nothing anybody looks for."""
        return ()
