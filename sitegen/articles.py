"""Pages written in Markdown: our guide, and a rally's own pages, which may take the place of ours.

What is wrong with a rally's folder is told before anything is worked out. Our own pages go the same way.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from pathlib import Path, PurePosixPath
from typing import Final
from urllib.parse import unquote
from xml.etree import ElementTree as ET

import yaml
from markdown import Markdown

from sitegen.made_addresses import made_addresses, made_folders
from sitegen.markdown_rules import BOAT, EXTENSIONS, Around, PageRules
from sitegen.pages.blocks import BLOCKS
from sizing.entry_key import entry_key
from sizing.errors import InputError

PAGE: Final = ".md"
PICTURES: Final[Mapping[str, tuple[bytes, ...]]] = {
    ".svg": (b"<", b"\xef\xbb\xbf<"), ".png": (b"\x89PNG\r\n\x1a\n",), ".jpg": (b"\xff\xd8\xff",),
    ".jpeg": (b"\xff\xd8\xff",), ".gif": (b"GIF8",), ".webp": (b"RIFF",), ".pdf": (b"%PDF-",),
}  # fmt: skip
"""Kinds of files beside pages, and how such a file begins."""
MOST_BYTES: Final = 3_000_000
MOST_BYTES_IN_ALL: Final = 15_000_000
MOST_FILES: Final = 200
NAME: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._-]{0,79}")
FRONT: Final = re.compile(r"---[ \t]*\n((?:.*\n)*?)---[ \t]*\n")
MARKS: Final = re.compile(r"!?\[([^\]]*)\]\([^)]*\)|[*`]")
"""Marks of a heading that are left out where it is the title: links, emphasis, code."""
BOAT_LINK: Final = re.compile(rf"{BOAT}:([^\s)>\]\"]+)")
RUNNING: Final = frozenset({"script", "foreignobject", "iframe", "embed", "object", "handler"})
KINDS: Final = ", ".join((PAGE, *PICTURES))
GUIDE: Final = "guide"


@dataclass(frozen=True)
class Article:
    """One page in Markdown. `first_line` is the line of its file in which the Markdown begins, from 0."""

    name: str
    title: str
    description: str
    text: str
    first_line: int
    of_rally: bool

    @property
    def address(self) -> str:
        """The page's address, relative to the site."""
        return f"{self.name.removesuffix(PAGE)}.html"

    @property
    def source(self) -> str:
        """The page as MkDocs takes it; without a head, it would take a first line with a colon for one."""
        return f"---\ntitle: {json.dumps(self.title)}\n---\n\n{self.text}"


@dataclass(frozen=True)
class Articles:
    """All pages in Markdown by name, and the files beside them."""

    pages: Mapping[str, Article]
    pictures: Mapping[str, bytes]

    @property
    def replaced(self) -> tuple[str, ...]:
        """Pages of the rally that stand in the place of ours."""
        return tuple(name for name, page in self.pages.items() if page.of_rally and name in our_pages())

    @property
    def of_folder(self) -> tuple[Article, ...]:
        """All pages of the rally's folder."""
        return tuple(page for page in self.pages.values() if page.of_rally)

    @property
    def of_rally(self) -> tuple[Article, ...]:
        """The rally's further pages, in the order of their names."""
        return tuple(page for name, page in self.pages.items() if page.of_rally and name not in our_pages())

    def around(self, boats: Mapping[str, str] | None = None) -> Around:
        """What a page may lead to."""
        return Around({*self.pages, *self.pictures}, made_addresses(), BLOCKS, boats)


@lru_cache(maxsize=1)
def our_pages() -> Mapping[str, Article]:
    """Our own pages by name."""
    folder = files("sitegen") / GUIDE
    names = sorted(one.name for one in folder.iterdir() if one.name.endswith(PAGE))
    return {name: _article(name, (folder / name).read_text(encoding="utf-8"), False) for name in names}


def files_in(folder: Path) -> dict[str, bytes]:
    """Read a rally's folder: its files by their path in it; names that begin with a dot are passed over.

    Raises InputError where there is no such folder, or it holds more than a site takes.
    """
    where = f"pages {folder}"
    if not folder.is_dir():
        raise InputError(
            where, "there is no such folder", "a folder with Markdown files (.md) and pictures",
            "correct --pages, or leave it out",
        )  # fmt: skip
    found = sorted(path for path in folder.rglob("*") if path.is_file())
    shown = {path.relative_to(folder).as_posix(): path for path in found}
    shown = {
        name: path for name, path in shown.items() if not any(p.startswith(".") for p in name.split("/"))
    }
    if len(shown) > MOST_FILES:
        raise InputError(
            where, f"{len(shown):,} files", f"at most {MOST_FILES}", "take out what is not for the site"
        )
    for name, path in shown.items():
        if path.stat().st_size > MOST_BYTES:
            raise _too_large(name, path.stat().st_size)
    return {name: path.read_bytes() for name, path in shown.items()}


def read_articles(given: Mapping[str, bytes]) -> Articles:
    """Return all pages: ours, with the files of a rally added or put in their place.

    Raises InputError that says which file and line, what was found, what is expected and how to mend it.
    """
    total = sum(map(len, given.values()))
    if total > MOST_BYTES_IN_ALL:
        raise InputError(
            "pages", f"{total / 1e6:.1f} MB in all", f"at most {MOST_BYTES_IN_ALL // 1_000_000} MB",
            "make the pictures smaller",
        )  # fmt: skip
    taken = Counter(name.casefold() for name in given)
    pages, pictures = dict(our_pages()), {}
    for name, body in sorted(given.items()):
        _check_name(name, taken)
        if len(body) > MOST_BYTES:
            raise _too_large(name, len(body))
        if name.endswith(PAGE):
            pages[name] = _article(name, _text(name, body), True)
        else:
            _check_picture(name, body)
            pictures[name] = body
    return Articles(pages, pictures)


def notes_on(articles: Articles, boats: Mapping[str, str] | None = None) -> list[str]:
    """Convert every page of the rally once; return what is to be told of them.

    `boats` gives the address of each boat's page by the key of her entry number, where the list is known.
    Raises InputError for the first fault, such as a link to a page that is not there.
    """
    notes = [
        f"{name} stands in the place of the program's own page of that name." for name in articles.replaced
    ]
    for page in articles.of_folder:
        rules = PageRules(articles.around(boats))
        looked = rules.begin(page.name, page.text, page.first_line)
        Markdown(extensions=[*EXTENSIONS, rules]).convert(page.text)
        looked.raise_fault()
        notes += looked.notes
    return notes


def private_notes(articles: Articles, sought: Iterable[str]) -> list[str]:
    """What a rally's pages say of people on the list: it is published as written, and so it is told."""
    said = (
        "a name, address or number there is also that of somebody on the entry list. It is published as the "
        "page has it."
    )
    words = [word for word in sought if word]
    return _told_by_line(articles, lambda line: any(word in line for word in words), said)


def private_boat_notes(articles: Articles, names: Iterable[str], entries: Collection[str]) -> list[str]:
    """What a rally's pages say of boats with private pages, by their names or by a link to one of `entries`.

    `entries` are keys of entry numbers.
    """
    folded = [name.casefold() for name in names]

    def names_one(line: str) -> bool:
        linked = {entry_key(unquote(found)) for found in BOAT_LINK.findall(line)}
        return any(name in line for name in folded) or not linked.isdisjoint(entries)

    said = (
        "a boat whose page is private is named or linked to there. The words are published as the page has "
        "them, without the link."
    )
    return _told_by_line(articles, names_one, said)


def _told_by_line(articles: Articles, tells: Callable[[str], bool], said: str) -> list[str]:
    """A note on each line of a rally's pages that tells of somebody; it is asked without capitals."""
    return [
        f"{page.name}, line {page.first_line + number}: {said}"
        for page in articles.of_folder
        for number, line in enumerate(page.text.casefold().split("\n"), 1)
        if tells(line)
    ]


def _article(name: str, text: str, of_rally: bool) -> Article:
    head = FRONT.match(text)
    meta = _meta(name, head[1]) if head else {}
    body = text[head.end() :] if head else text
    heading = re.search(r"^#[ \t]+(.+?)[ \t]*#*[ \t]*$", body, re.MULTILINE)
    words = PurePosixPath(name).stem.replace("-", " ").replace("_", " ")
    first = MARKS.sub(r"\1", heading[1]) if heading else words[:1].upper() + words[1:]
    title = str(meta.get("title") or first)
    line = head.group().count("\n") if head else 0
    return Article(name, title, str(meta.get("description") or title), body, line, of_rally)


def _meta(name: str, head: str) -> Mapping[str, object]:
    """What stands between the two lines of --- at the beginning of a page."""
    try:
        meta = yaml.safe_load(head) or {}
    except yaml.YAMLError:
        meta = None
    if not isinstance(meta, dict):
        raise InputError(
            f"pages, {name}, line 1", "the lines between --- and --- cannot be read",
            "lines such as “title: Gear rules”; text that has a colon in it in quotation marks",
            "correct them, or delete them: then the first heading is the title",
        )  # fmt: skip
    return meta


def _text(name: str, body: bytes) -> str:
    try:
        text = body.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = body.count(b"\n", 0, error.start) + 1
        raise InputError(
            f"pages, {name}, line {line}", f"the byte {body[error.start]:#04x}, which is not UTF-8",
            "text in UTF-8", "save it as UTF-8 in your editor",
        ) from None  # fmt: skip
    unseen = re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", text)
    if unseen:
        line = text.count("\n", 0, unseen.start()) + 1
        raise InputError(
            f"pages, {name}, line {line}", f"the control character U+{ord(unseen.group()):04X}",
            "text without control characters", "delete it",
        )  # fmt: skip
    return "\n".join(text.splitlines()) + "\n"


def _check_name(name: str, taken: Mapping[str, int]) -> None:
    where = f"pages, {name[:90]}"
    parts = name.split("/")
    if not all(NAME.fullmatch(part) and not part.endswith(".") for part in parts) or len(name) > 150:
        raise InputError(
            where, "a name that not every system takes", "letters a to z, digits, blanks, dots, - and _",
            "give it such a name, in the links to it too",
        )  # fmt: skip
    if taken[name.casefold()] > 1:
        raise InputError(
            where, "another file has the same name but for capitals", "names that differ in more",
            "give one of them another name",
        )  # fmt: skip
    suffix = PurePosixPath(name).suffix
    if suffix != PAGE and suffix not in PICTURES:
        raise InputError(where, f"a file of kind “{suffix or 'none'}”", f"one of {KINDS}, in small letters",
                         "save it as one of these, or take it out of the folder")  # fmt: skip
    if suffix == PAGE and len(parts) > 1:
        raise InputError(where, "a page in a folder of its own",
                         "pages side by side; pictures may be in folders", "move it up")  # fmt: skip
    address = f"{name.removesuffix(PAGE)}.html" if suffix == PAGE else name
    taken_by_us = {*made_addresses(), "readme.html"}  # which MkDocs takes for index.html
    if address.casefold() in taken_by_us or parts[0].casefold() in made_folders():
        ours = ", ".join(our_pages())
        raise InputError(
            where, "it would take the place of a page that is made from the entry list",
            f"another name; what may be replaced: {ours}", "give the file another name",
        )  # fmt: skip


def _check_picture(name: str, body: bytes) -> None:
    where, suffix = f"pages, {name}", PurePosixPath(name).suffix
    if not body.startswith(PICTURES[suffix]):
        raise InputError(where, f"contents that are no {suffix}", f"a file of kind {suffix}", "save it anew")
    if suffix == ".svg":
        found = active_in(body)
        if found:
            raise InputError(where, found, "a drawing that runs and loads nothing",
                             "save it as plain SVG, or as PNG")  # fmt: skip


def active_in(drawing: bytes) -> str:
    """Say what in an SVG runs, or loads something; "" where nothing does.

    >>> active_in(b'<svg xmlns="http://www.w3.org/2000/svg" onload="x()"/>')
    'an attribute that runs (onload)'
    """
    if b"<!ENTITY" in drawing or b"<?xml-stylesheet" in drawing:
        return "an entity or a style sheet of its own"
    try:
        root = ET.fromstring(drawing)  # noqa: S314  without entities nothing can grow
    except ET.ParseError as error:
        return f"XML that cannot be read ({error})"
    return next(filter(None, map(_active, root.iter())), "")


def _active(element: ET.Element) -> str:
    """Say what one element of a drawing runs or loads; "" where nothing."""
    tag, found = _local(element.tag), ""
    if tag in RUNNING:
        found = f"an element that runs something (<{tag}>)"
    elif tag == "style" and _loads((element.text or "").casefold()):
        found = "a style that loads something"
    for key, value in element.items():
        name, told = _local(key), value.strip().casefold()
        if name.startswith("on"):
            found = f"an attribute that runs ({name})"
        elif name in {"href", "src"} and not told.startswith(("#", "data:image/png", "data:image/jpeg")):
            found = f"an address ({name}=“{value[:60]}”)"
        elif _loads(told):
            found = f"an address outside the drawing ({name})"
    return found


def _loads(style: str) -> bool:
    return bool(re.search(r"url\((?!\s*['\"]?#)|@import|javascript:", style))


def _local(name: object) -> str:
    return str(name).rpartition("}")[2].casefold()


def _too_large(name: str, size: int) -> InputError:
    return InputError(
        f"pages, {name[:90]}", f"{size / 1e6:.1f} MB", f"at most {MOST_BYTES // 1_000_000} MB a file",
        "make the picture smaller: 1600 pixels across are enough for any screen",
    )  # fmt: skip
