"""Bars of standings: in proportion, in words, by shape and not by colour alone."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
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
        assert "10 not enough · 30 shown" in words
        assert "5 none aboard · 15 not shown" in words
        titles = [t.text for b in bars(svg) for t in b.iter(f"{SVG}title")]
        assert titles == ["10 not enough", "30 shown", "5 none aboard", "15 not shown"]


def test_bars_differ_in_hatch() -> None:
    gaps = d.GapsByFamily((d.FamilyGaps("drag", {s.words: 3 for s in Standing}),))
    for svg in svgs(d.draw_gaps_by_family("p", gaps)):
        assert len({b.get("fill", "") for b in bars(svg)}) == len(Standing)


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
