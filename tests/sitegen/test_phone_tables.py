"""Wide tables on a phone: every cell can be read without scrolling sideways, and a table stays a table."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, ViewportSize

PHONE = ViewportSize(width=360, height=740)


@pytest.mark.parametrize("kind", ["boats", "order"])
def test_rows_become_cards_with_their_headings(browser: Browser, struck_site: Path, kind: str) -> None:
    address = struck_site / "order.html" if kind == "order" else next((struck_site / "boats").glob("*.html"))
    with browser.new_context(viewport=PHONE) as context:
        page = context.new_page()
        page.goto(address.as_uri())
        tables = page.locator(".dm-stack table")
        assert tables.count() > 0
        for table in tables.all():
            heads = [text.strip() for text in table.locator("thead th").all_text_contents()]
            for row in table.locator("tbody tr").all():
                cells = row.locator("> *").all()
                assert [cell.get_attribute("data-head") for cell in cells] == heads
        for number, box in enumerate(page.locator(".dm-stack").all()):
            wide, room = box.evaluate("box => [box.scrollWidth, box.clientWidth]")
            assert wide <= room, f"table {number} of {address.name} is cut off"


def test_cards_keep_the_roles_of_a_table(browser: Browser, struck_site: Path) -> None:
    """Chromium's own accessibility tree, in which a display of another kind would lose the table."""
    with browser.new_context(viewport=PHONE) as context:
        page = context.new_page()
        page.goto((struck_site / "order.html").as_uri())
        lines = page.get_by_role("table").first
        rows = lines.get_by_role("row")
        assert rows.count() > 2
        assert rows.nth(1).get_by_role("rowheader").count() == 1
        assert rows.nth(1).get_by_role("cell").count() == 6
