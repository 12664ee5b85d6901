"""What a reader prints from the site."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from sizing.units import show
from tests.sitegen.reader import LONGEST_MS, Watched, boat


def sheets_of_paper(page: Page, paper: str) -> list[str]:
    """The words of each sheet as printed."""
    printed = page.pdf(format=paper)
    done = subprocess.run(
        ["pdftotext", "-layout", "-enc", "UTF-8", "-", "-"], input=printed, capture_output=True, check=True
    )
    return [" ".join(sheet.split()) for sheet in done.stdout.decode("utf-8").split("\f")[:-1]]


@pytest.mark.parametrize("paper", ["A4", pytest.param("Letter", marks=pytest.mark.thorough)])
def test_a_boat_prints_to_a_few_pages_in_both_systems(watched: Watched, paper: str) -> None:
    page = watched.goto(boat(watched.site, "Twin Spoon"))
    sheets = sheets_of_paper(page, paper)
    assert 2 <= len(sheets) <= 12
    stages = page.evaluate(
        "[...document.querySelectorAll('.dm-phase')].map(stage =>"
        " [...stage.querySelectorAll('li strong')].map(key => key.textContent))"
    )
    assert len(stages) == 9
    for first, *_, last in stages:  # no stage is parted by the end of a sheet
        assert [first in sheet and last in sheet.split(first)[-1] for sheet in sheets].count(True) == 1, first
    mass, text = show(10_500.0, "mass"), " ".join(sheets)
    assert f"{mass.metric} ({mass.us})" in text
    for wanted in ("To do: ", "What was checked", "Figures of the drogue", "Cut the line", "Recover"):
        assert wanted in text
    for left_out in ("Units shown", "Every answer as written", "Workings (", "Print this page"):
        assert left_out not in text
    assert "Not on this paper" in text


def test_a_stage_is_kept_on_one_sheet_and_a_longer_fold_is_not(watched: Watched) -> None:
    """A fold that is kept whole leaves the rest of the sheet before it empty."""
    page = watched.goto(boat(watched.site, "Twin Spoon"))
    page.emulate_media(media="print")
    style = "(all, name) => [...new Set(all.map(e => getComputedStyle(e)[name]))]"
    assert page.locator("details.dm-phase").evaluate_all(style, "breakInside") == ["avoid"]
    folds = page.locator("article details.dm-fold:not(.dm-phase)")
    assert folds.evaluate_all(style, "breakInside") == ["auto"]
    rows = page.locator(".dm-phase .dm-sketches:has(> :nth-child(3))")
    assert rows.count() > 0
    assert rows.evaluate_all(style, "display") == ["grid"]


def test_paper_says_in_which_units_its_drawings_are(watched: Watched) -> None:
    page = watched.goto(boat(watched.site, "Twin Spoon"))
    assert page.locator(".dm-drawn-units").is_hidden()
    assert "Drawings on this paper are in metric units" in " ".join(sheets_of_paper(page, "A4"))
    page.locator(".dm-switch label", has_text="US").click()
    expect(page.locator("html")).to_have_attribute("data-units", "us", timeout=LONGEST_MS)
    assert "Drawings on this paper are in US units" in " ".join(sheets_of_paper(page, "A4"))


def test_every_sheet_says_whose_it_is_of_which_rally_and_day(watched: Watched) -> None:
    sheets = sheets_of_paper(watched.goto(boat(watched.site, "Twin Spoon")), "A4")
    for number, sheet in enumerate(sheets, start=1):
        assert "Twin Spoon (003) · Example Passage" in sheet
        assert "Worked out 15 January 2027" in sheet
        assert f"Page {number} of {len(sheets)}" in sheet


def test_with_all_opened_the_workings_are_printed_too(watched: Watched) -> None:
    page = watched.goto(boat(watched.site, "Twin Spoon"))
    button = page.get_by_role("button", name="Open all for printing")
    button.press("Enter")
    expect(button).to_have_attribute("aria-pressed", "true", timeout=LONGEST_MS)
    text = " ".join(sheets_of_paper(page, "A4"))
    assert page.locator("article details.dm-fold:not([open])").count() == 0
    for wanted in ("Workings (", "Every answer as written", "The wave strike", "Marks for the cones"):
        assert wanted in text
    assert "Not on this paper" not in text
    button.press("Enter")
    expect(button).to_have_attribute("aria-pressed", "false", timeout=LONGEST_MS)
    assert page.locator("article details.dm-fold[open]").count() == 0


def test_what_the_reader_opened_is_printed(watched: Watched) -> None:
    page = watched.goto(boat(watched.site, "Twin Spoon"))
    fold = page.locator("#workings details", has=page.locator("summary", has_text="Every answer")).last
    fold.locator("summary").press("Enter")  # a click is lost where the page still moves under the pointer
    expect(fold).to_have_attribute("open", "", timeout=LONGEST_MS)
    text = " ".join(sheets_of_paper(page, "A4"))
    assert "Every answer as written" in text
    assert "Workings (" not in text


def test_without_scripts_what_is_wanted_on_paper_is_printed_though_folded(
    browser: Browser, site: Path
) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{site.as_uri()}/{boat(site, 'Twin Spoon')}")
    text = " ".join(sheets_of_paper(page, "A4"))
    context.close()
    for wanted in ("Figures of the drogue", "Cut the line", "Page 1 of"):
        assert wanted in text


def test_a_total_is_printed_once(watched: Watched) -> None:
    page = watched.goto("order.html")
    page.emulate_media(media="print")
    feet = page.locator("tfoot")
    assert feet.count() > 0
    assert set(feet.evaluate_all("all => all.map(e => getComputedStyle(e).display)")) == {"table-row-group"}


def test_the_head_of_the_fleet_table_is_printed_on_every_sheet(watched: Watched) -> None:
    page = watched.goto("index.html")
    page.evaluate(
        "const body = document.querySelector('#fleet tbody'), rows = [...body.rows];"
        "for (let i = 0; i < 30; i += 1) rows.forEach(row => body.append(row.cloneNode(true)))"
    )
    sheets = [sheet for sheet in sheets_of_paper(page, "A4") if "2,100 kg" in sheet]
    assert len(sheets) > 2
    for sheet in sheets:
        assert re.search(r"Stage\s+Type\s+Berth\s+Displacement", sheet)


def test_the_overview_on_paper_shows_drawings_for_half_a_sheet(watched: Watched) -> None:
    """Half the width of A4 is 87 mm, near a phone's: letters of the wide drawing would be under 5 pt."""
    page = watched.goto("index.html")
    page.emulate_media(media="print")
    for drawing in page.locator(".dm-pair .drawing.wide:has(+ .narrow)").all():
        assert drawing.is_hidden()
    shown = page.locator(".dm-pair .drawing.narrow")
    assert shown.count() >= 2
    assert all(drawing.is_visible() for drawing in shown.all())
