"""What our pages take of Markdown: no raw HTML, no script, nothing from outside, links that lead somewhere.

Raw HTML is shown as the text it is. A picture from outside is left out, an address that could run something
is no link. A link to a page or picture that is not there is a fault. All of it is told with file and line.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final
from urllib.parse import SplitResult, unquote, urlsplit
from xml.etree import ElementTree as ET

from markdown import Markdown
from markdown.extensions import Extension
from markdown.treeprocessors import Treeprocessor
from markdown.util import AMP_SUBSTITUTE

from sizing.entry_key import entry_key
from sizing.errors import InputError

EXTENSIONS: Final = (
    "admonition", "def_list", "fenced_code", "footnotes", "pymdownx.details", "sane_lists", "tables", "toc",
)  # fmt: skip
LEADS_OUT: Final = frozenset({"http", "https", "mailto", "tel"})
BOAT: Final = "boat"
PLACEHOLDER: Final = re.compile(r"\{\{\s*([a-z-]+)\s*\}\}")
RAW: Final = re.compile(r"<(?:!--|/?[A-Za-z][\w-]*(?=[\s/>]))[^<>]*>?")
CODE: Final = re.compile(r"(`+)(?!`).*?\1")
FENCE: Final = re.compile(r"\s*(```|~~~)")
ALIGNED: Final = {"text-align: right;": "dm-number", "text-align: center;": "dm-centre"}


@dataclass(frozen=True)
class Fault:
    """Something that stops the build: the line, what is wrong there, what is expected, how to mend it."""

    line: int
    found: str
    expected: str
    mend: str


@dataclass
class Looked:
    """What is found while one page is converted. `line` is where its Markdown begins in its file, from 0."""

    name: str
    text: str
    line: int = 0
    notes: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    def line_of(self, piece: str) -> int:
        """The line of the file in which a piece of text stands first."""
        at = self.text.find(piece)
        return self.line + self.text.count("\n", 0, max(at, 0)) + 1

    def raise_fault(self) -> None:
        """Raise the first fault of the page, if there is one, as InputError."""
        if self.faults:
            fault = min(self.faults, key=lambda one: one.line)
            where = f"pages, {self.name}, line {fault.line}"
            raise InputError(where, fault.found, fault.expected, fault.mend)

    def note(self, piece: str, words: str) -> None:
        """Note something about a piece of text."""
        self.notes.append(f"{self.name}, line {self.line_of(piece)}: {words}")


@dataclass(frozen=True)
class Around:
    """What a page may lead to: Markdown files and pictures by name, pages that are made, blocks, boats.

    `boats` gives the address of the page of each entry by its key; None where the entries are not known yet.
    """

    sources: Collection[str]
    made: Collection[str]
    blocks: Collection[str]
    boats: Mapping[str, str] | None = None


class PageRules(Extension):
    """Makes Markdown keep to the rules; what it finds of a page goes into `looked`."""

    def __init__(self, around: Around) -> None:
        super().__init__()
        self.around = around
        self.looked = Looked("", "")

    def begin(self, name: str, text: str, line: int = 0) -> Looked:
        """Begin a page: `text` is its Markdown, which begins in that line of its file."""
        self.looked = Looked(name, text, line)
        for number, piece in _raw_html(text):
            self.looked.notes.append(
                f"{name}, line {line + number}: “{piece}” is HTML. Pages take Markdown alone: "
                "it is shown as text."
            )
        return self.looked

    def extendMarkdown(self, md: Markdown) -> None:  # noqa: N802  Markdown's own name
        """Take out what reads raw HTML, and put the rules in."""
        md.preprocessors.deregister("html_block")
        md.inlinePatterns.deregister("html")
        md.treeprocessors.register(_Rules(self, md), "page_rules", 6)  # before headings get their addresses


class _Rules(Treeprocessor):
    def __init__(self, page: PageRules, md: Markdown) -> None:
        super().__init__(md)
        self.page = page

    def run(self, root: ET.Element) -> None:
        self.md.set_output_format("html")  # which MkDocs leaves as XHTML, and no extension can set earlier
        first = True
        for element in list(root.iter()):
            if element.tag == "h1":
                element.tag = "h1" if first else "h2"
                first = False
            elif element.tag == "img":
                self._picture(element)
            elif element.tag == "a":
                self._link(element)
            elif element.tag in {"td", "th"}:
                _cell(element)
            elif element.tag == "p" and len(element) == 0:
                self._placeholder(element.text or "")
        _wrap_tables(root)

    def _placeholder(self, text: str) -> None:
        found = PLACEHOLDER.fullmatch(text.strip())
        if found and found[1] not in self.page.around.blocks:
            known = ", ".join(sorted(self.page.around.blocks))
            told = f"“{text.strip()}” stands for nothing that is known"
            self._fault(text.strip(), told, f"one of {known}", "correct the word, or delete the line")

    def _picture(self, element: ET.Element) -> None:
        source = element.get("src", "")
        if not source or _split(source).scheme or source.startswith(("/", "\\")):
            self.page.looked.note(
                source or "![",
                f"the picture “{source[:80]}” is not in the folder. A page loads nothing from outside, so "
                "it is left out. Put the picture into the folder and give its name.",
            )
            words, tail = element.get("alt", ""), element.tail
            element.clear()
            element.tag, element.text, element.tail = "em", words, tail
            return
        if not self._is_there(source):
            self._missing(source, "picture")

    def _link(self, element: ET.Element) -> None:
        address = element.get("href", "")
        if AMP_SUBSTITUTE in address:  # a mail address, as Markdown writes it
            return
        parts = _split(address)
        if parts.scheme == BOAT:
            self._boat_link(element, address)
        elif parts.scheme in LEADS_OUT:
            element.set("rel", "noreferrer")
        elif parts.scheme or address.startswith(("/", "\\")):
            self._no_link(element, address, "is no address that a page may lead to, so it is no link here")
        elif parts.path and not self._is_there(address):
            self._missing(address, "page or file")

    def _boat_link(self, element: ET.Element, address: str) -> None:
        boats = self.page.around.boats
        entry = unquote(address.partition(":")[2])
        if boats is None:
            return
        there = boats.get(entry_key(entry))
        if there is None:
            self._no_link(element, address, f"entry {entry} is not on the list, so it is no link here")
        else:
            element.set("href", posixpath.relpath(there, posixpath.dirname(self.page.looked.name) or "."))

    def _no_link(self, element: ET.Element, address: str, words: str) -> None:
        said = words if words.startswith("entry") else f"“{address[:80]}” {words}"
        self.page.looked.note(address, f"{said}.")
        del element.attrib["href"]
        element.tag = "span"

    def _is_there(self, address: str) -> bool:
        path = unquote(urlsplit(address).path)
        target = posixpath.normpath(posixpath.join(posixpath.dirname(self.page.looked.name), path))
        others = (target, target.removesuffix(".html") + ".md", target.removesuffix(".md") + ".html")
        return any(name in self.page.around.sources or name in self.page.around.made for name in others)

    def _missing(self, address: str, kind: str) -> None:
        names = sorted(self.page.around.sources)
        self._fault(
            address, f"it leads to “{address[:80]}”, and there is no such {kind}",
            f"a {kind} of the folder ({', '.join(names[:9])} and the like), or a page such as order.html",
            "correct the name, letter by letter, or add the file",
        )  # fmt: skip

    def _fault(self, piece: str, found: str, expected: str, mend: str) -> None:
        looked = self.page.looked
        looked.faults.append(Fault(looked.line_of(piece), found, expected, mend))


def _split(address: str) -> SplitResult:
    """The parts of an address; of one that cannot be read a scheme alone, which no link may have."""
    try:
        return urlsplit(address)
    except ValueError:
        return urlsplit("unreadable:")


def _cell(element: ET.Element) -> None:
    """A cell's alignment as a class, since a page carries no style of its own; what a head belongs to."""
    aligned = ALIGNED.get(element.attrib.pop("style", ""))
    if aligned:
        element.set("class", aligned)
    if element.tag == "th":
        element.set("scope", "col")


def _wrap_tables(root: ET.Element) -> None:
    """Put each table into a region that scrolls by itself."""
    for parent in list(root.iter()):
        for place, child in enumerate(list(parent)):
            if child.tag == "table":
                heads = ", ".join("".join(head.itertext()).strip() for head in child.iter("th"))
                named = {
                    "class": "dm-scroll",
                    "role": "region",
                    "aria-label": f"Table: {heads}",
                    "tabindex": "0",
                }
                region = ET.Element("div", named)
                region.tail, child.tail = child.tail, None
                parent.remove(child)
                region.append(child)
                parent.insert(place, region)


def _raw_html(text: str) -> Iterator[tuple[int, str]]:
    """Lines with raw HTML, from 1, with the first piece of each; code and addresses in <> are none."""
    fence = ""
    for number, line in enumerate(text.splitlines(), start=1):
        mark = FENCE.match(line)
        if mark and (not fence or mark[1] == fence):
            fence = "" if fence else mark[1]
        elif not fence and not line.startswith(("    ", "\t")):
            found = RAW.search(CODE.sub("", line))
            if found:
                yield number, found.group()[:60]
