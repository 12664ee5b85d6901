"""SVG and DXF: millimetres, true lengths and areas, layers, the bar, and the same bytes every time."""

from __future__ import annotations

import hashlib
import io
import math
import os
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree as ET

import ezdxf
import pytest
from ezdxf import path
from ezdxf.document import Drawing
from ezdxf.entities.arc import Arc
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.text import Text
from ezdxf.filemanagement import read
from shapely.geometry import Polygon

from sizing.errors import OutputError
from sizing.order.cloth import ClothLayout, nest
from sizing.order.cloth.dxf import layout_dxf, pattern_dxf
from sizing.order.cloth.pdf import layout_pdf
from sizing.order.cloth.sheets import layout_drawing
from sizing.order.cloth.svg import layout_svg
from tests.sizing.order.cloth.pieces import RULES, default_cone, pieces

ROOT = Path(__file__).resolve().parents[4]
MILLIMETRES = 4  # DXF reference, header variable $INSUNITS
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def layout() -> ClothLayout:
    return nest(default_cone(), 1.5, 23, RULES)


def svg_root(layout: ClothLayout) -> ET.Element:
    return ET.fromstring(layout_svg(layout))  # noqa: S314  the program's own output


def opened(data: bytes) -> Drawing:
    document = read(io.StringIO(data.decode()))
    assert not document.audit().errors
    return document


def lines_on(document: Drawing, layer: str) -> list[LWPolyline]:
    found = document.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    return [line for line in found if isinstance(line, LWPolyline)]


def test_dxf_is_in_millimetres_with_its_layers(layout: ClothLayout) -> None:
    document = opened(layout_dxf(layout))
    assert document.header["$INSUNITS"] == MILLIMETRES
    assert document.header["$MEASUREMENT"] == 1
    names = {layer.dxf.name for layer in document.layers}
    assert names >= {"CUT", "SEAM", "TAPE", "GRAIN", "LABELS", "CHECK", "CLOTH"}
    assert len(lines_on(document, "CUT")) == layout.count
    assert len(lines_on(document, "SEAM")) == 2 * layout.count
    assert len(lines_on(document, "TAPE")) == 3 * layout.count


def test_cut_lines_read_back_have_true_lengths() -> None:
    """Rims pi d of both ends in exact arcs, free edges the slant, the seams' width at their ends."""
    (cut,) = lines_on(opened(pattern_dxf(default_cone())), "CUT")
    assert cut.closed
    parts = list(cut.virtual_entities())
    arcs = [part for part in parts if isinstance(part, Arc)]
    rims: dict[float, float] = {}
    for arc in arcs:
        sweep = math.radians((arc.dxf.end_angle - arc.dxf.start_angle) % 360.0)
        radius = round(float(arc.dxf.radius), 6)
        rims[radius] = rims.get(radius, 0.0) + radius * sweep
    assert sorted(rims.values()) == pytest.approx([math.pi * 38.1, math.pi * 127.0], rel=1e-7)
    straights = [part for part in parts if isinstance(part, Line)]
    lengths = sorted((line.dxf.end - line.dxf.start).magnitude for line in straights)
    assert lengths == pytest.approx([12.0, 12.0, 12.0, 12.0, 152.4, 152.4])


def test_cones_on_the_cloth_read_back_lie_where_the_layout_puts_them(layout: ClothLayout) -> None:
    cuts = lines_on(opened(layout_dxf(layout)), "CUT")
    for cut, piece in zip(cuts, pieces(layout), strict=True):
        outline = Polygon([(p.x / 1000, p.y / 1000) for p in path.make_path(cut).flattening(0.01)])
        assert outline.area == pytest.approx(layout.pattern.area_m2, rel=1e-4)
        assert outline.symmetric_difference(piece).area < 1e-4 * piece.area


def test_the_dxf_bar_is_a_hundred_millimetres(layout: ClothLayout) -> None:
    for data in (layout_dxf(layout), pattern_dxf(default_cone())):
        document = opened(data)
        lengths = []
        for line in lines_on(document, "CHECK"):
            (x0, y0), (x1, y1) = ((float(x), float(y)) for x, y in line.get_points("xy"))
            lengths.append(math.hypot(x1 - x0, y1 - y0))
        assert max(lengths) == pytest.approx(100.0)
        texts = [text.dxf.text for text in document.modelspace() if isinstance(text, Text)]
        assert "measure this bar: 100 mm" in texts


def test_svg_user_units_are_millimetres(layout: ClothLayout) -> None:
    root = svg_root(layout)
    box = [float(number) for number in root.attrib["viewBox"].split()]
    assert root.attrib["width"].endswith("mm")
    assert float(root.attrib["width"].removesuffix("mm")) == box[2]
    assert float(root.attrib["height"].removesuffix("mm")) == box[3]
    assert box[2] > 1000 * layout.length_m
    assert box[3] > 1000 * layout.cloth_width_m


def test_svg_shows_every_cone_in_its_place(layout: ClothLayout) -> None:
    root = svg_root(layout)
    uses = [use.attrib["transform"] for use in root.iter(f"{SVG}use")]
    assert len(uses) == layout.count
    for transform, place in zip(uses, layout.placements(), strict=True):
        x, y, turn = (float(number) for number in re.findall(r"-?[\d.]+", transform))
        assert (x, -y) == pytest.approx((1000 * place.x_m, 1000 * place.y_m), abs=1e-3)
        assert -turn == place.turn_deg


def test_svg_bar_and_arcs_are_true(layout: ClothLayout) -> None:
    root = svg_root(layout)
    paths = {name: [p.attrib["d"] for p in root.iter(f"{SVG}path") if p.attrib["class"] == name]
             for name in ("check", "cut")}  # fmt: skip
    (x0, y0), (x1, y1) = re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", paths["check"][0])
    assert math.hypot(float(x1) - float(x0), float(y1) - float(y0)) == pytest.approx(100.0)
    radii = {float(radius) for radius in re.findall(r"A([\d.]+) ", paths["cut"][0])}
    assert sorted(radii) == pytest.approx([65.314, 217.714], abs=1e-3)
    assert "measure this bar: 100 mm" in [text.text for text in root.iter(f"{SVG}text")]


def test_svg_loads_and_runs_nothing(layout: ClothLayout) -> None:
    text = layout_svg(layout).decode()
    links = set(re.findall(r'(?:href|src|url)\s*[=(]\s*"?([^")]+)', text))
    assert links == {"#cone"}
    assert "<script" not in text
    assert "style=" not in text


def test_the_same_layout_has_the_same_bytes(layout: ClothLayout) -> None:
    again = nest(default_cone(), 1.5, 23, RULES)
    assert layout_svg(layout) == layout_svg(again)
    assert layout_dxf(layout) == layout_dxf(again)
    assert layout_pdf(layout) == layout_pdf(again)
    assert pattern_dxf(default_cone()) == pattern_dxf(default_cone())


PATTERN = """
import hashlib
from sizing.drogue.cone import cone_pattern
from sizing.order.cloth.dxf import pattern_dxf
from sizing.policy import OrderRules, SizingRules
sizes = SizingRules()
cone = cone_pattern(sizes.cone_mouth, sizes.cone_small_end, sizes.cone_slant, OrderRules().seam_allowance)
print(hashlib.sha256(pattern_dxf(cone)).hexdigest())
"""


@pytest.mark.thorough
def test_every_process_writes_the_same_bytes() -> None:
    """Sets of text have another order in every process; here three, each with its own."""
    told = {
        subprocess.run(
            [sys.executable, "-c", PATTERN], env={**os.environ, "PYTHONHASHSEED": seed}, cwd=ROOT,
            capture_output=True, text=True, check=True,
        ).stdout.strip()
        for seed in "12"
    }  # fmt: skip
    assert told == {hashlib.sha256(pattern_dxf(default_cone())).hexdigest()}


def test_drawing_dxf_leaves_the_librarys_settings_alone(layout: ClothLayout) -> None:
    options = ezdxf.options  # type: ignore[attr-defined]
    before = options.write_fixed_meta_data_for_testing
    layout_dxf(layout)
    assert options.write_fixed_meta_data_for_testing == before


def test_more_cones_than_one_drawing_holds_are_refused() -> None:
    with pytest.raises(OutputError, match="in parts"):
        layout_drawing(nest(default_cone(), 1.5, 30_000, RULES))
