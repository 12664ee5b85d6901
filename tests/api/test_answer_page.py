"""The skipper's form at 360 px: by her link, with and without signal, and as a file without a server.

Sources: WCAG 2.2 AA by axe-core; targets of 48 px are common practice for phones.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from api.answer.form_file import form_file
from api.season.answer_text import read_answers
from api.season.forms import form_to_send
from api.season.open_season import secret_of
from tests.api.running import Running
from tests.sitegen.reader import AXE, RULES

ENTRY = "006"
BY = "Ada Quill"
NARROW_PX = 360


def open_form(page: Page, up: Running, entry: str = ENTRY) -> None:
    """Open her link, and say who answers."""
    secret = up.token("skipper", fleet_id=up.fleet, boat_id=up.boats[entry])
    page.goto(f"{up.url}/answer/#{secret}")
    page.get_by_label("Your name").fill(BY)
    page.get_by_role("button", name="Begin").click()
    expect(page.locator("#left")).to_contain_text("questions open")
    assert secret not in page.url


def received(page: Page) -> None:
    expect(page.locator("#signal")).to_have_text("All received")


def told(up: Running, entry: str = ENTRY) -> dict[str, dict[str, Any]]:
    """Her last answer of each column, as the officer reads it."""
    with up.client() as officer:
        items = officer.get(f"/v1/fleets/{up.fleet}/answers?limit=200").json()["items"]
    return {one["field"]: one for one in items if one["entry_no"] == entry}


def open_checks(up: Running, entry: str, field: str) -> list[str]:
    with up.client() as officer:
        found = officer.get(f"{up.boat(entry)}/findings?limit=200").json()["items"]
    return [one["check"] for one in found if field in one["columns"] and one["standing"] == "unproven"]


def test_she_opens_her_link_answers_and_sees_it_close(page: Page, on_file: Running) -> None:
    """One tap an answer; her name stands beside it, the finding is open no more, and it is asked no more."""
    open_form(page, on_file)
    card = page.locator("[data-field]").filter(has=page.locator("input[type=radio]")).first
    field = str(card.get_attribute("data-field"))
    assert open_checks(on_file, ENTRY, field)
    card.locator("input[type=radio]").first.click()
    expect(page.locator(f"[data-done={field}]")).to_contain_text("received")
    received(page)
    assert (told(on_file)[field]["said_by"], told(on_file)[field]["source"]) == (BY, "skipper")
    assert open_checks(on_file, ENTRY, field) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= NARROW_PX


@pytest.mark.thorough
def test_without_signal_it_is_kept_and_sent_later(page: Page, on_file: Running) -> None:
    """Also over a reload: what is saved on the phone is not called received."""
    open_form(page, on_file, "005")
    page.wait_for_function("navigator.serviceWorker.ready.then((one) => Boolean(one.active))")
    page.reload()
    expect(page.locator("#left")).to_be_visible()
    page.route("**/v1/**", lambda route: route.abort())
    card = page.locator("[data-field]").first
    field = str(card.get_attribute("data-field"))
    card.get_by_role("button", name="I do not know").click()
    expect(page.locator("#signal")).to_have_text("1 saved here, not received")
    page.reload()
    expect(page.locator("#signal")).to_have_text("1 saved here, not received")
    assert field not in told(on_file, "005")
    page.unroute("**/v1/**")
    page.evaluate("window.dispatchEvent(new Event('online'))")
    received(page)
    assert told(on_file, "005")[field]["state"] == "unknown"


@pytest.mark.thorough
def test_units_are_hers_and_the_other_system_stands_beside(page: Page, on_file: Running) -> None:
    """12 in is 304.8 mm: the inch is 25.4 mm exactly [NIST SP 811, B.8]. What is unclear is asked about."""
    open_form(page, on_file, "004")
    card = page.locator("[data-field]").filter(has=page.locator(".amount")).first
    field = str(card.get_attribute("data-field"))
    units = card.locator("select").first
    assert units.locator("option").all_inner_texts() == ["mm", "in"]
    units.select_option("in")
    card.locator(".amount input").first.fill("1.5")
    expect(card.locator(".other").first).to_have_text("1.5 in = 38.1 mm: right?")
    card.locator(".amount input").first.fill("1,500")
    card.get_by_role("button", name="Save", exact=True).first.click()
    expect(card.locator(".bad").first).to_contain_text("in two ways")
    card.locator(".amount input").first.fill("1.5")
    card.get_by_role("button", name="Save", exact=True).first.click()
    received(page)
    assert told(on_file, "004")[field]["text"] == "1.5 in"
    page.get_by_label(re.compile("^Change")).first.click()
    expect(page.locator(f"#f-{field}")).to_have_value("1.5")


@pytest.mark.thorough
def test_her_choice_is_kept_and_told_back(page: Page, on_file: Running) -> None:
    open_form(page, on_file, "003")
    page.get_by_label("Own purchase").click()
    page.get_by_role("button", name="Save my choice").click()
    expect(page.locator("#chosen")).to_contain_text("You said: own purchase, on")
    received(page)
    with on_file.client() as officer:
        last = officer.get(f"/v1/fleets/{on_file.fleet}/supplies").json()["items"][-1]
    assert (last["entry_no"], last["supply"], last["by"]) == ("003", "own purchase", BY)


@pytest.mark.thorough
def test_two_phones_that_say_two_things_ask_her(page: Page, on_file: Running) -> None:
    open_form(page, on_file, "002")
    card = page.locator("[data-field]").filter(has=page.locator("input[type=radio]")).first
    field = str(card.get_attribute("data-field"))
    words = card.locator("input[type=radio]").evaluate_all("all => all.map((one) => one.value)")
    with on_file.client("skipper", fleet_id=on_file.fleet, boat_id=on_file.boats["002"]) as other:
        body = {"by": "B. Bell", "answers": [{"field": field, "value": words[0]}]}
        sent = other.post(
            f"{on_file.boat('002')}/answers", json=body, headers={"idempotency-key": "phone-other-1"}
        )
        assert sent.status_code == 201
    card.locator("input[type=radio]").nth(1).click()
    expect(page.locator(".notice")).to_contain_text(f"Another phone answered “{words[0]}”.")
    assert told(on_file, "002")[field]["text"] == words[0]
    page.get_by_role("button", name="Mine is right").click()
    received(page)
    assert told(on_file, "002")[field]["text"] == words[1]


@pytest.mark.thorough
def test_a_link_that_ended_says_so_and_keeps_what_waits(page: Page, on_file: Running) -> None:
    page.goto(f"{on_file.url}/answer/#dm_{'x' * 43}")
    expect(page.get_by_role("alert")).to_contain_text("This link does not count any more.")


@pytest.mark.thorough
def test_everybody_can_read_and_press_it(page: Page, on_file: Running) -> None:
    open_form(page, on_file, "001")
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("tags => axe.run(document, {runOnly: tags, resultTypes: ['violations']})", RULES)
    assert [(one["id"], one["nodes"][0]["html"]) for one in found["violations"]] == []
    small = page.evaluate(
        "[...document.querySelectorAll('button, input:not([type=radio]), select, summary, .ways label')]"
        ".filter((one) => one.getClientRects().length && one.getBoundingClientRect().height < 48)"
        ".map((one) => one.outerHTML)"
    )
    assert small == []


@pytest.fixture
def without_network(browser_phone: BrowserContext) -> Page:
    browser_phone.set_offline(True)
    return browser_phone.new_page()


@pytest.mark.thorough
def test_the_file_gives_the_same_answers_as_text(
    without_network: Page, on_file: Running, tmp_path: Path
) -> None:
    """It is opened from the phone itself, asks for nothing outside, and its text is read whole."""
    server, page = on_file.server, without_network
    told_of = form_to_send(server.store, server.engine, server.settings, on_file.fleet, on_file.boats["001"])
    path = tmp_path / "form.html"
    path.write_bytes(form_file(told_of))
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(path.as_uri())
    page.get_by_label("Your name").fill(BY)
    page.get_by_role("button", name="Begin").click()
    card = page.locator("[data-field]").filter(has=page.locator("input[type=radio]")).first
    field = str(card.get_attribute("data-field"))
    word = str(card.locator("input[type=radio]").first.get_attribute("value"))
    card.locator("input[type=radio]").first.click()
    page.locator("[data-field]").first.get_by_role("button", name="I do not know").click()
    text = page.get_by_label("Your answers as text").input_value()
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
    with server.store.read() as connection:
        (block,), wrong = read_answers("mail.txt", text.encode(), secret_of(connection))
    assert wrong == []
    assert (block.boat_id, block.by) == (on_file.boats["001"], BY)
    assert (field, "said", word) in [(one.field, one.state, one.text) for one in block.given]
    assert "unknown" in [one.state for one in block.given]
