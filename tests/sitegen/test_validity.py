"""Pages, drawings and style sheets are what the Nu Html Checker calls valid; titles tell pages apart.

That links and anchors lead somewhere, and nothing outside, every build of a site checks itself: see
test_verify.py. Headings, names of drawings and headers of tables are for axe: see test_screen.py.
"""

from __future__ import annotations

import html
import re
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

import pytest

from sitegen import build_site
from sizing.revision import compare
from tests.nu_checker import HOW, WANTED, messages
from tests.sizing.revision.runs import demo, demo_record, demo_rules

KINDS = {
    "boats", "cuts", "index.html", "order.html", "sheets.html", "checks.html", "method.html",
    "glossary.html", "rejected.html", "changes.html", "not-this.html", "licences.html", "help.html",
    "seamanship.html", "notices.html", "rules.html", "harbour.html",
}  # fmt: skip
BAD_PAGE = (
    "<!doctype html><html lang=en><title>T</title><h1>A</h1><p id=a></b><p id=a colour=red aria-labelledby=b>"
    "<svg><text unicode-bidi='isolate'>a</text></svg><table><p>a</table>"
)
BAD_STYLE = "a { colour: red } b { color red }"
checked_by_nu = pytest.mark.skipif(not WANTED, reason=HOW)


def by_kind(site: Path) -> dict[str, list[Path]]:
    kinds: dict[str, list[Path]] = {}
    for path in sorted(site.rglob("*.html")):
        kinds.setdefault(path.relative_to(site).parts[0], []).append(path)
    return kinds


def faults(site: Path, said: dict[Path, list[str]]) -> dict[str, list[str]]:
    """The files of a site with faults, and the first few of each."""
    return {
        path.name: words[:5] for path, words in said.items() if words and path.is_relative_to(site.resolve())
    }


def twice(pages: Iterable[Path]) -> list[tuple[str, int]]:
    """Titles that are empty, or that stand on several pages."""
    found = (
        re.search(r"<title>(.*?)</title>", page.read_text(encoding="utf-8"), re.DOTALL) for page in pages
    )
    titles = Counter(html.unescape(title[1]).strip() if title else "" for title in found)
    return [(title, count) for title, count in titles.items() if count > 1 or not title]


@pytest.fixture(scope="module")
def bad(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("bad")
    (folder / "bad.html").write_text(BAD_PAGE, encoding="utf-8")
    (folder / "bad.css").write_text(BAD_STYLE, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def said(struck_site: Path, hostile_site: Path, bad: Path) -> dict[Path, list[str]]:
    """What the checker says of a site with every kind of page, of a hostile page of each kind, of faults."""
    sheets = [path for kind in ("*.css", "*.svg") for path in sorted(struck_site.rglob(kind))]
    hostile = [pages[0] for pages in by_kind(hostile_site).values()]
    return messages([*struck_site.rglob("*.html"), *sheets, *hostile, *bad.iterdir()])


def test_there_is_every_kind_of_page(struck_site: Path, hostile_site: Path) -> None:
    assert by_kind(struck_site).keys() == by_kind(hostile_site).keys() == KINDS


@checked_by_nu
def test_every_page_drawing_and_style_sheet_is_valid(struck_site: Path, said: dict[Path, list[str]]) -> None:
    assert {path.suffix for path in said} == {".html", ".css", ".svg"}
    assert faults(struck_site, said) == {}


@checked_by_nu
def test_whatever_people_write_pages_are_valid(hostile_site: Path, said: dict[Path, list[str]]) -> None:
    assert faults(hostile_site, said) == {}


@checked_by_nu
@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("bad.html", "Stray end tag “b”"),
        ("bad.html", "Duplicate ID “a”"),
        ("bad.html", "“colour” not allowed"),
        ("bad.html", "“aria-labelledby” attribute must point to an element"),
        ("bad.html", "“unicode-bidi”"),
        ("bad.html", "Start tag “p” seen in “table”"),
        ("bad.css", "Property “colour” doesn't exist"),
        ("bad.css", "“color”: Parse Error"),
    ],
)
def test_faults_are_found(bad: Path, said: dict[Path, list[str]], name: str, words: str) -> None:
    assert any(words in message for message in said[(bad / name).resolve()]), said[(bad / name).resolve()]


def test_titles_tell_pages_apart(struck_site: Path, hostile_site: Path, bad: Path) -> None:
    assert twice(struck_site.rglob("*.html")) == []
    assert twice(hostile_site.rglob("*.html")) == []
    assert twice([bad / "bad.html", bad / "bad.html", bad / "bad.css"]) == [("T", 2), ("", 1)]


@pytest.mark.thorough
@checked_by_nu
def test_every_page_of_the_demo_and_of_hostile_words_is_valid(hostile_site: Path, tmp_path: Path) -> None:
    rules = demo_rules()
    first, second = tmp_path / "first" / "site", tmp_path / "second" / "site"
    build_site(demo(), rules.policy, rules.catalogue, first)
    changes = compare(demo_record(), demo_record(second=True))
    build_site(demo(second=True), rules.policy, rules.catalogue, second, changes=changes)
    for site in (first, second, hostile_site):
        pages = sorted(site.rglob("*.html"))
        assert len(pages) > 30
        assert faults(site, messages(pages)) == {}
        assert twice(pages) == []
