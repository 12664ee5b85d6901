"""Every cone of the order goes over the rope it is threaded on: rule 20 of the engineering basis.

The small end is wider than the rope, splices and thimbles apart: at least rope diameter + 3 mm [assumed].
What is compared is the cone that the drawn pattern sews up to, not the program's own figure.
"""

from __future__ import annotations

import csv
import io

import pytest

from sizing.catalogue import load_catalogue
from sizing.order.loft.files import kit_files, loft_files
from tests.sizing.order.cloth.test_sewn_by_arithmetic import dxf_lines, sewn_mm
from tests.sizing.order.fleet_builder import Boat
from tests.sizing.order.loft.rally import page_texts, rally

ROPES = load_catalogue().ropes
THICK = ROPES.id.index("NDB-5in")  # 40.6 mm [UFC Table 6-8]: thicker than the default small end of 38.1 mm
ROOM_MM = 3.0


def patterns_mm(boats: list[Boat]) -> tuple[dict[str, tuple[float, float, float]], list[dict[str, str]]]:
    """Mouth, small end and slant of every pattern of the loft by its file's stem; the rows of cloth.csv."""
    made = rally(boats)
    assert not made.result.order.problems
    files = loft_files(made.result, made.policy, made.catalogue)
    sewn = {
        name.removesuffix(".dxf"): sewn_mm(*dxf_lines(data))
        for name, data in files.items()
        if name.startswith("cone-pattern") and name.endswith(".dxf")
    }
    return sewn, list(csv.DictReader(io.StringIO(files["cloth.csv"].decode("utf-8-sig"))))


def test_a_thick_section_has_a_pattern_that_goes_over_its_rope() -> None:
    sewn, rows = patterns_mm([Boat(ropes=(THICK, 7), cones=(60, 41), lead_rope=THICK)])
    needed_mm = 1000.0 * float(ROPES.diameter_m[THICK]) + ROOM_MM
    wide = {name: cone for name, cone in sewn.items() if cone[1] >= needed_mm * 0.9999}
    assert len(sewn) == 2, "the thin section keeps the policy's cone"
    (name,) = wide
    assert wide[name][0] == pytest.approx(127.0, rel=1e-3), "the mouth, and with it the drag, stays"
    assert wide[name][2] == pytest.approx(152.4, rel=1e-3)
    counts = {
        row["files"].split(", ")[1].removesuffix("*"): (row["cones"], row["spare_cones"]) for row in rows
    }
    assert counts == {name: ("60", "3"), "cone-pattern-127-mm": ("41", "3")}  # 5 % spares of each size


@pytest.mark.parametrize(
    ("boat", "title"),
    [
        (Boat(ropes=(THICK, 7), cones=(60, 41), lead_rope=THICK), "Section 1: NDB-5in"),
        (
            Boat(groups=("cones", "extension"), ropes=(THICK, 7), lead_rope=THICK, cones_to_make=50),
            "New section: NDB-5in",
        ),
    ],
)
def test_cut_list_and_marks_of_the_kit_name_the_pattern_of_a_thick_section(boat: Boat, title: str) -> None:
    """40.6 mm of rope and 3 mm, up to the next whole 5 mm: 45 mm."""
    made = rally([boat])
    texts = page_texts(kit_files(made.result, made.policy, made.catalogue)["kits.pdf"])
    text = " ".join(" ".join(texts).split())
    assert text.count("takes the") == 2  # a cell of the cut list, and the title of the marks
    assert title in text.partition("takes the cones with a small end of 45 mm")[0][-120:]


def test_thin_ropes_have_the_policys_cone_alone() -> None:
    sewn, rows = patterns_mm([Boat()])
    assert list(sewn) == ["cone-pattern-127-mm"]
    assert [row["cones"] for row in rows] == ["101"]


def test_an_extension_s_cones_go_over_the_extension_s_rope() -> None:
    sewn, _ = patterns_mm(
        [
            Boat(
                groups=("cones", "extension"),
                cones=(60, 41),
                ropes=(THICK, 7),
                lead_rope=THICK,
                cones_to_make=50,
            )
        ]
    )
    (cone,) = sewn.values()
    assert cone[1] >= 1000.0 * float(ROPES.diameter_m[THICK]) + ROOM_MM - 0.01


def test_cones_put_in_old_places_go_over_the_thickest_section_aboard() -> None:
    sewn, _ = patterns_mm([Boat(groups=("cones",), cones_to_make=20, own_sections_m=(0.045, 0.020))])
    (cone,) = sewn.values()
    assert cone[1] >= 45.0 + ROOM_MM - 0.01
