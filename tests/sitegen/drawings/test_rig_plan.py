"""The rig's plan is to scale: one factor for boat, bridle, line and the cones' places, for any boat."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

import sitegen.drawings as d
from tests.sitegen.drawings.reading import (
    SVG,
    coordinates,
    length_of,
    parts,
    subpaths,
    svgs,
    text_boxes,
    view_box,
)
from tests.sitegen.drawings.samples import bridle_part, end_part, rig

HULLS: tuple[d.Hull, ...] = ("monohull", "catamaran", "motor monohull", "motor catamaran")


@st.composite
def rigs(draw: st.DrawFn) -> d.RigDrawing:
    loa = draw(st.floats(5.0, 60.0))
    beam = draw(st.floats(0.15, 0.7)) * loa
    transom = draw(st.floats(0.4, 1.0)) * beam
    sections = draw(st.integers(1, 3))
    total = draw(st.one_of(st.integers(sections, 20), st.integers(20, 900)))
    first = draw(st.floats(0.1, 0.8))
    counts = [total] if sections == 1 else [max(1, int(total * first / (sections - 1)))] * (sections - 1)
    if sections > 1:
        counts.append(max(1, total - sum(counts)))
    leg = draw(st.floats(1.0, 3.5)) * transom
    return rig("Boat", draw(st.sampled_from(HULLS)), loa, beam, transom, tuple(counts), leg)


def per_metre(svg: ET.Element, plan: d.RigDrawing) -> float:
    return length_of(parts(svg, "lead")[0]) / plan.lead_length_m


def check_to_scale(svg: ET.Element, plan: d.RigDrawing) -> None:
    scale = per_metre(svg, plan)
    legs = parts(svg, "bridle")
    assert [length_of(leg) for leg in legs] == pytest.approx(
        [plan.bridle_leg_m * scale] * 2, rel=5e-4, abs=0.03
    )
    lengths = [length_of(s) for s in parts(svg, "section")]
    assert lengths == pytest.approx([s.length_m * scale for s in plan.sections], rel=5e-4, abs=0.03)
    (boat,) = parts(svg, "boat")
    points = [p for e in boat.iter(f"{SVG}path") for sub in subpaths(e.attrib["d"]) for p in sub]
    along = 1 if svg.attrib["class"].endswith("narrow") else 0
    reach = max(p[along] for p in points) - min(p[along] for p in points)
    assert reach == pytest.approx(plan.shape.loa_m * scale, rel=5e-4, abs=0.05)
    breadth = max(p[1 - along] for p in points) - min(p[1 - along] for p in points)
    assert breadth == pytest.approx(plan.shape.drawn_beam_m * scale, rel=5e-4, abs=0.05)


def check_cones(svg: ET.Element, plan: d.RigDrawing) -> None:
    (cones,) = parts(svg, "cones")
    drawn = [sub[0] for sub in subpaths(cones.attrib["d"])]
    words = " ".join(b.text for b in text_boxes(svg, "u-metric"))
    stated = re.search(r"one cone in (\d+) drawn", words)
    step = int(stated[1]) if stated else 1
    assert stated or "every cone drawn" in words
    assert len(drawn) == math.ceil(plan.cones / step)
    along = 1 if svg.attrib["class"].endswith("narrow") else 0
    gaps = [a[along] - b[along] for a, b in pairwise(drawn)]
    expected = step * plan.cone_pitch_m * per_metre(svg, plan)
    assert gaps == pytest.approx([expected] * len(gaps), abs=0.03)


def check_enlarged_parts(plan: d.RigDrawing) -> None:
    (bridle,) = svgs(d.draw_bridle("b", bridle_part(plan)))
    leg, transom = length_of(parts(bridle, "bridle-detail")[0]), length_of(parts(bridle, "transom-detail")[0])
    assert leg / transom == pytest.approx(plan.bridle_leg_m / plan.shape.transom_width_m, rel=0.005)
    (end,) = svgs(d.draw_outer_end("e", end_part(plan)))
    gap = length_of(parts(end, "gap-detail")[0])
    for pitch in parts(end, "pitch-detail"):
        assert length_of(pitch) / gap == pytest.approx(plan.cone_pitch_m / plan.end_gap_m, rel=0.005)
    for svg in (bridle, end):
        check_legible(svg)


def check_legible(svg: ET.Element) -> None:
    width, height = view_box(svg)
    for x, y in coordinates(svg):
        assert -0.01 <= x <= width + 0.01
        assert -0.01 <= y <= height + 0.01
    for system in ("u-metric", "u-us"):
        boxes = text_boxes(svg, system)
        for i, box in enumerate(boxes):
            assert box.left >= -1.0
            assert box.right <= width + 1.0
            for other in boxes[i + 1 :]:
                assert not box.overlaps(other), (box, other)


@pytest.mark.parametrize("hull", HULLS)
def test_one_scale_for_boat_bridle_line_and_cones(hull: d.Hull) -> None:
    plan = rig(hull=hull, loa=13.5, beam=7.2, transom=6.0)
    for svg in svgs(d.draw_rig_plan("p", plan)):
        check_to_scale(svg, plan)
        check_cones(svg, plan)
    check_enlarged_parts(plan)


@given(rigs())
def test_any_boat_from_5_to_60_m_with_1_to_900_cones(plan: d.RigDrawing) -> None:
    markup = d.draw_rig_plan("p", plan)
    assert max(len(t) for t in markup.split("<svg ")) < 30_000
    for svg in svgs(markup):
        check_to_scale(svg, plan)
        check_cones(svg, plan)
        check_legible(svg)
    check_enlarged_parts(plan)


def test_scale_bar_is_as_long_as_it_says() -> None:
    plan = rig()
    for svg in svgs(d.draw_rig_plan("p", plan)):
        bar = parts(svg, "scale")[0]
        width = sum(float(r.attrib["width"]) for r in bar.iter(f"{SVG}rect"))
        (words,) = [t.text for t in bar.iter(f"{SVG}text")]
        assert words is not None
        metres = float(words.removesuffix(" m"))
        assert width == pytest.approx(metres * per_metre(svg, plan), abs=0.05)


def test_reference_rig_has_the_published_lengths() -> None:
    """CG87 4.1.1: 90 cones in 150 ft of line; the end piece of 2 ft comes on top [practice]."""
    plan = rig(cones=(90,))
    line = plan.sections[0].length_m - plan.end_gap_m
    assert line == pytest.approx(150 * 0.3048)
    places = plan.cone_places_m()
    assert len(places) == 90
    assert plan.reach_m - places[-1] == pytest.approx(2 * 0.3048)
    assert places[-1] - places[0] == pytest.approx(89 * 20 * 0.0254)


def test_bridle_geometry() -> None:
    """Legs of 2.5 transom widths meet at a half angle of asin(0.2) = 11.54 degrees [derived]."""
    plan = rig(transom=3.0)
    angle = math.degrees(math.atan2(1.5, plan.bridle_reach_m))
    assert angle == pytest.approx(11.54, abs=0.005)
    (bridle,) = svgs(d.draw_bridle("p", bridle_part(plan)))
    assert any("11.5°" in b.text for b in text_boxes(bridle, "u-metric"))


def test_legs_that_cannot_meet_are_refused() -> None:
    with pytest.raises(ValueError, match="do not meet"):
        rig(transom=3.0, leg=1.5)


def test_missing_beam_is_said() -> None:
    plan = rig()
    without = d.RigDrawing(**{**vars(plan), "beam_given": False})
    drawn = svgs(d.draw_rig_plan("p", without))
    said = ["no beam given" in " ".join(b.text for b in text_boxes(s, "u-metric")) for s in drawn]
    assert said == [True, True]
    usual = svgs(d.draw_rig_plan("p", plan))[0]
    assert "no beam" not in " ".join(b.text for b in text_boxes(usual, "u-us"))
