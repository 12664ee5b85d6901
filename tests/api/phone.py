"""A phone's browser for the tests of the dock page, and what is done with it over and over."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.api.running import LONGEST_S, Running, wait_for

WIDTH = 360
SMALLEST_TARGET_PX = 48
SLOWEST_MS = 1000.0 * LONGEST_S


@pytest.fixture
def browser_phone(browser: Browser) -> Iterator[BrowserContext]:
    """A phone that was never here before."""
    expect.set_options(timeout=SLOWEST_MS)
    context = browser.new_context(
        viewport={"width": WIDTH, "height": 740}, has_touch=True, is_mobile=True, device_scale_factor=2
    )
    context.set_default_timeout(SLOWEST_MS)
    yield context
    context.close()


@pytest.fixture
def browser_tab(browser_phone: BrowserContext) -> Page:
    """A tab that may be pointed at any server of this machine."""
    return browser_phone.new_page()


@pytest.fixture
def phone(browser_phone: BrowserContext, on_file: Running) -> Iterator[BrowserContext]:
    """A phone's browser; whatever it asks of another host than this machine fails the test."""
    asked: list[str] = []
    browser_phone.on("request", lambda request: asked.append(request.url))
    yield browser_phone
    outside = [url for url in asked if not url.startswith((on_file.url, "data:", "blob:"))]
    assert outside == []


@pytest.fixture
def page(phone: BrowserContext) -> Iterator[Page]:
    """A tab; an error of the page's own, or of its content policy, fails the test."""
    tab = phone.new_page()
    # Requests are looked at from the first one on; told later, a browser may let some pass the routes.
    tab.route("**/no-such-place", lambda route: route.abort())
    wrong: list[str] = []
    tab.on("pageerror", lambda error: wrong.append(str(error)))
    tab.on("console", lambda m: wrong.append(m.text) if "Content Security Policy" in m.text else None)
    yield tab
    assert wrong == []


def picture(page: Page, name: str) -> None:
    """Keep a picture where DROGUE_MUSTER_PICTURES names a folder for it."""
    folder = os.environ.get("DROGUE_MUSTER_PICTURES")
    if folder:
        page.screenshot(path=Path(folder) / f"{name}.png", full_page=True)


def sign_in(page: Page, up: Running, role: str = "scrutineer") -> str:
    """Come by the link; the token is gone from the address at once."""
    scope = {"fleet_id": up.fleet}
    if role == "skipper":
        scope["boat_id"] = up.boats["001"]
    page.goto(f"{up.url}/dock/#{up.token(role, **scope)}")
    wait_for(lambda: bool(page.evaluate("navigator.serviceWorker.controller !== null")))
    assert "#" not in page.url
    return page.url


def lose_signal(page: Page, phone: BrowserContext, up: Running) -> None:
    """Come by the link, have every boat's figures kept on the phone, and then be without signal."""
    sign_in(page, up)
    expect(page.locator("#kept")).to_contain_text("6 of 6 boats")
    phone.set_offline(True)


def targets_are_large(page: Page) -> None:
    """Everything that can be hit is large enough, and nothing runs out of the side."""
    boxes = page.eval_on_selector_all(
        "button, input, select, textarea, summary",
        "all => all.filter(e => e.offsetParent)"
        ".map(e => [e.outerHTML.slice(0, 80), e.offsetWidth, e.offsetHeight])",
    )
    assert boxes
    for what, width, height in boxes:
        assert min(width, height) >= SMALLEST_TARGET_PX, what
    assert page.evaluate("document.documentElement.scrollWidth") <= WIDTH


def open_boat(page: Page, entry_no: str) -> None:
    """Open a boat of the list."""
    page.locator(".boat", has_text=f"No {entry_no}").click()
    expect(page.locator("#f-cone_count")).to_be_visible()


def save(page: Page) -> None:
    """Press the button below the sheet."""
    page.get_by_role("button", name="Save and send").click()


def send_now(page: Page) -> None:
    """Press the button; the page's own half minute may be quicker on a busy machine, and then it is gone."""
    page.get_by_role("button", name="Send now").evaluate_all("all => all.forEach(one => one.click())")


def all_is_sent(page: Page) -> None:
    """Wait until the page has tried whatever waits in its queue."""
    page.evaluate(f"async () => {{ await (await {module('send')}).sendAll(); }}")


def kept_by(page: Page, store: str, name: str) -> Any:
    """What the phone keeps under this name."""
    return page.evaluate(f"async (asked) => (await {module('kept')}).get(...asked)", [store, name])


def module(name: str) -> str:
    """Script that gets one of the page's own modules, as the page has it."""
    return f"import(new URL('{name}.js', document.querySelector('script[type=module]').src))"


def inspections(up: Running, entry_no: str) -> list[list[tuple[str, str]]]:
    """What the server has of a boat: field and text, inspection by inspection."""
    with up.client() as officer:
        items = officer.get(f"{up.boat(entry_no)}/inspections?limit=200").json()["items"]
    return [[(one["field"], one["text"]) for one in item["measured"]] for item in items]


def fill_cones(page: Page, up: Running, entry_no: str, value: str) -> int:
    """Open a boat and type a number of cones; how many inspections she has so far."""
    before = len(inspections(up, entry_no))
    open_boat(page, entry_no)
    page.locator("#f-cone_count").fill(value)
    return before
