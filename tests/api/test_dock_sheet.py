"""The sheet of one boat on the dock page: what is typed, what is shown beside it, what becomes of it."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import BrowserContext, Page, Route, expect

from tests.api.phone import (
    all_is_sent,
    fill_cones,
    inspections,
    kept_by,
    open_boat,
    picture,
    save,
    sign_in,
)
from tests.api.running import Running, wait_for


def test_two_taps_make_one_entry(page: Page, on_file: Running) -> None:
    sign_in(page, on_file)
    before = fill_cones(page, on_file, "001", "101")
    page.evaluate("for (let i = 0; i < 3; i += 1) document.querySelector('.last button').click()")
    expect(page.locator("[data-state=received]")).to_have_count(1)
    all_is_sent(page)
    expect(page.locator("section[data-state]")).to_have_count(1)
    assert inspections(on_file, "001")[before:] == [[("cone_count", "101")]]


@pytest.mark.thorough
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
    name = f"boat {on_file.fleet} {on_file.boats['002']}"
    before = kept_by(page, "boats", name)
    with on_file.client("scrutineer") as other:
        assert on_file.inspect(other, "002", ("cone_count", "129")).status_code == 201
    held[0].continue_()  # an answer that comes late does not take the reader away from where he is
    wait_for(lambda: kept_by(page, "boats", name) != before)
    for _ in range(20):  # each waits behind what the page itself reads to draw a sheet
        kept_by(page, "boats", name)
    expect(page.get_by_role("heading", name="To send")).to_be_visible()


def test_what_was_typed_is_there_again_after_the_page_was_closed(
    page: Page, phone: BrowserContext, on_file: Running
) -> None:
    address = sign_in(page, on_file)
    open_boat(page, "003")
    page.locator("#f-end_weight").fill("12.5")
    page.locator("#note").fill("Shackle looks tired.")
    draft = f"{on_file.fleet} {on_file.boats['003']}"
    wait_for(lambda: (kept_by(page, "drafts", draft) or {}).get("note") == "Shackle looks tired.")
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


@pytest.mark.thorough
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


PLAINLY_WRONG = [
    ("end_weight", "1,250 kg", "read in two ways"),
    ("end_weight", "300", "Only from 0.5 to 200 kg is possible"),
    ("lead_line_diameter", "20 in", "Only from 0.15748 to 3.14961 in"),
    ("cone_count", "1001", "Only from 0 to 1000"),
    ("attachment_bolts", "four big ones", "Write number, size and grade"),
    ("end_weight", "-5", "It cannot be below zero"),
    ("end_weight", "heavy", "Write a figure"),
    ("cone_count", "about 100", "Write a whole number"),
    ("section_diameters", "20; thin", "Write a figure"),
]


def test_what_is_plainly_wrong_is_told_beside_the_field_before_it_is_saved(
    page: Page, on_file: Running
) -> None:
    sign_in(page, on_file)
    open_boat(page, "005")
    page.locator("details").evaluate_all("all => all.forEach(one => { one.open = true; })")
    for field, typed, told in PLAINLY_WRONG:
        page.locator(f"#f-{field}").fill(typed)
        save(page)
        expect(page.locator(f"#f-{field}-wrong")).to_contain_text(told)
        expect(page.locator(f"#f-{field}")).to_be_focused()
        alert = page.locator(".last [role=alert]")
        expect(alert).to_have_text("Not saved yet: something is to be mended above.")
        picture(page, "dock-10-wrong")
        page.locator(f"#f-{field}").fill("")
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


@pytest.mark.thorough
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


@pytest.mark.thorough
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
    expect(newest).to_contain_text("Number of cones: 141")
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
    with on_file.client() as officer:
        assert on_file.inspect(officer, "006", ("end_weight", "1 kg")).status_code == 201
        short = officer.get(f"{on_file.boat('006')}/findings?standing=short&level=shall").json()["items"]
    assert short
    sign_in(page, on_file)
    open_boat(page, "006")
    page.locator("#findings > summary").click()
    for finding in short:
        shown = page.locator("#findings section", has_text=finding["sentence"])
        expect(shown).to_contain_text(finding["remedy"])
        expect(shown).to_contain_text(finding["required"]["metric"])
