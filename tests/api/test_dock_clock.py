"""The time of observation on the dock page: sent, shown as the phone's, and left out where it is wrong."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, Route, expect

from tests.api.phone import lose_signal, open_boat, picture, save, send_now, sign_in, targets_are_large
from tests.api.running import Running

FIELD = "observed_at_phone_clock"
TURN = (
    "ms => { const now = Date.now; Date.now = () => now() + ms; const D = Date;"
    " window.Date = class extends D {"
    " constructor(...a) { if (a.length) super(...a); else super(D.now()); } }; }"
)
"""Turns the phone's clock for the page that is open."""


def last(up: Running, entry: str) -> dict[str, Any]:
    with up.client() as officer:
        items = officer.get(f"{up.boat(entry)}/inspections?limit=200").json()["items"]
    told: dict[str, Any] = items[-1]
    return told


def enter(page: Page, entry: str, field: str, value: str) -> None:
    page.locator("#to-find").click()
    open_boat(page, entry)
    page.locator(f"#f-{field}").fill(value)
    save(page)


def between(one: dict[str, Any], early: dt.datetime, late: dt.datetime) -> bool:
    return bool(early <= dt.datetime.fromisoformat(one[FIELD]) <= late)


def test_it_is_when_it_was_entered_and_not_when_it_came(
    page: Page, phone: BrowserContext, on_file: Running
) -> None:
    lose_signal(page, phone, on_file)
    early = dt.datetime.now(dt.UTC) - dt.timedelta(seconds=1)
    enter(page, "002", "cone_count", "125")
    expect(page.locator("[data-state=waiting]")).to_contain_text("by this phone's clock, by A scrutineer")
    late = dt.datetime.now(dt.UTC)
    phone.set_offline(False)
    expect(page.locator("[data-state=received]")).to_have_count(1)
    told = last(on_file, "002")
    assert between(told, early, late)
    page.locator("#to-find").click()
    open_boat(page, "002")
    page.locator("#inspections > summary").click()
    newest = page.locator("#inspections section").first
    expect(newest).to_contain_text(
        re.compile("received .*Seen .* by the phone's clock, which nobody checked")
    )
    targets_are_large(page)
    picture(page, "dock-14-seen")


def test_a_clock_that_is_wrong_costs_no_entry_and_its_time_is_left_out(page: Page, on_file: Running) -> None:
    sign_in(page, on_file)
    for off_ms in (7 * 60_000, -7 * 60_000 - 3 * 3_600_000):
        page.evaluate(TURN, off_ms)
        enter(page, "003", "cone_count", "126")
        first = page.locator("section[data-state=received]").first
        expect(first).to_contain_text("126")
        expect(first).to_contain_text("The server is not told when it was entered")
        assert last(on_file, "003")["measured"][0]["text"] == "126"
        assert last(on_file, "003")[FIELD] is None
        page.get_by_role("button", name="Take off this list").click()


OLDER_SERVER = """(() => {
  const fetched = window.fetch;
  window.sentBodies = [];
  window.fetch = async (path, options = {}) => {
    if (options.method !== "POST" || !String(path).endsWith("/inspections")) return fetched(path, options);
    const body = JSON.parse(options.body);
    window.sentBodies.push(body);
    if (!("FIELD" in body)) return fetched(path, options);
    const errors = [{ field: "?", code: "extra_forbidden", expected: "nothing" }];
    const problem = { code: "not-valid", title: "It does not fit", detail: "See errors.", errors };
    const headers = { "content-type": "application/problem+json" };
    return new Response(JSON.stringify(problem), { status: 422, headers });
  };
})()""".replace("FIELD", FIELD)
"""Answers in the page's own place: what a service worker lets through may pass by a browser's routes."""


@pytest.mark.thorough
def test_a_server_that_refuses_the_time_gets_the_entry_without_it(page: Page, on_file: Running) -> None:
    """As one of an older version does, to whom the time is a name it does not know."""
    page.add_init_script(OLDER_SERVER)
    sign_in(page, on_file)
    enter(page, "004", "cone_count", "127")
    expect(page.locator("[data-state=received]")).to_contain_text("127")
    sent: list[dict[str, Any]] = page.evaluate("window.sentBodies")
    assert [FIELD in body for body in sent] == [True, False]
    assert last(on_file, "004")[FIELD] is None


@pytest.mark.thorough
def test_what_was_seen_earlier_than_what_stands_says_so_and_keeps_its_time(
    page: Page, phone: BrowserContext, on_file: Running
) -> None:
    lose_signal(page, phone, on_file)
    early = dt.datetime.now(dt.UTC) - dt.timedelta(seconds=1)
    enter(page, "005", "end_weight", "17")
    expect(page.locator("[data-state=waiting]")).to_have_count(1)
    late = dt.datetime.now(dt.UTC)
    with on_file.client("scrutineer") as other:
        assert on_file.inspect(other, "005", ("end_weight", "19 kg")).status_code == 201
    phone.set_offline(False)
    conflict = page.locator("[data-state=conflict]")
    expect(conflict).to_contain_text("what stands was seen after yours")
    picture(page, "dock-15-older")
    conflict.get_by_role("button", name="Correct mine").click()
    expect(page.locator("main")).to_contain_text("It keeps the time it was first entered")
    page.locator("#f-end_weight").fill("18")
    save(page)
    expect(page.locator("[data-state=conflict]")).to_have_count(0)
    again = page.locator("[data-state=conflict], [data-state=received]").first
    expect(again).to_contain_text("18 kg")
    told = last(on_file, "005")
    assert told["measured"][0]["text"] == "18 kg"
    assert between(told, early, late)


@pytest.mark.thorough
def test_the_clock_of_a_hotspot_says_nothing_about_the_phones(page: Page, on_file: Running) -> None:
    sign_in(page, on_file)
    expect(page.locator("#kept")).to_contain_text("6 of 6 boats")
    asked: list[str] = []

    def hotspot(route: Route) -> None:
        asked.append(route.request.method)
        old = {"date": "Thu, 01 Jan 2015 00:00:00 GMT", "content-type": "text/html"}
        route.fulfill(status=200, body="<p>Welcome aboard the marina's network</p>", headers=old)

    page.route("**/v1/**", hotspot)
    early = dt.datetime.now(dt.UTC) - dt.timedelta(seconds=1)
    enter(page, "006", "cone_count", "124")
    expect(page.locator("#progress")).to_contain_text("does not answer")
    late = dt.datetime.now(dt.UTC)
    assert asked
    expect(page.locator("#notices")).not_to_contain_text("clock")
    page.unroute("**/v1/**")
    send_now(page)
    expect(page.locator("[data-state=received]")).to_contain_text("124")
    assert between(last(on_file, "006"), early, late)
