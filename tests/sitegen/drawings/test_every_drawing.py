"""What holds for every drawing: safe, accessible, legible, small, the same each time."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from functools import cache, partial

import pytest

from sitegen import drawings
from sitegen.boat_drawings import drawing
from sitegen.drawings.element import ATTRIBUTES, TAGS, path_data
from tests.sitegen.drawings.reading import SVG, coordinates, subpaths, svgs, text_boxes, view_box
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
    "part": ' data-part="x" ',
}
LONG = {"plain": "Tern of Skerry", "300 characters": HOSTILE["300 characters"], "emoji": HOSTILE["emoji"]}
NAMES = sorted(every_drawing())


@cache
def markup(name: str, words: str = "Tern of Skerry") -> str:
    return every_drawing(words)[name]("p1")


def finished(words: str = "Tern of Skerry") -> Iterator[tuple[str, ET.Element]]:
    """Every drawing by name, once for each of its layouts."""
    for name in NAMES:
        yield from ((name, svg) for svg in svgs(markup(name, words)))


def test_is_an_image_with_title_and_description_as_wide_as_its_place() -> None:
    for name, svg in finished():
        assert svg.get("role") == "img", name
        assert not {"width", "height"} & svg.attrib.keys(), name
        # Of two layouts the first, which stands beside the other, has the words of both.
        title, description = (svgs(markup(name))[0] if svg.attrib["class"] == "drawing narrow" else svg)[:2]
        assert (title.tag, description.tag) == (f"{SVG}title", f"{SVG}desc"), name
        assert (title.text or "").strip(), name
        assert (description.text or "").strip(), name
        assert svg.attrib["aria-labelledby"].split() == [title.get("id"), description.get("id")], name


@pytest.mark.parametrize("name", NAMES)
def test_layouts_are_one_sketch_or_wide_then_narrow(name: str) -> None:
    drawn = svgs(markup(name))
    assert [svg.attrib["class"] for svg in drawn] in (["drawing sketch"], ["drawing wide", "drawing narrow"])
    for svg in drawn:
        assert view_box(svg)[0] == (720.0 if svg.attrib["class"].endswith("wide") else 340.0)


def test_ids_are_unique_over_a_page_of_all_drawings() -> None:
    page = "".join(draw(f"p{i}") for i, draw in enumerate(every_drawing().values()))
    ids = [e.get("id") for svg in svgs(page) for e in svg.iter() if e.get("id")]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("words", HOSTILE.values(), ids=HOSTILE)
def test_nothing_but_the_listed_elements_and_attributes_whatever_the_words(words: str) -> None:
    for name in NAMES:
        written = markup(name, words)
        ids = set(re.findall(r' id="([^"]*)"', written))
        for svg in svgs(written):
            for e in svg.iter():
                assert e.tag.removeprefix(SVG) in TAGS, name
                for key, value in e.attrib.items():
                    assert key in ATTRIBUTES, name
                    assert key != "style", name
                    for reference in re.findall(r"url\(([^)]*)\)", value):
                        assert reference.removeprefix("#") in ids, name
        bare = re.sub(r">[^<]*<", "><", written)
        assert "href" not in bare, name
        assert "http" not in bare, name
        assert not re.search("[\u202a-\u202e\u2066-\u2069\x00-\x08\x0e-\x1f]", written), name


@pytest.mark.parametrize("words", HOSTILE.values(), ids=HOSTILE)
def test_a_page_shows_a_drawing_without_the_names_of_its_parts_and_with_all_its_words(words: str) -> None:
    for name in NAMES:
        shown = svgs(str(drawing(markup(name, words), "").svg))
        assert not any("data-part" in e.attrib for svg in shown for e in svg.iter()), name
        whole = [e.text for svg in svgs(markup(name, words)) for e in svg.iter()]
        assert [e.text for svg in shown for e in svg.iter()] == whole, name


@pytest.mark.parametrize("words", HOSTILE.values(), ids=HOSTILE)
def test_is_small(words: str) -> None:
    for name in NAMES:
        for text in re.split(r"(?=<svg )", markup(name, words)):
            assert len(text.encode()) < 30_000, name


def test_is_the_same_each_time() -> None:
    for name in NAMES:
        assert every_drawing()[name]("p1") == markup(name), name


@pytest.mark.parametrize("words", LONG.values(), ids=LONG)
def test_all_shapes_lie_inside_the_view(words: str) -> None:
    for name, svg in finished(words):
        width, height = view_box(svg)
        for x, y in coordinates(svg):
            assert -0.01 <= x <= width + 0.01, name
            assert -0.01 <= y <= height + 0.01, name


@pytest.mark.parametrize("system", ["u-metric", "u-us"])
@pytest.mark.parametrize("words", LONG.values(), ids=LONG)
def test_no_text_overlaps_another_or_leaves_the_view(words: str, system: str) -> None:
    for name, svg in finished(words):
        width, height = view_box(svg)
        boxes = text_boxes(svg, system)
        for i, box in enumerate(boxes):
            assert box.left >= -1.0, (name, box)
            assert box.right <= width + 1.0, (name, box)
            assert box.top >= 0.0, (name, box)
            assert box.bottom <= height + 0.5, (name, box)
            for other in boxes[i + 1 :]:
                assert not box.overlaps(other), (name, box, other)


def test_text_is_legible_on_a_phone() -> None:
    """At 360 px with 16 px margins a narrow drawing is 328 px wide: no text below 10.5 px [assumed]."""
    for name, svg in finished():
        if svg.attrib["class"].endswith("wide"):
            continue
        scale = 328.0 / view_box(svg)[0]
        sizes = [float(e.get("font-size", svg.attrib["font-size"])) for e in svg.iter(f"{SVG}text")]
        assert min(sizes) * scale >= 10.5, name


def test_figures_come_in_pairs() -> None:
    """What one system shows must have its partner: as many spans and groups of either class."""
    for name, svg in finished():
        for tag in ("tspan", "g"):
            counts = [sum(e.get("class") == c for e in svg.iter(f"{SVG}{tag}")) for c in ("u-metric", "u-us")]
            assert counts[0] == counts[1], name


def test_a_reader_sees_only_the_units_he_chose() -> None:
    metric_signs, us_signs = {"m", "mm", "kg", "kN", "m/s"}, {"ft", "in", "lb", "lbf"}
    for name, svg in finished():
        for system, other in (("u-metric", us_signs), ("u-us", metric_signs)):
            words = {w.strip(".,;:") for b in text_boxes(svg, system) for w in b.text.split()}
            # "in" is also an English word.
            assert not words & (other - {"in"}), (name, system)


def test_path_data_is_short_and_the_same_path() -> None:
    """Signs and points part figures by themselves [SVG 2, 9.3.9]."""
    d = "M0.5 -0.25L10.5 0.5C-1 -0.5 0 0.25 100 20.05Z"
    assert path_data(d) == "M.5-.25L10.5 .5C-1-.5 0 .25 100 20.05Z"
    assert subpaths(path_data(d)) == subpaths(d)


def test_every_public_drawing_has_a_sample() -> None:
    functions = {n for n in drawings.__all__ if n.startswith("draw_")}
    used = set()
    for draw in every_drawing().values():
        bare = draw.func if isinstance(draw, partial) else draw
        used |= {n for n in functions if bare is getattr(drawings, n) or n in bare.__code__.co_names}
    assert used == functions
