"""Pages in Markdown: a rally's own beside ours, what is refused, what is told, and where they lead."""

from __future__ import annotations

import posixpath
import re
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
from playwright.sync_api import Browser

from sitegen import build_site
from sitegen.articles import (
    MOST_BYTES,
    active_in,
    files_in,
    notes_on,
    our_pages,
    private_boat_notes,
    private_notes,
    read_articles,
)
from sitegen.build import IN_MENU
from sizing.entry_key import entry_key
from sizing.errors import InputError
from tests.sitegen.conftest import PAGES
from tests.sitegen.hostile_builder import PAGE
from tests.sitegen.reader import boat
from tests.sitegen.result_builder import Run

PNG = b"\x89PNG\r\n\x1a\n" + bytes(20)
SVG = b'<svg xmlns="http://www.w3.org/2000/svg">%s</svg>'


class Page(HTMLParser):
    """The addresses a page leads to and loads, and the places it has."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.leads_to: list[str] = []
        self.places: set[str] = set()
        self.feed(path.read_text(encoding="utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if name in {"href", "src"} and tag != "use":
                self.leads_to.append(value or "")
            if name == "id":
                self.places.add(value or "")


def test_every_link_of_the_whole_site_leads_somewhere(struck_site: Path) -> None:
    """Read by a parser of HTML of its own, beside the check that every build makes."""
    site = struck_site.resolve()
    pages = {path.relative_to(site).as_posix(): Page(path) for path in site.rglob("*.html")}
    assert {"notices.html", "rules.html", "harbour.html"} < pages.keys()
    links = 0
    for name, page in pages.items():
        for raw in page.leads_to:
            target = urlsplit(raw)
            if target.scheme or target.netloc:
                assert name in {"notices.html", "rules.html", "harbour.html"}, (name, raw)
                continue
            address = (
                posixpath.normpath(posixpath.join(posixpath.dirname(name), unquote(target.path)))
                if target.path
                else name
            )
            assert (site / address).is_file(), (name, raw)
            if target.fragment and "=" not in target.fragment and address in pages:
                assert unquote(target.fragment) in pages[address].places, (name, raw)
            links += 1
    assert links > 500


def test_a_rally_s_pages_are_in_the_menu_of_every_page(struck_site: Path) -> None:
    for name, root in (("index.html", ""), (boat(struck_site, "Grey Plover"), "../")):
        text = (struck_site / name).read_text(encoding="utf-8")
        assert f'<a href="{root}harbour.html">Harbour plan</a>' in text
        assert f'<a href="{root}seamanship.html">Seamanship</a>' in text


def test_markdown_gives_tables_notes_folds_and_pictures(struck_site: Path) -> None:
    notices = (struck_site / "notices.html").read_text(encoding="utf-8")
    assert '<div class="admonition warning">' in notices
    assert re.search(r'<div[^>]*class="dm-scroll"[^>]*><table>', notices)
    assert "<details" in (struck_site / "rules.html").read_text(encoding="utf-8")
    assert 'src="pictures/harbour.svg"' in (struck_site / "harbour.html").read_text(encoding="utf-8")
    drawing = "pictures/harbour.svg"
    assert (struck_site / drawing).read_bytes() == (PAGES / drawing).read_bytes()


def test_pages_lead_to_boats_by_entry_number(run: Run, tmp_path: Path) -> None:
    body = b"[ours](boat:002) and [hers](boat:777)"
    build_site(run.result, run.policy, run.catalogue, tmp_path / "site", pages={"crews.md": body})
    text = (tmp_path / "site" / "crews.html").read_text(encoding="utf-8")
    assert f'<a href="{boat(tmp_path / "site", "Little Auk")}">ours</a> and <span>hers</span>' in text
    assert notes_on(read_articles({"crews.md": body}), {"002": "boats/x.html"}) == [
        "crews.md, line 1: entry 777 is not on the list, so it is no link here."
    ]


def test_a_page_of_the_rally_stands_in_the_place_of_ours_and_it_is_told(run: Run, tmp_path: Path) -> None:
    given = {"glossary.md": b"# Our words\n\nDrogue: *anchor of the air*.\n\n{{ glossary }}\n"}
    assert notes_on(read_articles(given)) == [
        "glossary.md stands in the place of the program's own page of that name."
    ]
    build_site(run.result, run.policy, run.catalogue, tmp_path / "site", pages=given)
    text = (tmp_path / "site" / "glossary.html").read_text(encoding="utf-8")
    assert "<em>anchor of the air</em>" in text
    assert "Our words" in text
    assert 'id="thimble"' in text
    for address in ("index.html", "checks.html"):
        menu = (tmp_path / "site" / address).read_text(encoding="utf-8")
        assert menu.count('href="glossary.html">Our words</a>') == 2, "in the wide and in the narrow menu"


def test_a_page_without_what_other_pages_lead_to_is_refused(run: Run, tmp_path: Path) -> None:
    given = {"rules.md": b"# Rules\n\n[Thimbles](glossary.md#thimble)\n", "glossary.md": b"# None\n"}
    with pytest.raises(InputError) as refused:
        build_site(run.result, run.policy, run.catalogue, tmp_path / "site", pages=given)
    assert "glossary.html#thimble" in str(refused.value)
    assert not (tmp_path / "site").exists()


def test_what_would_run_or_load_is_told_with_its_line() -> None:
    notes = notes_on(read_articles({"rules.md": PAGE.encode()}), {"1": "boats/1.html"})
    told = " ".join(notes)
    for words in (
        "<script>", "<iframe", "<style", "javascript:", "data:text/html", "file:///", "//outside.example/x",
        "http://outside.example/x.png", "data:image/png", "//outside.example/y.png", "entry no-such",
    ):  # fmt: skip
        assert words in told, words
    lines = PAGE.splitlines()
    for note in notes:
        line = int(re.findall(r"^rules\.md, line (\d+):", note)[0])
        piece = re.search(r"“([^”]{1,25})", note)
        if piece:
            assert piece[1].rstrip("…") in lines[line - 1], note


def test_what_a_rally_writes_is_text_and_its_links_lead_out(hostile_site: Path) -> None:
    text = (hostile_site / "rules.html").read_text(encoding="utf-8")
    assert '<a href="https://outside.example/a?b=1&amp;c=' in text
    assert 'rel="noreferrer"' in text
    assert 'href="http://outside.example/" rel="noreferrer"' in text
    assert not re.search(r'<(?!a )[^>]*(?:href|src)="(?:http|//|data|javascript)', text)
    assert "&lt;iframe" in text
    index = (hostile_site / "search" / "index.js").read_text(encoding="utf-8")
    assert "Text that looks like markup" in index
    assert "private1" not in index


@pytest.mark.parametrize(
    ("files", "where", "found"),
    [
        ({"a.md": b"ok\nna\xefve\n"}, "a.md, line 2", "0xef"),
        ({"a.md": b"bell \x07\n"}, "a.md, line 1", "U+0007"),
        ({"a.md": b"\n\n[x](rulse.md)\n", "rules.md": b"x"}, "a.md, line 3", "rulse.md"),
        ({"a.md": b"---\ntitle: T\n---\n\n![x](plan.png)\n"}, "a.md, line 5", "plan.png"),
        ({"a.md": b"---\ntitle: a: b\n---\n"}, "a.md, line 1", "cannot be read"),
        ({"a.md": b"{{ fleet }}\n"}, "a.md, line 1", "{{ fleet }}"),
        ({"index.md": b"x"}, "index.md", "made from the entry list"),
        ({"README.md": b"x"}, "README.md", "made from the entry list"),
        ({"order.md": b"x"}, "order.md", "made from the entry list"),
        ({"boats/x.png": PNG}, "boats/x.png", "made from the entry list"),
        ({"a.md": b"x", "A.md": b"y"}, "A.md", "capitals"),
        ({"sub/a.md": b"x"}, "sub/a.md", "a folder of its own"),
        ({"a.docx": b"x"}, "a.docx", ".docx"),
        ({"plän.md": b"x"}, "plän.md", "a name that not every system takes"),
        ({"../a.md": b"x"}, "../a.md", "a name that not every system takes"),
        ({"a.png": b"GIF89a"}, "a.png", "no .png"),
        ({"a.png": PNG + bytes(MOST_BYTES)}, "a.png", "3.0 MB"),
        ({f"{n}.png": PNG + bytes(2_800_000) for n in range(6)}, "pages", "16.8 MB"),
        ({"a.svg": SVG % b"<script>1</script>"}, "a.svg", "<script>"),
        ({"a.svg": SVG % b'<g onclick="x()"/>'}, "a.svg", "onclick"),
        ({"a.svg": SVG % b'<image href="https://outside.example/x.png"/>'}, "a.svg", "outside.example"),
        ({"a.svg": SVG % b"<style>@import 'x.css'</style>"}, "a.svg", "loads"),
        ({"a.svg": b'<!DOCTYPE svg [<!ENTITY a "b">]><svg/>'}, "a.svg", "entity"),
        ({"a.svg": b"<svg"}, "a.svg", "cannot be read"),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_taken_is_told_with_its_remedy(
    files: dict[str, bytes], where: str, found: str
) -> None:
    with pytest.raises(InputError) as refused:
        notes_on(read_articles(files))
    problem = refused.value
    assert where in problem.where
    assert found in f"{problem.where} {problem.found}"
    assert problem.expected
    assert problem.mend


def test_a_drawing_of_a_common_program_is_taken() -> None:
    drawing = b"""<?xml version="1.0"?>
      <svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"
      xmlns:other="http://other.example/ns"><defs><linearGradient id="a"/></defs><other:view x="1"/>
      <rect style="fill:url(#a)"/><use xlink:href="#a"/>
      <image xlink:href="data:image/png;base64,AA"/></svg>"""
    assert active_in(drawing) == ""


def test_a_folder_is_read_without_what_systems_hide_in_it(tmp_path: Path) -> None:
    for name in ("notes.md", "pictures/plan.png", ".DS_Store", ".git/config"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(b"x")
    assert sorted(files_in(tmp_path)) == ["notes.md", "pictures/plan.png"]
    with pytest.raises(InputError, match="no such folder"):
        files_in(tmp_path / "gone")


def test_our_pages_lead_somewhere_and_need_no_note() -> None:
    ours = {name: article.text.encode() for name, article in our_pages().items()}
    replaced = [
        f"{name} stands in the place of the program's own page of that name." for name in sorted(ours)
    ]
    assert sorted(notes_on(read_articles(ours))) == replaced
    assert set(IN_MENU) == ours.keys()


def test_a_first_line_with_a_colon_is_text(run: Run, tmp_path: Path) -> None:
    build_site(
        run.result, run.policy, run.catalogue, tmp_path / "site", pages={"a.md": b"Note: bring rope.\n"}
    )
    text = (tmp_path / "site" / "a.html").read_text(encoding="utf-8")
    assert "<p>Note: bring rope.</p>" in text
    assert "<h1>A</h1>" in text


def test_no_address_of_a_title_is_in_the_menu(run: Run, tmp_path: Path) -> None:
    given = {"who.md": b"# Ask *Alma Tessier*, <race@rally.example>\n"}
    build_site(run.result, run.policy, run.catalogue, tmp_path / "site", pages=given)
    assert "Ask <em>Alma Tessier</em>" in (tmp_path / "site" / "who.html").read_text(encoding="utf-8")
    menu = (tmp_path / "site" / "index.html").read_text(encoding="utf-8")
    assert "Ask [contact left out], " in menu
    assert not {"Tessier", "@"} & set(re.findall(r"Tessier|@", menu))


def test_a_person_of_the_list_on_a_page_is_told() -> None:
    articles = read_articles({"who.md": b"---\ntitle: Who\n---\n# Who\n\nAsk Alma Tessier.\n"})
    (note,) = private_notes(articles, {"alma tessier", "bo renner"})
    assert note.startswith("who.md, line 6: a name")


def test_a_private_boat_on_a_page_is_told_by_name_and_by_link() -> None:
    """People on a page were told and boats with private pages were not."""
    text = (
        "# Berths\n\nB2: little auk. B3: [she](boat:07%2FB).\n\nB4: [hers](boat:002), auks.\n\n<boat:07/B>\n"
    )
    articles = read_articles({"berths.md": b"---\ntitle: Berths\n---\n" + text.encode()})
    notes = private_boat_notes(articles, ("Little Auk",), {entry_key("07/B")})
    assert [note.partition(":")[0] for note in notes] == ["berths.md, line 6", "berths.md, line 10"]
    assert all("private" in note for note in notes)
    assert private_boat_notes(articles, (), frozenset()) == []


def test_links_on_headings_tables_to_copy_and_the_way_up(struck_site: Path, browser: Browser) -> None:
    page = browser.new_page(viewport={"width": 360, "height": 740})
    page.goto(f"{struck_site.as_uri()}/notices.html")
    page.evaluate(
        "navigator.clipboard.writeText = text => { window.copied = text; return Promise.resolve(); }"
    )
    page.click(".dm-copy")
    copied = page.evaluate("window.copied")
    assert copied.splitlines()[:2] == [
        "Day\tHour\tWhat\tWhere",
        "Fri 12 March\t10:00\tSewing cones\tDrogue shed",
    ]
    assert [len(line.split("\t")) for line in copied.splitlines()] == [4] * 4
    page.goto(f"{struck_site.as_uri()}/{boat(struck_site, 'Twin Spoon')}")
    links = page.locator("a.dm-permalink")
    assert links.count() > 4
    for href in links.evaluate_all("all => all.map(a => a.getAttribute('href').slice(1))"):
        assert page.locator(f'[id="{unquote(href)}"]').count() == 1
    up = page.locator(".dm-up")
    assert up.evaluate("e => getComputedStyle(e).position") == "static"
    page.evaluate("scrollTo({top: 4000, behavior: 'instant'})")
    page.wait_for_selector(".dm-up--offered")
    up.click()
    page.wait_for_selector(".dm-up:not(.dm-up--offered)", state="attached")
    page.close()
