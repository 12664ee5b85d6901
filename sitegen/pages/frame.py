"""What the theme needs to know about a page, and about the site as a whole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar, Literal, Protocol

PageKind = Literal[
    "overview", "boat", "order", "method", "checks", "glossary", "rejected", "not-this", "sheets", "sheet",
    "licences", "changes", "cuts",
]  # fmt: skip


@dataclass(frozen=True)
class Frame:
    """One page as the theme sees it. `address` is relative to the site; `title` is plain text."""

    address: str
    title: str
    description: str
    kind: PageKind
    nav_address: str

    @property
    def root(self) -> str:
        """What leads from this page back to the site's folder."""
        return "../" * self.address.count("/")


@dataclass(frozen=True)
class NavigationItem:
    """One link of the main navigation."""

    address: str
    title: str


NAVIGATION = (
    NavigationItem("index.html", "Fleet"),
    NavigationItem("order.html", "Order"),
    NavigationItem("sheets.html", "Scrutineers"),
    NavigationItem("checks.html", "Checks"),
    NavigationItem("method.html", "Method"),
    NavigationItem("glossary.html", "Glossary"),
)


@dataclass(frozen=True)
class SiteFrame:
    """What is the same on every page."""

    rally: str
    officer: str
    contact: str
    base_url: str
    program_version: str
    headline_caution: str
    content_security_policy: str
    navigation: tuple[NavigationItem, ...] = NAVIGATION


@dataclass(frozen=True)
class SearchEntry:
    """One thing search can find."""

    address: str
    title: str
    text: str


class Page(Protocol):
    """A page: a frozen dataclass whose fields are all its template may use."""

    template: ClassVar[str]
    __dataclass_fields__: ClassVar[dict[str, Any]]

    @property
    def frame(self) -> Frame:
        """The page as the theme sees it."""
        ...

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """What search can find of the page."""
        ...
