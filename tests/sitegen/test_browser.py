"""What a reader can do with the site, from a folder and with no network."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from sizing.units import show

AXE = Path(__file__).parent / "vendor" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


class Watched:
    """A page whose errors and requests are written down."""

    def __init__(self, context: BrowserContext, site: Path) -> None:
        self.page: Page = context.new_page()
        self.site = site
        self.errors: list[str] = []
        self.requests: list[str] = []
        self.page.on(
            "console", lambda m: self.errors.append(m.text) if m.type in {"error", "warning"} else None
        )
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("request", lambda request: self.requests.append(request.url))

    def goto(self, address: str) -> Page:
        self.page.goto(f"{self.site.as_uri()}/{address}")
        return self.page


@pytest.fixture
def watched(browser: Browser, site: Path) -> Iterator[Watched]:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    made = Watched(context, site)
    yield made
    context.close()
    assert made.errors == []
    assert all(url.startswith(site.parent.as_uri()) for url in made.requests)


def boat(site: Path, name: str) -> str:
    """The address of the first boat of a name."""
    for path in sorted((site / "boats").glob("*.html")):
        if f'<bdi class="dm-data">{name}</bdi></h1>' in path.read_text(encoding="utf-8"):
            return f"boats/{path.name}"
    raise AssertionError(f"no boat is called {name}")


def names_in_order(page: Page) -> list[str]:
    return page.locator("#fleet tbody tr:visible th a").all_text_contents()


def test_the_table_is_filtered_by_text_standing_and_type(watched: Watched) -> None:
    page = watched.goto("index.html")
    assert page.locator("#fleet-count").text_content() == "All 5 boats shown"
    page.fill("#fleet-filter input[name=q]", "grey  002")
    assert names_in_order(page) == []
    page.fill("#fleet-filter input[name=q]", "GREY")
    assert names_in_order(page) == ["Grey Plover", "Grey Plover"]
    page.select_option("#fleet-filter select[name=type]", "motor monohull")
    assert page.locator("#fleet-count").text_content() == "1 of 5 boats shown"
    assert "q=GREY" in page.url
    page.click("#fleet-filter button[type=reset]")
    page.select_option("#fleet-filter select[name=standing]", "not-computed")
    assert names_in_order(page) == ["Slow Barge"]


def test_the_filter_is_in_the_address_and_comes_back(watched: Watched) -> None:
    page = watched.goto("index.html#q=spoon&sort=displacement.down")
    assert names_in_order(page) == ["Twin Spoon"]
    assert page.locator("#fleet th[aria-sort=descending]").text_content() == "Displacement"


def test_a_tile_filters_the_table(watched: Watched) -> None:
    page = watched.goto("index.html")
    page.click(".dm-tile--not-computed a")
    page.wait_for_function("document.getElementById('fleet-count').textContent.startsWith('1 of')")
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
    assert names_in_order(page)[-1] == "Slow Barge", "a boat without a figure comes last"
    assert header.get_attribute("aria-sort") is None


def test_rows_are_moved_only_where_their_order_changes(watched: Watched) -> None:
    """To lay out the table of a thousand boats anew holds the page up."""
    page = watched.goto("index.html")
    first = names_in_order(page)
    page.evaluate(
        "window.moved = 0; new MutationObserver(seen => { window.moved += seen.length; })"
        ".observe(document.querySelector('#fleet tbody'), {childList: true})"
    )
    page.select_option("#fleet-filter select[name=standing]", "not-computed")
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


def test_a_table_that_fits_is_no_stop_of_the_keyboard(browser: Browser, struck_site: Path) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.goto(f"{struck_site.as_uri()}/method.html")
    stops = "all => all.filter(e => e.tabIndex === 0).length"
    wide = "all => all.filter(e => e.scrollWidth > e.clientWidth).length"
    regions = page.locator(".dm-scroll")
    assert regions.evaluate_all(stops) == regions.evaluate_all(wide) < regions.count()
    page.set_viewport_size({"width": 320, "height": 740})
    page.wait_for_function("document.querySelector('.dm-scroll[tabindex]') !== null")
    assert regions.evaluate_all(stops) == regions.evaluate_all(wide) > 0
    page.close()


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


@pytest.mark.parametrize("scheme", ["light", "dark"])
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
    page.wait_for_function("document.querySelector('.dm-search__count').textContent !== ''")
    assert page.locator(".dm-search__count").text_content() == "Nothing found"


def test_a_link_into_a_fold_opens_it(watched: Watched) -> None:
    page = watched.goto(boat(watched.site, "Twin Spoon") + "#work-1")
    assert page.locator("#work-1").is_visible()


def sheets_of_paper(page: Page, paper: str) -> list[str]:
    """The words of each sheet as printed."""
    printed = page.pdf(format=paper)
    done = subprocess.run(
        ["pdftotext", "-layout", "-enc", "UTF-8", "-", "-"], input=printed, capture_output=True, check=True
    )
    return [" ".join(sheet.split()) for sheet in done.stdout.decode("utf-8").split("\f")[:-1]]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_boat_prints_to_a_few_pages_in_both_systems(watched: Watched, paper: str) -> None:
    page = watched.goto(boat(watched.site, "Twin Spoon"))
    sheets = sheets_of_paper(page, paper)
    assert 2 <= len(sheets) <= 8
    mass, text = show(10_500.0, "mass"), " ".join(sheets)
    assert f"{mass.metric} ({mass.us})" in text
    for wanted in ("Am I all right?", "What is short", "Figures of the drogue", "Cut the line", "Recover"):
        assert wanted in text
    for left_out in ("Units shown", "Every answer as written", "Workings (", "Print this page"):
        assert left_out not in text
    assert "Not on this paper" in text


def test_paper_says_in_which_units_its_drawings_are(watched: Watched) -> None:
    page = watched.goto(boat(watched.site, "Twin Spoon"))
    assert page.locator(".dm-drawn-units").is_hidden()
    assert "Drawings on this paper are in metric units" in " ".join(sheets_of_paper(page, "A4"))
    page.locator(".dm-switch label", has_text="US").click()
    assert "Drawings on this paper are in US units" in " ".join(sheets_of_paper(page, "A4"))


def test_every_sheet_says_whose_it_is_of_which_rally_and_day(watched: Watched) -> None:
    sheets = sheets_of_paper(watched.goto(boat(watched.site, "Twin Spoon")), "A4")
    for number, sheet in enumerate(sheets, start=1):
        assert "Twin Spoon (003) · Example Passage" in sheet
        assert "Worked out 15 January 2027" in sheet
        assert f"Page {number} of {len(sheets)}" in sheet


def test_with_all_opened_the_workings_are_printed_too(watched: Watched) -> None:
    page = watched.goto(boat(watched.site, "Twin Spoon"))
    button = page.get_by_role("button", name="Open all for printing")
    button.click()
    assert button.get_attribute("aria-pressed") == "true"
    text = " ".join(sheets_of_paper(page, "A4"))
    assert page.locator("article details.dm-fold:not([open])").count() == 0
    for wanted in ("Workings (", "Every answer as written", "The wave strike", "Marks for the cones"):
        assert wanted in text
    assert "Not on this paper" not in text
    button.click()
    assert page.locator("article details.dm-fold[open]").count() == 0


def test_what_the_reader_opened_is_printed(watched: Watched) -> None:
    page = watched.goto(boat(watched.site, "Twin Spoon"))
    page.locator("#workings details summary", has_text="Every answer").click()
    text = " ".join(sheets_of_paper(page, "A4"))
    assert "Every answer as written" in text
    assert "Workings (" not in text


def test_without_scripts_nothing_is_left_out_but_what_is_folded(browser: Browser, site: Path) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{site.as_uri()}/{boat(site, 'Twin Spoon')}")
    text = " ".join(sheets_of_paper(page, "A4"))
    context.close()
    assert "The wave strike" in text
    assert "Page 1 of" in text


def test_a_total_is_printed_once(watched: Watched) -> None:
    page = watched.goto("order.html")
    page.emulate_media(media="print")
    feet = page.locator("tfoot")
    assert feet.count() > 0
    assert set(feet.evaluate_all("all => all.map(e => getComputedStyle(e).display)")) == {"table-row-group"}


def test_without_scripts_both_systems_and_every_boat_are_there(browser: Browser, site: Path) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{site.as_uri()}/index.html")
    text = page.locator("#fleet").inner_text()
    assert "8,400 kg" in text
    assert "18,519 lb" in text
    assert page.locator("#fleet tbody tr").count() == 5
    assert page.locator(".dm-filter").is_hidden()
    assert page.locator(".dm-tools").is_hidden()
    context.close()


def widest(page: Page, site: Path, widths: Sequence[int]) -> list[tuple[str, int, int]]:
    """The pages that are wider than the screen: address, width of the screen, width of the page."""
    found = []
    pages = sorted(path.relative_to(site).as_posix() for path in site.rglob("*.html"))
    assert {address.partition("/")[0] for address in pages} >= {"boats", "cuts", "sheets", "changes.html"}
    for address in pages:
        page.goto(f"{site.as_uri()}/{address}")
        for width in widths:
            page.set_viewport_size({"width": width, "height": 900})
            taken = page.evaluate("document.documentElement.scrollWidth")
            if taken > width:
                found.append((address, width, taken))
    return found


def test_no_page_is_wider_than_the_screen(browser: Browser, struck_site: Path) -> None:
    page = browser.new_page()
    assert widest(page, struck_site, [320, 360, 768, 1280, 3840]) == []
    page.close()


def test_without_scripts_no_page_is_wider_than_a_phone(browser: Browser, struck_site: Path) -> None:
    """Both systems stand beside each other then, and take more room."""
    context = browser.new_context(java_script_enabled=False)
    assert widest(context.new_page(), struck_site, [320, 360]) == []
    context.close()


def test_no_figure_lies_over_the_words_before_it(browser: Browser, struck_site: Path) -> None:
    """In a line with a hanging indent the figure must not be shifted back over its label."""
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    overlaps = """all => all.map(figure => {
      const range = document.createRange();
      range.setStart(figure.parentNode, 0);
      range.setEndBefore(figure);
      const before = [...range.getClientRects()].filter(r => r.width > 1).pop();
      const shown = [...figure.children].find(e => getComputedStyle(e).display !== 'none');
      const letters = document.createRange();
      letters.selectNodeContents(shown);
      const own = letters.getBoundingClientRect();
      return before && before.bottom > own.top + 4 && before.top < own.bottom - 4
        && own.left < before.right - 1 && own.right > before.left + 1;
    })"""
    for address in ("changes.html", boat(struck_site, "Twin Spoon")):
        page.goto(f"{struck_site.as_uri()}/{address}")
        inside_text = page.locator("li .q:has(span), p .q:has(span)")
        assert inside_text.count() > 3, address
        assert not any(inside_text.evaluate_all(overlaps)), address
    page.close()


def test_figures_stand_under_each_other_in_every_table(browser: Browser, struck_site: Path) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    for address in ("index.html", "order.html", "changes.html", boat(struck_site, "Twin Spoon")):
        page.goto(f"{struck_site.as_uri()}/{address}")
        cells = page.locator("td.dm-number")
        assert cells.count() > 0, address
        sides = set(cells.evaluate_all("all => all.map(e => getComputedStyle(e).textAlign)"))
        assert sides == {"right"}, address
    page.close()


def test_the_first_screen_of_a_phone_says_how_she_stands_and_by_when(
    browser: Browser, struck_site: Path
) -> None:
    page = browser.new_page(viewport={"width": 360, "height": 740})
    page.goto(f"{struck_site.as_uri()}/{boat(struck_site, 'Twin Spoon')}")
    for words in ("open shall", "The first day for it is over: 15 October 2026", "departure on 3 May 2027"):
        box = page.locator(".dm-verdict p", has_text=words).first.bounding_box()
        assert box is not None, words
        assert box["y"] + box["height"] <= 740, words
    page.close()


def test_the_head_of_the_fleet_table_is_printed_on_every_sheet(watched: Watched) -> None:
    page = watched.goto("index.html")
    page.evaluate(
        "const body = document.querySelector('#fleet tbody'), rows = [...body.rows];"
        "for (let i = 0; i < 30; i += 1) rows.forEach(row => body.append(row.cloneNode(true)))"
    )
    sheets = [sheet for sheet in sheets_of_paper(page, "A4") if "Little Auk" in sheet]
    assert len(sheets) > 2
    for sheet in sheets:
        assert re.search(r"Standing\s+Type\s+Berth\s+Displacement", sheet)


def test_the_overview_on_paper_shows_drawings_for_half_a_sheet(watched: Watched) -> None:
    """Half the width of A4 is 87 mm, near a phone's: letters of the wide drawing would be under 5 pt."""
    page = watched.goto("index.html")
    page.emulate_media(media="print")
    for drawing in page.locator(".dm-pair .drawing.wide:has(+ .narrow)").all():
        assert drawing.is_hidden()
    shown = page.locator(".dm-pair .drawing.narrow")
    assert shown.count() >= 2
    assert all(drawing.is_visible() for drawing in shown.all())


def test_on_a_phone_the_contents_take_three_lines_at_most(browser: Browser, struck_site: Path) -> None:
    context = browser.new_context(viewport={"width": 360, "height": 740})
    page = context.new_page()
    for address in (boat(struck_site, "Grey Plover"), "method.html", "changes.html"):
        page.goto(f"{struck_site.as_uri()}/{address}")
        tops = page.locator(".dm-contents a").evaluate_all(
            "all => all.map(a => Math.round(a.getBoundingClientRect().top))"
        )
        assert len(set(tops)) <= 3, address
    context.close()


@pytest.mark.parametrize(
    ("width", "scheme"),
    [
        (360, "light"),
        pytest.param(1280, "dark", marks=pytest.mark.thorough),
        pytest.param(360, "dark", marks=pytest.mark.thorough),
        pytest.param(1280, "light", marks=pytest.mark.thorough),
    ],
)
def test_no_barrier_is_found(browser: Browser, struck_site: Path, scheme: str, width: int) -> None:
    context = browser.new_context(
        viewport={"width": width, "height": 900},
        color_scheme="dark" if scheme == "dark" else "light",
        bypass_csp=True,
    )
    page = context.new_page()
    sheet = next((struck_site / "sheets").glob("*.html")).name
    addresses = [
        "index.html",
        boat(struck_site, "Grey Plover"),
        boat(struck_site, "Slow Barge"),
        "order.html",
        f"cuts/{next((struck_site / 'cuts').glob('*.html')).name}",
        "method.html",
        "checks.html",
        "glossary.html",
        "rejected.html",
        "not-this.html",
        "changes.html",
        "sheets.html",
        f"sheets/{sheet}",
        "licences.html",
    ]
    for address in addresses:
        page.goto(f"{struck_site.as_uri()}/{address}")
        page.evaluate("document.querySelectorAll('details.dm-fold').forEach(d => d.open = true)")
        page.add_script_tag(path=str(AXE))
        found = page.evaluate(
            "tags => axe.run(document, {runOnly: tags, resultTypes: ['violations']})", RULES
        )
        told = [
            (v["id"], v["nodes"][0]["html"][:160], v["nodes"][0]["failureSummary"][:300])
            for v in found["violations"]
        ]
        assert told == [], address
    context.close()


def test_the_policy_of_the_page_allows_nothing_inline(watched: Watched) -> None:
    page = watched.goto("index.html")
    policy = page.locator("meta[http-equiv=Content-Security-Policy]").get_attribute("content") or ""
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy
