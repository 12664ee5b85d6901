"""Search forgives: a corpus of what people type, asked of the demo's site as it is opened from a folder."""

from __future__ import annotations

import gzip
import json
from pathlib import Path

from playwright.sync_api import Browser

from sitegen.pages.frame import SearchEntry
from sitegen.search_index import search_script
from sitegen.texts import load_texts
from tests.calling import Done

BEST = 3
"""What is meant has to stand among the first so many."""

# What is typed, and a piece of the title or of the address of what is meant.
CORPUS = (
    # names without accents, and in the other way of writing them
    ("smorblomst", "Smørblomst"), ("smoerblomst", "Smørblomst"), ("SMØRBLOMST", "Smørblomst"),
    ("olrausch", "Ölrausch"), ("oelrausch", "Ölrausch"), ("ölr", "Ölrausch"),
    ("cmelak", "Čmelák"), ("kettles on", "Kettle's On"), ("kettle’s", "Kettle's On"),
    # one slip of a letter: two changed places, one missing, one too many, another one
    ("thimbel", "glossary.html#thimble"), ("thimle", "glossary.html#thimble"),
    ("thimbble", "glossary.html#thimble"), ("thinble", "glossary.html#thimble"),
    ("smorblonst", "Smørblomst"), ("brydle", "ridle"), ("shakle", "hackle"),
    # numbers: entry with and without zeros, berth, sail number however it is parted
    ("011", "Smørblomst"), ("11", "Smørblomst"), ("entry 011", "Smørblomst"),
    ("B3", "Smørblomst"), ("ZZQ 110", "Tidy Sum"), ("zzq110", "Tidy Sum"), ("zzq-110", "Tidy Sum"),
    ("2", "Thimblerigger"),
    # words of checks, steps and terms
    ("bridle leg length", "checks.html#check-bridle-leg-length"), ("how long are the bridle legs", "ridle"),
    ("chafe", "hafe"), ("shackles moused", "oused"), ("design load", "glossary.html#the-worst-pull"),
    ("lee shore", "glossary.html#lee-shore"), ("lee-shore", "lee-shore"), ("leeshore", "lee-shore"),
    ("leadline", "ead line"), ("lee shor", "lee-shore"),
    ("sea room", "glossary.html#lee-shore"),
    ("clear water downwind", "seamanship.html#decide"), ("weight down", "seamanship.html#launch"),
    ("chainplate", "strong point"),
    # what people say in an emergency, whatever our steps call it
    ("man overboard", "seamanship.html#wrong"), ("mob", "seamanship.html#wrong"),
    ("person in the water", "seamanship.html#wrong"), ("VHF", "seamanship.html#wrong"),
    ("broken leg", "hurt"), ("broken leg", "Leg gone"), ("broken arm", "hurt"),
    ("helicopter", "Rescuers"), ("coastguard", "Rescuers"), ("rope in prop", "ropeller"),
    ("retrieve", "seamanship.html#recover"),
    # boats whose rows were not taken
    ("014", "Wrong Trousers On"), ("entry 14", "Wrong Trousers On"),
    ("Wrong Trousers", "rejected.html#row-1"),
    # papers
    ("sea card", "help.html#sea-card"), ("bench card", "help.html#bench-card"),
    ("surveyor's sheet", "help.html#surveyors-sheet"), ("scrutineers sheet", "help.html#scrutineers-sheet"),
    ("officers list", "help.html#officers-list"), ("laminated", "help.html#sea-card"),
    # the rally's own pages
    ("harbour plan", "harbour.html"), ("hot knifes", "notices.html"), ("surveyor signs", "rules.html"),
)  # fmt: skip


def test_what_people_type_is_found(demo_run: tuple[Path, Done], browser: Browser) -> None:
    site = demo_run[0] / "site"
    page = browser.new_page(viewport={"width": 360, "height": 740})
    page.goto((site / "index.html").as_uri())
    page.focus("#dm-search-words")
    page.wait_for_selector('script[src$="search/index.js"]', state="attached")
    missed = {}
    for words, meant in CORPUS:
        page.fill("#dm-search-words", words)
        page.wait_for_selector(".dm-search__found:not([hidden])")
        found = page.locator(".dm-search__list a").evaluate_all(
            "all => all.map(a => a.getAttribute('href') + ' ' + a.firstChild.textContent)"
        )
        if not any(meant in one for one in found[:BEST]):
            missed[words] = found[:BEST]
    page.fill("#dm-search-words", "zzzzqx")
    assert page.locator(".dm-search__list a").count() == 0
    page.close()
    assert missed == {}


def test_every_entry_that_has_other_words_is_there(demo_run: tuple[Path, Done]) -> None:
    text = (demo_run[0] / "site" / "search" / "index.js").read_text(encoding="utf-8")
    there = {tuple(json.loads(line.rstrip(","))[:2]) for line in text.splitlines() if line.startswith("[")}
    assert set(load_texts().other_words) <= there


def test_what_is_found_lies_within_the_screen(struck_site: Path, browser: Browser) -> None:
    """On a phone the box hung from the right edge of its own field and began left of the screen."""
    page = browser.new_page(viewport={"width": 320, "height": 740})
    page.goto((struck_site / "index.html").as_uri())
    page.focus("#dm-search-words")
    page.wait_for_selector('script[src$="search/index.js"]', state="attached")
    page.fill("#dm-search-words", "a")
    page.wait_for_selector(".dm-search__found:not([hidden])")
    for width in (320, 360, 480, 600, 768, 800, 1280):
        page.set_viewport_size({"width": width, "height": 740})
        box = page.locator(".dm-search__found").bounding_box()
        assert box, width
        assert box["x"] >= 0, width
        assert box["x"] + box["width"] <= width, width
    page.close()


def test_the_index_of_a_thousand_boats_is_small_on_the_way_to_a_phone(demo_run: tuple[Path, Done]) -> None:
    """Two hundred kilobytes packed; a berth in a harbour may have no more of a network."""
    text = (demo_run[0] / "site" / "search" / "index.js").read_text(encoding="utf-8")
    boats = [line for line in text.splitlines() if line.startswith('["boats/')]
    assert len(boats) == 57
    a_thousand = [line.replace("boats/", f"boats/{number}-") for number in range(18) for line in boats]
    assert len(gzip.compress((text + "".join(a_thousand)).encode())) < 200_000
    assert max(map(len, boats)) < 600


def test_no_text_of_an_entry_is_code_in_the_index() -> None:
    script = search_script([SearchEntry("a.html", "</script><b>&", "\u2028", ("<1>",))])
    assert not set("<>&\u2028") & set(script)
