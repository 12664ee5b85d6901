"""What must hold before a site is published; anything else stops it and leaves the old site standing."""

from __future__ import annotations

import html
import posixpath
import re
from collections.abc import Callable, Collection, Iterable, Mapping, Set
from functools import lru_cache
from pathlib import Path, PurePosixPath
from typing import Final
from urllib.parse import unquote, urlsplit

from sitegen.reuse import CheckedFile, program_text, sha256_of
from sizing.errors import InputError, MusterError, OutputError
from sizing.mail_address import MAIL_ADDRESS
from sizing.redaction import SHORTEST_PRIVATE

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
LEADS_OUT: Final = re.compile(r'<a href="(?:https?://|tel:|mailto:|(?:&#\d+;){7})[^"]*"')
"""A link that takes the reader elsewhere and loads nothing here; Markdown writes "mailto:" in numbers."""
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


def words_sought(private: Iterable[str], public: Set[str] = frozenset()) -> Set[str]:
    """Return the contact details to look for, without case; of `public` words, without case, none."""
    return {value.casefold() for value in private if len(value) >= SHORTEST_PRIVATE} - public


def verify_site(
    folder: Path,
    boats: Iterable[str],
    sought: Callable[[str], Collection[str]],
    offered: Collection[str] = (),
    known: Mapping[str, CheckedFile] | None = None,
    public: str = "",
    of_rally: Mapping[str, str] | None = None,
    mail_to: str = "",
) -> dict[str, CheckedFile]:
    """Check a finished folder; return what was found of each file by name.

    Raises OutputError naming the file and what is wrong.

    `boats` are the addresses that must be there; `sought(name)` are the contact details, from `words_sought`,
    that may not stand in that file; `offered` are files whose contents were checked before they were written,
    and need not be text. `known` are files taken over as they were checked: of these only the links are
    followed again. `public` is the markup in which the office's own address stands, `mail_to` how a link
    begins that opens a mail to it; both are passed over, and what such a mail is filled with is not.
    `of_rally` are pages and pictures that the rally wrote itself, with the file of each: pages may lead to
    other sites and name people; pictures were checked when they were read. Dead links there are InputErrors.
    """
    own = of_rally or {}
    found = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    missing = sorted(set(boats) - found)
    if missing:
        raise _wrong(missing[0], f"{len(missing)} boats have no page", "a page for every accepted boat")
    checked = dict(known or {})
    for name in sorted(found - checked.keys()):
        body, kind = (folder / name).read_bytes(), PurePosixPath(name).suffix
        leads_to: tuple[str, ...] = ()
        if name in own and kind != ".html":
            pass
        elif kind in TEXT_SUFFIXES:
            text = body.decode("utf-8")
            leads_to = _check_text(name, kind, text, own, mail_to)
            if name not in own:
                text = text.replace(public, "") if public else text
                _check_privacy(name, _with_mails_read(text, mail_to), sought(name))
        elif name not in offered:
            raise _wrong(
                name, "a kind of file that cannot be checked", f"only {', '.join(sorted(TEXT_SUFFIXES))}"
            )
        checked[name] = CheckedFile(sha256_of(body), leads_to)
    _check_links(folder, checked, found, own)
    return checked


def _with_mails_read(text: str, mail_to: str) -> str:
    """The text with what its mails are filled with as one would read it, without the office's own address."""
    if not mail_to or mail_to not in text:
        return text
    filled = re.compile(re.escape(mail_to) + r'([^"]*)')
    return filled.sub(lambda found: unquote(html.unescape(found[1])), text)


def _check_text(name: str, kind: str, text: str, own: Mapping[str, str], mail_to: str) -> tuple[str, ...]:
    """Check the markup, style or script of one file; return where else it leads."""
    if kind == ".html":
        links = _links(name, text, mail_to, may_lead_out=name in own)
        ids = set(ID.findall(text))
        for address, anchor in links:
            if address == name and _is_missing(anchor, ids):
                raise _dead_link(name, f"{address}#{anchor}", own)
        return tuple(
            sorted(f"{where}#{anchor}" if anchor else where for where, anchor in links if where != name)
        )
    if kind in {".css", ".svg"}:
        _check_style(name, text)
    elif kind == ".js" and OUTSIDE.search(text) and not name.startswith("search/"):
        raise _wrong(name, "an address outside the folder", "nothing from outside")
    return ()


def _wrong(where: str, found: str, expected: str) -> OutputError:
    return OutputError(
        where, found, expected, "report this as a fault of the program; the old site was left as it was"
    )


def _links(name: str, text: str, mail_to: str, *, may_lead_out: bool) -> set[tuple[str, str]]:
    """Return the (address, anchor) pairs a page leads to, mails apart; refuse what is not in the folder."""
    text = CANONICAL.sub("", text, count=1)
    bad = next((sign for sign in FORBIDDEN if sign in text), "")
    event = EVENT.search(text)
    if bad or event:
        found = bad or (event.group() if event else "")
        raise _wrong(name, f"markup that may run or style by itself (“{found}”)", "markup without it")
    links = set()
    if may_lead_out:
        text = LEADS_OUT.sub("<a", text)
    starts = {piece.split('"', 1)[0] for start in LINK_STARTS for piece in text.split(start)[1:]}
    for raw in starts:
        if mail_to and raw.startswith(mail_to):
            continue
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


def _check_privacy(name: str, text: str, values: Collection[str]) -> None:
    found = MAIL_ADDRESS.search(text) if "@" in text and name != LICENCES else None
    if found and name.endswith((".html", ".csv", ".js", ".json", ".txt")):
        raise _wrong(name, "an e-mail address", "no contact details")
    if not values:
        return
    folded = html.unescape(text).casefold()
    # Of many values the words are looked for first: most then need no search through the page.
    words = set(WORD.findall(folded)) if len(values) > FEW_VALUES else None
    for value in values:
        if words is not None and not words.issuperset(_words_of(value)):
            continue
        if value in folded and not _own(value):
            raise _wrong(name, "a skipper's name, e-mail or telephone number", "no contact details")


@lru_cache(maxsize=1 << 16)
def _words_of(value: str) -> tuple[str, ...]:
    return tuple(WORD.findall(value))


@lru_cache(maxsize=10_000)
def _own(value: str) -> bool:
    """Whether a value also stands in the program's own texts ("none", "will"), so that it tells nothing."""
    return value in program_text()


def _check_links(
    folder: Path, checked: Mapping[str, CheckedFile], found: Collection[str], own: Mapping[str, str]
) -> None:
    """See that every link leads to a file that is there, and to a place in it that is there."""
    anchors: dict[str, dict[str, str]] = {}
    for name, file in checked.items():
        for link in file.leads_to:
            address, _, anchor = link.partition("#")
            if address not in found:
                raise _dead_link(name, address, own)
            if anchor and address.endswith(".html"):
                anchors.setdefault(address, {}).setdefault(anchor, name)
    for address, wanted in anchors.items():
        ids = set(ID.findall((folder / address).read_text(encoding="utf-8")))
        for anchor, name in wanted.items():
            if _is_missing(anchor, ids):
                raise _dead_link(name, f"{address}#{anchor}", own)


def _is_missing(anchor: str, ids: Collection[str]) -> bool:
    """Whether a place in a page is not there; what has "=" is a script's own and no place."""
    return bool(anchor) and "=" not in anchor and anchor not in ids


def _dead_link(name: str, link: str, own: Mapping[str, str]) -> MusterError:
    address = link.partition("#")[0]
    if name in own:
        return InputError(
            f"pages, {own[name]}", f"a link to “{link}”, which is not there", "links that lead somewhere",
            "correct the link, or the heading that it leads to",
        )  # fmt: skip
    if address in own:
        return InputError(
            f"pages, {own[address]}", f"the page {name} leads to “{link}”, which this page has not",
            "the part {{ ... }} of the program's own page of this name that has it",
            "put that line into the page; the program's own is in its folder sitegen/guide",
        )  # fmt: skip
    return _wrong(name, f"a link to “{link}”, which is not there", "links that lead somewhere")
