"""What holds for every drawing: safe, accessible, legible, small, the same each time."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest

from sitegen import drawings
from sitegen.drawings.element import ATTRIBUTES, TAGS
from tests.sitegen.drawings.reading import SVG, coordinates, svgs, text_boxes, view_box
from tests.sitegen.drawings.samples import every_drawing

HOSTILE = {
    "markup": "<b>&amp;</b><!-- x --><svg onload=alert(1)>",
    "script": '"><script>alert(1)</script><a href="https://example.org">',
    "emoji": "⛵🌊" * 20,
    "right to left": "\u202e\u05d0\u05d1\u05d2\u05d3 \u0633\u0641\u064a\u0646\u0629\u200f",
    "300 characters": "W" * 300,
    "controls": "a\x00b\x1bc\ud800d\nnext\tline",
    "template": "{{ 7*7 }} {% x %} %s ${y}",
    "style": "red;background:url(https://example.org)",
}
LONG = {"plain": "Tern of Skerry", "300 characters": HOSTILE["300 characters"], "emoji": HOSTILE["emoji"]}
NAMES = sorted(every_drawing())


def finished(name: str, words: str = "Tern of Skerry") -> list[ET.Element]:
    return svgs(every_drawing(words)[name]("p1"))


@pytest.mark.parametrize("name", NAMES)
def test_is_an_image_with_title_description_and_scalable_width(name: str) -> None:
    for svg in finished(name):
        assert svg.get("role") == "img"
        assert svg.get("width") == "100%"
        assert "height" not in svg.attrib
        title, description = svg[0], svg[1]
        assert (title.tag, description.tag) == (f"{SVG}title", f"{SVG}desc")
        assert (title.text or "").strip()
        assert (description.text or "").strip()
        assert svg.attrib["aria-labelledby"].split() == [title.get("id"), description.get("id")]


@pytest.mark.parametrize("name", NAMES)
def test_layouts_are_one_sketch_or_wide_then_narrow(name: str) -> None:
    classes = [svg.attrib["class"] for svg in finished(name)]
    assert classes in (["drawing sketch"], ["drawing wide", "drawing narrow"])
    for svg in finished(name):
        assert view_box(svg)[0] == (720.0 if svg.attrib["class"].endswith("wide") else 340.0)


def test_ids_are_unique_over_a_page_of_all_drawings() -> None:
    page = "".join(draw(f"p{i}") for i, draw in enumerate(every_drawing().values()))
    ids = [e.get("id") for svg in svgs(page) for e in svg.iter() if e.get("id")]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("words", HOSTILE.values(), ids=HOSTILE)
@pytest.mark.parametrize("name", NAMES)
def test_nothing_but_the_listed_elements_and_attributes_whatever_the_words(name: str, words: str) -> None:
    markup = every_drawing(words)[name]("p1")
    ids = set(re.findall(r' id="([^"]*)"', markup))
    for svg in svgs(markup):
        for e in svg.iter():
            assert e.tag.removeprefix(SVG) in TAGS
            for key, value in e.attrib.items():
                assert key in ATTRIBUTES
                assert key != "style"
                for reference in re.findall(r"url\(([^)]*)\)", value):
                    assert reference.removeprefix("#") in ids
    assert "href" not in re.sub(r">[^<]*<", "><", markup)
    assert "http" not in re.sub(r">[^<]*<", "><", markup).replace("http://www.w3.org/2000/svg", "")
    assert not re.search("[\u202a-\u202e\u2066-\u2069\x00-\x08\x0e-\x1f]", markup)


@pytest.mark.parametrize("name", NAMES)
def test_is_small(name: str) -> None:
    for words in HOSTILE.values():
        for svg in finished(name, words):
            assert len(ET.tostring(svg, encoding="utf-8")) < 30_000
        for text in re.split(r"(?=<svg )", every_drawing(words)[name]("p1")):
            assert len(text.encode()) < 30_000


@pytest.mark.parametrize("name", NAMES)
def test_is_the_same_each_time(name: str) -> None:
    assert every_drawing()[name]("p1") == every_drawing()[name]("p1")


@pytest.mark.parametrize("words", LONG.values(), ids=LONG)
@pytest.mark.parametrize("name", NAMES)
def test_all_shapes_lie_inside_the_view(name: str, words: str) -> None:
    for svg in finished(name, words):
        width, height = view_box(svg)
        for x, y in coordinates(svg):
            assert -0.01 <= x <= width + 0.01
            assert -0.01 <= y <= height + 0.01


@pytest.mark.parametrize("system", ["u-metric", "u-us"])
@pytest.mark.parametrize("words", LONG.values(), ids=LONG)
@pytest.mark.parametrize("name", NAMES)
def test_no_text_overlaps_another_or_leaves_the_view(name: str, words: str, system: str) -> None:
    for svg in finished(name, words):
        width, height = view_box(svg)
        boxes = text_boxes(svg, system)
        for i, box in enumerate(boxes):
            assert box.left >= -1.0, box
            assert box.right <= width + 1.0, box
            assert box.top >= 0.0, box
            assert box.bottom <= height + 0.5, box
            for other in boxes[i + 1 :]:
                assert not box.overlaps(other), (box, other)


@pytest.mark.parametrize("name", NAMES)
def test_text_is_legible_on_a_phone(name: str) -> None:
    """At 360 px with 16 px margins a narrow drawing is 328 px wide: no text below 10.5 px [assumed]."""
    for svg in finished(name):
        if svg.attrib["class"].endswith("wide"):
            continue
        scale = 328.0 / view_box(svg)[0]
        sizes = [float(e.get("font-size", svg.attrib["font-size"])) for e in svg.iter(f"{SVG}text")]
        assert min(sizes) * scale >= 10.5


@pytest.mark.parametrize("name", NAMES)
def test_figures_come_in_pairs(name: str) -> None:
    """What one system shows must have its partner: as many spans and groups of either class."""
    for svg in finished(name):
        for tag in ("tspan", "g"):
            counts = [sum(e.get("class") == c for e in svg.iter(f"{SVG}{tag}")) for c in ("u-metric", "u-us")]
            assert counts[0] == counts[1]


def test_a_reader_sees_only_the_units_he_chose() -> None:
    metric_signs, us_signs = {"m", "mm", "kg", "kN", "m/s"}, {"ft", "in", "lb", "lbf"}
    for name in NAMES:
        for svg in finished(name):
            for system, other in (("u-metric", us_signs), ("u-us", metric_signs)):
                words = {w.strip(".,;:") for b in text_boxes(svg, system) for w in b.text.split()}
                # "in" is also an English word.
                assert not words & (other - {"in"}), (name, system)


def test_every_public_drawing_has_a_sample() -> None:
    functions = {n for n in drawings.__all__ if n.startswith("draw_")}
    used = set()
    for draw in every_drawing().values():
        used |= {n for n in functions if draw is getattr(drawings, n) or n in draw.__code__.co_names}
    assert used == functions
