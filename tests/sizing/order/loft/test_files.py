"""All files of the loft: names, sizes, sums equal to the order's, the same bytes every time."""

from __future__ import annotations

import csv
import io
import subprocess
import sys
from collections import Counter
from collections.abc import Mapping
from decimal import ROUND_CEILING, Decimal
from pathlib import Path

import pytest

from sizing.errors import OutputError
from sizing.order.loft.files import loft_files, write_loft
from tests.sizing.order.fleet_builder import Boat
from tests.sizing.order.loft.rally import Rally, address, page_sizes_pt, page_texts, rally

BOATS = [
    Boat(entry_no="7", boat_name="Tern"),
    Boat(entry_no="8", boat_name="Nothing Wanted", groups=()),
    Boat(entry_no="9", boat_name="Heavy", heavy=True, cones=(90, 30, 20), ropes=(9, 7, 5)),
    Boat(entry_no="10", boat_name="Longer", groups=("cones", "extension"), cones_to_make=17),
    Boat(entry_no="11", boat_name="Thimbles", groups=("thimbles",), cones_to_make=0),
    Boat(entry_no="12", boat_name="Moved", groups=("cone line",), cones_to_make=0),
]
KITS = ["7", "9", "10", "11", "12"]
PAPERS_PT = {"kits.pdf": (595.28, 841.89), "kits-letter.pdf": (612.0, 792.0)}  # ISO 216; ANSI Y14.1
LIMIT = 2_000_000


@pytest.fixture(scope="module")
def made() -> Rally:
    return rally(BOATS)


@pytest.fixture(scope="module")
def files(made: Rally) -> Mapping[str, bytes]:
    return loft_files(made.result, made.policy, made.catalogue, address)


def table(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode())))


def test_names(files: Mapping[str, bytes]) -> None:
    stems = ("cloth-RIP-1.5-127mm", "cloth-RIP-2.2-127mm")
    ends = ("layout.pdf", "layout.svg", "layout.dxf")
    patterns = ("A4.pdf", "Letter.pdf")
    assert set(files) == {
        "kits.pdf", "kits-letter.pdf", "workshop.csv", "workshop-board.csv", "cloth.csv", "tapes.csv",
        "cone-pattern-127-mm.dxf", *(f"cone-pattern-127-mm-{paper}" for paper in patterns),
        *(f"{stem}-{end}" for stem in stems for end in ends),
    }  # fmt: skip


def test_the_same_result_gives_the_same_bytes(made: Rally, files: Mapping[str, bytes]) -> None:
    again = loft_files(made.result, made.policy, made.catalogue, address)
    assert {name for name in files if files[name] != again[name]} == set()


@pytest.mark.parametrize("name", PAPERS_PT)
def test_every_page_is_of_its_paper(files: Mapping[str, bytes], name: str) -> None:
    sizes = page_sizes_pt(files[name])
    assert len(sizes) > len(KITS)
    for size in sizes:
        assert size == pytest.approx(PAPERS_PT[name], abs=0.01)


@pytest.mark.parametrize("name", PAPERS_PT)
def test_every_kit_is_there_and_no_other(files: Mapping[str, bytes], name: str) -> None:
    heads = Counter(
        line.split(",")[0].removeprefix("Entry ").strip()
        for page in page_texts(files[name])
        for line in page.splitlines()[:1]
        if line.startswith("Entry ")
    )
    assert set(heads) == set(KITS)


@pytest.mark.parametrize("name", PAPERS_PT)
def test_the_list_of_bags_names_the_sheet_each_begins_at(files: Mapping[str, bytes], name: str) -> None:
    pages = page_texts(files[name])
    front = [line.split() for page in pages if page.startswith("Workshop") for line in page.splitlines()]
    listed = {
        cells[0]: int(cells[-1])
        for cells in front
        if len(cells) > 8 and cells[0] in KITS and cells[-1].isdecimal()
    }
    assert set(listed) == set(KITS)
    for entry, sheet in listed.items():
        assert pages[sheet - 1].startswith(f"Entry {entry},")
        assert "page 1 of" in pages[sheet - 1].splitlines()[0]
        assert pages[sheet - 1].rstrip().endswith(f"sheet {sheet}")


def test_pick_lists_add_up_to_the_order(made: Rally, files: Mapping[str, bytes]) -> None:
    printed = [
        int(line.split()[-1].replace(",", ""))
        for page in page_texts(files["kits.pdf"])
        for line in page.splitlines()
        if line.strip().startswith("In all ") and len(line.split()) == 3
    ]
    assert len(printed) == len(KITS)
    assert sum(printed) == sum(piece.quantity for piece in made.result.order.pieces)


def test_cloth_and_cones_are_those_of_the_order(made: Rally, files: Mapping[str, bytes]) -> None:
    rows = table(files["cloth.csv"])
    ordered: dict[str, Decimal] = {}
    for line in made.result.order.lines:
        ordered[line.item] = ordered.get(line.item, Decimal(0)) + line.needed + line.spare
    cones = Counter[str]()
    for piece in made.result.order.pieces:
        if piece.kind == "cone":
            cones[piece.item] += piece.quantity
    for row in rows:
        assert int(row["cones"]) == cones[row["item"]]
        metres = Decimal(row["cloth_m"]).quantize(Decimal("0.1"), ROUND_CEILING)
        assert metres == ordered[row["item"]]
    assert {row["item"] for row in rows} == set(cones)


def test_tapes_are_three_a_cone_with_those_of_the_spares(files: Mapping[str, bytes]) -> None:
    cones = sum(int(row["cones"]) + int(row["spare_cones"]) for row in table(files["cloth.csv"]))
    tapes = table(files["tapes.csv"])
    assert sum(int(row["pieces"]) for row in tapes) == 3 * cones
    assert {row["length_m"] for row in tapes} == {"0.762"}  # common practice, no source: 30 in


def test_the_workshop_table_adds_up(files: Mapping[str, bytes]) -> None:
    *steps, last = table(files["workshop.csv"])
    assert last["step"] == "all steps"
    assert int(last["tasks"]) == sum(int(row["tasks"]) for row in steps)
    for column in ("hours", "hours_planned"):
        assert float(last[column]) == pytest.approx(sum(float(row[column]) for row in steps), abs=0.5)
    assert "12 people with 4 sewing machines and 3 days" in last["note"]
    assert {row["step"]: int(row["tasks"]) for row in steps}["sew at the machine"] == 101 + 140 + 17


def test_the_board_has_no_more_people_than_come_and_no_more_at_machines_than_machines(
    files: Mapping[str, bytes],
) -> None:
    here: dict[tuple[str, str], int] = {}
    board = table(files["workshop-board.csv"])
    for row in board:
        at = (row["day"], row["hour"])
        here[at] = here.get(at, 0) + int(row["people"])
        assert row["step"] != "sew at the machine" or int(row["people"]) <= 4
    assert max(here.values()) <= 12
    planned = sum(float(row["hours_planned"]) for row in table(files["workshop.csv"])[:-1])
    assert sum(float(row["hours"]) for row in board) == pytest.approx(planned, abs=0.05 * len(board))


@pytest.mark.thorough
def test_a_large_fleet_keeps_each_drawing_small() -> None:
    boats = [Boat(entry_no=str(n), groups=("cones", "extension"), cones_to_make=235) for n in range(10)]
    large = rally(boats)
    files = loft_files(large.result, large.policy, large.catalogue)
    assert table(files["cloth.csv"])[0]["cones"] == "2350"
    assert max(len(content) for name, content in files.items() if name.startswith("cloth")) < LIMIT


def test_no_contact_details_anywhere(files: Mapping[str, bytes]) -> None:
    for name, content in files.items():
        text = " ".join(page_texts(content)) if name.endswith(".pdf") else content.decode()
        for private in ("secret@boat.example", "000 0000", "A. Skipper"):
            assert private not in text, name


def test_nothing_to_build_is_said() -> None:
    idle = rally([Boat(groups=())])
    files = loft_files(idle.result, idle.policy, idle.catalogue)
    assert set(files) == {
        "kits.pdf",
        "kits-letter.pdf",
        "workshop.csv",
        "workshop-board.csv",
        "cloth.csv",
        "tapes.csv",
    }
    (page,) = page_texts(files["kits.pdf"])
    assert "There is nothing to make." in page


def test_a_folder_that_is_not_there_is_an_output_error(made: Rally, tmp_path: Path) -> None:
    with pytest.raises(OutputError, match=r"cannot be written"):
        write_loft(made.result, made.policy, made.catalogue, tmp_path / "missing")


def test_files_are_written(tmp_path: Path) -> None:
    small = rally([Boat(groups=("thimbles",), cones_to_make=0)])
    write_loft(small.result, small.policy, small.catalogue, tmp_path)
    assert (tmp_path / "kits.pdf").read_bytes().startswith(b"%PDF")


def test_an_order_is_worked_out_without_the_drawing_libraries() -> None:
    code = "import sys, sizing.order; print([m for m in ('ezdxf', 'reportlab') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    assert done.stdout.decode().strip() == "[]"
