"""How the dock page looks and reads: WCAG 2.2 AA and contrast of level AAA by axe-core, at widths in use.

Sources: WCAG 2.2 (1.4.3, 1.4.6, 1.4.10, 2.4.11, 2.5.8); targets of 48 px are common practice for phones.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.api.phone import open_boat, picture, save, sign_in
from tests.api.running import Running
from tests.sitegen.reader import AXE, RULES

TARGETS_PX = 48
SMALLEST_TEXT_PX = 16
SIZES = [(320, 568), (360, 740), (768, 1024), (740, 360)]

View = Callable[[Page, Running], None]


def at_sign_in(page: Page, up: Running) -> None:
    page.goto(f"{up.url}/dock/")
    expect(page.get_by_label("Token from the safety officer")).to_be_visible()


def at_list(page: Page, up: Running) -> None:
    sign_in(page, up)
    expect(page.locator(".boat")).to_have_count(6)


def at_boat(page: Page, up: Running) -> None:
    at_list(page, up)
    with up.client() as officer:
        assert up.inspect(officer, "002", ("end_weight", "31 lb")).status_code == 201
    open_boat(page, "002")
    expect(page.locator("#inspections > summary")).to_contain_text(re.compile(r"\([1-9]"))
    for summary in page.locator("summary").all():
        summary.click()
    page.locator("#f-end_weight").fill("-5")
    save(page)
    expect(page.locator("#f-end_weight-wrong")).to_contain_text("below zero")


def at_queue(page: Page, up: Running) -> None:
    at_list(page, up)
    open_boat(page, "003")
    with up.client() as officer:
        assert up.inspect(officer, "003", ("end_weight", "19 kg")).status_code == 201
    page.locator("#f-end_weight").fill("18")
    save(page)
    conflict = page.locator("[data-state=conflict]")
    conflict.get_by_role("button", name="Drop mine", exact=True).click()
    expect(conflict.get_by_role("button", name="Yes, drop mine")).to_be_visible()


VIEWS: list[View] = [at_sign_in, at_list, at_boat, at_queue]


@pytest.mark.parametrize("sizes", [SIZES[:1], pytest.param(SIZES[1:], marks=pytest.mark.thorough)], ids=str)
@pytest.mark.parametrize("view", VIEWS)
def test_every_view_can_be_read_and_hit(
    page: Page, on_file: Running, view: View, sizes: list[tuple[int, int]]
) -> None:
    """By default on the smallest phone, where there is least room."""
    view(page, on_file)
    # The page's own policy stops scripts from elsewhere: the checker goes in by the debugger.
    page.evaluate(AXE.read_text(encoding="utf-8"))
    for width, height in sizes:
        page.set_viewport_size({"width": width, "height": height})
        picture(page, f"look-{view.__name__}-{width}")
        can_be_read_and_hit(page, width)


def can_be_read_and_hit(page: Page, width: int) -> None:
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    small = page.evaluate(
        """([target, text]) => {
            const seen = (one) => one.offsetParent && !one.closest(".unseen");
            const all = [...document.querySelectorAll("body *")].filter(seen);
            const hit = all.filter((one) => one.matches("button, input, select, textarea, summary, a")
                && Math.min(one.offsetWidth, one.offsetHeight) < target);
            const text_in = (one) => [...one.childNodes].some((n) => n.nodeType === 3 && n.data.trim());
            const read = all.filter((one) => text_in(one)
                && parseFloat(getComputedStyle(one).fontSize) < text);
            return [...hit, ...read].map((one) => one.outerHTML.slice(0, 90));
        }""",
        [TARGETS_PX, SMALLEST_TEXT_PX],
    )
    assert small == []
    told = page.evaluate(
        "tags => axe.run(document, {runOnly: tags, resultTypes: ['violations'],"
        " rules: {'color-contrast-enhanced': {enabled: true}, 'target-size': {enabled: true}}})",
        [*RULES, "wcag2aaa"],
    )
    assert [(one["id"], [n["html"][:120] for n in one["nodes"]]) for one in told["violations"]] == []


def test_the_keyboard_reaches_everything_and_shows_where_it_is(page: Page, on_file: Running) -> None:
    page.set_viewport_size({"width": 360, "height": 740})
    at_list(page, on_file)
    open_boat(page, "001")
    reached = 0
    for _ in range(40):
        page.keyboard.press("Tab")
        hidden = page.evaluate("""() => {
            const one = document.activeElement, style = getComputedStyle(one);
            if (!one.matches("input, select, textarea, summary")) return null;
            const box = one.getBoundingClientRect();
            const top = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
            const seen = one === top || one.contains(top);
            const marked = parseFloat(style.outlineWidth) >= 3 && style.outlineStyle !== "none";
            return seen && marked ? "" : one.outerHTML;
        }""")
        assert not hidden
        reached += hidden == ""
    assert reached > 10
