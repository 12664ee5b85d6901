"""Pattern and details are to scale where they say so, and say where they are not."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import sitegen.drawings as d
from sitegen.drawings.measures import scale_bar
from sitegen.drawings.sheet import SKETCH, Sheet
from tests.sitegen.drawings.reading import SVG, length_of, parts, subpaths, svgs, text_boxes
from tests.sitegen.drawings.samples import HULLS, INCH, every_drawing, pattern
from tests.sitegen.drawings.test_plots import check_layout


def test_pattern_has_the_radii_and_angle_it_says() -> None:
    given_pattern = pattern()
    (svg,) = svgs(d.draw_cone_pattern("p", given_pattern))
    (sector,) = parts(svg, "sector")
    a, b, c, e = subpaths(sector.attrib["d"])[0][:4]
    outer_chord, inner_chord = math.dist(a, b), math.dist(c, e)
    assert outer_chord / inner_chord == pytest.approx(
        given_pattern.outer_radius_m / given_pattern.inner_radius_m, rel=0.005
    )
    slant = math.dist(b, c)
    chord = 2 * given_pattern.outer_radius_m * math.sin(given_pattern.angle_rad / 2)
    assert outer_chord / slant == pytest.approx(chord / given_pattern.slant_m, rel=0.005)
    tapes = parts(svg, "tape")
    assert len(tapes) == 3
    assert [length_of(t) for t in tapes] == pytest.approx([slant] * 3, abs=0.05)
    # A 5 in mouth, 1.5 in small end, 6 in slant develop into a sector of 105 degrees [derived].
    assert "A angle 105°" in " ".join(t.text for t in text_boxes(svg, "u-metric"))


@given(st.floats(0.03, 0.3), st.floats(0.1, 0.8), st.floats(1.05, 4.0))
def test_any_pattern_fits(mouth: float, ratio: float, slant_ratio: float) -> None:
    r1, r2 = mouth / 2, mouth / 2 * ratio
    slant = slant_ratio * mouth / 2
    p = d.ConePattern(
        mouth,
        2 * r2,
        slant,
        r1 * slant / (r1 - r2),
        r2 * slant / (r1 - r2),
        2 * math.pi * (r1 - r2) / slant,
        0.012,
    )
    check_layout(d.draw_cone_pattern("p", p))


def test_cones_stand_at_the_pitch() -> None:
    spacing = d.ConeSpacing(20 * INCH, 5 * INCH, 1.5 * INCH, 6 * INCH, (2 * INCH, 3 * INCH), (INCH, 3 * INCH))
    (svg,) = svgs(d.draw_cone_spacing("p", spacing))
    pitch = length_of(parts(svg, "pitch-detail")[0])
    first, second = (subpaths(c.attrib["d"])[0] for c in parts(svg, "cone-detail"))
    assert second[0][0] - first[0][0] == pytest.approx(pitch, abs=0.11)
    mouth = first[3][1] - first[0][1]
    assert pitch / mouth == pytest.approx(4.0, rel=0.01)
    us = " ".join(b.text for b in text_boxes(svg, "u-us"))
    assert "tapes slack by 2 to 3 in" in us
    assert "small end to knots: 1 to 3 in" in us
    check_layout(d.draw_cone_spacing("p", replace(spacing, pitch_m=0.2)))


def test_tape_detail_shows_as_many_strands_and_tapes_as_it_says() -> None:
    (svg,) = svgs(d.draw_tape_detail("p", d.TapeDetail((3, 4), 3, 30 * INCH)))
    assert len(parts(svg, "strand")) == 4
    assert len(parts(svg, "tape-round")) == 3
    words = " ".join(b.text for b in text_boxes(svg, "u-us"))
    for said in ("three or four strands", "about 45°", "figure-eight stopper", "never pierced", "cut 30 in"):
        assert said in words


def test_bridle_leg_tells_finished_and_cut_length() -> None:
    (svg,) = svgs(d.draw_bridle_leg("p", d.BridleLeg(7.5, 8.11, 0.024, 1.0)))
    words = " ".join(b.text for b in text_boxes(svg, "u-metric"))
    assert "finished 7.5 m" in words
    assert "cut 8.2 m" in words


def test_the_sleeve_is_drawn_from_the_eye_at_the_boat_and_says_how_far() -> None:
    """It guards where the leg leaves the boat, not the middle of the leg."""
    (svg,) = svgs(d.draw_bridle_leg("p", d.BridleLeg(7.5, 8.11, 0.024, 1.0)))
    words = " ".join(b.text for b in text_boxes(svg, "u-metric"))
    assert "sleeve, the first 1 m from the eye" in words
    sleeve = next(e for e in svg.iter() if e.tag.endswith("rect") and float(e.get("width", "0")) == 96.0)
    assert float(sleeve.get("x", "0")) < 80.0, "at the thimble of the boat's end"


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("stowed", "within reach"),
        ("launching", "No hand or foot in a bight"),
        ("launching", "Never near a lee shore"),
        ("lying", "Lines under load take fingers"),
        ("junction", "can load at any moment"),
        ("recovering", "Fingers clear"),
        ("room", "do not set it. Gain room now."),
    ],
)
def test_sketches_carry_their_cautions(name: str, said: str) -> None:
    drawn = [draw("p") for key, draw in every_drawing().items() if key.split("-")[0] == name]
    assert len(drawn) == (1 if name in {"stowed", "room"} else 4)
    for markup in drawn:
        check_layout(markup)
        (svg,) = svgs(markup)
        assert said in " ".join(b.text for b in text_boxes(svg, "u-metric"))


@pytest.mark.parametrize("hull", HULLS)
def test_side_view_says_that_it_is_not_to_scale(hull: d.Hull) -> None:
    (svg,) = svgs(d.draw_side_view("p", d.SideView(hull, 22.86, 103, 15.9)))
    words = " ".join(b.text for b in text_boxes(svg, "u-us"))
    for said in ("not to scale", "103 cones", "lead line 75 ft"):
        assert said in words


@given(
    st.floats(5.0, 400.0),
    st.integers(1, 900),
    st.floats(5.0, 60.0),
    st.floats(1.0, 60.0),
    st.floats(0.008, 0.096),
)
def test_any_boats_words_fit(lead: float, cones: int, weight: float, leg: float, diameter: float) -> None:
    check_layout(d.draw_side_view("p", d.SideView("catamaran", lead, cones, weight)))
    check_layout(d.draw_bridle_leg("p", d.BridleLeg(leg, leg + 0.61, diameter, 1.0)))


@given(st.floats(0.05, 0.3), st.floats(0.1, 0.6), st.floats(0.6, 2.0), st.floats(1.5, 6.0))
def test_any_cone_on_its_line_fits(mouth: float, small: float, slant: float, pitch: float) -> None:
    spacing = d.ConeSpacing(pitch * mouth, mouth, small * mouth, slant * mouth, (0.05, 0.075), (0.025, 0.075))
    check_layout(d.draw_cone_spacing("p", spacing))


@pytest.mark.parametrize(("metres", "said"), [(20.0, "20 m"), (0.4, "200 mm")])
def test_scale_bars_are_round(metres: float, said: str) -> None:
    sheet = Sheet("p", SKETCH, "t", "d")
    sheet.height = 40.0
    scale_bar(sheet, 4.0, 20.0, 100.0 / metres, 100.0)
    (svg,) = svgs(sheet.svg())
    assert [b.text for b in text_boxes(svg, "u-metric")] == [said]


def test_short_scale_bars_are_in_inches() -> None:
    sheet = Sheet("p", SKETCH, "t", "d")
    sheet.height = 40.0
    scale_bar(sheet, 4.0, 20.0, 500.0, 60.0)
    (svg,) = svgs(sheet.svg())
    assert [b.text for b in text_boxes(svg, "u-us")] == ["2 in"]
    widths = [float(r.attrib["width"]) for r in parts(svg, "scale")[1].iter(f"{SVG}rect")]
    assert sum(widths) == pytest.approx(2 * INCH * 500, abs=0.02)
