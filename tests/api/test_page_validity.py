"""The server's own pages are valid: dock page, readable description, and the page for a wrong address."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

import api
from tests.api.running import Running
from tests.markup.checker import HOW, WANTED, told
from tests.markup.reading import Reading, css_errors
from tests.markup.rules import OF_A_PAGE, titles_tell_pages_apart

ADDRESSES = {"dock": "/dock/", "description": "/docs/", "wrong address": "/sites/none/index.html"}
NO_HEADING_YET = {"description"}
"""Its body is made by a script from elsewhere, headings included."""


@pytest.fixture(scope="module")
def pages(on_file: Running) -> Mapping[str, Reading]:
    with on_file.client(role=None) as anyone:
        answers = {
            name: anyone.get(address, headers={"accept": "text/html"}, follow_redirects=True)
            for name, address in ADDRESSES.items()
        }
    assert all(answer.headers["content-type"].startswith("text/html") for answer in answers.values())
    return {name: Reading(ADDRESSES[name], answer.text) for name, answer in answers.items()}


@pytest.mark.parametrize("name", ADDRESSES)
def test_the_page_is_read_without_an_error(pages: Mapping[str, Reading], name: str) -> None:
    assert pages[name].parse_errors == []
    assert pages[name].broken_drawings() == []


@pytest.mark.parametrize("rule", OF_A_PAGE)
@pytest.mark.parametrize("name", ADDRESSES)
def test_the_page_keeps_our_own_rules(pages: Mapping[str, Reading], name: str, rule: str) -> None:
    if rule == "headings_are_a_ladder" and name in NO_HEADING_YET:
        assert OF_A_PAGE[rule](pages[name]) == ["h1: 0, first is h-"]
    else:
        assert OF_A_PAGE[rule](pages[name]) == []


def test_titles_tell_pages_apart(pages: Mapping[str, Reading]) -> None:
    assert titles_tell_pages_apart(pages.values()) == []


def styles() -> list[Path]:
    return sorted((Path(api.__file__).parent / "dock").rglob("*.css"))


def test_the_style_sheet_is_read_without_an_error() -> None:
    assert styles()
    assert [css_errors(path.read_text(encoding="utf-8")) for path in styles()] == [[] for _ in styles()]


@pytest.mark.skipif(not WANTED, reason=HOW)
def test_the_reference_checker_finds_nothing(pages: Mapping[str, Reading], tmp_path: Path) -> None:
    for name, page in pages.items():
        (tmp_path / f"{name}.html").write_text(page.text, encoding="utf-8")
    assert told(sorted(tmp_path.iterdir())) == []
    assert told(styles(), css=True) == []
