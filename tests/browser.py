"""One Chromium for all tests of a worker: each opens a context of its own in it, as a new phone or reader.

While it runs, its loop counts as running in the main thread; a test that needs one there takes a thread.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, sync_playwright

# The first is built to be run without a screen: a page costs it about half the time of the others.
NAMES = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
# What a browser draws around a page, though nobody sees it, costs more time than most tests: it is left out.
# This list replaces Playwright's, which leaves addresses with http as they are.
LEFT_OUT = (
    "WebUIOmniboxPopup", "WebUIOmniboxAimPopup", "WebUIReloadButton", "HttpsUpgrades",
    "HttpsFirstBalancedModeAutoEnable", "PaintHolding", "MediaRouter", "OptimizationHints",
)  # fmt: skip
ARGUMENTS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", f"--disable-features={','.join(LEFT_OUT)}",
    "--host-resolver-rules=MAP dock.example 127.0.0.1",
)  # fmt: skip


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The browser."""
    path = next(filter(None, map(shutil.which, NAMES)), None)
    assert path, f"these tests need Chromium on the path: one of {', '.join(NAMES)}"
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=path, args=list(ARGUMENTS))
        yield running
        running.close()
