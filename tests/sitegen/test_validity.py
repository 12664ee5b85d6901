"""Every page of the demo's two lists, of a struck and of a hostile fleet is valid, and so is all CSS."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from sitegen import build_site
from sizing.revision import compare
from tests.markup.checker import HOW, WANTED, told
from tests.markup.reading import Reading, css_errors
from tests.markup.rules import OF_A_PAGE, titles_tell_pages_apart
from tests.sitegen.result_builder import make_run, rally_policy
from tests.sitegen.test_hostile import SCRIPT, hostile_boats
from tests.sizing.revision.runs import demo, demo_record, demo_rules

SITES = ("first list", "second list", "struck", "hostile")


@pytest.fixture(scope="module")
def sites(struck_site: Path, tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, Path]:
    folder = tmp_path_factory.mktemp("valid")
    rules = demo_rules()
    changes = compare(demo_record(), demo_record(second=True))
    first, second, hostile = (folder / name / "site" for name in ("first", "second", "hostile"))
    build_site(demo(), rules.policy, rules.catalogue, first)
    build_site(demo(second=True), rules.policy, rules.catalogue, second, changes=changes)
    policy = rally_policy()
    rally = policy.rally.model_copy(update={"name": f"Rally {SCRIPT}", "officer": SCRIPT})
    run = make_run(hostile_boats(), policy.model_copy(update={"rally": rally}))
    build_site(run.result, run.policy, run.catalogue, hostile)
    return dict(zip(SITES, (first, second, struck_site, hostile), strict=True))


@pytest.fixture(scope="module")
def pages(sites: Mapping[str, Path]) -> Mapping[str, list[Reading]]:
    return {
        name: [
            Reading(path.relative_to(site).as_posix(), path.read_text(encoding="utf-8"))
            for path in sorted(site.rglob("*.html"))
        ]
        for name, site in sites.items()
    }


def wrong(faults: Mapping[str, list[str]]) -> dict[str, list[str]]:
    """The pages with faults, and the first few of each."""
    return {address: found[:5] for address, found in faults.items() if found}


def test_the_sites_have_every_kind_of_page(pages: Mapping[str, list[Reading]]) -> None:
    kinds = {page.address.rpartition("/")[0] or page.address for page in pages["second list"]}
    assert kinds == {
        "boats", "sheets", "cuts", "index.html", "order.html", "sheets.html", "checks.html", "method.html",
        "glossary.html", "rejected.html", "changes.html", "not-this.html", "licences.html",
    }  # fmt: skip


@pytest.mark.parametrize("name", SITES)
def test_every_page_is_read_without_an_error(pages: Mapping[str, list[Reading]], name: str) -> None:
    assert wrong({page.address: page.parse_errors for page in pages[name]}) == {}


@pytest.mark.parametrize("name", SITES)
def test_every_drawing_is_well_formed(pages: Mapping[str, list[Reading]], name: str) -> None:
    assert wrong({page.address: page.broken_drawings() for page in pages[name]}) == {}


@pytest.mark.parametrize("rule", OF_A_PAGE)
@pytest.mark.parametrize("name", SITES)
def test_every_page_keeps_our_own_rules(pages: Mapping[str, list[Reading]], name: str, rule: str) -> None:
    assert wrong({page.address: OF_A_PAGE[rule](page) for page in pages[name]}) == {}


@pytest.mark.parametrize("name", SITES)
def test_titles_tell_pages_apart(pages: Mapping[str, list[Reading]], name: str) -> None:
    assert titles_tell_pages_apart(pages[name]) == []


def test_every_style_sheet_is_read_without_an_error(struck_site: Path) -> None:
    sheets = sorted(struck_site.rglob("*.css"))
    assert sheets
    assert wrong({path.name: css_errors(path.read_text(encoding="utf-8")) for path in sheets}) == {}


@pytest.mark.skipif(not WANTED, reason=HOW)
@pytest.mark.parametrize("name", SITES)
def test_the_reference_checker_finds_nothing(sites: Mapping[str, Path], name: str) -> None:
    assert told(sorted(sites[name].rglob("*.html")))[:10] == []


@pytest.mark.skipif(not WANTED, reason=HOW)
def test_the_reference_checker_finds_nothing_in_styles_and_pictures(struck_site: Path) -> None:
    assert told(sorted(struck_site.rglob("*.css")), css=True)[:10] == []


BAD = "<!doctype html><html lang=en><title>T</title><h1>A</h1>"


@pytest.mark.parametrize(
    ("rule", "body"),
    [
        ("ids_are_unique", "<p id=a><p id=a>"),
        ("references_lead_somewhere", "<a href='#b'>b</a>"),
        ("references_lead_somewhere", "<p aria-labelledby='b'>b"),
        ("headings_are_a_ladder", "<h3>c</h3>"),
        ("headings_are_a_ladder", "<h2> </h2>"),
        ("graphics_are_named", "<svg viewBox='0 0 1 1'></svg>"),
        ("tables_have_headers", "<table><tr><td>1</table>"),
        ("tables_have_headers", "<table><tr><th>1</table>"),
        ("language_is_said", "<p dir=up>"),
    ],
)
def test_a_fault_is_found(rule: str, body: str) -> None:
    assert OF_A_PAGE[rule](Reading("bad.html", BAD + body))
    assert not OF_A_PAGE[rule](Reading("good.html", BAD + "<p>Well.</p>"))


@pytest.mark.parametrize("body", ["<p></b>", "<p title=a title=b>", "<table><p>a</table>", "<p>&nosuch;"])
def test_a_fault_of_markup_is_found(body: str) -> None:
    assert Reading("bad.html", BAD + body).parse_errors


@pytest.mark.parametrize("css", ["a { color red }", "} a {}", "@media print { a { : 1 } }", "@page { 1; }"])
def test_a_fault_of_a_style_sheet_is_found(css: str) -> None:
    assert css_errors(css)


@pytest.mark.skipif(not WANTED, reason=HOW)
def test_the_reference_checker_finds_faults(tmp_path: Path) -> None:
    page, sheet = tmp_path / "bad.html", tmp_path / "bad.css"
    page.write_text(BAD + "<p colour=red><svg><text unicode-bidi='isolate'>a</text></svg>", encoding="utf-8")
    sheet.write_text("a { colour: red }", encoding="utf-8")
    assert any("“colour”" in words for words in told([page]))
    assert any("unicode-bidi" in words for words in told([page]))
    assert any("“colour”" in words for words in told([sheet], css=True))
