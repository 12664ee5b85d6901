"""The cone that the drawn pattern sews up to, line on line, measured on the files and not on the program.

A frustum cut open along its slant and laid flat is a ring sector whose rims are as long as the circles they
came from (any book of sheet-metal development). So the two stitch lines, laid on each other, must make the
mouth, small end and slant that the policy asks for: 5 in, 1.5 in and 6 in.
"""

from __future__ import annotations

import io
import math
import re
import subprocess
from collections.abc import Callable
from xml.etree import ElementTree as ET

import pytest
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import read

from sizing.order.cloth import ClothLayout, nest
from sizing.order.cloth.dxf import layout_dxf, pattern_dxf
from sizing.order.cloth.pdf import pattern_sheet_pdf
from sizing.order.cloth.svg import layout_svg
from tests.sizing.order.cloth.pieces import RULES, default_cone
from tests.sizing.order.cloth.test_pdf import page_sizes_mm

SVG = "{http://www.w3.org/2000/svg}"
INCH_MM = 25.4

Point = tuple[float, float]
Line = tuple[Point, Point]


def sewn_mm(first: Line, second: Line) -> tuple[float, float, float]:
    """Mouth, small end and slant of the cone whose two stitch lines these are, in mm."""
    (x1, y1), (x2, y2) = first
    (x3, y3), (x4, y4) = second
    across = (x1 - x2) * (y3 - y4) - (y1 - y2) * (x3 - x4)
    a, b = x1 * y2 - y1 * x2, x3 * y4 - y3 * x4
    apex = ((a * (x3 - x4) - (x1 - x2) * b) / across, (a * (y3 - y4) - (y1 - y2) * b) / across)
    inner, outer = zip(
        *(sorted(math.dist(apex, end) for end in line) for line in (first, second)), strict=True
    )
    assert inner[0] == pytest.approx(inner[1], rel=1e-3), "the two lines do not meet end on end"
    assert outer[0] == pytest.approx(outer[1], rel=1e-3), "the two lines do not meet end on end"
    far = [max(line, key=lambda end: math.dist(apex, end)) for line in (first, second)]
    turns = [math.atan2(y - apex[1], x - apex[0]) for x, y in far]
    angle = abs(turns[0] - turns[1])
    angle = min(angle, 2.0 * math.pi - angle)  # the default sector is 105 degrees
    return outer[0] * angle / math.pi, inner[0] * angle / math.pi, outer[0] - inner[0]


def dxf_lines(data: bytes) -> list[Line]:
    space = read(io.StringIO(data.decode())).modelspace()
    found = [line for line in space.query('LWPOLYLINE[layer=="SEAM"]') if isinstance(line, LWPolyline)]
    return [((a[0], a[1]), (b[0], b[1])) for a, b in (tuple(line.get_points("xy")) for line in found)]


def svg_lines(data: bytes) -> list[Line]:
    root = ET.fromstring(data)  # noqa: S314  the program's own output
    found = [path.attrib["d"] for path in root.iter(f"{SVG}path") if path.attrib["class"] == "seam"]
    return [_straight(d) for d in found]


def pdf_lines(data: bytes) -> list[Line]:
    """Stitch lines of all sheets as poppler draws them, each once, in mm of paper."""
    lines = set()
    for page, (width_mm, height_mm) in enumerate(page_sizes_mm(data), start=1):
        if width_mm > height_mm:
            continue  # the sheet of gauges, whose dashes are limits; test_gauges_and_marks measures it
        command = ["pdftocairo", "-svg", "-f", str(page), "-l", str(page), "-", "-"]
        root = ET.fromstring(subprocess.run(command, input=data, capture_output=True, check=True).stdout)  # noqa: S314
        mm_per_unit = width_mm / float(root.attrib["width"].removesuffix("pt"))
        for path in root.iter(f"{SVG}path"):
            if "stroke-dasharray:4,2;" not in path.attrib.get("style", ""):
                continue  # of a pattern, stitch lines alone have dashes of 4 mm and gaps of 2
            stretch = float(path.attrib["transform"].removeprefix("matrix(").split(",")[0])
            x0, y0, x1, y1 = (round(n, 2) for end in _straight(path.attrib["d"]) for n in end)
            lines.add((((x0, y0), (x1, y1)), round(stretch * mm_per_unit, 6)))
    # poppler fits A4 into its own idea of A4, 0.1 % smaller; test_pdf measures the bar on the rendered page
    assert all(scale == pytest.approx(1.0, rel=2e-3) for _, scale in lines)
    return [line for line, _ in sorted(lines)]


def _straight(path: str) -> Line:
    (x0, y0), (x1, y1) = re.findall(r"[ML] ?(-?[\d.]+) (-?[\d.]+)", path)
    return (float(x0), float(y0)), (float(x1), float(y1))


def four() -> ClothLayout:
    return nest(default_cone(), 1.5, 4, RULES)


FILES: dict[str, tuple[Callable[[bytes], list[Line]], Callable[[], bytes]]] = {
    "pattern DXF": (dxf_lines, lambda: pattern_dxf(default_cone())),
    "layout DXF": (dxf_lines, lambda: layout_dxf(four())),
    "layout SVG": (svg_lines, lambda: layout_svg(four())),
    "pattern PDF, A4": (pdf_lines, lambda: pattern_sheet_pdf(default_cone(), "A4")),
    "pattern PDF, Letter": (pdf_lines, lambda: pattern_sheet_pdf(default_cone(), "Letter")),
}


@pytest.mark.parametrize("name", FILES)
def test_joined_line_on_line_it_is_the_cone_the_policy_asks_for(name: str) -> None:
    lines_of, file = FILES[name]
    lines = lines_of(file())
    assert len(lines) in {2, 8}, name  # two a cone; the layouts have four cones, drawn once in the SVG
    for pair in zip(lines[::2], lines[1::2], strict=True):
        mouth, small, slant = sewn_mm(*pair)
        assert mouth == pytest.approx(5.0 * INCH_MM, rel=0.01)
        assert small == pytest.approx(1.5 * INCH_MM, rel=0.01)
        assert slant == pytest.approx(6.0 * INCH_MM, rel=0.01)
        assert mouth**2 == pytest.approx((5.0 * INCH_MM) ** 2, rel=0.01)  # the area that the drag goes by
