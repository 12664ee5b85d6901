"""What the pages of the fleet say, read as text, and how heavy all of them are."""

from __future__ import annotations

import gzip
import json
import re
from datetime import timedelta
from pathlib import Path

import pytest

from sitegen import build_site
from sitegen.boat_facts import Gatherer
from sitegen.pages.plan import choice_words
from sitegen.pages.sheets import sheets_page
from sizing.audit import BOAT_STAGES, stage_counts, stages_of
from sizing.policy import Policy
from tests.sitegen.page_text import text_of
from tests.sitegen.result_builder import PLAIN, TODAY, Run, make_run, rally_policy
from tests.sizing.audit.boats import boat


def test_no_page_says_that_a_boat_is_safe(site: Path) -> None:
    for path in site.rglob("*.html"):
        if path.name == "licences.html":
            continue
        for sentence in re.findall(
            r"[^.]*\b(?:she|boat|boats|gear) (?:is|are) (?:safe|seaworthy)\b[^.]*\.", text_of(path)
        ):
            assert re.search(r"\b(never|not|Not)\b", sentence), f"{path.name}: {sentence}"


def test_no_page_shows_a_figure_that_is_none(site: Path) -> None:
    for path in site.rglob("*.html"):
        words = set(re.findall(r"[\w.+-]+", text_of(path)))
        assert not words & {"nan", "NaN", "inf", "None", "-1"}, path.name


def test_the_order_page_tells_each_boat_s_plan_and_share(site: Path, run: Run) -> None:
    text = text_of(site / "order.html")
    wanted = Gatherer(run.result, run.policy, run.catalogue).answers_wanted
    assert wanted
    for plan in run.result.plans:
        computed = plan.row not in run.result.requirements.not_computed
        assert choice_words(plan, computed=computed, unknown=plan.row in wanted) in text
    assert re.search(r"Twin Spoon\s+003\s+Make a whole new drogue\s+131\s+2\s+450.00 EUR", text)


def test_the_overview_agrees_in_number_and_tense(tmp_path: Path) -> None:
    policy = Policy.model_validate({"rally": {"name": "Past", "departure": TODAY - timedelta(days=2)}})
    made = make_run([boat(last_inspected="2027-01-10", evidence_date="2027-01-10", end_weight="")], policy)
    build_site(made.result, made.policy, made.catalogue, tmp_path / "site")
    text = text_of(tmp_path / "site" / "index.html")
    assert "1 boat has still to answer what changes the order." in text
    day = (tmp_path / "site" / "assets" / "muster" / "day.css").read_text(encoding="utf-8")
    assert 'content: "2 days ago"' in day
    assert "days ago" not in text, "a page that counts days is wrong at midnight"


def test_the_rows_that_were_rejected_are_listed_without_contact_details(site: Path) -> None:
    text = text_of(site / "rejected.html")
    assert "No Length" in text
    assert "does not begin with a number" in text
    assert "edda" not in text.lower()
    assert "900777" not in text


@pytest.mark.parametrize("secret", ["Tessier", "Renner", "Mulvey", "@", "7700 900123"])
def test_no_private_value_is_in_any_file(site: Path, secret: str) -> None:
    for path in site.rglob("*"):
        if path.is_file() and path.suffix != ".css" and path.name != "licences.html":
            assert secret not in path.read_text(encoding="utf-8"), path.name


def test_the_overview_counts_what_is_there(site: Path, run: Run) -> None:
    text = text_of(site / "index.html")
    page = (site / "index.html").read_text(encoding="utf-8")
    counts = [int(n) for n in re.findall(r'dm-stage__number">(\d+)<', page)]
    assert len(counts) == len(BOAT_STAGES) + 1
    assert counts[0] == len(run.result.intake.rejected) == page.count('<tr data-stage="not-taken"')
    assert counts[1:] == list(stage_counts(stages_of(run.result)).values())
    assert sum(counts) == run.result.intake.rows_in == page.count("<tr data-stage=")
    for stage, count in zip(BOAT_STAGES, counts[1:], strict=True):
        assert page.count(f'<tr data-stage="{stage.key}"') == count
    assert "cannot arrive in time" in text
    assert text.count("Grey Plover") >= 2


def test_the_order_page_lists_lines_and_shares(site: Path) -> None:
    text = text_of(site / "order.html")
    assert "20 mm nylon double braid" in text
    assert "No price is known for the shackle." in text
    assert "2,250.00 EUR" in text


def test_the_method_page_compares_with_published_values(site: Path) -> None:
    # CG87 6.1 and 6.2: 7,500 lbf at 7,500 lb, 36,000 lbf at 60,000 lb; 93 cones follow from the
    # report's 4 ft at 7,500 lb and its 5 in cones.
    text = text_of(site / "method.html")
    assert re.search(
        r"Cones of 5 in\s+3,402 kg\s+7,500 lb\s+90\s+in the report's own test piece\s+93\s+\+3.3 %", text
    )
    assert re.search(r"Cones of 5 in\s+27,216 kg\s+60,000 lb\s+175", text)
    assert re.search(r"Peak of a computed wave strike\s+27,216 kg.*?prediction", text)
    assert "TEOS-10 by its reference implementation" in text
    assert "36,000 lbf" in text
    # EN 1993-1-8 Table 3.4: a bolt of class 8.8 holds 0.6 of its tensile strength in shear.
    assert re.search(r"steel, class 8\.8\s+8\.8\s+800 MPa\s+116,030 psi\s+60 %", text)
    assert "derived" in text


def test_every_check_of_the_run_is_in_the_catalogue_of_checks(site: Path, run: Run) -> None:
    text = text_of(site / "checks.html")
    for column in run.result.checks:
        assert column.check.sentence in text
        assert column.check.id in text


def test_the_scrutineers_list_has_every_boat_by_berth(site: Path, run: Run) -> None:
    page = (site / "sheets.html").read_text(encoding="utf-8")
    assert page.index("Little Auk") < page.index("Grey Plover"), "berth 3 comes before berth 12"
    assert page.count('class="dm-box"') == len(run.result.intake.fleet)
    assert ".pdf" not in page, "sheets name boats with private pages, and are not on the site"


def test_the_scrutineers_list_is_in_parts_of_twelve_where_no_berth_is_known() -> None:
    boats = [{**PLAIN, "entry_no": f"{at:03d}", "berth": "B7" if at == 3 else ""} for at in range(30)]
    run = make_run(boats, rally_policy())
    parts = sheets_page(Gatherer(run.result, run.policy, run.catalogue)).parts
    assert [part.title for part in parts] == [
        "Pontoon B",
        *(f"No berth given, part {n} of 3" for n in (1, 2, 3)),
    ]
    assert [len(part.boats) for part in parts] == [1, 12, 12, 5]


def test_the_search_index_is_a_list_of_addresses_that_are_there(site: Path) -> None:
    script = (site / "search" / "index.js").read_text(encoding="utf-8")
    entries = json.loads(script.partition("=")[2].rstrip().rstrip(";"))
    assert len(entries) > 40
    for entry in entries:
        assert (site / entry[0].partition("#")[0]).is_file()


def test_a_page_is_of_bearable_size(site: Path) -> None:
    assert max(path.stat().st_size for path in (site / "boats").glob("*.html")) < 300_000


def test_nothing_of_the_theme_s_scripts_is_carried(site: Path) -> None:
    scripts = sorted(path.relative_to(site).as_posix() for path in site.rglob("*.js"))
    assert scripts == [
        "assets/muster/early.js",
        "assets/muster/fleet-table.js",
        "assets/muster/muster.js",
        "assets/muster/reading.js",
        "assets/muster/search.js",
        "search/index.js",
    ]


def test_pages_are_light_and_carry_no_indentation(struck_site: Path) -> None:
    """With every section a boat's page stays below 45 kB as servers send it, for a poor connection."""
    for path in (struck_site / "boats").glob("*.html"):
        text = path.read_text(encoding="utf-8")
        assert len(gzip.compress(text.encode())) < 45_000, path.name
        assert not re.search(r"^[ \t]", text, re.MULTILINE), path.name
