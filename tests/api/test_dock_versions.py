"""A phone holds one version of the dock page, whole: nothing of the next one is mixed in."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from api.dock.files import PAGE, DockFiles, dock_files
from api.http.content_types import kind_of
from tests.api.running import LONGEST_S, wait_for

CONTROLLED = "navigator.serviceWorker.controller !== null"
GIVEN_UP = "navigator.serviceWorker.getRegistration().then(one => !one.installing && !one.waiting)"


@dataclass
class Served:
    """A server of the page alone, whose files can be replaced, and fail, while it runs."""

    url: str
    files: DockFiles
    broken: set[str] = field(default_factory=set)
    refused: list[str] = field(default_factory=list)


@contextmanager
def serving(files: DockFiles) -> Iterator[Served]:
    """Serve the page on a free port of this machine."""
    served = Served("", files)

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            found = served.files.at(self.path.removeprefix("/dock/"))
            whole = found is not None and found[0] not in served.broken
            if found and not whole:
                served.refused.append(found[0])
            self.send_response(200 if whole else 404)
            self.send_header("content-type", kind_of(found[0]) if found else "text/plain")
            self.send_header("cache-control", "no-cache")
            self.end_headers()
            self.wfile.write(found[1] if found and whole else b"")

        def log_message(self, format: str, *args: object) -> None:  # noqa: A002  as the base class names it
            return

    with ThreadingHTTPServer(("127.0.0.1", 0), Handler) as server:
        served.url = f"http://127.0.0.1:{server.server_port}/dock/"
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        try:
            yield served
        finally:
            server.shutdown()
            thread.join(LONGEST_S)


def next_version(folder: Path) -> DockFiles:
    """The page with a change in its script and in its style."""
    shutil.copytree(PAGE, folder)
    changes = {"dock.js": "document.body.dataset.script = 'two';", "dock.css": "h1 { order: 2; }"}
    for name, added in changes.items():
        path = folder / name
        path.write_text(path.read_text(encoding="utf-8") + "\n" + added, encoding="utf-8")
    return dock_files(folder)


def version_of(page: Page) -> tuple[str | None, str]:
    """Which script and which style the page works with."""
    script = page.evaluate("document.body.dataset.script ?? null")
    return script, page.evaluate("getComputedStyle(document.querySelector('h1')).order")


def open_page(page: Page, served: Served) -> None:
    page.goto(served.url)
    wait_for(lambda: bool(page.evaluate(CONTROLLED)))


def test_every_change_makes_a_new_version_and_all_files_are_named(tmp_path: Path) -> None:
    one, two = dock_files(), next_version(tmp_path / "page")
    assert one.version != two.version
    assert one.version == dock_files().version
    worker = one.files["worker.js"].decode()
    names = {path.name for path in PAGE.iterdir()} - {"index.html", "worker.js"}
    assert all(name in worker for name in names)
    assert one.at(f"{two.version}/dock.js") is None
    assert not any("{version}" in one.files[name].decode() for name in ("index.html", "worker.js"))


def test_a_new_version_is_taken_when_the_reader_says_so(browser_tab: Page, tmp_path: Path) -> None:
    page = browser_tab
    with serving(dock_files()) as served:
        open_page(page, served)
        served.files = next_version(tmp_path / "page")
        page.reload()
        assert version_of(page) == (None, "0")  # the old one as a whole, though the server has it no more
        expect(page.get_by_text("A new version of this page is here")).to_be_visible()
        page.reload()
        assert version_of(page) == (None, "0")
        page.get_by_role("button", name="Take the new version").click()
        expect(page.locator("body")).to_have_attribute("data-script", "two")
        assert version_of(page) == ("two", "2")
        assert page.evaluate("caches.keys()") == [f"dock-shell-{served.files.version}"]


@pytest.mark.thorough
def test_a_new_version_that_does_not_come_whole_is_left_alone(browser_tab: Page, tmp_path: Path) -> None:
    page = browser_tab
    with serving(dock_files()) as served:
        open_page(page, served)
        served.files, served.broken = next_version(tmp_path / "page"), {"dock.css"}
        page.reload()
        wait_for(lambda: served.refused == ["dock.css"] and bool(page.evaluate(GIVEN_UP)))
        assert version_of(page) == (None, "0")
        expect(page.get_by_text("A new version of this page is here")).to_have_count(0)
        page.context.set_offline(True)
        page.reload()
        assert version_of(page) == (None, "0")


def test_opened_by_a_phone_that_has_nothing_while_the_program_is_replaced(
    browser_tab: Page, tmp_path: Path
) -> None:
    page, old = browser_tab, dock_files()
    with serving(old) as served:
        new = next_version(tmp_path / "page")

        def replaced() -> bool:
            served.files = new
            return True

        page.route("**/dock.css", lambda route: replaced() and route.continue_())
        page.goto(served.url)
        # The page of the old version got no file of the new one: nothing of it is shown half.
        script, _ = version_of(page)
        assert script is None
        page.unroute("**/dock.css")
        page.reload()
        assert version_of(page) == ("two", "2")
