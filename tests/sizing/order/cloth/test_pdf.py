"""PDF: sizes of pages, and bar and pattern measured on the rendered page."""

from __future__ import annotations

import io
import re
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from sizing.drogue.cone import cone_pattern
from sizing.errors import OutputError
from sizing.model import BoolArray
from sizing.order.cloth import nest
from sizing.order.cloth.pdf import layout_pdf, pattern_sheet_pdf
from sizing.order.cloth.tiles import Paper, Tile, pattern_tiles, registration_marks
from tests.sizing.order.cloth.pieces import RULES, default_cone, polygon

DOTS_PER_MM = 10
PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}


def ink(data: bytes, page: int, dots_per_mm: float = DOTS_PER_MM) -> BoolArray:
    """Black and grey dots of one page, as poppler renders it."""
    command = ["pdftoppm", "-r", str(25.4 * dots_per_mm), "-gray", "-f", str(page), "-l", str(page), "-"]
    done = subprocess.run(command, input=data, capture_output=True, check=True)
    return np.asarray(Image.open(io.BytesIO(done.stdout))) < 160


def page_sizes_mm(data: bytes) -> list[tuple[float, float]]:
    command = ["pdfinfo", "-f", "1", "-l", "99", "-"]
    text = subprocess.run(command, input=data, capture_output=True, check=True).stdout.decode()
    found = re.findall(r"Page +\d+ size: +([\d.]+) x ([\d.]+) pts", text)
    return [(float(w) * 25.4 / 72.0, float(h) * 25.4 / 72.0) for w, h in found]


def texts(data: bytes) -> list[str]:
    done = subprocess.run(["pdftotext", "-layout", "-", "-"], input=data, capture_output=True, check=True)
    return done.stdout.decode().split("\f")[:-1]


def longest_run(dots: BoolArray) -> int:
    """Longest unbroken level line of ink, in dots."""
    best = 0
    for row in dots:
        edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(np.int8), [0]))))
        if len(edges):
            best = max(best, int((edges[1::2] - edges[::2]).max()))
    return best


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_every_sheet_is_of_its_paper_and_has_a_true_bar(paper: Paper) -> None:
    data = pattern_sheet_pdf(default_cone(), paper)
    sizes = page_sizes_mm(data)
    assert len(sizes) == 3  # a sector 353 mm wide needs two sheets side by side; the gauges one
    for number, size in enumerate(sizes, start=1):
        assert sorted(size) == pytest.approx(sorted(PAPERS[paper]), abs=0.05)
        foot = ink(data, number)[-28 * DOTS_PER_MM :]
        assert longest_run(foot) / DOTS_PER_MM == pytest.approx(100.0, abs=0.5)  # line ends are square
    for text in texts(data):
        assert "measure this bar: 100 mm" in text
        assert "100 %" in text


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_nothing_is_drawn_where_printers_cannot_reach(paper: Paper) -> None:
    data = pattern_sheet_pdf(default_cone(), paper)
    for page in (1, 2, 3):
        dots, edge = ink(data, page), 11 * DOTS_PER_MM
        assert dots.any()
        for side in (dots[:edge], dots[-edge:], dots[:, :edge], dots[:, -edge:]):
            assert not side.any()


def test_a_pattern_on_one_sheet_has_its_true_size() -> None:
    pattern = cone_pattern(0.06, 0.02, 0.07, 0.008)
    data = pattern_sheet_pdf(pattern, "A4")
    assert len(page_sizes_mm(data)) == 2  # and the gauges
    drawn = ink(data, 1)[: -28 * DOTS_PER_MM]
    rows, columns = np.flatnonzero(drawn.any(axis=1)), np.flatnonzero(drawn.any(axis=0))
    west, south, east, north = polygon(pattern).bounds
    assert (columns[-1] - columns[0]) / DOTS_PER_MM == pytest.approx(1000 * (east - west), abs=0.6)
    assert (rows[-1] - rows[0]) / DOTS_PER_MM == pytest.approx(1000 * (north - south), abs=0.6)


def test_two_sheets_laid_on_their_crosses_make_one_pattern() -> None:
    """In the overlap both sheets show the same lines, dot for dot but for rounding."""
    data = pattern_sheet_pdf(default_cone(), "A4")
    first, second = ink(data, 1), ink(data, 2)
    body = slice(12 * DOTS_PER_MM, -29 * DOTS_PER_MM)
    left = first[body, (210 - 12 - 10) * DOTS_PER_MM : (210 - 12) * DOTS_PER_MM]
    right = second[body, 12 * DOTS_PER_MM : 22 * DOTS_PER_MM]
    assert left.sum() > 500
    assert (left != right).sum() < 0.02 * left.size


def test_crosses_lie_on_both_neighbours() -> None:
    _, tiles = pattern_tiles((0.0, 0.0), (700.0, 600.0), "A4")
    crosses = [tuple(stroke.corners[:, :2].mean(axis=0)) for stroke in registration_marks(tiles).strokes]
    assert crosses

    def shows(tile: Tile, x: float, y: float) -> bool:
        return tile.low_mm[0] < x < tile.high_mm[0] and tile.low_mm[1] < y < tile.high_mm[1]

    assert all(sum(shows(tile, x, y) for tile in tiles) >= 2 for x, y in crosses)


@pytest.mark.parametrize("size", [(150.0, 150.0), (400.0, 200.0), (1500.0, 900.0), (186.0, 257.0)])
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_sheets_cover_the_whole_drawing(size: tuple[float, float], paper: Paper) -> None:
    _, tiles = pattern_tiles((-20.0, 5.0), (size[0] - 20.0, size[1] + 5.0), paper)
    names = [tile.name for tile in tiles]
    assert len(set(names)) == len(names)
    for x in np.linspace(-20.0, size[0] - 20.0, 40):
        for y in np.linspace(5.0, size[1] + 5.0, 40):
            assert any(
                t.low_mm[0] <= x + 1e-6 and x - 1e-6 <= t.high_mm[0]
                and t.low_mm[1] <= y + 1e-6 and y - 1e-6 <= t.high_mm[1]
                for t in tiles
            )  # fmt: skip


def test_layout_sheet_is_as_large_as_the_cloth_and_has_a_true_bar() -> None:
    layout = nest(default_cone(), 1.5, 12, RULES)
    data = layout_pdf(layout)
    ((width, height),) = page_sizes_mm(data)
    assert width == pytest.approx(max(1000 * layout.length_m, 410.0) + 20.0, abs=0.1)
    assert height == pytest.approx(1500.0 + 60.0 + 10.0, abs=0.1)
    foot = ink(data, 1, 4)[-50 * 4 :]
    assert longest_run(foot) / 4 == pytest.approx(100.0, abs=0.8)


def test_long_layouts_run_over_sheets_that_a_plotter_takes() -> None:
    layout = nest(default_cone(), 1.5, 250, RULES)
    data = layout_pdf(layout)
    sizes = page_sizes_mm(data)
    assert len(sizes) == 3
    assert all(width <= 4100.1 for width, _ in sizes)
    assert sum(width for width, _ in sizes) == pytest.approx(1000 * layout.length_m + 20.0 + 200.0, abs=0.2)
    assert all("measure this bar: 100 mm" in text for text in texts(data))


def test_files_carry_no_time_of_making(tmp_path: Path) -> None:
    data = pattern_sheet_pdf(default_cone(), "Letter")
    assert data == pattern_sheet_pdf(default_cone(), "Letter")
    target = tmp_path / "pattern.pdf"
    target.write_bytes(data)
    info = subprocess.run(["pdfinfo", "-isodates", str(target)], capture_output=True, check=True).stdout
    assert b"2000-01-01" in info


def test_unknown_paper_and_monstrous_patterns_are_refused() -> None:
    with pytest.raises(OutputError, match="A4 or Letter"):
        pattern_sheet_pdf(default_cone(), "A7")  # type: ignore[arg-type]
    with pytest.raises(OutputError, match="plotter"):
        pattern_sheet_pdf(cone_pattern(4.0, 1.0, 5.0, 0.01), "A4")
    with pytest.raises(OutputError, match="SVG or DXF"):
        layout_pdf(replace(nest(default_cone(), 1.5, 4, RULES), cloth_width_m=6.0))
