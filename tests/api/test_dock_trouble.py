"""The dock page where things go wrong: what was entered is kept, and the page says what to do."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import BrowserContext, Page, Route, expect

from api.season.tokens import revoke_token
from api.signin import tokens
from api.signin.tokens import list_tokens
from tests.api.phone import (
    all_is_sent,
    fill_cones,
    inspections,
    lose_signal,
    picture,
    save,
    send_now,
    sign_in,
)  # fmt: skip
from tests.api.running import Running


@pytest.fixture(autouse=True)
def tokens_are_looked_up_each_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tokens, "REMEMBERED_S", 0.0)


def revoke(up: Running, label: str) -> None:
    """End the newest token of a holder."""
    store = up.server.store
    token = next(str(row["id"]) for row in list_tokens(store) if row["label"] == label)
    revoke_token(store, token)


def test_entries_survive_a_revoked_token_and_go_out_with_the_next_one(page: Page, on_file: Running) -> None:
    sign_in(page, on_file)
    before = fill_cones(page, on_file, "002", "102")
    revoke(on_file, "A scrutineer")
    save(page)
    expect(page.locator("[data-state=waiting]")).to_contain_text("Sign in again, and it is sent")
    expect(page.locator("#notices")).to_contain_text("Your token does not count any more")
    picture(page, "dock-8-revoked")
    page.get_by_role("button", name="Sign in again").click()
    expect(page.get_by_text("1 entry waits on this phone")).to_be_visible()
    picture(page, "dock-9-sign-in-again")
    page.get_by_label("Token from the safety officer").fill(
        on_file.token("scrutineer", fleet_id=on_file.fleet)
    )
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.locator("#to-queue").click()
    expect(page.locator("[data-state=received]")).to_have_count(1)
    expect(page.locator("#notices .notice")).to_have_count(0)
    assert inspections(on_file, "002")[before:] == [[("cone_count", "102")]]


def test_a_mistyped_token_does_not_replace_the_one_that_counts(page: Page, on_file: Running) -> None:
    address = sign_in(page, on_file)
    page.locator("#to-queue").click()
    page.get_by_role("button", name="Sign in with another token").click()
    page.get_by_label("Token from the safety officer").fill("dm_" + "B" * 43)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("alert")).to_contain_text("does not count")
    page.goto(address)
    expect(page.locator(".boat")).to_have_count(6)


@pytest.mark.thorough
def test_an_entry_of_somebody_else_is_not_sent_under_another_name(
    page: Page, phone: BrowserContext, on_file: Running
) -> None:
    sign_in(page, on_file)
    before = fill_cones(page, on_file, "003", "103")
    phone.set_offline(True)
    save(page)
    expect(page.locator("[data-state=waiting]")).to_have_count(1)
    page.route("**/inspections", lambda route: route.abort())
    phone.set_offline(False)
    sign_in(page, on_file, "officer")
    page.locator("#to-queue").click()
    expect(page.get_by_text("Signed in: A officer")).to_be_visible()
    page.unroute("**/inspections")
    waiting = page.locator("[data-state=waiting]")
    expect(waiting).to_contain_text("Entered while A scrutineer was signed in; now it is A officer")
    send_now(page)
    all_is_sent(page)
    assert len(inspections(on_file, "003")) == before
    waiting.get_by_role("button", name="Send it as A officer").click()
    expect(page.locator("[data-state=received]")).to_have_count(1)
    assert len(inspections(on_file, "003")) == before + 1


def test_a_server_in_trouble_loses_nothing(page: Page, on_file: Running) -> None:
    sign_in(page, on_file)
    before = len(inspections(on_file, "004"))
    for status in (500, 503, 429):
        page.locator("#to-find").click()
        fill_cones(page, on_file, "004", f"{status}")
        page.route("**/inspections", answers(status))
        save(page)
        expect(page.locator("[data-state=waiting]")).to_contain_text(
            f"The server could not take it: Not now: {status}"
        )
        page.unroute("**/inspections")
        send_now(page)
        expect(page.locator("[data-state=waiting]")).to_have_count(0)
    assert inspections(on_file, "004")[before:] == [[("cone_count", f"{n}")] for n in (500, 503, 429)]


def answers(status: int) -> Callable[[Route], None]:
    """A server that says this in place of ours."""
    problem = {"title": f"Not now: {status}", "status": status}
    return lambda route: route.fulfill(status=status, json=problem, content_type="application/problem+json")


@pytest.mark.thorough
def test_one_boat_that_is_not_taken_does_not_hold_up_the_others(
    page: Page, phone: BrowserContext, on_file: Running
) -> None:
    lose_signal(page, phone, on_file)
    for entry_no, value in (("005", "105"), ("006", "106")):
        page.locator("#to-find").click()
        fill_cones(page, on_file, entry_no, value)
        save(page)
        expect(page.locator("[data-state=waiting]").first).to_contain_text(value)
    broken = f"**/{on_file.boats['005']}/inspections"
    page.route(broken, lambda route: route.fulfill(status=500, json={"title": "A fault"}))
    phone.set_offline(False)
    expect(page.locator("[data-state=received]")).to_contain_text("106")
    expect(page.locator("[data-state=waiting]")).to_contain_text("105")
    page.unroute(broken)
    # The page may be about to try once more by itself; then the button is gone before it can be pressed.
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("[data-state=received]")).to_have_count(2)


@pytest.mark.thorough
def test_a_page_of_a_hotspot_is_not_taken_for_the_server(page: Page, on_file: Running) -> None:
    sign_in(page, on_file)
    fill_cones(page, on_file, "001", "111")
    hotspot = "<title>Harbour wireless</title>Please pay"
    page.route("**/inspections", lambda route: route.fulfill(
        status=404, body=hotspot, content_type="text/html"
    ))  # fmt: skip
    save(page)
    expect(page.locator("#progress")).to_contain_text("The server does not answer")
    expect(page.locator("[data-state=waiting]")).to_have_count(1)
    page.unroute("**/inspections")
    send_now(page)
    expect(page.locator("[data-state=received]")).to_have_count(1)


@pytest.mark.thorough
def test_a_full_phone_says_that_nothing_was_saved_and_the_fields_stay(page: Page, on_file: Running) -> None:
    sign_in(page, on_file)
    fill_cones(page, on_file, "006", "116")
    page.evaluate("""() => {
        const put = IDBObjectStore.prototype.put;
        window.free = () => { IDBObjectStore.prototype.put = put; };
        IDBObjectStore.prototype.put = () => { throw new DOMException("full", "QuotaExceededError"); };
    }""")
    save(page)
    expect(page.locator(".last [role=alert]")).to_contain_text("NOT saved: this phone's storage is full")
    expect(page.locator("#f-cone_count")).to_have_value("116")
    picture(page, "dock-11-full")
    page.evaluate("window.free()")
    save(page)
    expect(page.locator("[data-state=received]")).to_have_count(1)


@pytest.mark.thorough
def test_a_browser_that_keeps_nothing_is_told_of_plainly(page: Page, on_file: Running) -> None:
    page.add_init_script("""
        Object.defineProperty(window, "indexedDB", { value: { open: () => {
            const request = {};
            setTimeout(() => { request.error = new Error("blocked"); request.onerror(); }, 10);
            return request;
        } } });
    """)
    page.goto(f"{on_file.url}/dock/#{on_file.token('scrutineer')}")
    expect(page.get_by_role("heading", name="Nothing can be kept on this phone")).to_be_visible()
    expect(page.get_by_role("alert")).to_contain_text("private window")
    picture(page, "dock-12-private")


@pytest.mark.thorough
def test_a_wrong_clock_neither_changes_the_order_nor_goes_unsaid(
    page: Page, phone: BrowserContext, on_file: Running
) -> None:
    sign_in(page, on_file)
    expect(page.locator("#kept")).to_contain_text("6 of 6 boats")
    before = len(inspections(on_file, "002"))
    phone.set_offline(True)
    for value, back_ms in (("121", 0), ("122", 3 * 3600 * 1000)):
        page.evaluate("ms => { const now = Date.now; Date.now = () => now() - ms;"
                      " const D = Date; window.Date = class extends D { constructor(...a) {"
                      " if (a.length) super(...a); else super(D.now()); } }; }", back_ms)  # fmt: skip
        page.locator("#to-find").click()
        fill_cones(page, on_file, "002", value)
        save(page)
        expect(page.locator("[data-state=waiting]").first).to_contain_text(value)
    phone.set_offline(False)
    expect(page.locator("[data-state=received]")).to_have_count(2)
    assert inspections(on_file, "002")[before:] == [[("cone_count", "121")], [("cone_count", "122")]]
    expect(page.locator("#notices")).to_contain_text(re.compile("clock is wrong by (179|180|181) minutes"))


def test_without_https_it_works_and_says_what_it_cannot_do(browser_tab: Page, on_file: Running) -> None:
    page, address = browser_tab, on_file.url.replace("127.0.0.1", "dock.example")
    page.goto(f"{address}/dock/#{on_file.token('scrutineer', fleet_id=on_file.fleet)}")
    assert page.evaluate("isSecureContext") is False
    expect(page.locator("#notices")).to_contain_text("begin with https")
    fill_cones(page, on_file, "005", "155")
    save(page)
    expect(page.locator("[data-state=received]")).to_have_count(1)
