"""What changed since an earlier list, on its own page, the overview and each boat's page."""

from __future__ import annotations

from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from sitegen import build_site
from sitegen.pages.changes import changes_page
from sizing.units import show
from tests.sitegen.page_text import text_of
from tests.sitegen.result_builder import FLEET, Run, changes_between, make_run, rally_policy

SCRIPT = "<script>window.owned=1</script><img src=x onerror='window.owned=1'>"


def sheet() -> list[dict[str, str]]:
    return [dict(boat) for boat in FLEET]


def later() -> list[dict[str, str]]:
    """The fleet a week on: one withdrawn, one entered, two amended, the rejected row put right."""
    boats = sheet()
    boats[0] |= {
        "cone_count": "20",
        "bridle_leg_length": "5 m",
        "notes": f"{SCRIPT} Ask Bo Renner or write to alma@plover.example.",
        "phone": "+00 7700 900555",
    }
    boats[2]["displacement"] = "11 t"
    boats[5]["loa"] = "9 m"
    del boats[3]
    boats.append(dict(FLEET[1]) | {"entry_no": "007", "boat_name": "New Comer", "email": "new@comer.example"})
    return boats


@pytest.fixture(scope="module")
def before() -> Run:
    return make_run(sheet())


@pytest.fixture(scope="module")
def after() -> Run:
    return make_run(later())


@pytest.fixture(scope="module")
def changed_site(before: Run, after: Run, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("changed") / "site"
    report = changes_between(before, after)
    build_site(after.result, after.policy, after.catalogue, folder, changes=report)
    return folder


def boat_page(site: Path, entry_no: str) -> str:
    return text_of(next((site / "boats").glob(f"{entry_no}-*.html")))


def test_the_page_tells_who_entered_left_and_was_amended(changed_site: Path) -> None:
    text = text_of(changed_site / "changes.html")
    for title, name in (
        ("Entered (1)", "New Comer"),
        ("Rejected before, taken now (1)", "No Length"),
        ("Amended (2)", "Twin Spoon"),
    ):
        assert name in text.rpartition(title)[2], title
    assert "cone count: 100 -> 20" in text
    assert "displacement: 10.5 t -> 11 t" in text


def test_findings_are_told_with_their_sentence_and_their_cause(changed_site: Path, after: Run) -> None:
    text = text_of(changed_site / "changes.html")
    sentences = [column.check.sentence.rstrip(".") for column in after.result.checks]
    told = text.rpartition("Amended (2)")[2]
    assert any(sentence in told for sentence in sentences)
    assert "(cause: her entry)" in told
    assert "Opened required: Each bridle leg is long enough: shown" in told


def test_figures_of_the_program_follow_the_switch_and_cells_stay_as_written(
    changed_site: Path, browser: Browser
) -> None:
    page = browser.new_page()
    page.goto(f"{changed_site.as_uri()}/changes.html")
    line = page.locator(".dm-change-lines li", has_text="displacement used: ")
    first, second = show(10_500.0, "mass"), show(11_000.0, "mass")
    pairs = line.locator(".q").evaluate_all("all => all.map(q => [...q.children].map(e => e.textContent))")
    assert pairs == [[mass.metric, mass.us] for mass in (first, second)]
    assert "(" not in (line.text_content() or "").partition("(cause")[0]
    assert line.inner_text().split("(")[0].split() == (
        f"displacement used: {first.metric} -> {second.metric}".split()
    )
    page.locator(".dm-switch label", has_text="US").click()
    assert line.inner_text().split("(")[0].split() == f"displacement used: {first.us} -> {second.us}".split()
    entry = page.locator("li").get_by_text("displacement: 10.5 t -> 11 t", exact=True)
    assert entry.count() == 1
    assert entry.locator("span").count() == 0
    page.close()


def test_the_order_says_then_now_and_difference(
    changed_site: Path, browser: Browser, before: Run, after: Run
) -> None:
    page = browser.new_page()
    page.goto(f"{changed_site.as_uri()}/changes.html")
    rows = page.locator("#order tbody tr").evaluate_all(
        "all => all.map(row => [...row.cells].map(c => c.textContent.trim().replace(/\\s+/g, ' ')))"
    )
    page.close()
    report = changes_between(before, after)
    assert len(rows) == len(report.order) > 0
    for item, cells in zip(report.order, rows, strict=True):
        assert cells[0] == f"{item.description} {item.id}"
        difference = item.difference
        assert difference is not None
        assert cells[3][0] == ("+" if difference > 0 else "\N{MINUS SIGN}")
        assert cells[3][1:].startswith(
            show(float(abs(difference)), "length").metric if item.unit == "m" else f"{abs(difference):,}"
        )


def test_contact_details_never_reach_the_page(changed_site: Path) -> None:
    raw = (changed_site / "changes.html").read_text(encoding="utf-8")
    for secret in ("Renner", "Tessier", "Orme", "plover.example", "comer.example", "900555"):
        assert secret not in raw
    assert "phone: changed" in text_of(changed_site / "changes.html")


def test_cells_are_shown_as_text(changed_site: Path) -> None:
    class Tags(HTMLParser):
        found: list[str] = []  # noqa: RUF012  one parser, read once

        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            self.found += [tag, *(name for name, _ in attrs if name.startswith("on"))]

    parser = Tags()
    parser.feed((changed_site / "changes.html").read_text(encoding="utf-8"))
    assert "img" not in parser.found
    assert "onerror" not in parser.found
    assert parser.found.count("script") == 4, "the site's own four"


def test_a_boat_that_changed_says_so_and_leads_to_what_changed(changed_site: Path) -> None:
    raw = next((changed_site / "boats").glob("001-*.html")).read_text(encoding="utf-8")
    anchor = raw.partition('href="../changes.html#')[2].partition('"')[0]
    assert anchor
    assert f'id="{anchor}"' in (changed_site / "changes.html").read_text(encoding="utf-8")
    assert "Since the list of 15 January 2027" in boat_page(changed_site, "001")
    assert "she entered" in boat_page(changed_site, "007")
    assert "Since the list of" not in boat_page(changed_site, "002")


def test_the_overview_counts_the_changes(changed_site: Path) -> None:
    text = text_of(changed_site / "index.html")
    assert "1 boat entered 1 boat withdrawn 1 boat put right" in text
    assert 'href="changes.html"' in (changed_site / "index.html").read_text(encoding="utf-8")


def test_without_an_earlier_run_there_is_no_page_of_changes(site: Path) -> None:
    assert not (site / "changes.html").exists()
    assert "changes.html" not in (site / "index.html").read_text(encoding="utf-8")


def test_pages_are_made_anew_where_the_note_differs_and_there_alone(
    before: Run, after: Run, tmp_path: Path
) -> None:
    report = changes_between(before, after)
    told = {boat.entry_no for boat in report.boats}
    entries = [str(entry) for entry in after.result.intake.fleet.text["entry_no"]]
    build_site(after.result, after.policy, after.catalogue, tmp_path / "site")
    kept = build_site(after.result, after.policy, after.catalogue, tmp_path / "site", changes=report)
    assert kept.pages_kept == sum(entry not in told for entry in entries)
    fresh = build_site(after.result, after.policy, after.catalogue, tmp_path / "new" / "site", changes=report)
    assert kept.release == fresh.release


def test_a_rule_that_moves_many_boats_is_told_once(before: Run) -> None:
    boats = [dict(FLEET[0]) | {"entry_no": f"{n}", "boat_name": f"Boat {n}"} for n in range(6)]
    strict = rally_policy(sizing={"bridle_leg_ratio": 3.0}, reasons={"sizing.bridle_leg_ratio": "longer"})
    one, two = make_run(boats), make_run(boats, strict)
    report = changes_between(one, two)
    page = changes_page(report, {}, {}, (), ())
    assert any("2.5 -> 3" in words for words in page.rules)
    assert any(
        str(alike.words[0]).startswith("opened, ") and "bridle" in str(alike.words) for alike in page.alike
    )
    for alike in page.alike:
        assert len(alike.boats) == 6
        assert alike.count == "6 boats"
        for boat in (boat for group in page.groups for boat in group.boats):
            assert all(alike.words not in block.lines for block in boat.blocks)


def test_a_public_name_spelt_like_a_private_one_stays(before: Run, after: Run) -> None:
    report = changes_between(before, after)
    renamed = replace(
        report,
        boats=tuple(replace(boat, was_entry_no="Renner") for boat in report.boats),
    )
    hidden = changes_page(renamed, {}, {}, ("Renner",), ())
    shown = changes_page(renamed, {}, {}, ("Renner",), ("Renner",))
    assert "Renner" not in repr(hidden.groups)
    assert "Renner" in repr(shown.groups)


def test_an_office_that_has_a_new_address_is_told_and_shows_that_alone(before: Run, tmp_path: Path) -> None:
    moved = [
        before.policy.model_copy(
            update={"rally": before.policy.rally.model_copy(update={"contact": contact})}
        )
        for contact in ("old@rally.example", "new@rally.example")
    ]
    one, two = (make_run(sheet(), policy) for policy in moved)
    report = changes_between(one, two)
    assert ("old@rally.example", "new@rally.example") in [(rule.before, rule.after) for rule in report.rules]
    build_site(two.result, two.policy, two.catalogue, tmp_path / "site", changes=report)
    page = (tmp_path / "site" / "changes.html").read_text(encoding="utf-8")
    assert "rally.contact" in page
    assert "old@" not in page
    assert "<bdi>new@rally.example</bdi>" in page
