"""Layouts drawn in part, and names of files."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import pytest
from ezdxf.filemanagement import read

from sizing.order.cloth import nest
from sizing.order.cloth.dxf import layout_dxf
from sizing.order.cloth.sheets import drawn_count, layout_drawing
from sizing.order.loft.cloth_files import MOST_DRAWN, file_stem
from sizing.order.loft.cloth_jobs import cloth_jobs
from sizing.order.loft.files import loft_files
from tests.sizing.order.cloth.pieces import RULES, default_cone, pieces
from tests.sizing.order.fleet_builder import Boat
from tests.sizing.order.loft.rally import page_texts, rally


@pytest.mark.parametrize("count", [1, 199, 200, 201, 2345])
def test_whole_repeats_are_drawn_up_to_the_limit(count: int) -> None:
    layout = nest(default_cone(), 1.5, count, RULES)
    drawn = drawn_count(layout, MOST_DRAWN)
    assert drawn == count or (drawn % layout.cones_per_period == 0 and drawn <= MOST_DRAWN)
    assert drawn > min(count, MOST_DRAWN) - layout.cones_per_period
    drawing = layout_drawing(layout, 3, MOST_DRAWN)
    assert drawing.places == tuple(layout.placements())[:drawn]


def test_the_rest_of_a_layout_is_the_drawn_part_again() -> None:
    """What the note says: after one repeat the same cones come, one period further along."""
    layout = nest(default_cone(), 1.5, 2345, RULES)
    places = list(layout.placements())
    each = layout.cones_per_period
    for first, again in zip(places, places[each:], strict=False):
        assert again.x_m == pytest.approx(first.x_m + layout.period_m)
        assert (again.y_m, again.turn_deg) == (first.y_m, first.turn_deg)
    notes = [words.text for words in layout_drawing(layout, 3, MOST_DRAWN).fixed.words]
    (note,) = (text for text in notes if text.startswith("drawn: the first"))
    assert f"{layout.period_m:.4f} m up to {layout.length_m:.3f} m for 2345 cones" in note


def test_the_cloth_drawn_in_part_reaches_past_its_last_cone() -> None:
    layout = nest(default_cone(), 1.5, 500, RULES)
    drawing = layout_drawing(layout, 3, 50)
    edge_mm = max(
        float(stroke.corners[:, 0].max()) for stroke in drawing.fixed.strokes if stroke.layer == "CLOTH"
    )
    drawn = drawn_count(layout, 50)
    reach_mm = max(piece.bounds[2] for piece in pieces(layout)[:drawn]) * 1000.0
    assert reach_mm <= edge_mm <= reach_mm + 5.0
    assert edge_mm < 1000.0 * layout.length_m


def test_the_dxf_holds_the_drawn_cones_only() -> None:
    layout = nest(default_cone(), 1.5, 500, RULES)
    document = read(io.StringIO(layout_dxf(layout, 3, 50).decode()))
    assert len(document.modelspace().query('LWPOLYLINE[layer=="CUT"]')) == drawn_count(layout, 50)


def test_spares_are_cut_with_the_rest() -> None:
    """Policy default: 5 % spare cones, up to the next whole one [assumed]."""
    made = rally([Boat(), Boat(entry_no="2")])
    (job,) = cloth_jobs(made.result.order, made.policy, made.catalogue)
    assert (job.cones, job.spare) == (202, 11)


def test_each_mouth_has_its_own_pattern_and_spares() -> None:
    """A cone of another mouth is the policy's in proportion: the pattern's angle stays, its radii grow."""
    made = rally([Boat(), Boat(entry_no="2")], mouths_m=(0.127, 0.1524))
    jobs = cloth_jobs(made.result.order, made.policy, made.catalogue)
    assert [(job.size.mouth_m, job.cones, job.spare) for job in jobs] == [(0.127, 101, 6), (0.1524, 101, 6)]
    small, large = (job.pattern for job in jobs)
    assert large.angle_rad == pytest.approx(small.angle_rad)
    assert large.outer_radius_m == pytest.approx(1.2 * small.outer_radius_m)
    files = loft_files(made.result, made.policy, made.catalogue)
    assert {"cloth-RIP-1.5-127mm-layout.dxf", "cloth-RIP-1.5-152.4mm-layout.dxf"} <= set(files)


def test_a_club_s_own_id_makes_a_file_name_any_system_takes() -> None:
    made = rally([Boat()])
    (job,) = cloth_jobs(made.result.order, made.policy, made.catalogue)
    odd = file_stem(replace(job, item="../../etc: Tuch Ö"), ())
    assert re.fullmatch(r"cloth-etc-Tuch-127mm-[0-9a-f]{8}", odd)
    assert file_stem(replace(job, item="x" * 300), ()).startswith("cloth-" + "x" * 40 + "-127mm-")
    taken = ["cloth-rip-1.5-127mm-layout.pdf"]
    assert file_stem(job, taken) != file_stem(job, ())


def test_layout_notes_name_all_cones_of_the_cloth() -> None:
    made = rally([Boat(), Boat(entry_no="2")])
    files = loft_files(made.result, made.policy, made.catalogue)
    (name,) = (name for name in files if name.endswith("layout.pdf"))
    text = " ".join(page_texts(files[name]))
    assert "213 cones, mouth 127.0 mm, on cloth 1500 mm wide" in text
    assert re.search(r"drawn: the first \d+ cones", text)
