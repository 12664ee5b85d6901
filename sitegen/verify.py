"""What must hold before a site is published; anything else stops it and leaves the old site standing."""

from __future__ import annotations

import html
import posixpath
import re
from collections.abc import Callable, Collection, Iterable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Final
from urllib.parse import unquote, urlsplit

from sitegen.redaction import EMAIL, SHORTEST_PRIVATE
from sitegen.reuse import program_text
from sizing.errors import OutputError

TEXT_SUFFIXES: Final = frozenset({".html", ".css", ".js", ".svg", ".csv", ".json", ".txt", ".xml"})
# Data is escaped, so "<" and a quotation mark after an attribute's name can only be our own markup, which is
# in lower case with one blank before every attribute.
LINK_STARTS: Final = (' href="', ' src="')
FORBIDDEN: Final = (
    "<iframe",
    "<object",
    "<embed",
    "<base",
    "<style",
    "<applet",
    "<script>",
    ' style="',
    ' action="',
    ' formaction="',
    ' srcset="',
    ' poster="',
    ' data="',
    ' xlink:href="',
    ' http-equiv="refresh',
)
EVENT: Final = re.compile(r' on[a-z]{3,24}="')
ID: Final = re.compile(r' id="([^"]*)"')
CANONICAL: Final = re.compile(r'<link rel="canonical" href="[^"]*">')
CSS_URL: Final = re.compile(r"url\((?!\s*['\"]?data:)|@import")
OUTSIDE: Final = re.compile(r"(?:https?:|wss?:)?//[\w-]+\.[\w-]+")
WORD: Final = re.compile(r"\w+")
FEW_VALUES: Final = 20
LICENCES: Final = "licences.html"
"""Licences name their authors with an address, and have to be given in full."""
NAMES_NOT_FETCHED: Final = re.compile(
    r"http://www\.w3\.org/2000/svg|/\*.*?\*/|url\(\s*\"data:[^\"]*\"|url\(\s*'data:[^']*'", re.DOTALL
)


def verify_site(
    folder: Path,
    boats: Collection[str],
    private: Callable[[str], Iterable[str]],
    allowed_words: Collection[str] = (),
    checked: Collection[str] = (),
) -> int:
    """Check a finished folder; return the number of files.

    Raises OutputError naming the file and what is wrong.

    `boats` are the addresses that must be there; `private(address)` are the contact details that may not
    stand in that file; `allowed_words` are public names that happen to be spelt like one; `checked` are files
    whose contents were checked before they were written, and need not be text.
    """
    found = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    missing = sorted(set(boats) - found)
    if missing:
        raise _wrong(missing[0], f"{len(missing)} boats have no page", "a page for every accepted boat")
    ids: dict[str, set[str]] = {}
    wanted: dict[str, set[tuple[str, str]]] = {}
    public = {word.casefold() for word in allowed_words}
    for name in sorted(found):
        path = folder / name
        if path.suffix not in TEXT_SUFFIXES:
            if name in checked:
                continue
            raise _wrong(
                name, "a kind of file that cannot be checked", f"only {', '.join(sorted(TEXT_SUFFIXES))}"
            )
        text = path.read_text(encoding="utf-8")
        if path.suffix == ".html":
            ids[name] = set(ID.findall(text))
            wanted[name] = _links(name, text)
        elif path.suffix in {".css", ".svg"}:
            _check_style(name, text)
        elif path.suffix == ".js" and OUTSIDE.search(text) and not name.startswith("search/"):
            raise _wrong(name, "an address outside the folder", "nothing from outside")
        _check_privacy(name, text, private(name), public)
    _check_links(wanted, ids, found)
    return len(found)


def _wrong(where: str, found: str, expected: str) -> OutputError:
    return OutputError(
        where, found, expected, "report this as a fault of the program; the old site was left as it was"
    )


def _links(name: str, text: str) -> set[tuple[str, str]]:
    """Return the (address, anchor) pairs a page leads to; refuse anything that is not inside the folder."""
    text = CANONICAL.sub("", text, count=1)
    bad = next((sign for sign in FORBIDDEN if sign in text), "")
    event = EVENT.search(text)
    if bad or event:
        found = bad or (event.group() if event else "")
        raise _wrong(name, f"markup that may run or style by itself (“{found}”)", "markup without it")
    links = set()
    starts = {piece.split('"', 1)[0] for start in LINK_STARTS for piece in text.split(start)[1:]}
    for raw in starts:
        target = urlsplit(html.unescape(raw))
        if target.scheme or target.netloc or target.path.startswith("/"):
            raise _wrong(name, f"a link to “{raw[:60]}”", "links inside the folder only")
        address = (
            posixpath.normpath(posixpath.join(posixpath.dirname(name), unquote(target.path)))
            if target.path
            else name
        )
        links.add((address, target.fragment))
    return links


def _check_style(name: str, text: str) -> None:
    bad = CSS_URL.search(text)
    if bad or OUTSIDE.search(NAMES_NOT_FETCHED.sub("", text)):
        raise _wrong(name, "an address outside the file", "nothing from outside")


def _check_privacy(name: str, text: str, private: Iterable[str], public: Collection[str]) -> None:
    found = EMAIL.search(text) if "@" in text and name != LICENCES else None
    if found and name.endswith((".html", ".csv", ".js", ".json", ".txt")):
        raise _wrong(name, "an e-mail address", "no contact details")
    values = {value.casefold() for value in private if len(value) >= SHORTEST_PRIVATE} - set(public)
    if not values:
        return
    folded = html.unescape(text).casefold()
    # Of many values the words are looked for first: most then need no search through the page.
    words = set(WORD.findall(folded)) if len(values) > FEW_VALUES else None
    for value in values:
        if words is not None and not words.issuperset(WORD.findall(value)):
            continue
        if value in folded and not _own(value):
            raise _wrong(name, "a skipper's name, e-mail or telephone number", "no contact details")


@lru_cache(maxsize=10_000)
def _own(value: str) -> bool:
    """Whether a value also stands in the program's own texts ("none", "will"), so that it tells nothing."""
    return value in program_text()


def _check_links(
    wanted: Mapping[str, set[tuple[str, str]]], ids: Mapping[str, set[str]], found: Collection[str]
) -> None:
    for name, links in wanted.items():
        for address, anchor in links:
            if address not in found:
                raise _wrong(name, f"a link to “{address}”, which is not there", "links that lead somewhere")
            if anchor and "=" not in anchor and address in ids and anchor not in ids[address]:
                raise _wrong(
                    name, f"a link to “{address}#{anchor}”, which is not there", "links that lead somewhere"
                )
