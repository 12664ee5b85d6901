"""What a boat's page says, read as text."""

from __future__ import annotations

import csv
import math
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from sitegen import build_site
from sitegen.boat_drawings import BoatDrawings, boat_drawings
from sitegen.boat_facts import Gatherer
from sitegen.pages.boat import boat_page
from sitegen.pages.seamanship import use_view
from sitegen.texts import load_texts
from sizing.drogue.connections import connections
from sizing.drogue.joint_text import joint_text
from sizing.model import Charges
from sizing.order import known_items
from sizing.policy import Policy
from sizing.seamanship.register import STAGES
from sizing.spoken import said
from sizing.units import show
from sizing.words import in_plain_words
from tests.sitegen.page_text import boat_text, text_of
from tests.sitegen.result_builder import NO_ROPE, PLAIN, TODAY, Run, make_run, rally_policy, with_strike
from tests.sizing.audit.boats import boat


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


def test_a_boat_that_was_not_computed_says_why_and_shows_no_figure(site: Path, run: Run) -> None:
    text = boat_text(site, run, 4)
    assert f"cannot be worked out yet: {NO_ROPE}" in text
    assert "Design load" not in text
    assert "nan" not in text.lower().split()


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
    assert "Your boat is lighter than the boats of the United States Coast Guard tests of 1987" in light
    assert light.count("outside the published range") >= 4
    assert "outside the published range" not in boat_text(site, run, 0)


def test_figures_of_a_hull_type_outside_the_source_are_marked(site: Path, run: Run) -> None:
    """The source is about sailing monohulls [CG87 6.1, 7.0]."""
    types = [run.result.intake.fleet.entry(row).boat_type for row in range(4)]
    assert types[2:4] == ["sailing multihull", "motor monohull"]
    for row in (2, 3):
        text = boat_text(site, run, row)
        assert f"Your boat is a {types[row]}, and for such a boat no figures are published" in text
        assert text.count("hull type outside the source") >= 20
        for figure in (
            "Greatest load at the bridle",
            "Mass when stowed",
            "New strong points",
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
    assert in_plain_words(joints[-1].name) == "Strong point to bridle leg"
    places = [told.index(f"{joint.place}. {in_plain_words(joint.name)}") for joint in joints]
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
        unpaid = replace(made.result, order=replace(made.result.order, charges=Charges()))
        record = Gatherer(unpaid, made.policy, made.catalogue).facts(0)
        page = boat_page(record, BoatDrawings(), made.policy, made.catalogue, load_texts(), TODAY)
        jobs = [f"{job.title}, {', '.join(job.facts)}." for job in (*page.to_do.jobs, *page.to_do.more)]
        return " ".join((f"{page.to_do.heading}.", *page.to_do.lead, *jobs))

    start = date(2027, 5, 3)
    one = told(start, end_weight="")
    assert one == (
        "To do: 1 job. Price: not known yet. Your answers decide it. Answer 1 question, by 1 February."
    )
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
        view = use_view(other, boat_drawings(other, run.policy).use, run.policy, run.catalogue)
        assert view is not None
        (launch,) = (stage for stage in view.stages if stage.title == "Launch")
        assert [step.key for step in launch.steps] == ["No steps for it here."]
        assert not any(stage.drawings or stage.gear for stage in view.stages)


def test_contact_details_in_free_text_are_left_out(site: Path) -> None:
    pages = [text_of(path) for path in (site / "boats").glob("004-*.html")]
    assert "[contact left out]" in pages[0]


def test_marks_are_a_table_for_a_spreadsheet(site: Path, run: Run) -> None:
    path = next((site / "boats").glob("001-*-marks.csv"))
    rows = list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))
    assert len(rows) == int(run.result.requirements.cones[0])
    assert float(rows[1]["from_end_thimble_m"]) - float(rows[0]["from_end_thimble_m"]) == pytest.approx(
        0.508, abs=1e-3
    )


def test_without_a_strike_the_page_says_so(site: Path, run: Run) -> None:
    assert "The wave strike is not computed yet" in boat_text(site, run, 0)


def test_a_strike_is_shown_with_its_peak_or_with_the_reason(struck_site: Path, run: Run) -> None:
    assert "Peak load at the bridle" in boat_text(struck_site, run, 0)
    assert "not computed yet" not in boat_text(struck_site, run, 0)


def test_the_spread_of_a_strike_is_told_in_plain_words(struck_site: Path, run: Run) -> None:
    # The builder's strike: 256 varied, the attachment above what is asked of it in a quarter of them.
    text = boat_text(struck_site, run, 0)
    design_load = float(run.result.requirements.design_load_n[0])
    median, p90 = said(design_load * 1.01 * 0.98, "force"), said(design_load * 1.01 * 1.1, "force")
    assert "The strike was varied 256 times" in text
    assert f"below {median.metric} {median.us} in half of the varied strikes" in text
    assert f"below {p90.metric} {p90.us} in nine of ten" in text
    assert "is the strong point: in 64 of 256" in text
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
