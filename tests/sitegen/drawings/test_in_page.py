"""A drawing put into a page loses bytes, and nothing a reader sees."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page

from sitegen.drawings.in_page import in_page
from sitegen.drawings.palette import stylesheet
from tests.sitegen.drawings.samples import every_drawing


def picture(page: Page, body: str) -> bytes:
    page.set_content(f"<style>{stylesheet()} body {{ font-family: sans-serif }}</style>{body}")
    return page.screenshot(full_page=True)


@pytest.mark.parametrize("width", [360, 1000])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_drawing_looks_the_same(browser: Browser, scheme: str, width: int) -> None:
    context = browser.new_context(viewport={"width": width, "height": 900}, java_script_enabled=False)
    context.pages or context.new_page()
    page = context.pages[0]
    page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    for name, draw in every_drawing().items():
        svg = draw("p1")
        # A drawing inside a page of markup needs no name space.
        assert picture(page, in_page(svg)) == picture(page, svg), name
    context.close()


def test_words_are_left_alone() -> None:
    for words in (' stroke="#16242f"', ' fill="none" class="s-ink"', "data-part='x'"):
        for draw in every_drawing(words).values():
            svg = draw("p1")
            told = (
                svg.count("&quot;#16242f&quot;") + svg.count("fill=&quot;none") + svg.count("data-part='x'")
            )
            slim = in_page(svg)
            kept = (
                slim.count("&quot;#16242f&quot;")
                + slim.count("fill=&quot;none")
                + slim.count("data-part='x'")
            )
            assert kept == told


def test_a_fifth_is_saved() -> None:
    whole = sum(len(draw("p1")) for draw in every_drawing().values())
    slim = sum(len(in_page(draw("p1"))) for draw in every_drawing().values())
    assert slim < 0.85 * whole
