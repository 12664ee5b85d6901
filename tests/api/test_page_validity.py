"""The server's own pages are valid: dock page, readable description, and the page for a wrong address."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import api
from tests.api.running import Running
from tests.nu_checker import HOW, WANTED, messages

ADDRESSES = {"dock": "/dock/", "description": "/docs/", "wrong address": "/sites/none/index.html"}


@pytest.fixture(scope="module")
def pages(on_file: Running, tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    folder = tmp_path_factory.mktemp("pages")
    with on_file.client(role=None) as anyone:
        for name, address in ADDRESSES.items():
            answer = anyone.get(address, headers={"accept": "text/html"}, follow_redirects=True)
            assert answer.headers["content-type"].startswith("text/html")
            (folder / f"{name}.html").write_text(answer.text, encoding="utf-8")
    return sorted(folder.iterdir())


def test_titles_tell_pages_apart(pages: list[Path]) -> None:
    titles = {re.findall(r"<title>([^<]+)</title>", page.read_text(encoding="utf-8"))[0] for page in pages}
    assert len(titles) == len(pages) == len(ADDRESSES)


@pytest.mark.skipif(not WANTED, reason=HOW)
def test_pages_and_styles_are_valid(pages: list[Path]) -> None:
    styles = sorted((Path(api.__file__).parent / "dock").rglob("*.css"))
    assert styles
    assert {path.name: words for path, words in messages([*pages, *styles]).items() if words} == {}
