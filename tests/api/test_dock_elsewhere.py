"""Entries about a boat that left the list, or of whose number another fleet has one too."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, Route, expect

from tests.api.phone import open_boat, save, sign_in
from tests.api.running import Running, key, running, settings, sheet, upload


def told(route: Route, status: int, code: str) -> None:
    body = {"code": code, "title": "As told", "status": status, "detail": "As told."}
    route.fulfill(status=status, json=body, content_type="application/problem+json")


@pytest.mark.thorough
def test_a_conflict_about_a_boat_that_left_the_list_can_be_dropped(page: Page, on_file: Running) -> None:
    """Else it would wait for ever, and everything entered about her later behind it."""
    sign_in(page, on_file)
    open_boat(page, "006")
    page.route(f"**/boats/{on_file.boats['006']}/inspections", lambda r: told(r, 412, "changed-meanwhile"))
    page.route(f"**/boats/{on_file.boats['006']}", lambda r: told(r, 404, "not-found"))
    page.locator("#f-cone_count").fill("128")
    save(page)
    conflict = page.locator("[data-state=conflict]")
    expect(conflict).to_contain_text("it is not in the list any more")
    conflict.get_by_role("button", name="Drop mine").click()
    conflict.get_by_role("button", name="Yes, drop mine").click()
    expect(page.locator("[data-state=dropped]")).to_contain_text("128")


@pytest.mark.thorough
def test_a_boat_of_the_same_number_in_another_fleet_is_another_boat(
    browser_tab: Page, tmp_path: Path
) -> None:
    """Both lists are new and the same, so that her version has the same name in both fleets."""
    page = browser_tab
    with running(settings(tmp_path)) as up, up.client() as officer:
        other = officer.post("/v1/fleets", json={"name": "Other"}, headers=key()).json()["id"]
        upload(officer, other, sheet())
        her = f"/v1/fleets/{other}/boats/{up.boats['001']}"
        assert officer.get(her).headers["etag"] == up.etag(officer, "001")
        page.goto(f"{up.url}/dock/#{up.token('officer')}")
        for fleet in ("Small", "Other"):
            page.locator("button.boat", has_text=fleet).click()
            open_boat(page, "001")
            page.locator("#f-cone_count").fill("129")
            save(page)
            expect(page.locator("[data-state=received]")).to_have_count(1 if fleet == "Small" else 2)
            page.get_by_role("button", name="Another fleet").click()
        assert len(officer.get(f"{her}/inspections").json()["items"]) == 1
