"""What the pages say, read as text."""

from __future__ import annotations

import csv
import gzip
import html
import json
import math
import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from sitegen import build_site
from sitegen.boat_drawings import BoatDrawings, boat_drawings
from sitegen.boat_facts import Gatherer
from sitegen.pages.boat import boat_page
from sitegen.pages.parts import finding_view
from sitegen.pages.plan import choice_words, plan_title, plan_view
from sitegen.pages.seamanship import use_view
from sitegen.texts import load_texts
from sizing.audit import BOAT_STAGES, audit_fleet, findings_of
from sizing.drogue.connections import connections
from sizing.drogue.joint_text import joint_text
from sizing.model import AdvisedColumns, MendChoice, MendPlan, PartGroup, Standing
from sizing.order import known_items
from sizing.policy import Policy
from sizing.seamanship.register import STAGES
from sizing.units import show
from tests.sitegen.result_builder import NO_ROPE, PLAIN, TODAY, Run, make_run, rally_policy, with_strike
from tests.sizing.audit.boats import boat, context_of, fleet_of


def text_of(path: Path) -> str:
    body = path.read_text(encoding="utf-8").partition("<article")[2]
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", body)))


def boat_text(site: Path, run: Run, row: int) -> str:
    number = str(run.result.intake.fleet.text["entry_no"][row])
    return text_of(next((site / "boats").glob(f"{number}-*.html")))


def test_the_sections_stand_in_the_order_a_skipper_asks(site: Path, run: Run) -> None:
    text = boat_text(site, run, 0)
    questions = [
        "To do: ",
        "How do I use it, and get it back?",
        "What should my drogue be?",
        "How do I build or mend it?",
        "What will it feel?",
        "What was checked",
        "How was this worked out?",
    ]
    places = [text.index(question) for question in questions]
    assert places == sorted(places)


def test_no_page_says_that_a_boat_is_safe(site: Path) -> None:
    for path in site.rglob("*.html"):
        if path.name == "licences.html":
            continue
        for sentence in re.findall(
            r"[^.]*\b(?:she|boat|boats|gear) (?:is|are) (?:safe|seaworthy)\b[^.]*\.", text_of(path)
        ):
            assert re.search(r"\b(never|not|Not)\b", sentence), f"{path.name}: {sentence}"


def test_a_boat_that_was_not_computed_says_why_and_shows_no_figure(site: Path, run: Run) -> None:
    text = boat_text(site, run, 4)
    assert f"cannot be worked out yet: {NO_ROPE}" in text
    assert "Design load" not in text
    assert "nan" not in text.lower().split()


def test_no_page_shows_a_figure_that_is_none(site: Path) -> None:
    for path in site.rglob("*.html"):
        words = set(re.findall(r"[\w.+-]+", text_of(path)))
        assert not words & {"nan", "NaN", "inf", "None", "-1"}, path.name


@pytest.mark.parametrize("written", ["A17", "a17", " a17 "])
def test_a_waiver_tells_reason_officer_and_date_however_her_number_is_written(
    tmp_path: Path, written: str
) -> None:
    waiver = {
        "entry_no": written, "check": "bridle.leg-length", "reason": "New legs are on their way.",
        "officer": "Safety office", "until": date(2027, 6, 1),
    }  # fmt: skip
    short = {**PLAIN, "entry_no": "A17", "bridle_leg_length": "6 m"}
    run = make_run([short], rally_policy(waivers=[waiver]))
    build_site(run.result, run.policy, run.catalogue, tmp_path / "site")
    text = text_of(next((tmp_path / "site" / "boats").glob("*.html")))
    waived = text.partition("Set aside")[2]
    assert "Reason: New legs are on their way." in waived
    assert "By Safety office , until 1 June 2027" in waived


def test_a_boat_outside_the_published_range_is_marked_beside_her_figures(site: Path, run: Run) -> None:
    light = boat_text(site, run, 1)
    assert "Your boat is lighter than the boats of the report" in light
    assert light.count("outside the published range") >= 4
    assert "outside the published range" not in boat_text(site, run, 0)


def test_figures_of_a_hull_type_outside_the_source_are_marked(site: Path, run: Run) -> None:
    """The source is about sailing monohulls [CG87 6.1, 7.0]."""
    types = [run.result.intake.fleet.entry(row).boat_type for row in range(4)]
    assert types[2:4] == ["sailing multihull", "motor monohull"]
    for row in (2, 3):
        text = boat_text(site, run, row)
        assert f"nobody has published figures for a {types[row]}" in text
        assert text.count("hull type outside the source") >= 20
        for figure in (
            "Greatest load at the bridle",
            "Mass when stowed",
            "New attachments",
        ):
            told = text.partition(figure)[2]
            assert not told or "hull type outside the source" in told[:250], figure
        met = text.partition("Shown to be enough")[2].partition("Not for your boat")[0]
        assert "within the published range" not in met
    assert "hull type outside the source" not in boat_text(site, run, 0)
    fleet = text_of(site / "index.html")
    assert fleet.count("outside source") == sum("sailing monohull" not in kind for kind in types)


def test_the_page_tells_every_joint_in_the_order_it_is_closed(site: Path, run: Run) -> None:
    needs, text = run.result.requirements, boat_text(site, run, 0)
    told = text.partition("How is it joined?")[2].partition("How do I build")[0]
    joints = [joint_text(joint) for joint in connections(needs, run.policy, run.catalogue, 0)]
    assert [joint.name for joint in joints][-1] == "Attachment to bridle leg"
    places = [told.index(f"{joint.place}. {joint.name}") for joint in joints]
    assert places == sorted(places)
    for joint in joints:
        assert joint.joined_by in told
        assert joint.closing in told
        assert joint.fits
        for fit in joint.fits:
            part, opening = show(fit.part_m, "small_length"), show(fit.opening_m, "small_length")
            words = f"{fit.part} {part.metric} {part.us} , {fit.opening} {opening.metric} {opening.us}"
            assert words in told


def test_drift_is_a_range_and_room_is_by_its_upper_end(site: Path, run: Run) -> None:
    needs, text = run.result.requirements, boat_text(site, run, 0)
    low, high = (float(end[0]) * 3600 / 1852 for end in (needs.drift_low_mps, needs.drift_high_mps))
    assert low < high
    use = text.partition("How do I use it, and get it back?")[2]
    assert f"one day: {math.ceil(36 * high)} nautical miles, plus current." in use
    assert f"She drifts {low:.1f} to {high:.1f} kn, {24 * low:.0f} to {24 * high:.0f} miles a day" in use
    assert "the upper end of it and half as much again" in use
    leg_m, line_m = float(needs.bridle_leg_m[0]), float(needs.line_length_m[0])
    assert f"Deeper than {math.ceil(leg_m + line_m)} m (" in use
    assert use.index("Lee shore? Never.") < use.index("one day: ") < use.index("weight down,")


def test_without_a_strike_the_page_says_so(site: Path, run: Run) -> None:
    assert "The wave strike is not computed yet" in boat_text(site, run, 0)


def test_a_strike_is_shown_with_its_peak_or_with_the_reason(struck_site: Path, run: Run) -> None:
    assert "Peak load at the bridle" in boat_text(struck_site, run, 0)
    assert "not computed yet" not in boat_text(struck_site, run, 0)


def test_the_spread_of_a_strike_is_told_in_plain_words(struck_site: Path, run: Run) -> None:
    # The builder's strike: 256 varied, the attachment above what is asked of it in a quarter of them.
    text = boat_text(struck_site, run, 0)
    design_load = float(run.result.requirements.design_load_n[0])
    median, p90 = show(design_load * 1.01 * 0.98, "force"), show(design_load * 1.01 * 1.1, "force")
    assert "The strike was varied 256 times" in text
    assert f"below {median.metric} {median.us} in half of the varied strikes" in text
    assert f"below {p90.metric} {p90.us} in nine of ten" in text
    assert "is the attachment: in 64 of 256" in text
    assert "from how fast the crest runs (60 %), then from how steep the face of the wave is (40 %)" in text
    assert "Over 256 varied strikes half of the peaks lie above" in text


def test_without_varied_strikes_nothing_is_said_of_a_spread(run: Run, tmp_path: Path) -> None:
    struck = with_strike(run).result
    assert struck.strike is not None
    blank = np.full(len(run.result.intake.fleet), np.nan)
    once = replace(
        struck.strike,
        samples=0,
        median_n=blank,
        p90_n=blank,
        peak_quantiles_n=np.full((len(blank), 50), np.nan),
        share_above={},
        sensitivity={},
    )
    build_site(replace(struck, strike=once), run.policy, run.catalogue, tmp_path / "site")
    text = boat_text(tmp_path / "site", run, 0)
    assert "Peak load at the bridle" in text
    assert "varied" not in text.partition("The wave strike")[2].partition("What was checked")[0]


def test_the_order_page_tells_each_boat_s_plan_and_share(site: Path, run: Run) -> None:
    text = text_of(site / "order.html")
    wanted = Gatherer(run.result, run.policy, run.catalogue).answers_wanted
    assert wanted
    for plan in run.result.plans:
        computed = plan.row not in run.result.requirements.not_computed
        assert choice_words(plan, computed=computed, unknown=plan.row in wanted) in text
    assert re.search(r"Twin Spoon\s+003\s+Make a whole new drogue\s+131\s+2\s+450.00 EUR", text)


def test_a_plan_s_title_agrees_with_what_is_made() -> None:
    def title(choice: MendChoice, *groups: PartGroup, cones: int = 0, leaves: tuple[str, ...] = ()) -> str:
        return plan_title(MendPlan(0, choice, groups, cones, 1.0, "", (), leaves), computed=True)

    assert title("re-rig", "cone line") == "New rope under the cones she has"
    assert title("re-rig", "cones", "cone line", cones=157) == "New rope with new cones on it"
    assert title("re-rig", "lead line", "bridle") == "New lead line and new bridle"
    assert title("extend", "cones", "extension", cones=4) == "Extend the drogue with a further section"
    assert title("extend", "cones", cones=4) == "New cones on the line she has"
    assert title("nothing") == "Nothing has to be made"
    assert title("nothing", leaves=("1/end-weight.mass",)) == "Nothing to make as far as is known"


def test_where_nothing_could_be_computed_nothing_is_said_to_be_needless(site: Path, run: Run) -> None:
    plan = MendPlan(0, "nothing", (), 0, 0.0, "no figures", (), ("1/drag.cone-count",))
    view = plan_view(plan, computed=False)
    assert view.choice == choice_words(plan, computed=False) == "Not known yet"
    assert view.hours is None
    extend = MendPlan(0, "extend", ("cones", "extension"), 4, 2.0, "", (), ())
    assert plan_view(extend, computed=True).parts == "cones, a further section of line"


def test_the_jobs_say_by_when_and_agree_in_number(run: Run, tmp_path: Path) -> None:
    """The first day is that of the order, where a part may be wanted; then that of the scrutineer."""
    milestones = [
        {"name": "order placed", "due": date(2027, 2, 1), "closes": "orders"},
        {"name": "boats seen", "due": date(2027, 4, 1), "closes": "inspection"},
    ]

    def told(departure: date, **change: str) -> str:
        rally = {"name": "Example Passage", "departure": departure, "milestones": milestones}
        seen = {"last_inspected": "2027-01-10", "evidence_date": "2027-01-10"}
        made = make_run([boat(**seen, **change)], Policy.model_validate({"rally": rally}))
        record = Gatherer(made.result, made.policy, made.catalogue).facts(0)
        page = boat_page(record, BoatDrawings(), made.policy, made.catalogue, load_texts(), TODAY)
        jobs = [f"{job.title}, {', '.join(job.facts)}." for job in (*page.to_do.jobs, *page.to_do.more)]
        return " ".join((f"{page.to_do.heading}.", *page.to_do.lead, *jobs))

    start = date(2027, 5, 3)
    one = told(start, end_weight="")
    assert one == "To do: 1 job. Price: no parts to buy. Answer 1 question, by 1 February."
    assert "To do: 1 job. " in told(start, stowed_ready="")
    assert "Answer 1 question, by 1 April." in told(start, stowed_ready="")
    two = told(start, stowed_ready="", end_weight="")
    assert "Answer 2 questions, by 1 February." in two
    advised = told(start, retrieval="")
    assert advised.startswith("Nothing you must do; 1 job advised.")
    assert told(start) == (
        "Nothing to do. The gear on your entry is shown to be enough: 126 cones, 125 needed. "
        "That does not say that your boat is safe. Next: 1 April, boats seen. Price: no parts to buy."
    )
    assert "before you sail" in told(date(2027, 1, 10), stowed_ready="") or "was due by" in told(
        date(2027, 1, 10), stowed_ready=""
    )


def test_her_kit_is_told_in_words_with_its_id(site: Path, run: Run) -> None:
    kit = boat_text(site, run, 2).partition("Your kit")[2].partition("What will it feel?")[0]
    piece = next(piece for piece in run.result.order.pieces if piece.row == 2)
    name = known_items(run.catalogue)[piece.item].description
    assert f"{name} {piece.item}" in kit
    assert "to the next whole 100 mm" in kit


def test_the_overview_agrees_in_number_and_tense(tmp_path: Path) -> None:
    policy = Policy.model_validate({"rally": {"name": "Past", "departure": TODAY - timedelta(days=2)}})
    made = make_run([boat(last_inspected="2027-01-10", evidence_date="2027-01-10", end_weight="")], policy)
    build_site(made.result, made.policy, made.catalogue, tmp_path / "site")
    text = text_of(tmp_path / "site" / "index.html")
    assert "1 boat has still to answer what changes the order." in text
    day = (tmp_path / "site" / "assets" / "muster" / "day.css").read_text(encoding="utf-8")
    assert 'content: "2 days ago"' in day
    assert "days ago" not in text, "a page that counts days is wrong at midnight"


def test_a_share_is_not_told_over_in_per_cent_of_itself() -> None:
    """150 % allowed and 169 % found is 19 points over and 12 per cent over: the two figures say enough."""
    fleet = fleet_of(boat(cone_count="250"))
    views = {f.check.id: finding_view(f) for f in findings_of(audit_fleet(context_of(fleet)), fleet, 0)}
    assert views["drag.oversize"].required is not None
    assert views["drag.oversize"].margin == ""
    assert views["drag.cone-count"].margin.endswith("to spare")


def test_every_open_finding_has_something_to_do(site: Path) -> None:
    """By its own sentence, or by what to do beside it; what the order settles stands under its job."""
    text = (next((site / "boats").glob("003-*.html"))).read_text(encoding="utf-8")
    articles = re.findall(r'<article class="dm-finding.*?</article>', text, re.DOTALL)
    assert articles
    for article in articles:
        assert re.search(r"<strong>Do:</strong> \S|You (?:or a surveyor )?can \S", article)
    settled = re.search(r"it settles these:(.*?)</ul>", text, re.DOTALL)
    assert settled
    assert len(re.findall(r'<li id="check-', settled[1])) >= 5
    assert "You can" not in settled[1], "nobody measures what is to be thrown away"


def test_a_limit_is_told_as_a_limit_and_a_need_as_a_need() -> None:
    """A drogue too old by a fifth is not "20 % short" of its age."""
    aged = {"made_year": "2009", "line_state": "worn"}
    fleet = fleet_of(boat(**aged, bridle_leg_length="6 m"))
    results = audit_fleet(context_of(fleet))
    views = {f.check.id: finding_view(f) for f in findings_of(results, fleet, 0)}
    age, leg = views["condition.age"], views["bridle.leg-length"]
    assert (age.standing, age.at_most) == ("short", True)
    assert re.fullmatch(r"\d+ % over", age.margin)
    assert (leg.standing, leg.at_most) == ("short", False)
    assert re.fullmatch(r"\d+ % short", leg.margin)


def test_the_rows_that_were_rejected_are_listed_without_contact_details(site: Path) -> None:
    text = text_of(site / "rejected.html")
    assert "No Length" in text
    assert "does not begin with a number" in text
    assert "edda" not in text.lower()
    assert "900777" not in text


def test_contact_details_in_free_text_are_left_out(site: Path) -> None:
    pages = [text_of(path) for path in (site / "boats").glob("004-*.html")]
    assert "[contact left out]" in pages[0]


@pytest.mark.parametrize("secret", ["Tessier", "Renner", "Mulvey", "@", "7700 900123"])
def test_no_private_value_is_in_any_file(site: Path, secret: str) -> None:
    for path in site.rglob("*"):
        if path.is_file() and path.suffix != ".css" and path.name != "licences.html":
            assert secret not in path.read_text(encoding="utf-8"), path.name


def test_the_overview_counts_what_is_there(site: Path, run: Run) -> None:
    text = text_of(site / "index.html")
    page = (site / "index.html").read_text(encoding="utf-8")
    counts = [int(n) for n in re.findall(r'dm-stage__number">(\d+)<', page)]
    assert len(counts) == len(BOAT_STAGES)
    assert sum(counts) == run.result.intake.rows_in == page.count("<tr data-stage=")
    for stage, count in zip(BOAT_STAGES, counts, strict=True):
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


def test_marks_are_a_table_for_a_spreadsheet(site: Path, run: Run) -> None:
    path = next((site / "boats").glob("001-*-marks.csv"))
    rows = list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))
    assert len(rows) == int(run.result.requirements.cones[0])
    assert float(rows[1]["from_end_thimble_m"]) - float(rows[0]["from_end_thimble_m"]) == pytest.approx(
        0.508, abs=1e-3
    )


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


def test_each_pattern_of_cone_says_what_it_is_for(tmp_path: Path) -> None:
    """27 t: thick inner sections have a pattern of their own, the outer ones the usual one."""
    lengths = {"loa": "17 m", "lwl": "15.5 m", "beam": "4.9 m", "transom_width": "3.6 m"}
    big = {**PLAIN, **lengths, "displacement": "27 t", "bridle_leg_length": "9 m"}
    run = make_run([big], rally_policy())
    build_site(run.result, run.policy, run.catalogue, tmp_path / "site")
    text = text_of(next((tmp_path / "site" / "boats").glob("*.html")))
    told = re.findall(r"Pattern of one cone( for [^.]*)?\.", text)
    assert len(told) > 1
    assert all(told), told
    assert any("section 3" in which for which in told)


def test_a_kind_of_check_is_not_clear_while_an_advised_limit_is_not_reached(tmp_path: Path) -> None:
    """Her own page counts it among what is recommended and open; so does the table of the fleet."""
    run = make_run([{**PLAIN, "entry_no": "A17"}], rally_policy())
    place = next(at for at, c in enumerate(run.result.checks) if c.check.id == "attachment.load")
    check = run.result.checks[place]

    def said(standing: Standing, folder: Path) -> str:
        limits = AdvisedColumns(1.2 * check.required, np.array([standing], dtype=np.int8))
        checks = list(run.result.checks)
        met = np.array([Standing.MEETS], dtype=np.int8)
        checks[place] = replace(check, standing=met, found=1.1 * check.required, advised=limits)
        for at, other in enumerate(checks):
            if other.check.family == "attachment" and at != place:
                checks[at] = replace(other, standing=met)
        build_site(replace(run.result, checks=tuple(checks)), run.policy, run.catalogue, folder)
        return str(re.findall(r"attachment (\d \d \d)", text_of(folder / "index.html"))[0])

    assert said(Standing.MEETS, tmp_path / "reached") == "0 0 1"
    assert said(Standing.SHORT, tmp_path / "missed") == "0 1 0"


def test_her_use_is_told_and_drawn_by_her_hull_and_by_what_she_carries(run: Run) -> None:
    gatherer = Gatherer(run.result, run.policy, run.catalogue)
    computed = [row for row in range(len(gatherer)) if gatherer.computed(row)]
    whose = {gatherer.facts(row).entry.boat_type for row in computed}
    assert {"sailing monohull", "sailing multihull", "motor monohull"} <= whose
    for row in computed:
        facts = gatherer.facts(row)
        assert facts.told is not None
        drawn = boat_drawings(facts, run.policy).use
        if facts.told.rig == "other":
            assert drawn == {}
            continue
        sterns = [item.svg for item in (*drawn["launch"], *drawn["recover"])]
        assert all(f"The stern of a {facts.entry.boat_type}, from above." in svg for svg in sterns)
        assert list(drawn) == sorted(drawn, key=STAGES.index)
        other = replace(facts, told=replace(facts.told, rig="other", figures={}))
        view = use_view(other, boat_drawings(other, run.policy).use, run.catalogue)
        assert view is not None
        (launch,) = (stage for stage in view.stages if stage.title == "Launch")
        assert [step.key for step in launch.steps] == ["No steps for it here."]
        assert not any(stage.drawings or stage.gear for stage in view.stages)
