"""What the theme needs to know about a page, and about the site as a whole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar, Literal, Protocol

PageKind = Literal[
    "overview", "boat", "order", "guide", "rejected", "sheets", "licences", "changes", "cuts", "boats",
]  # fmt: skip


@dataclass(frozen=True)
class Frame:
    """One page as the theme sees it. `address` is relative to the site; `title` is plain text.

    Search engines are asked to leave a page alone that is not `listed`.
    """

    address: str
    title: str
    description: str
    kind: PageKind
    nav_address: str
    listed: bool = True

    @property
    def root(self) -> str:
        """What leads from this page back to the site's folder."""
        return "../" * self.address.count("/")


@dataclass(frozen=True)
class NavigationItem:
    """One link of the main navigation."""

    address: str
    title: str


@dataclass(frozen=True)
class NavigationSection:
    """Links of the main navigation that stand together."""

    title: str
    items: tuple[NavigationItem, ...]


Navigation = tuple[NavigationItem | NavigationSection, ...]

MADE = (
    NavigationItem("index.html", "Fleet"),
    NavigationItem("order.html", "Order"),
    NavigationItem("sheets.html", "Scrutineers"),
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
    navigation: Navigation = MADE


@dataclass(frozen=True)
class SearchEntry:
    """One thing search can find. `keys` are its numbers and other names, found as a whole."""

    address: str
    title: str
    text: str
    keys: tuple[str, ...] = ()


class Made(Protocol):
    """What a template makes: a frozen dataclass whose fields are all the template may use."""

    template: ClassVar[str]
    __dataclass_fields__: ClassVar[dict[str, Any]]


class Block(Made, Protocol):
    """A part that is made and put into a page of Markdown where that has `{{ name }}` as a paragraph."""

    name: ClassVar[str]

    def search_entries(self, address: str) -> tuple[SearchEntry, ...]:
        """What search can find of it on the page of that address."""
        ...


class Page(Made, Protocol):
    """A page that is made whole."""

    @property
    def frame(self) -> Frame:
        """The page as the theme sees it."""
        ...

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """What search can find of the page."""
        ...
