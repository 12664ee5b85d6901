"""Pages of standing text: glossary, what this is not, licences of others' parts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from sitegen.pages.frame import Frame, SearchEntry
from sitegen.texts import Term


@dataclass(frozen=True)
class GlossaryPage:
    """What the glossary template may use."""

    template: ClassVar[str] = "glossary.html.j2"
    frame = Frame("glossary.html", "Glossary", "The words of this site", "glossary", "glossary.html")

    terms: tuple[Term, ...]

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """Every word."""
        return tuple(SearchEntry(f"glossary.html#{t.anchor}", t.word, t.meaning) for t in self.terms)


@dataclass(frozen=True)
class NotThisPage:
    """What the template of `not_this` may use."""

    template: ClassVar[str] = "not_this.html.j2"
    frame = Frame("not-this.html", "What this is not", "The limits of this site", "not-this", "")

    headline_caution: str
    not_this: tuple[str, ...]
    cautions: tuple[str, ...]

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """The page as a whole."""
        return (SearchEntry("not-this.html", "What this is not", " ".join(self.not_this)),)


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
