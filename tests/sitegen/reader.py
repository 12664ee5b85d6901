"""A reader of the site: her browser, whose errors and requests are written down."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

LONGEST_MS = 300_000  # a condition in words of the page would be refused by its own security policy
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
