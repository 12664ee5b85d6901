"""Pages of standing text: glossary, what this is not, licences of others' parts."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.metadata import distribution
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


def licensed_parts() -> tuple[LicensedPart, ...]:
    """Return the parts made by others, with the text of their licence as installed."""
    return (
        LicensedPart(
            "Material for MkDocs",
            "The basic style sheet of every page, assets/stylesheets/main.*.min.css, without its source map.",
            _licence("mkdocs-material"),
        ),
    )


def _licence(name: str) -> str:
    installed = distribution(name)
    for place in ("licenses/LICENSE", "LICENSE", "LICENSE.txt", "LICENSE.md"):
        text = installed.read_text(place)
        if text:
            return text
    raise LookupError(f"the installed package {name} has no licence file")
