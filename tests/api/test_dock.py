"""The dock page in a phone's browser: with signal, without, back again, and where two people met one boat."""

from __future__ import annotations

import re

from playwright.sync_api import BrowserContext, Page, Route, expect

from tests.api.phone import inspections, open_boat, picture, save, send_now, sign_in, targets_are_large
from tests.api.running import Running


def test_signed_in_by_hand_a_boat_is_found_and_measured(page: Page, on_file: Running) -> None:
    page.goto(f"{on_file.url}/dock/")
    expect(page.get_by_label("Token from the safety officer")).to_be_visible()
    picture(page, "dock-1-sign-in")
    targets_are_large(page)
    page.get_by_label("Token from the safety officer").fill("four words by telephone")
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("alert")).to_contain_text("This is no token")
    page.get_by_label("Token from the safety officer").fill("dm_" + "A" * 43)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("alert")).to_contain_text("does not count")
    page.get_by_label("Token from the safety officer").fill(
        on_file.token("scrutineer", fleet_id=on_file.fleet)
    )
    page.get_by_role("button", name="Sign in").click()
    page.get_by_label("Name, number, berth or sail number").fill("plov")
    expect(page.locator(".boat")).to_have_count(1)
    picture(page, "dock-2-find")
    targets_are_large(page)
    page.locator(".boat").click()
    expect(page.get_by_role("heading", level=2)).to_have_text("Grey Plover (002)")
    cones = page.locator("section.item", has=page.locator("#f-cone_count"))
    with on_file.client() as officer:
        need = officer.get(on_file.boat("002")).json()["figures"]["cones"]
    expect(cones.locator("dd.need")).to_have_text(f"{need:.0f}")
    page.get_by_text("More gear to look at").click()
    picture(page, "dock-3-boat")
    targets_are_large(page)
    expect(page.locator("section.item", has=page.locator("#f-lead_line_diameter"))).to_contain_text("24 mm")
    legs = page.locator("section.item", has=page.locator("#f-bridle_leg_difference"))
    expect(legs).to_contain_text("At most")
    weight = page.locator("section.item", has=page.locator("#f-end_weight"))
    expect(weight.locator("dd.need")).to_have_text(re.compile(r"kg$"))
    page.locator("#units").click()
    expect(weight.locator("dd.need")).to_have_text(re.compile(r"lb$"))
    expect(weight.locator(".unit")).to_have_text("lb")
    page.locator("#f-end_weight").fill("31")
    page.locator("#f-condition").select_option("good")
    page.get_by_role("button", name="Save and send").click()
    expect(page.locator("[data-state=received]")).to_have_count(1)
    expect(page.locator(".state.received")).to_have_text("Received")
    picture(page, "dock-4-received")
    targets_are_large(page)
    with on_file.client() as officer:
        last = officer.get(f"{on_file.boat('002')}/inspections?limit=200").json()["items"][-1]
        texts = {one["field"]: one["text"] for one in last["measured"]}
        assert texts == {"end_weight": "31 lb", "condition": "good"}


def test_without_signal_entries_wait_on_the_phone_and_go_out_when_it_is_back(
    page: Page, phone: BrowserContext, on_file: Running
) -> None:
    address = sign_in(page, on_file)
    expect(page.locator(".boat")).to_have_count(6)
    expect(page.locator("#kept")).to_have_text("6 of 6 boats are kept for use without signal.")
    with on_file.client() as officer:
        before = len(officer.get(f"{on_file.boat('003')}/inspections?limit=200").json()["items"])
    phone.set_offline(True)
    page.goto(address)  # opened anew, without signal
    expect(page.locator("#signal")).to_have_text("No signal")
    page.get_by_label("Name, number, berth or sail number").fill("003")
    page.locator(".boat").click()
    expect(page.get_by_text("no signal.")).to_be_visible()
    expect(page.locator("#f-cone_count")).to_be_visible()
    for value in ("111", "112"):
        page.locator("#f-cone_count").fill(value)
        page.get_by_role("button", name="Save and send").click()
        expect(page.locator("[data-state=waiting]").first).to_be_visible()
        page.locator("#to-find").click()
        page.locator(".boat", has_text="003").click()
    expect(page.get_by_text("2 of your entries not received yet")).to_be_visible()
    page.locator("#to-queue").click()
    expect(page.locator("[data-state=waiting]")).to_have_count(2)
    expect(page.locator("#waiting-count")).to_have_text("(2)")
    expect(page.locator(".state.waiting").first).to_have_text("Saved on this phone, not received yet")
    picture(page, "dock-5-waiting")
    with on_file.client() as officer:
        assert len(officer.get(f"{on_file.boat('003')}/inspections?limit=200").json()["items"]) == before
    phone.set_offline(False)  # the page hears of it and sends by itself
    expect(page.locator("[data-state=received]")).to_have_count(2)
    with on_file.client() as officer:
        items = officer.get(f"{on_file.boat('003')}/inspections?limit=200").json()["items"][before:]
        assert [one["measured"][0]["text"] for one in items] == ["111", "112"]


def test_an_answer_lost_on_the_way_makes_no_second_record(page: Page, on_file: Running) -> None:
    sign_in(page, on_file)
    page.locator(".boat", has_text="004").click()
    with on_file.client() as officer:
        before = len(officer.get(f"{on_file.boat('004')}/inspections?limit=200").json()["items"])
    lost: list[int] = []

    def lose(route: Route) -> None:
        if lost:
            route.continue_()
            return
        lost.append(route.fetch().status)  # the server has it, the phone does not know
        route.abort("connectionreset")

    page.route("**/inspections", lose)
    page.locator("#f-cone_count").fill("99")
    with page.expect_event("requestfailed"):
        page.get_by_role("button", name="Save and send").click()
    expect(page.locator("[data-state=waiting]")).to_have_count(1)
    send_now(page)
    expect(page.locator("[data-state=received]")).to_have_count(1)
    assert lost == [201]
    with on_file.client() as officer:
        assert len(officer.get(f"{on_file.boat('004')}/inspections?limit=200").json()["items"]) == before + 1


def test_a_conflict_is_shown_and_nothing_is_overwritten_unseen(page: Page, on_file: Running) -> None:
    sign_in(page, on_file)
    page.locator(".boat", has_text="005").click()
    expect(page.locator("#f-end_weight")).to_be_visible()
    with on_file.client("scrutineer") as other:
        assert on_file.inspect(other, "005", ("end_weight", "19 kg")).status_code == 201
    page.locator("#f-end_weight").fill("18")
    page.get_by_role("button", name="Save and send").click()
    conflict = page.locator("[data-state=conflict]")
    expect(conflict.locator("dl")).to_contain_text("Now (found)19 kgYours18 kgFound byA scrutineer")
    picture(page, "dock-6-conflict")
    targets_are_large(page)
    with on_file.client() as officer:
        found = [m for m in officer.get(on_file.boat("005")).json()["measures"] if m["field"] == "end_weight"]
        assert found[0]["found"]["text"] == "19 kg"
        page.get_by_role("button", name="I have looked: send mine").click()
        expect(page.locator("[data-state=received]")).to_have_count(1)
        found = [m for m in officer.get(on_file.boat("005")).json()["measures"] if m["field"] == "end_weight"]
        assert found[0]["found"]["text"] == "18 kg"


def test_a_refused_entry_says_why_and_can_be_corrected(page: Page, on_file: Running) -> None:
    sign_in(page, on_file)
    open_boat(page, "006")
    before = len(inspections(on_file, "006"))
    page.locator("#f-bridle_leg_length").fill("1")
    page.locator("#f-cone_count").fill("131")
    save(page)
    refused = page.locator("[data-state=refused]")
    expect(refused).to_contain_text("Length of each leg: expected legs longer than half the transom width")
    picture(page, "dock-7-refused")
    refused.get_by_role("button", name="Correct it").click()
    expect(page.locator("#f-cone_count")).to_have_value("131")
    expect(page.locator("#f-bridle_leg_length")).to_have_value("1 m")
    expect(page.locator("#f-bridle_leg_length-wrong")).to_contain_text("half the transom width")
    page.locator("#f-bridle_leg_length").fill("7")
    save(page)
    expect(page.locator("[data-state=received]")).to_have_count(1)
    expect(page.locator("[data-state=refused]")).to_have_count(0)
    assert inspections(on_file, "006")[before:] == [[("cone_count", "131"), ("bridle_leg_length", "7 m")]]


def test_a_skipper_comes_straight_to_his_own_boat_and_cannot_write(page: Page, on_file: Running) -> None:
    sign_in(page, on_file, "skipper")
    expect(page.get_by_role("heading", level=2)).to_have_text("Pocket Almanac (001)")
    expect(page.get_by_text("Needed", exact=True).first).to_be_visible()
    expect(page.get_by_role("button", name="Save and send")).to_have_count(0)
    expect(page.locator("form input, form select")).to_have_count(0)


def test_the_description_is_readable_without_any_other_host(page: Page, on_file: Running) -> None:
    page.goto(f"{on_file.url}/docs/")
    expect(page.get_by_text("Drogue Muster").first).to_be_visible()
    expect(page.locator(".opblock")).not_to_have_count(0)
    picture(page, "docs")
