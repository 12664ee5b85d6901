"""Whatever a cell contains appears as text. The browser is the judge of what is markup."""

from __future__ import annotations

import re
from datetime import date
from html.parser import HTMLParser
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from sitegen import build_site
from sizing.policy import Waiver
from tests.sitegen.hostile_builder import NAMES, PAGE
from tests.sitegen.result_builder import PLAIN, Run, make_run, rally_policy


class Elements(HTMLParser):
    """Counts elements, and collects scripts and event attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.scripts: list[str | None] = []
        self.events: list[str] = []
        self.tags: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        if tag == "script":
            self.scripts.append(dict(attrs).get("src"))
        self.events += [name for name, _ in attrs if name.startswith("on") or name == "style"]


def read(path: Path) -> Elements:
    parser = Elements()
    parser.feed(path.read_text(encoding="utf-8"))
    parser.close()
    return parser


def test_most_hostile_boats_are_accepted(hostile_run: Run) -> None:
    assert len(hostile_run.result.intake.fleet) >= len(NAMES) - 3


def test_no_element_comes_from_data(hostile_site: Path) -> None:
    for path in sorted(hostile_site.rglob("*.html")):
        found = read(path)
        assert found.events == [], path
        assert all(src and src.startswith(("assets/", "../assets/")) for src in found.scripts), path
        assert [found.tags.count(tag) for tag in ("html", "head", "body", "h1")] == [1, 1, 1, 1], path
        pictures = ["img"] if path.name == "harbour.html" else []
        assert [tag for tag in found.tags if tag in {"iframe", "object", "embed", "img"}] == pictures, path


def test_every_name_is_shown_as_it_is_and_nothing_runs(
    hostile_site: Path, hostile_run: Run, browser: Browser
) -> None:
    page = browser.new_page()
    requests: list[str] = []
    page.on("request", lambda request: requests.append(request.url))
    shown = []
    for path in sorted((hostile_site / "boats").glob("*.html")):
        page.goto(path.as_uri())
        assert page.evaluate("window.owned") is None
        shown.append(page.locator("h1 bdi").text_content())
        assert page.locator("h1").count() == 1
    names = [str(name) for name in hostile_run.result.intake.fleet.text["boat_name"]]
    assert sorted(map(str, shown)) == sorted(names)
    assert all(url.startswith(hostile_site.parent.as_uri()) for url in requests)
    page.close()


@pytest.mark.parametrize(
    "address",
    ["index.html", "order.html", "rejected.html", "sheets.html", "method.html", "changes.html", "rules.html"],
)
def test_shared_pages_run_nothing(hostile_site: Path, browser: Browser, address: str) -> None:
    page = browser.new_page()
    page.goto((hostile_site / address).as_uri())
    assert page.evaluate("window.owned") is None
    assert page.locator("h1").count() == 1
    if address != "sheets.html":
        assert "<script>" in (page.locator("main").text_content() or "")
    page.close()


def test_search_shows_a_hostile_name_as_text(hostile_site: Path, browser: Browser) -> None:
    page = browser.new_page()
    page.goto((hostile_site / "index.html").as_uri())
    page.fill("#dm-search-words", "window.owned")
    page.wait_for_selector(".dm-search__list li")
    assert "<script>" in (page.locator(".dm-search__list").text_content() or "")
    assert page.evaluate("window.owned") is None
    page.close()


def test_two_boats_of_one_name_have_a_page_each(hostile_site: Path) -> None:
    pages = [
        p
        for p in (hostile_site / "boats").glob("*.html")
        if '<bdi class="dm-data">Grey Plover</bdi></h1>' in p.read_text(encoding="utf-8")
    ]
    assert len(pages) == 2


def test_addresses_stay_inside_the_folder(hostile_site: Path) -> None:
    names = [path.relative_to(hostile_site).as_posix() for path in hostile_site.rglob("*") if path.is_file()]
    assert all(set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-./") for name in names)
    assert all(len(name) < 100 for name in names)


@pytest.mark.parametrize(
    "word",
    [
        "none",
        "Order",
        *(pytest.param(w, marks=pytest.mark.thorough) for w in ("Skipper", "Will", "bridle leg")),
    ],
)
def test_a_skipper_called_like_a_word_of_the_site_does_not_stop_it(word: str, tmp_path: Path) -> None:
    run = make_run(
        [dict(PLAIN) | {"skipper": word}, dict(PLAIN) | {"entry_no": "002", "skipper": "Bo Renner"}]
    )
    assert build_site(run.result, run.policy, run.catalogue, tmp_path / "site").boats == 2


def test_a_waiver_s_reason_may_name_nobody(tmp_path: Path) -> None:
    waiver = {
        "entry_no": "001", "check": "bridle.leg-length", "reason": "Alma Tessier showed a longer one.",
        "officer": "Gear officer", "until": date(2027, 6, 1),
    }  # fmt: skip
    run = make_run([PLAIN], rally_policy(waivers=[waiver]))
    build_site(run.result, run.policy, run.catalogue, tmp_path / "site")
    for path in (tmp_path / "site").rglob("*.html"):
        if path.name != "licences.html":
            assert "Tessier" not in path.read_text(encoding="utf-8"), path.name


def test_the_offices_address_is_on_every_page_though_a_skipper_has_the_same(tmp_path: Path) -> None:
    policy = rally_policy()
    contact = "office@rally.example, +00 555 0100 <day & night>"
    rally = policy.rally.model_copy(update={"contact": contact})
    boats = [
        dict(PLAIN) | {"email": "office@rally.example", "phone": "+00 555 0100"},
        dict(PLAIN) | {"entry_no": "002", "email": "coffice@rally.example"},
    ]
    run = make_run(boats, policy.model_copy(update={"rally": rally}))
    build_site(run.result, run.policy, run.catalogue, tmp_path / "site")
    for path in (tmp_path / "site").rglob("*.html"):
        if path.name != "licences.html":
            text = path.read_text(encoding="utf-8")
            mail = 'href="mailto:office@rally.example?subject='
            # In the foot, in each mail, and once where the words for a mail stand.
            assert text.count("@") == 1 + text.count(mail) + (mail in text)
            assert "<bdi>office@rally.example, +00 555 0100 &lt;day &amp; night&gt;</bdi>" in text


def test_a_waiver_s_officer_given_with_an_address_is_shown_without(tmp_path: Path) -> None:
    """As an officer may write it on the server; a policy file is refused for it."""
    waiver = Waiver(
        entry_no="001", check="bridle.leg-length", reason="seen", officer="Bo, bo@rally.example",
        until=date(2027, 6, 1),
    )  # fmt: skip
    run = make_run(
        [dict(PLAIN) | {"bridle_leg_length": "2 m"}], rally_policy().model_copy(update={"waivers": (waiver,)})
    )
    build_site(run.result, run.policy, run.catalogue, tmp_path / "site")
    page = next((tmp_path / "site" / "boats").glob("*.html")).read_text(encoding="utf-8")
    assert "Bo, [contact left out]" in page


def test_nobody_can_be_called_or_written_to(hostile_site: Path) -> None:
    """But for what the rally writes on a page of its own: that is its own to publish, and it is told."""
    for path in sorted(hostile_site.rglob("*")):
        if path.is_file() and path.name not in {"licences.html", "rules.html"}:
            text = path.read_text(encoding="utf-8")
            for secret in ("Private Person", "person.example", "7700 90"):
                assert secret not in text, path


@pytest.mark.thorough
def test_five_thousand_hostile_boats_beside_a_hostile_page_of_the_rally(tmp_path: Path) -> None:
    """As many boats as a server takes, beside a page of the club's that leads to some of them."""
    boats = [
        dict(PLAIN) | {
            "entry_no": str(number), "boat_name": f"{NAMES[number % len(NAMES)]} {number}",
            "design": NAMES[(number + 1) % len(NAMES)][:80], "berth": NAMES[(number + 2) % len(NAMES)][:20],
            "sail_no": NAMES[(number + 3) % len(NAMES)][:30], "notes": NAMES[(number + 4) % len(NAMES)],
            "skipper": f"Private Person {number}", "email": f"private{number}@person.example",
            "phone": f"+00 7700 90{number:04d}",
        }
        for number in range(5000)
    ]  # fmt: skip
    pages = {"rules.md": PAGE.encode(), "notices.md": b"# Notices\n\n[first](boat:0) [last](boat:4999)\n"}
    run, site = make_run(boats), tmp_path / "site"
    taken = len(run.result.intake.fleet)
    build_site(run.result, run.policy, run.catalogue, site, pages=pages)
    made = sorted((site / "boats").glob("*.html"))
    assert taken >= 4900
    assert len(made) == taken
    shells = set()
    for path in (*made, *site.glob("*.html")):
        text = path.read_text(encoding="utf-8")
        scripts = re.findall(r"<script[^>]*>", text)
        ours = re.compile(r'<script src="(\.\./)?assets/[\w./-]+"( defer)?>')
        assert all(map(ours.fullmatch, scripts)), path
        assert not re.search(r'<(?:iframe|object|embed|style|base)\b|<[a-z][^<>]* on[a-z]+="', text), path
        assert len(re.findall(r"<h1[ >]", text)) == len(re.findall(r"<body>", text)) == 1, path
        if path.parent != site:
            shells.add(len(scripts))
        if path.name not in {"licences.html", "rules.html"}:
            assert "Private Person" not in text, path
            assert "person.example" not in text, path
    assert len(shells) == 1
    told = (site / "notices.html").read_text(encoding="utf-8")
    assert re.search(r'href="boats/0-[0-9a-f]{8}\.html"', told)
    assert re.search(r'href="boats/4999-[0-9a-f]{8}\.html"', told)
