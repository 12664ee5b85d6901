"""Beside the cone itself: gauges at true scale, match marks, hem and lap, measured on the files.

A rim laid flat is half as long as round (half the circumference of a circle, pi d / 2).
"""

from __future__ import annotations

import io
import math
import re
import subprocess
from xml.etree import ElementTree as ET

import pytest
from ezdxf import path
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import read

from sizing.drogue.cone import ConePattern, cone_pattern, pattern_of
from sizing.model import ConeSize
from sizing.order.cloth.dxf import pattern_dxf
from sizing.order.cloth.pdf import pattern_sheet_pdf
from sizing.order.cloth.tiles import Paper
from sizing.policy_file import parse_policy
from tests.sizing.order.cloth.pieces import default_cone
from tests.sizing.order.cloth.test_pdf import page_sizes_mm, texts
from tests.sizing.order.cloth.test_sewn_by_arithmetic import dxf_lines, sewn_mm

SVG = "{http://www.w3.org/2000/svg}"
INCH_MM = 25.4


def on_last_page(data: bytes) -> list[ET.Element]:
    """Lines of the last sheet as poppler draws them; its user units are those of the drawing, mm."""
    last = str(len(page_sizes_mm(data)))
    command = ["pdftocairo", "-svg", "-f", last, "-l", last, "-", "-"]
    root = ET.fromstring(subprocess.run(command, input=data, capture_output=True, check=True).stdout)  # noqa: S314
    width_pt = float(root.attrib["width"].removesuffix("pt"))
    mm_per_unit = page_sizes_mm(data)[-1][0] / width_pt
    found = [line for line in root.iter(f"{SVG}path") if "transform" in line.attrib]
    for line in found:
        stretch = float(line.attrib["transform"].removeprefix("matrix(").split(",")[0])
        assert stretch * mm_per_unit == pytest.approx(1.0, rel=2e-3)
    return found


def numbers(line: ET.Element) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", line.attrib["d"])]


def spans(line: ET.Element) -> tuple[float, float]:
    xs, ys = zip(*numbers(line), strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_gauges_are_as_wide_as_the_cones_two_ends(paper: Paper) -> None:
    data = pattern_sheet_pdf(default_cone(), paper, told="Some Rally, 1 May 2027")
    lines = on_last_page(data)
    discs = sorted(spans(line) for line in lines if "C" in line.attrib["d"])
    small, mouth = discs
    assert small == pytest.approx((1.5 * INCH_MM, 1.5 * INCH_MM), abs=0.05)
    assert mouth == pytest.approx((5.0 * INCH_MM, 5.0 * INCH_MM), abs=0.05)
    assert (100.0, 100.0) in [tuple(round(side, 2) for side in spans(line)) for line in lines]
    upright = sorted({round(numbers(line)[0][0], 2) for line in lines if round(spans(line)[0], 3) == 0.0})
    for end in (1.5, 5.0):
        flat = math.pi * end * INCH_MM / 2.0
        for share in (0.98, 1.0, 1.02):
            assert any(abs(x - share * flat) < 0.06 for x in upright), (end, share, upright)
    said = texts(data)[-1]
    for words in ("MOUTH 127.0 mm", "100 mm each way", "Some Rally, 1 May 2027"):
        assert words in said


def test_the_piece_says_whose_it_is_and_what_its_tape_lines_are() -> None:
    data = pattern_dxf(default_cone(), 3, "Some Rally, 1 May 2027")
    words = [text.dxf.text for text in read(io.StringIO(data.decode())).modelspace().query("TEXT")]
    assert words.count("centre of the tape") == 3
    assert {"Some Rally", "1 May 2027", "grain"} <= set(words)


def marks(pattern: ConePattern) -> list[list[tuple[float, float]]]:
    space = read(io.StringIO(pattern_dxf(pattern).decode())).modelspace()
    found = [line for line in space.query('LWPOLYLINE[layer=="MARKS"]') if isinstance(line, LWPolyline)]
    return [[(p[0], p[1]) for p in line.get_points("xy")] for line in found]


def test_match_marks_meet_when_the_edges_are_joined_and_not_end_for_end() -> None:
    """From the small end the same distances on both edges; turned round, no three of them meet."""
    pattern = default_cone()
    along: dict[bool, list[float]] = {False: [], True: []}
    for (x, y), _ in marks(pattern):
        along[x > 0].append(math.hypot(x, y) - 1000 * pattern.inner_radius_m)
    left, right = sorted(along[False]), sorted(along[True])
    assert len(left) == 3
    assert left == pytest.approx(right)
    turned = sorted(1000 * pattern.slant_m - at for at in right)
    assert max(abs(a - b) for a, b in zip(left, turned, strict=True)) > 5.0


def test_a_hem_is_outside_the_mouth_and_the_cone_is_still_the_policys() -> None:
    policy = parse_policy(b'[order]\nhem_allowance = "8 mm"\n', "rally.toml")
    data = pattern_dxf(pattern_of(ConeSize(0.127, 0.0381), policy))
    assert sewn_mm(*dxf_lines(data)) == pytest.approx((127.0, 38.1, 152.4), rel=0.01)
    space = read(io.StringIO(data.decode())).modelspace()
    (cut,) = space.query('LWPOLYLINE[layer=="CUT"]')
    assert isinstance(cut, LWPolyline)
    outermost = max(math.hypot(p.x, p.y) for p in path.make_path(cut).flattening(0.01))
    mouth = 127.0 * math.pi / 1.832596  # the developed sector's own radius: arc over angle
    assert outermost == pytest.approx(math.hypot(mouth + 8.0, 12.0), abs=0.05)


def test_lapped_one_edge_on_its_line_the_cone_is_the_policys() -> None:
    """The edge lies w outside its stitch line; laid on a line w inside the other, the stitch lines meet."""
    policy = parse_policy(b'[order]\nseam = "lapped"\nseam_allowance = "10 mm"\n', "rally.toml")
    pattern = pattern_of(ConeSize(0.127, 0.0381), policy)
    lines = dxf_lines(pattern_dxf(pattern))
    assert sewn_mm(*lines) == pytest.approx((127.0, 38.1, 152.4), rel=0.01)
    lay = max(marks(pattern), key=lambda ends: math.dist(*ends))
    (x0, y0), (x1, y1) = max(lines, key=lambda line: line[0][0])  # the right stitch line
    for x, y in lay:
        off = ((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) / math.dist((x0, y0), (x1, y1))
        assert abs(off) == pytest.approx(10.0, abs=0.01)
        assert abs(math.atan2(x, y)) < pattern.angle_rad / 2.0  # inside the sector
    assert not [m for m in marks(cone_pattern(0.127, 0.0381, 0.1524, 0.01)) if math.dist(*m) > 100.0]
