"""A private boat is on her own page and in no other file of the site. Common practice, no source."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from subprocess import check_output

import pytest

from sitegen import build_site
from sitegen.addresses import PRIVATE_DIGITS, boat_slugs, page_addresses, private_slug
from sitegen.boat_facts import Gatherer
from sitegen.pages.order import order_page
from sitegen.publish import current_release
from sizing.model import CONSENT
from sizing.order import order_with_consent
from sizing.papers.files import write_papers
from sizing.policy import Policy
from sizing.privacy import private_boats, private_refused
from sizing.supplies import supplies_of
from tests.sitegen.result_builder import PLAIN, Run, changes_between, make_run
from tests.sizing.order.loft.rally import page_texts

KEY, OTHER = b"secret of one season", b"secret of another season"
NAME, ENTRY, SAIL, BERTH = "Quiet <Heron> & Sons", "P-777", "QQX 90412", "Z99"
WHO = "Corwin Tasker"
REFUSED, REFUSED_ENTRY = "Hushed Bittern", "P-888"


def boat(entry_no: str, **cells: str) -> dict[str, str]:
    agreed = {"gear_supply": CONSENT, "gear_supply_by": WHO}
    return {**PLAIN, **agreed, "sail_no": "", "entry_no": entry_no, "boat_name": f"Boat {entry_no}", **cells}


def boats(**private: str) -> list[dict[str, str]]:
    return [
        boat("001", boat_name="Grey Plover", berth=f"A1, beside {NAME}"),
        boat(ENTRY, boat_name=NAME, sail_no=SAIL, berth=BERTH, end_weight="", **private),
        boat("003", boat_name="Twin Spoon", device_type="none", cone_count=""),
        boat(REFUSED_ENTRY, boat_name=REFUSED, loa="", **private),
    ]


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Run]:
    made = with_order(make_run(boats(public="no")))
    site = tmp_path_factory.mktemp("private") / "site"
    papers = made_papers(made, site.parent / "papers")
    build_site(made.result, made.policy, made.catalogue, site, private_key=KEY, papers=lambda: papers)
    return site, made


def with_order(made: Run) -> Run:
    """The run with the order of its plans: the papers of a kit are made from it."""
    result = made.result
    order = order_with_consent(
        result.intake.fleet, result.requirements, result.plans, supplies_of(result.intake.fleet), made.policy,
        made.catalogue, None, time_limit_s=2.0,
    )  # fmt: skip
    return replace(made, result=replace(result, order=order))


def made_papers(made: Run, folder: Path) -> Path:
    entries = [str(entry) for entry in made.result.intake.fleet.text["entry_no"]]
    stems = boat_slugs(entries, private_boats(made.result.intake.fleet, made.policy), KEY)
    folder.mkdir()
    write_papers(made.result, made.policy, made.catalogue, stems, folder)
    return folder


def files(site: Path) -> Iterator[tuple[str, str]]:
    for path in site.rglob("*"):
        if path.is_file():
            read = b"" if path.suffix == ".pdf" else path.read_bytes()  # papers are read as they are printed
            yield path.relative_to(site).as_posix(), read.decode("utf-8", "replace").casefold()


def printed(folder: Path) -> dict[str, str]:
    """What stands on the papers, and in what a reader of them is told of the file."""
    return {
        path.relative_to(folder).as_posix(): " ".join(
            (*page_texts(path.read_bytes()), check_output(["pdfinfo", path]).decode())
        ).casefold()
        for path in folder.rglob("*.pdf")
    }


def of_her(name: str) -> bool:
    return private_slug(KEY, ENTRY) in name


def test_a_private_boat_is_named_on_her_own_page_alone(built: tuple[Path, Run]) -> None:
    site, _ = built
    slug = private_slug(KEY, ENTRY)
    told = (
        "heron",
        ENTRY.casefold(),
        SAIL.casefold(),
        BERTH.casefold(),
        slug,
        "bittern",
        REFUSED_ENTRY.casefold(),
    )
    own = dict(files(site))[f"boats/{slug}.html"]
    assert [word for word in told[:4] if word not in own] == []
    assert 'name="robots" content="noindex' in own
    for name, text in files(site):
        if not of_her(name):
            assert [word for word in told if word in text] == [], name
    assert not re.search("heron|777|90412|bittern|888", " ".join(n for n, _ in files(site)).casefold())


def test_who_agreed_for_a_boat_is_on_no_page_and_no_paper(built: tuple[Path, Run]) -> None:
    site, made = built
    assert {one.by for one in made.result.order.supplies} == {WHO}
    everything = [*files(site), *printed(site.parent / "papers").items()]
    assert [name for name, text in everything if WHO.casefold() in text] == []


def test_a_private_boat_that_is_not_ordered_for_is_summed_and_not_named(built: tuple[Path, Run]) -> None:
    made = with_order(make_run([{**one, "gear_supply": ""} for one in boats(public="no")]))
    page = order_page(Gatherer(made.result, made.policy, made.catalogue))
    assert len(made.result.order.would_be.rows) > len(page.would_be) > 0
    assert not [row for row in page.would_be if ENTRY in row.entry_no or "Heron" in row.boat]


def test_a_private_boat_is_on_no_paper_of_the_site_but_her_own(built: tuple[Path, Run]) -> None:
    """Her own lie beside her page, under its address; those of the fleet, which name her, are not there."""
    site, _ = built
    on_site, all_papers = printed(site), printed(site.parent / "papers")
    told = ("heron", ENTRY.casefold(), SAIL.casefold(), private_slug(KEY, ENTRY))
    hers = {name for name in on_site if of_her(name)}
    assert {name.partition("-")[0] for name in hers} == {f"boats/{private_slug(KEY, ENTRY)}"}
    assert {"sea-card", "surveyors-sheet", "bench-card"} <= {
        name.partition("-")[2].removesuffix(".pdf") for name in hers
    }
    assert all("heron" in on_site[name] for name in hers)
    others = {name: text for name, text in on_site.items() if name not in hers}
    assert len(others) >= 2 * len(hers)
    assert [(name, word) for name, text in others.items() for word in told if word in text] == []
    assert set(on_site) == {name for name in all_papers if name.startswith("boats/")}
    assert "heron" in all_papers["officers-list.pdf"]
    assert any("heron" in text for name, text in all_papers.items() if name.startswith("scrutineers-"))


def test_the_same_boat_made_public_is_in_the_lists_that_the_private_one_is_not_in(tmp_path: Path) -> None:
    """What the test above looks for is there without the word in her row."""
    made = make_run(boats())
    build_site(made.result, made.policy, made.catalogue, tmp_path / "site", private_key=KEY)
    named = {name for name, text in files(tmp_path / "site") if "heron" in text or ENTRY.casefold() in text}
    assert {"index.html", "search/index.js", "order.html", "sheets.html"} <= named


def test_the_counts_have_her_and_the_folder_of_boats_lists_nobody(built: tuple[Path, Run]) -> None:
    site, made = built
    page = (site / "index.html").read_text(encoding="utf-8")
    counts = [int(n) for n in re.findall(r'dm-stage__number">(\d+)<', page)]
    assert sum(counts) == made.result.intake.rows_in == 4
    assert "2 boats have private pages and are counted here, but in no list." in page
    assert "boats/" not in (site / "boats" / "index.html").read_text(encoding="utf-8")


def test_a_policy_makes_every_page_private(tmp_path: Path) -> None:
    policy = Policy.model_validate({"rally": {"name": "Quiet", "private_pages": True}})
    made = make_run(boats(), policy)
    build_site(made.result, made.policy, made.catalogue, tmp_path / "site", private_key=KEY)
    for name, text in files(tmp_path / "site"):
        if not name.startswith("boats/"):
            assert not re.search("heron|plover|twin spoon|bittern", text), name
    assert len(list((tmp_path / "site" / "boats").glob("*.html"))) == 3 + 1


def test_her_address_stays_from_week_to_week_and_is_another_in_each_season(tmp_path: Path) -> None:
    entries = ["001", ENTRY]
    first = page_addresses(entries, "site", {1}, KEY)
    assert page_addresses([ENTRY, "002"], "site", {0}, KEY)[ENTRY] == first[ENTRY]
    assert page_addresses(entries, "site", {1}, OTHER)[ENTRY] != first[ENTRY]
    assert page_addresses(entries, "site", {1}, KEY)["001"] == page_addresses(entries, "site")["001"]
    assert page_addresses(entries, "site", {1})[ENTRY] != page_addresses(entries, "site", {1})[ENTRY]


def test_an_address_is_hard_to_guess() -> None:
    """160 bits, more than the 128 that are held to be beyond trying out [practice]; every digit is used."""
    made = [private_slug(KEY, str(number)) for number in range(4000)]
    assert PRIVATE_DIGITS * math.log2(16) >= 128
    assert len(set(made)) == len(made)
    assert {len(one) for one in made} == {PRIVATE_DIGITS}
    for place in range(PRIVATE_DIGITS):
        counts = [sum(one[place] == digit for one in made) for digit in "0123456789abcdef"]
        assert min(counts) > 4000 / 16 * 0.6, place


@pytest.mark.parametrize(
    ("cell", "private"),
    [("no", True), ("NO", True), ("nein", True), ("nej", True), ("private", True), ("0", True),
     ("yes", False), ("ja", False), ("", False)],
)  # fmt: skip
def test_the_word_is_read_in_the_languages_of_clubs(cell: str, private: bool) -> None:
    made = make_run([boat("001", public=cell)])
    assert bool(private_boats(made.result.intake.fleet, made.policy)) == private


def test_a_row_that_cannot_be_read_is_private_where_that_is_in_doubt() -> None:
    made = make_run(
        [
            boat("001"),
            boat("002", loa="", public="perhaps"),
            boat("003", loa="", public="no"),
            boat("004", loa=""),
        ]
    )
    assert private_refused(made.result.intake, made.policy) == {3, 4}  # rows of the sheet, below its header


def test_a_boat_that_withdrew_leaves_no_name_and_what_changed_of_a_private_one_is_not_told(
    tmp_path: Path,
) -> None:
    gone = boat("P-999", boat_name="Vanished Shearwater", sail_no="QQX 50505")
    before, after = make_run([*boats(public="no"), gone]), make_run(boats(public="no"))
    amended = make_run([one | {"lead_line_length": "9 m"} for one in boats(public="no")])
    for now, found in ((after, False), (amended, True)):
        site = tmp_path / str(found) / "site"
        report = changes_between(before, now)
        assert "P-999" in {one.entry_no for one in report.boats}
        assert (ENTRY in {one.entry_no for one in report.boats}) == found
        build_site(now.result, now.policy, now.catalogue, site, changes=report, private_key=KEY)
        for name, text in files(site):
            assert not re.search("shearwater|p-999|50505", text), name
            if not of_her(name):
                assert not re.search("heron|p-777|90412|bittern|p-888", text), name
        assert "1 boat withdrawn" in (site / "changes.html").read_text(encoding="utf-8")


def test_a_later_build_takes_her_page_over(built: tuple[Path, Run]) -> None:
    site, made = built
    papers = site.parent / "papers"
    report = build_site(
        made.result, made.policy, made.catalogue, site, private_key=KEY, papers=lambda: papers
    )
    assert report.pages_kept == len(made.result.intake.fleet)
    assert current_release(site) is not None
