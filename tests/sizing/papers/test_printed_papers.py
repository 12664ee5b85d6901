"""The papers by role of the demo as they are printed, against its tables, its pages and its entry list."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path

import pytest

from sizing.fields import ON_SHEET
from sizing.papers.names import BOAT_PAPERS
from sizing.papers.surveyor import looks
from tests.calling import ROOT, Done
from tests.sizing.order.loft.rally import page_sizes_pt, page_texts

POUND_FORCE = 4.4482216152605  # SP 811


def plain(text: str) -> str:
    return " ".join(text.split())


@lru_cache(maxsize=512)
def pages(path: Path) -> tuple[str, ...]:
    return tuple(plain(page) for page in page_texts(path.read_bytes()))


@lru_cache(maxsize=4)
def table(path: Path) -> tuple[Mapping[str, str], ...]:
    with path.open(encoding="utf-8", newline="") as file:
        return tuple({name: cell.lstrip("'") for name, cell in row.items()} for row in csv.DictReader(file))


@pytest.fixture(scope="module")
def out(demo_run: tuple[Path, Done]) -> Path:
    return demo_run[0]


@pytest.fixture(scope="module")
def boats(out: Path) -> tuple[Mapping[str, str], ...]:
    found = table(out / "tables" / "sizing.csv")
    assert len(found) > 50
    return found


@pytest.fixture(scope="module")
def sheets(out: Path, boats: Sequence[Mapping[str, str]]) -> dict[str, str]:
    """The scrutineer's sheet of each boat by her entry number; a cover begins each file."""
    found = {}
    for file in sorted((out / "papers").glob("scrutineers-sheets-*[0-9].pdf")):
        cover, *hers = pages(file)
        assert cover.startswith("Scrutineers' sheets:")
        for page in hers:
            assert "page 1 of 1" in page
            head = page.split(" Type: ")[0].split()
            (entry,) = {boat["entry_no"] for boat in boats} & set(head)
            assert entry not in found
            assert entry in cover
            found[entry] = page
    assert sorted(found) == sorted(boat["entry_no"] for boat in boats)
    return found


def own(out: Path, boat: Mapping[str, str], kind: str, suffix: str = "") -> Path | None:
    found = sorted((out / "papers" / "boats").glob(f"{boat['entry_no'].lower()}-????????-{kind}{suffix}.pdf"))
    assert len(found) <= 1
    return found[0] if found else None


def test_sheets_lie_by_berth(out: Path, boats: Sequence[Mapping[str, str]]) -> None:
    """A2 is walked to before A10; a scrutineer's part is one pontoon."""
    covers = [pages(file)[0] for file in sorted((out / "papers").glob("scrutineers-sheets-*[0-9].pdf"))]
    assert len(covers) > 5
    for cover in covers:
        berths = [int(number) for number in re.findall(r" [A-Z](\d+) \w+ \w", cover.split(" Done ")[1])]
        assert berths == sorted(berths)


def test_a_sheet_has_about_ten_rows_of_what_is_seen_on_a_dock(sheets: Mapping[str, str]) -> None:
    """The rows are columns of the register, each measured for a check; no load is asked of a tape measure."""
    labels = [f"{field.label[0].upper()}{field.label[1:]}" for field in ON_SHEET]
    assert 10 <= len(labels) <= 16
    assert len({field.sheet for field in ON_SHEET}) == 10
    for entry, page in sheets.items():
        rows = page.split(" Found By ")[1].split("Anything else seen")[0]
        found = [label for label in (*labels, "Thickness") if label in rows]
        assert 7 <= len(found) <= 12, entry
        assert "0 kN" not in re.sub(r"[1-9][\d.,]*0 kN", "", rows)
        assert "kN" not in rows.split("Stated shackle load")[0], entry
        assert rows.count("kN") <= 2 * rows.count("WLL"), entry
        assert "Seen by" not in page


def test_claimed_and_needed_are_those_of_the_findings(
    out: Path, sheets: Mapping[str, str], boats: Sequence[Mapping[str, str]]
) -> None:
    """Of gear that stays they are those of the table of findings; of a new drogue, what it is made to."""
    findings = {(row["entry_no"], row["check"]): row for row in table(out / "tables" / "findings.csv")}
    stays = made = 0
    for boat in boats:
        page = sheets[boat["entry_no"]]
        if boat["not_computed"]:
            assert "could not be worked out" in page
            continue
        for check, label, figure in (
            ("drag.cone-count", "Number of cones", r"(\d+)"),
            ("bridle.leg-length", "Length of each leg", r"([\d.,]+) m"),
            ("end-weight.mass", "End weight", r"([\d.,]+) kg"),
        ):  # fmt: skip
            row = findings[boat["entry_no"], check]
            least = re.search(rf"{label}.{{0,60}}?at least {figure}", page)
            if least and row["required"]:
                assert float(least[1].replace(",", "")) == pytest.approx(float(row["required"]), rel=0.006)
                stays += 1
        if "Number of cones to be made" in page:
            assert f"Number of cones to be made {boat['cones']} " in page
            made += 1
    assert stays > 80
    assert made >= 5


def test_a_boat_with_nothing_aboard_is_told_what_is_to_be_made(sheets: Mapping[str, str]) -> None:
    page = sheets["002"]
    for said in ("Number of cones to be made 81", "End weight to be made",
                 "Length of each leg to be made",
                 "Stated shackle load to be made WLL"):  # fmt: skip
        assert said in page
    assert "not said" not in page.split(" Found By ")[1].split("Anything else")[0]


@pytest.mark.parametrize("suffix", ["", "-letter"])
def test_the_surveyors_sheet_is_two_sides_with_her_loads(
    out: Path, boats: Sequence[Mapping[str, str]], suffix: str
) -> None:
    width = 595.28 if not suffix else 612.0  # ISO 216; ANSI Y14.1
    for boat in boats:
        path = own(out, boat, "surveyors-sheet", suffix)
        assert (path is None) == bool(boat["not_computed"])
        if path is None:
            continue
        front, back = pages(path)
        if boat["entry_no"] in {"001", "049"}:
            assert page_sizes_pt(path.read_bytes())[0][0] == pytest.approx(width, abs=0.01)
        load = float(boat["attachment_load_n"])
        (kilo, pounds) = re.findall(r"Each, required ([\d.,]+) kN \(([\d,]+) lbf\)", front)[0]
        for told, exact in ((kilo, load / 1000), (pounds, load / POUND_FORCE)):
            assert 0.9999 * exact <= float(told.replace(",", "")) <= 1.01 * exact  # three digits, up
        (advised,) = re.findall(r"Each, advised ([\d.,]+) kN", front)
        assert float(advised.replace(",", "")) >= float(kilo.replace(",", ""))
        assert "This program vouches for no fitting" in front
        assert ("Outside the source" in front) == (
            boat["source_hull"] == "outside" or boat["published_range"] != "inside"
        )
        at = [
            back.index(said)
            for said in ("What to look at", "Findings", "not accepted", "Condition", "Signature")
        ]
        assert at == sorted(at)


def test_what_a_surveyor_looks_at_is_her_hulls(out: Path, boats: Sequence[Mapping[str, str]]) -> None:
    of_hulls = {
        frozenset({"multihull"}): "Each hull of a multihull",
        frozenset({"motor"}): "Bathing platform",
    }
    assert {look.hulls for look in looks()} - {frozenset()} == of_hulls.keys()
    for boat in boats:
        path = own(out, boat, "surveyors-sheet")
        if path is None:
            continue
        front, back = pages(path)
        (type_,) = re.findall(r"Type: ((?:sailing|motor) (?:mono|multi)hull)", front)
        for hulls, said in of_hulls.items():
            assert (said in back) == (hulls <= set(type_.split())), boat["entry_no"]


def test_a_bench_card_is_for_boats_for_whom_something_is_made(
    out: Path, boats: Sequence[Mapping[str, str]]
) -> None:
    kits = {row["entry_no"] for row in table(out / "order" / "kits.csv")}
    carded = 0
    for boat in boats:
        path = own(out, boat, "bench-card")
        assert (path is None) == (boat["entry_no"] not in kits), boat["entry_no"]
        if path is None:
            continue
        carded += 1
        text = " ".join(pages(path))
        assert len(pages(path)) <= 3 + (int(boat["cones"]) > 160), boat["entry_no"]
        assert f"Bag label: entry {boat['entry_no']}" in text
        assert "Check list before the bag is closed" in text
        sections = re.findall(r"Marks, (section \d|new section): (\d+) cones?", text)
        if text.count("A whole new drogue"):
            assert sum(int(count) for _, count in sections) == int(boat["cones"])
        for _, count in sections:
            assert f" {count} " in text
        joints = [int(place) for place in re.findall(r" (\d) [A-Z][a-z0-9 ]+? to [a-z0-9 ]+?: ", text)]
        assert joints == sorted(joints)
    assert carded > 20


def test_the_officers_list_has_each_boat_once_and_no_contact(
    out: Path, boats: Sequence[Mapping[str, str]]
) -> None:
    text = " ".join(pages(out / "papers" / "officers-list.pdf"))
    assert f"{len(boats)} boats" in text
    for boat in boats:
        assert text.split().count(boat["entry_no"]) >= 1
        if boat["boat_name"].isascii():
            assert boat["boat_name"].split()[0] in text
    every = [" ".join(pages(path)) for path in sorted((out / "papers").glob("*.pdf"))]
    every += [" ".join(pages(path)) for path in sorted((out / "papers" / "boats").glob("*sheet.pdf"))]
    with (ROOT / "fleet_demo" / "fleet.csv").open(encoding="utf-8-sig", newline="") as file:
        contacts = [value for row in csv.reader(file) if len(row) > 5 and "@" in row[3] for value in row[2:5]]
    assert len(contacts) > 100
    for said in every:
        assert [value for value in contacts if value and value in said] == []
    calls = " ".join(pages(out / "messages" / "telephone-list.pdf"))
    assert "For the rally's officer alone" in calls
    assert sum(value in calls for value in contacts if value) > 80


def test_each_paper_is_one_click_from_her_page(out: Path, boats: Sequence[Mapping[str, str]]) -> None:
    site = out / "site"
    for page in sorted((site / "boats").glob("*.html")):
        links = set(re.findall(r'href="([^"]+\.pdf)"', page.read_text(encoding="utf-8")))
        lying = {path.name for path in (site / "boats").glob(f"{page.stem}-*.pdf")}
        assert lying <= links
        assert {link for link in links if "/" not in link} == lying
        assert len(lying) in {0, 2 * (len(BOAT_PAPERS) - 1), 2 * len(BOAT_PAPERS)}
        for name in lying:
            assert (site / "boats" / name).read_bytes() == (out / "papers" / "boats" / name).read_bytes()
    of_boats = {path.name for path in (out / "papers" / "boats").glob("*.pdf")}
    assert {path.name for path in (site / "boats").glob("*.pdf")} == of_boats
    fleets = {path.name for path in (out / "papers").glob("*.pdf")}
    assert len(fleets) > 10
    assert not fleets & {path.name for path in site.rglob("*.pdf")}, "they name private boats"
