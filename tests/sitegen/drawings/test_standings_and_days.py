"""Bars of standings and the strip of days: in proportion, in words, by shape and not by colour alone."""

from __future__ import annotations

import datetime
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import sitegen.drawings as d
from sitegen.drawings.standings import STANDING_LOOKS
from sizing.model import Standing
from tests.sitegen.drawings.reading import SVG, parts, svgs, text_boxes
from tests.sitegen.drawings.test_plots import check_layout


def bars(svg: ET.Element) -> list[ET.Element]:
    return parts(svg, "bar")


def test_every_standing_has_a_look_of_its_own() -> None:
    assert set(STANDING_LOOKS) == {s.words for s in Standing}
    hatches = [hatch for hatch, _ in STANDING_LOOKS.values()]
    assert len(set(hatches)) == len(hatches)


def test_gap_bars_are_in_proportion_over_all_families() -> None:
    gaps = d.GapsByFamily(
        (
            d.FamilyGaps("drag", {"short": 10, "meets": 30}),
            d.FamilyGaps("line", {"absent": 5, "unproven": 15}),
        )
    )
    for svg in svgs(d.draw_gaps_by_family("p", gaps)):
        widths = [float(b.attrib["width"]) for b in bars(svg)]
        assert [w / widths[0] for w in widths] == pytest.approx([1.0, 3.0, 0.5, 1.5], abs=0.01)
        words = [b.text for b in text_boxes(svg, "u-us")]
        assert "10 short · 30 meets" in words
        assert "5 absent · 15 unproven" in words
        titles = [t.text for b in bars(svg) for t in b.iter(f"{SVG}title")]
        assert titles == ["10 short", "30 meets", "5 absent", "15 unproven"]


def test_bars_differ_in_hatch() -> None:
    gaps = d.GapsByFamily((d.FamilyGaps("drag", {s.words: 3 for s in Standing}),))
    for svg in svgs(d.draw_gaps_by_family("p", gaps)):
        assert len({b.get("fill", "") for b in bars(svg)}) == len(Standing)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.dictionaries(st.sampled_from(sorted(STANDING_LOOKS)), st.integers(0, 100_000), max_size=6),
        min_size=1,
        max_size=9,
    )
)
def test_any_counts_fit(counts: list[dict[str, int]]) -> None:
    gaps = d.GapsByFamily(tuple(d.FamilyGaps(f"family {i}", c) for i, c in enumerate(counts)))
    check_layout(d.draw_gaps_by_family("p", gaps))


def test_days_are_counted_from_today() -> None:
    today, departure = datetime.date(2026, 3, 2), datetime.date(2026, 6, 14)
    strip = d.DepartureStrip(today, departure, (d.Milestone(datetime.date(2026, 2, 1), "entries close"),))
    for svg in svgs(d.draw_departure_strip("p", strip)):
        words = " ".join(b.text for b in text_boxes(svg, "u-metric"))
        for said in ("29 days ago", "today", "in 104 days", "14 June 2026"):
            assert said in words
        assert svg[0].text == "Departure in 104 days"


def test_stops_lie_by_their_days() -> None:
    day = datetime.date(2026, 1, 1)
    strip = d.DepartureStrip(
        day,
        day + datetime.timedelta(100),
        (d.Milestone(day + datetime.timedelta(25), "a quarter of the way"),),
    )
    wide, narrow = svgs(d.draw_departure_strip("p", strip))
    for svg, axis in ((wide, "x"), (narrow, "y")):
        (line,) = parts(svg, "strip")
        start, end = float(line.attrib[f"{axis}1"]), float(line.attrib[f"{axis}2"])
        stops = [float(s.attrib[f"c{axis}"]) for s in parts(svg, "stop") if f"c{axis}" in s.attrib]
        assert stops == pytest.approx([start, start + 0.25 * (end - start)], abs=0.05)


@settings(max_examples=40, deadline=None)
@given(st.integers(-400, 400), st.lists(st.tuples(st.integers(-300, 600), st.text(max_size=80)), max_size=9))
def test_any_days_fit(until: int, milestones: list[tuple[int, str]]) -> None:
    today = datetime.date(2026, 3, 2)
    strip = d.DepartureStrip(
        today,
        today + datetime.timedelta(until),
        tuple(d.Milestone(today + datetime.timedelta(n), words) for n, words in milestones),
    )
    check_layout(d.draw_departure_strip("p", strip))


def test_a_long_name_of_a_day_is_told_whole_on_a_narrow_screen() -> None:
    """80 signs are the most a milestone's name may have in the policy."""
    name = "gear seen by a scrutineer at Aldermoyle Haven, or at the yard by arrangement 2027"
    strip = d.DepartureStrip(
        datetime.date(2026, 3, 2),
        datetime.date(2026, 6, 14),
        tuple(d.Milestone(datetime.date(2026, month, 1), f"{name[:-1]}{month}") for month in (4, 5, 6)),
    )
    markup = d.draw_departure_strip("p", strip)
    check_layout(markup)
    _, narrow = svgs(markup)
    assert " ".join(box.text for box in text_boxes(narrow, "u-metric")).count("yard by arrangement 202") == 3
    assert not any("…" in box.text for box in text_boxes(narrow, "u-metric"))
