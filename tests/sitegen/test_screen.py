"""How the pages lie on screens of all widths, and whether anybody meets a barrier."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.sitegen.reader import AXE, RULES, boat


def widest(page: Page, site: Path, widths: Sequence[int]) -> list[tuple[str, int, int]]:
    """The pages that are wider than the screen: address, width of the screen, width of the page."""
    found = []
    pages = sorted(path.relative_to(site).as_posix() for path in site.rglob("*.html"))
    assert {address.partition("/")[0] for address in pages} >= {
        "boats",
        "cuts",
        "sheets.html",
        "changes.html",
    }
    for address in pages:
        page.goto(f"{site.as_uri()}/{address}")
        for width in widths:
            page.set_viewport_size({"width": width, "height": 900})
            taken = page.evaluate("document.documentElement.scrollWidth")
            if taken > width:
                found.append((address, width, taken))
    return found


@pytest.mark.parametrize(
    "widths", [(320, 1280), pytest.param((320, 360, 480, 768, 1280, 3840), marks=pytest.mark.thorough)]
)
def test_no_page_is_wider_than_the_screen(
    browser: Browser, struck_site: Path, widths: tuple[int, ...]
) -> None:
    page = browser.new_page()
    assert widest(page, struck_site, widths) == []
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
        inside_text = page.locator("li .q:has(i), p .q:has(i)")
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


def those_people_use(site: Path) -> list[str]:
    """The pages most people see; the others are made of the same parts."""
    cut = next((site / "cuts").glob("*.html")).name
    return [
        "index.html",
        boat(site, "Grey Plover"),
        "order.html",
        f"cuts/{cut}",
        "notices.html",
        "sheets.html",
    ]


def one_of_each_kind(site: Path) -> list[str]:
    others = [
        "method",
        "checks",
        "glossary",
        "seamanship",
        "help",
        "rejected",
        "not-this",
        "rules",
        "harbour",
    ]
    others += ["changes", "licences"]
    return [*those_people_use(site), boat(site, "Slow Barge"), *(f"{name}.html" for name in others)]


@pytest.mark.parametrize(
    ("width", "scheme", "addresses"),
    [
        (360, "light", those_people_use),
        *(
            pytest.param(width, scheme, one_of_each_kind, marks=pytest.mark.thorough)
            for width in (360, 1280)
            for scheme in ("light", "dark")
        ),
    ],
)
def test_no_barrier_is_found(
    browser: Browser, struck_site: Path, scheme: str, width: int, addresses: Callable[[Path], list[str]]
) -> None:
    context = browser.new_context(
        viewport={"width": width, "height": 900},
        color_scheme="dark" if scheme == "dark" else "light",
        bypass_csp=True,
    )
    page = context.new_page()
    for address in addresses(struck_site):
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


def test_a_table_that_fits_is_no_stop_of_the_keyboard(browser: Browser, struck_site: Path) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.goto(f"{struck_site.as_uri()}/method.html")
    stops = "all => all.filter(e => e.tabIndex === 0).length"
    wide = "all => all.filter(e => e.scrollWidth > e.clientWidth).length"
    regions = page.locator(".dm-scroll")
    assert regions.evaluate_all(stops) == regions.evaluate_all(wide) < regions.count()
    page.set_viewport_size({"width": 320, "height": 740})
    page.locator(".dm-scroll[tabindex]").first.wait_for(state="attached", timeout=300_000)
    assert regions.evaluate_all(stops) == regions.evaluate_all(wide) > 0
    page.close()
