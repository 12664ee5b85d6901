"""The dock page where things go wrong: what was entered is kept, and the page says what to do."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import BrowserContext, Page, Route, expect

from api.signin import tokens
from api.signin.tokens import list_tokens, revoke_token
from tests.api.phone import inspections, lose_signal, open_boat, picture, save, sign_in
from tests.api.running import Running


@pytest.fixture(autouse=True)
def tokens_are_looked_up_each_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tokens, "REMEMBERED_S", 0.0)


def revoke(up: Running, label: str) -> None:
    """End the newest token of a holder."""
    store = up.server.store
    token = next(str(row["id"]) for row in list_tokens(store) if row["label"] == label)
    revoke_token(store, token)


def fill_cones(page: Page, up: Running, entry_no: str, value: str) -> int:
    """Open a boat and type a number of cones; how many inspections she has so far."""
    before = len(inspections(up, entry_no))
    open_boat(page, entry_no)
    page.locator("#f-cone_count").fill(value)
    return before


def test_two_taps_make_one_entry(page: Page, on_file: Running) -> None:
    sign_in(page, on_file)
    before = fill_cones(page, on_file, "001", "101")
    page.evaluate("for (let i = 0; i < 3; i += 1) document.querySelector('.last button').click()")
    expect(page.locator("[data-state=received]")).to_have_count(1)
    page.wait_for_timeout(500)
    expect(page.locator("section[data-state]")).to_have_count(1)
    assert inspections(on_file, "001")[before:] == [[("cone_count", "101")]]


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
    page.get_by_role("button", name="Send now").click()
    page.wait_for_timeout(500)
    assert len(inspections(on_file, "003")) == before
    waiting.get_by_role("button", name="Send it as A officer").click()
    expect(page.locator("[data-state=received]")).to_have_count(1)
    assert len(inspections(on_file, "003")) == before + 1


@pytest.mark.parametrize("status", [500, 503, 429])
def test_a_server_in_trouble_loses_nothing(page: Page, on_file: Running, status: int) -> None:
    sign_in(page, on_file)
    before = fill_cones(page, on_file, "004", f"{status}")
    problem = {"title": "Not now", "status": status}
    page.route("**/inspections", lambda route: route.fulfill(
        status=status, json=problem, content_type="application/problem+json"
    ))  # fmt: skip
    save(page)
    expect(page.locator("[data-state=waiting]")).to_contain_text("The server could not take it: Not now")
    page.unroute("**/inspections")
    page.get_by_role("button", name="Send now").click()
    expect(page.locator("[data-state=received]")).to_have_count(1)
    assert inspections(on_file, "004")[before:] == [[("cone_count", f"{status}")]]


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
    page.get_by_role("button", name="Send now").click()
    expect(page.locator("[data-state=received]")).to_have_count(1)


def test_the_kept_figures_are_there_at_once_while_the_server_is_slow(page: Page, on_file: Running) -> None:
    sign_in(page, on_file)
    expect(page.locator("#kept")).to_contain_text("6 of 6 boats")
    held: list[Route] = []
    page.route(f"**{on_file.boat('002')}", lambda route: held.append(route))  # noqa: PLW0108  the browser counts arguments
    page.locator(".boat", has_text="No 002").click()
    expect(page.locator("#f-cone_count")).to_be_visible()
    page.locator("#to-queue").click()
    expect(page.get_by_role("heading", name="To send")).to_be_visible()
    assert held
    held[0].continue_()  # an answer that comes late does not take the reader away from where he is
    page.wait_for_timeout(500)
    expect(page.get_by_role("heading", name="To send")).to_be_visible()


def test_what_was_typed_is_there_again_after_the_page_was_closed(
    page: Page, phone: BrowserContext, on_file: Running
) -> None:
    address = sign_in(page, on_file)
    open_boat(page, "003")
    page.locator("#f-end_weight").fill("12.5")
    page.locator("#note").fill("Shackle looks tired.")
    page.wait_for_timeout(600)
    page.close()
    again = phone.new_page()
    again.goto(address)
    open_boat(again, "003")
    expect(again.get_by_text("Not saved yet")).to_be_visible()
    expect(again.locator("#f-end_weight")).to_have_value("12.5")
    expect(again.locator("#note")).to_have_value("Shackle looks tired.")
    again.get_by_role("button", name="Empty the fields").click()
    expect(again.get_by_text("Not saved yet")).to_have_count(0)
    expect(again.locator("#f-end_weight")).to_have_value("")


def test_a_figure_keeps_the_unit_it_was_typed_in(page: Page, on_file: Running) -> None:
    sign_in(page, on_file)
    before = len(inspections(on_file, "004"))
    open_boat(page, "004")
    page.locator("#f-end_weight").fill("15")
    page.locator("#f-lead_line_length").fill("75 ft 6 in")
    page.locator("#f-section_diameters").fill("24; 20")
    page.locator("#f-shackle_rating").fill("30 WLL")
    page.locator("#units").click()
    expect(page.locator("#f-end_weight")).to_have_value("15 kg")
    page.locator("#f-bridle_leg_length").fill("24½")
    save(page)
    expect(page.locator("[data-state=received]")).to_have_count(1)
    [measured] = inspections(on_file, "004")[before:]
    assert dict(measured) == {
        "end_weight": "15 kg", "lead_line_length": "75 ft 6 in", "section_diameters": "24 mm; 20 mm",
        "shackle_rating": "30 kN WLL", "bridle_leg_length": "24½ ft",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("field", "typed", "told"),
    [
        ("end_weight", "1,250 kg", "read in two ways"),
        ("end_weight", "300", "Only from 0.5 to 200 kg is possible"),
        ("lead_line_diameter", "20 in", "Only from 0.15748 to 3.14961 in"),
        ("cone_count", "1001", "Only from 0 to 1000"),
        ("attachment_bolts", "four big ones", "Write number, size and grade"),
        ("end_weight", "-5", "It cannot be below zero"),
        ("end_weight", "heavy", "Write a figure"),
        ("cone_count", "about 100", "Write a whole number"),
        ("section_diameters", "20; thin", "Write a figure"),
    ],
)
def test_what_is_plainly_wrong_is_told_beside_the_field_before_it_is_saved(
    page: Page, on_file: Running, field: str, typed: str, told: str
) -> None:
    sign_in(page, on_file)
    open_boat(page, "005")
    page.locator("details").evaluate_all("all => all.forEach(one => { one.open = true; })")
    page.locator(f"#f-{field}").fill(typed)
    save(page)
    expect(page.locator(f"#f-{field}-wrong")).to_contain_text(told)
    expect(page.locator(f"#f-{field}")).to_be_focused()
    expect(page.locator(".last [role=alert]")).to_have_text("Not saved yet: something is to be mended above.")
    picture(page, "dock-10-wrong")
    page.locator("#to-queue").click()
    expect(page.locator("section[data-state]")).to_have_count(0)


def test_a_decimal_comma_is_taken_as_it_is_written(page: Page, on_file: Running) -> None:
    sign_in(page, on_file)
    before = len(inspections(on_file, "005"))
    open_boat(page, "005")
    page.locator("#f-end_weight").fill("12,5")
    save(page)
    expect(page.locator("[data-state=received]")).to_have_count(1)
    assert inspections(on_file, "005")[before:] == [[("end_weight", "12,5 kg")]]
    with on_file.client() as officer:
        measures = officer.get(on_file.boat("005")).json()["measures"]
        weight = next(one for one in measures if one["field"] == "end_weight")
        assert weight["value"]["si"] == 12.5


def test_what_is_needed_is_what_the_findings_ask_of_cones_of_her_own_size(
    page: Page, on_file: Running
) -> None:
    """Of 4 in 195 make the drag of 125 of 5 in at 20,000 lb [CG87 6.1]; here her own finding is asked."""
    with on_file.client("scrutineer") as client:
        assert on_file.inspect(client, "004", ("cone_mouth", "4 in")).status_code == 201
        findings = client.get(f"{on_file.boat('004')}/findings?check=drag.cone-count").json()["items"]
        standard = client.get(on_file.boat("004")).json()["figures"]["cones"]
    asked = findings[0]["required"]["metric"]
    assert int(asked) > 1.5 * standard
    sign_in(page, on_file)
    open_boat(page, "004")
    cones = page.locator("section.item", has=page.locator("#f-cone_count"))
    expect(cones.locator("dd.need")).to_have_text(asked)


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


def test_two_tabs_share_one_queue(page: Page, phone: BrowserContext, on_file: Running) -> None:
    address = sign_in(page, on_file)
    other = phone.new_page()
    other.goto(address)
    before = len(inspections(on_file, "003"))
    open_boat(other, "003")
    open_boat(page, "003")
    page.locator("#to-queue").click()
    other.locator("#f-cone_count").fill("133")
    save(other)
    expect(other.locator("[data-state=received]")).to_have_count(1)
    expect(page.locator("[data-state=received]")).to_have_count(1)  # told by the other tab
    assert inspections(on_file, "003")[before:] == [[("cone_count", "133")]]


def test_what_is_dropped_takes_two_taps_and_can_be_put_back(
    page: Page, phone: BrowserContext, on_file: Running
) -> None:
    sign_in(page, on_file)
    open_boat(page, "004")
    with on_file.client("scrutineer") as another:
        assert on_file.inspect(another, "004", ("end_weight", "19 kg")).status_code == 201
    page.locator("#f-end_weight").fill("18")
    save(page)
    conflict = page.locator("[data-state=conflict]")
    conflict.get_by_role("button", name="Drop mine", exact=True).click()
    expect(conflict).to_have_count(1)
    conflict.get_by_role("button", name="Yes, drop mine").click()
    dropped = page.locator("[data-state=dropped]")
    expect(dropped).to_contain_text("18 kg")
    dropped.get_by_role("button", name="Put it back").click()
    expect(page.locator("[data-state=waiting]")).to_have_count(1)


def test_signing_off_and_withdrawing(page: Page, on_file: Running) -> None:
    sign_in(page, on_file)
    fill_cones(page, on_file, "001", "141")
    save(page)
    expect(page.locator("[data-state=received]")).to_have_count(1)
    page.locator("#to-find").click()
    open_boat(page, "001")
    cones = page.locator("section.item", has=page.locator("#f-cone_count"))
    expect(cones).to_contain_text("Found141")
    page.locator("#inspections > summary").click()
    newest = page.locator("#inspections section").first
    expect(newest).to_contain_text("Cone count: 141")
    newest.get_by_text("Withdraw", exact=True).click()
    newest.get_by_role("button", name=re.compile("^Withdraw No")).click()
    expect(newest.get_by_role("alert").last).to_contain_text("write a few words")
    newest.get_by_label("Reason, to be read by others").fill("Counted on the wrong boat")
    newest.get_by_role("button", name=re.compile("^Withdraw No")).click()
    expect(cones).not_to_contain_text("141")
    page.locator("#inspections > summary").click()
    expect(newest).to_contain_text("Withdrawn by A scrutineer")
    before = fill_cones_again(page, on_file)
    page.locator("#inspections > summary").click()
    newest.get_by_text("Sign off", exact=True).click()
    newest.get_by_role("button", name=re.compile("^Sign off No")).click()
    page.locator("#inspections > summary").click()
    expect(newest).to_contain_text("Signed off by A scrutineer")
    expect(newest.get_by_text("Withdraw", exact=True)).to_have_count(0)
    picture(page, "dock-13-inspections")
    with on_file.client() as officer:
        items = officer.get(f"{on_file.boat('001')}/inspections?limit=200").json()["items"]
    assert [one["state"] for one in items[before - 1 :]] == ["withdrawn", "signed off"]


def fill_cones_again(page: Page, up: Running) -> int:
    """Record one more number of cones about the boat that is shown, and come back to her."""
    before = len(inspections(up, "001"))
    page.locator("#f-cone_count").fill("142")
    save(page)
    expect(page.locator("[data-state=received]").first).to_contain_text("142")
    page.locator("#to-find").click()
    open_boat(page, "001")
    expect(page.locator("#inspections > summary")).to_contain_text(f"({before + 1})")
    return before


def test_her_open_findings_say_what_is_needed_and_how_to_mend_it(page: Page, on_file: Running) -> None:
    sign_in(page, on_file)
    open_boat(page, "006")
    with on_file.client() as officer:
        short = officer.get(f"{on_file.boat('006')}/findings?standing=short&level=shall").json()["items"]
    assert short
    page.locator("#findings > summary").click()
    for finding in short:
        shown = page.locator("#findings section", has_text=finding["sentence"])
        expect(shown).to_contain_text(finding["remedy"])
        expect(shown).to_contain_text(finding["required"]["metric"])


def test_without_https_it_works_and_says_what_it_cannot_do(browser_tab: Page, on_file: Running) -> None:
    page, address = browser_tab, on_file.url.replace("127.0.0.1", "dock.example")
    page.goto(f"{address}/dock/#{on_file.token('scrutineer', fleet_id=on_file.fleet)}")
    assert page.evaluate("isSecureContext") is False
    expect(page.locator("#notices")).to_contain_text("begin with https")
    fill_cones(page, on_file, "005", "155")
    save(page)
    expect(page.locator("[data-state=received]")).to_have_count(1)
