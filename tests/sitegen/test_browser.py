"""What a reader can do with the site, from a folder and with no network."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from sizing.units import show
from tests.sitegen.reader import LONGEST_MS, Watched, boat


def names_in_order(page: Page) -> list[str]:
    return page.locator("#fleet tbody tr:visible th a").all_text_contents()


def test_the_table_is_filtered_by_text_standing_and_type(watched: Watched) -> None:
    page = watched.goto("index.html")
    assert page.locator("#fleet-count").text_content() == "All 6 boats shown"
    page.fill("#fleet-filter input[name=q]", "grey  002")
    assert names_in_order(page) == []
    page.fill("#fleet-filter input[name=q]", "GREY")
    assert names_in_order(page) == ["Grey Plover", "Grey Plover"]
    page.select_option("#fleet-filter select[name=type]", "motor monohull")
    assert page.locator("#fleet-count").text_content() == "1 of 6 boats shown"
    assert "q=GREY" in page.url
    page.click("#fleet-filter button[type=reset]")
    page.select_option("#fleet-filter select[name=stage]", "not-sized")
    assert names_in_order(page) == ["Slow Barge"]
    page.select_option("#fleet-filter select[name=stage]", "not-taken")
    assert names_in_order(page) == ["No Length"]


def test_the_filter_is_in_the_address_and_comes_back(watched: Watched) -> None:
    page = watched.goto("index.html#q=spoon&sort=displacement.down")
    assert names_in_order(page) == ["Twin Spoon"]
    assert page.locator("#fleet th[aria-sort=descending]").text_content() == "Displacement"


def test_a_stage_filters_the_table(watched: Watched) -> None:
    page = watched.goto("index.html")
    for stage in page.locator(".dm-stage").all():
        count = int(stage.locator(".dm-stage__number").inner_text())
        links = stage.locator("a")
        assert links.count() == (count > 0)
        if count:
            links.click()
            expect(page.locator("#fleet-count")).to_have_text(re.compile(f"^{count} of"), timeout=LONGEST_MS)
    page.click(".dm-stage--not-sized a")
    expect(page.locator("#fleet-count")).to_have_text(re.compile("^1 of"), timeout=LONGEST_MS)
    assert names_in_order(page) == ["Slow Barge"]


def test_the_table_is_sorted_by_figures_and_by_text(watched: Watched) -> None:
    page = watched.goto("index.html")
    header = page.locator("#fleet th[data-key=displacement]")
    header.locator("button").click()
    assert header.get_attribute("aria-sort") == "ascending"
    assert names_in_order(page)[0] == "Little Auk"
    header.locator("button").click()
    assert header.get_attribute("aria-sort") == "descending"
    assert names_in_order(page)[0] == "Slow Barge"
    page.locator("#fleet th[data-key=cones] button").click()
    last = names_in_order(page)[-2:]
    assert last == ["Slow Barge", "No Length"], "a boat without a figure comes last"
    assert header.get_attribute("aria-sort") is None


def test_rows_are_moved_only_where_their_order_changes(watched: Watched) -> None:
    """To lay out the table of a thousand boats anew holds the page up."""
    page = watched.goto("index.html")
    first = names_in_order(page)
    page.evaluate(
        "window.moved = 0; new MutationObserver(seen => { window.moved += seen.length; })"
        ".observe(document.querySelector('#fleet tbody'), {childList: true})"
    )
    page.select_option("#fleet-filter select[name=stage]", "not-sized")
    page.click("#fleet-filter button[type=reset]")
    assert page.evaluate("window.moved") == 0
    page.click("#fleet th[data-key=displacement] button")
    assert names_in_order(page) != first
    page.click("#fleet-filter button[type=reset]")
    assert names_in_order(page) == first
    assert page.evaluate("window.moved") > 0


def test_everything_works_with_the_keyboard_alone(watched: Watched) -> None:
    page = watched.goto("index.html")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "dm-skip"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "content"
    page.focus("#fleet th[data-key=boat] button")
    page.keyboard.press("Enter")
    assert page.locator("#fleet th[data-key=boat]").get_attribute("aria-sort") == "ascending"
    page.focus("input[name=dm-units][value=metric]")
    page.keyboard.press("ArrowRight")
    assert page.locator("html").get_attribute("data-units") == "us"
    page.focus(".dm-scheme")
    page.keyboard.press("Space")
    assert page.locator("html").get_attribute("data-md-color-scheme") == "slate"
    page.focus("#dm-search-words")
    page.keyboard.type("auk")
    page.wait_for_selector(".dm-search__list a")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile("boats/"))
    assert "Little Auk" in (page.locator("h1").text_content() or "")


def test_every_focus_can_be_seen(watched: Watched) -> None:
    page = watched.goto(boat(watched.site, "Little Auk"))
    for _ in range(12):
        page.keyboard.press("Tab")
        outline = page.evaluate(
            "(() => { const at = document.activeElement, next = at.nextElementSibling || at;"
            " return [at, next].some(e => getComputedStyle(e).outlineStyle !== 'none'); })()"
        )
        assert outline


def test_one_switch_changes_every_figure_and_is_remembered(watched: Watched) -> None:
    page = watched.goto(boat(watched.site, "Twin Spoon"))
    page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true; })")
    body = page.locator(".dm-article")
    mass = show(10_500.0, "mass")
    assert mass.metric in body.inner_text()
    assert mass.us not in body.inner_text()
    page.locator(".dm-switch label", has_text="US").click()
    assert mass.us in body.inner_text()
    assert mass.metric not in body.inner_text()
    page.reload()
    assert page.locator("html").get_attribute("data-units") == "us"
    watched.goto("order.html")
    assert page.locator("html").get_attribute("data-units") == "us"


def test_drawings_follow_the_switch(watched: Watched) -> None:
    page = watched.goto(boat(watched.site, "Twin Spoon"))
    metric = page.locator(".drawing .u-metric").first
    us = page.locator(".drawing .u-us").first
    assert metric.evaluate("e => getComputedStyle(e).display") != "none"
    assert us.evaluate("e => getComputedStyle(e).display") == "none"
    page.locator(".dm-switch label", has_text="US").click()
    assert us.evaluate("e => getComputedStyle(e).display") != "none"


def test_dark_colours_are_remembered(watched: Watched) -> None:
    page = watched.goto("index.html")
    light = page.evaluate("getComputedStyle(document.body).backgroundColor")
    page.click(".dm-scheme")
    assert page.locator(".dm-scheme").get_attribute("aria-pressed") == "true"
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") != light
    page.reload()
    assert page.locator("html").get_attribute("data-md-color-scheme") == "slate"


@pytest.mark.parametrize("scheme", ["light", pytest.param("dark", marks=pytest.mark.thorough)])
def test_with_forced_colours_the_units_chosen_and_the_drawings_can_be_seen(
    browser: Browser, site: Path, scheme: str
) -> None:
    context = browser.new_context(
        forced_colors="active", color_scheme="dark" if scheme == "dark" else "light"
    )
    page = context.new_page()
    page.goto(f"{site.as_uri()}/{boat(site, 'Twin Spoon')}")
    if scheme == "dark":
        page.click(".dm-scheme")  # light colours asked for, on a black desktop
    chosen, other = (
        page.locator(f".dm-switch {which} + span").evaluate("e => getComputedStyle(e).backgroundColor")
        for which in ("input:checked", "input:not(:checked)")
    )
    assert chosen != other
    drawing = page.locator(".drawing").first
    ink = drawing.evaluate("e => getComputedStyle(e.querySelector('.s-ink')).stroke")
    paper = drawing.evaluate("e => getComputedStyle(e).backgroundColor")
    assert ink != paper
    assert paper not in {"rgba(0, 0, 0, 0)", "transparent"}, "the black desktop may not show through"
    context.close()


def test_the_reader_s_own_colours_are_taken_first(browser: Browser, site: Path) -> None:
    context = browser.new_context(color_scheme="dark")
    page = context.new_page()
    page.goto(f"{site.as_uri()}/index.html")
    assert page.locator("html").get_attribute("data-md-color-scheme") == "slate"
    context.close()


@pytest.mark.parametrize(
    ("words", "address"),
    [
        ("plover 001", "boats/"),
        ("design load", "glossary.html"),
        ("tern", "boats/"),
        ("NDB-20", "order.html#"),
    ],
)
def test_search_finds_boats_words_and_order_lines(watched: Watched, words: str, address: str) -> None:
    page = watched.goto("method.html")
    page.fill("#dm-search-words", words)
    page.wait_for_selector(".dm-search__list a")
    links = page.locator(".dm-search__list a").evaluate_all("all => all.map(a => a.getAttribute('href'))")
    assert any(link.startswith(address) for link in links)
    page.keyboard.press("Escape")
    assert page.locator(".dm-search__found").is_hidden()


def test_search_says_when_there_is_nothing(watched: Watched) -> None:
    page = watched.goto(boat(watched.site, "Little Auk"))
    page.fill("#dm-search-words", "zzzz")
    expect(page.locator(".dm-search__count")).to_have_text("Nothing found", timeout=LONGEST_MS)


def test_a_link_into_a_fold_opens_it(watched: Watched) -> None:
    page = watched.goto(boat(watched.site, "Twin Spoon") + "#work-1")
    assert page.locator("#work-1").is_visible()


def test_without_scripts_both_systems_and_every_boat_are_there(browser: Browser, site: Path) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{site.as_uri()}/index.html")
    text = page.locator("#fleet").inner_text()
    assert "8,400 kg" in text
    assert "18,519 lb" in text
    assert page.locator("#fleet tbody tr").count() == 6
    assert page.locator(".dm-filter").is_hidden()
    assert page.locator(".dm-tools").is_hidden()
    context.close()


def test_the_policy_of_the_page_allows_nothing_inline(watched: Watched) -> None:
    page = watched.goto("index.html")
    policy = page.locator("meta[http-equiv=Content-Security-Policy]").get_attribute("content") or ""
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy
