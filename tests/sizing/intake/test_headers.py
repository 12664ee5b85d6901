"""Headers in the ways clubs write them, and rows around the table."""

from __future__ import annotations

import numpy as np
import pytest

from sizing.errors import InputError
from sizing.intake.header_match import recognise
from tests.sizing.intake.sheets import GOOD, boat, read, read_boats, remark_codes, rows_csv, sheet


@pytest.mark.parametrize(
    ("header", "name", "unit"),
    [
        ("displacement_kg", "displacement", "kg"),
        ("Displacement (lb)", "displacement", "lb"),
        ("DISPLACEMENT [t]", "displacement", "t"),
        ("Disp. kg", "displacement", "kg"),
        ("LOA [ft]", "loa", "ft"),
        ("Beam, m", "beam", "m"),
        ("Length over all (m)", "loa", "m"),
        ("length in ft", "loa", "ft"),
        ("Transom-Width / m", "transom_width", "m"),
        ("windage_area_sq_ft", "windage_area", "sq ft"),
        ("displacement long tons", "displacement", "long tons"),
        ("Entry No.", "entry_no", None),
        ("E-Mail", "email", None),
        ("Yacht name", "boat_name", None),
        ("Shackle (kN)", "shackle_rating", "kn"),
    ],
)
def test_headers_are_recognised(header: str, name: str, unit: str | None) -> None:
    match = recognise(header)
    assert match is not None
    assert match[0].name == name
    assert (match[1].word if match[1] else None) == unit


@pytest.mark.parametrize(
    "header", ["colour", "beam (nice)", "beam at waterline", "", "2026", "=loa", "x" * 500]
)
def test_other_headers_are_not(header: str) -> None:
    assert recognise(header) is None


def test_column_order_does_not_matter() -> None:
    names = list(GOOD)
    expected = read_boats(boat()).fleet.entry(0)
    for seed in range(5):
        names = [names[place] for place in np.random.default_rng(seed).permutation(len(names))]
        entry = read_boats({name: GOOD[name] for name in names}).fleet.entry(0)
        assert entry == expected


def test_unknown_columns_are_kept_and_said() -> None:
    result = read_boats(boat(Colour="red", leed_lin_leng="23 m"))
    assert result.fleet.extra_columns == ("Colour", "leed_lin_leng")
    assert result.fleet.as_written["Colour"].to_list() == ["red"]
    notes = " ".join(result.file_notes)
    assert "Column I “Colour” is not used" in notes
    assert "Did you mean lead_line_length?" in notes


def test_a_slip_of_the_pen_in_a_header_is_read_and_said() -> None:
    result = read_boats(boat(lead_line_lenght="23 m"))
    assert result.fleet.number["lead_line_length_m"].tolist() == [23.0]
    assert any("I “lead_line_lenght” is read as lead_line_length" in note for note in result.file_notes)


def test_duplicate_headers_name_both_columns() -> None:
    header, cells = list(GOOD), list(GOOD.values())
    with pytest.raises(
        InputError, match=r"columns I “Cones” and J “Number of cones” both stand for cone_count"
    ):
        read(rows_csv([[*header, "Cones", "Number of cones"], [*cells, "100", "100"]]))
    with pytest.raises(InputError, match="I “Colour” and J “colour” carry the same header"):
        read(rows_csv([[*header, "Colour", "colour"], [*cells, "", ""]]))


def test_missing_columns_are_named_with_near_misses() -> None:
    cells = {name: cell for name, cell in GOOD.items() if name != "displacement"}
    with pytest.raises(InputError, match="no column displacement; column H “dsplacment kg” may be meant"):
        read_boats({**cells, "dsplacment kg": "8,400 kg"})


@pytest.mark.parametrize(
    ("header", "words"), [("displacement (tons)", "long tons"), ("displacement (m)", "unit of length")]
)
def test_a_header_unit_that_cannot_be_used_is_asked_about(header: str, words: str) -> None:
    cells = {name: cell for name, cell in GOOD.items() if name != "displacement"}
    with pytest.raises(InputError, match=words):
        read_boats({**cells, header: "8400"})


def test_header_units_serve_bare_figures_and_cells_are_stronger() -> None:
    cells = {name: cell for name, cell in GOOD.items() if name not in ("loa", "displacement")}
    first = {**cells, "loa_ft": "38", "displacement (lb)": "18,500"}
    second = {**first, "entry_no": "018", "loa_ft": "11.6 m", "displacement (lb)": "18,500 lb"}
    result = read_boats(first, second)
    assert result.fleet.number["loa_m"].tolist() == pytest.approx([38 * 0.3048, 11.6])
    rows = {(remark.column, remark.code): remark.rows.tolist() for remark in result.fleet.remarks}
    assert rows["loa", "header_unit"] == [0]
    assert rows["loa", "cell_unit"] == [1]
    assert rows["displacement", "header_unit"] == [0]
    assert ("displacement", "cell_unit") not in rows


def test_title_lines_above_the_header_are_left_out_and_said() -> None:
    rows = [["Rally entries 2026"], [], list(GOOD), list(GOOD.values())]
    result = read(rows_csv(rows))
    assert len(result.fleet) == 1
    assert result.fleet.row_no.tolist() == [4]
    assert "2 rows above the header left out: “Rally entries 2026”." in result.file_notes


def test_blank_rows_are_counted() -> None:
    data = sheet(boat(), {}, boat(entry_no="018")) + b"\r\n\r\n"
    result = read(data)
    assert result.rows_in == 2
    assert any("blank row" in note or "empty cells" in note for note in result.file_notes)


@pytest.mark.parametrize(
    "last",
    [{"boat_name": "Total", "displacement": "16,800 kg"}, {"entry_no": "TOTAL", "displacement": "16800"},
     {"displacement": "16800"}, {"boat_name": "2", "displacement": "Total: 16800"},
     {"entry_no": "Total boats", "boat_name": "2"}],
)  # fmt: skip
def test_a_totals_row_at_the_end_is_left_out_and_said(last: dict[str, str]) -> None:
    result = read_boats(boat(), boat(entry_no="018"), last)
    said = [note for note in result.file_notes if "Row 4 (line 4) is taken for a totals row" in note]
    assert (result.rows_in, len(result.rejected), len(said)) == (2, 0, 1)


def test_a_row_like_totals_among_the_boats_is_rejected_not_left_out() -> None:
    result = read_boats(boat(), {"boat_name": "Total", "displacement": "8400 kg"}, boat(entry_no="018"))
    assert (result.rows_in, len(result.rejected)) == (3, 1)


def test_a_boat_named_total_is_a_boat() -> None:
    result = read_boats(boat(), boat(entry_no="018", boat_name="Total"))
    assert len(result.fleet) == 2


def test_remarks_point_at_accepted_rows_in_order() -> None:
    result = read_boats(
        boat(boat_type="yacht"), boat(entry_no="018", loa="bad"), boat(entry_no="019", boat_type="sloop")
    )
    remark = next(one for one in result.fleet.remarks if one.code == "choice_word")
    assert remark.rows.tolist() == [0, 1]
    assert "boat_type: “sloop” is read as sailing monohull" in result.fleet.remarks_of(1, "interpretation")
    assert all((np.diff(one.rows) > 0).all() for one in result.fleet.remarks)
    assert ("boat_type", "choice_word") in remark_codes(result)


def test_the_header_repeated_further_down_is_left_out_and_said() -> None:
    header = list(GOOD)
    rows = [header, list(GOOD.values()), header, list(boat(entry_no="018").values())]
    result = read(rows_csv(rows))
    assert (result.rows_in, len(result.fleet)) == (2, 2)
    assert "Row 3 (line 3) repeats the header and is left out." in result.file_notes


def test_columns_without_a_header_are_told_in_one_note() -> None:
    rows = [[*GOOD, "", "", "", "#"], [*GOOD.values(), "", "", "x", "y"]]
    notes = [
        note for note in read(rows_csv(rows)).file_notes if "is not used" in note or "are not used" in note
    ]
    assert notes == [
        "Column L “#” is not used; it is kept as written.",
        "3 columns have no header (I, J, K) and are not used; they are kept as written.",
    ]


def test_a_missing_column_is_named_with_the_headers_that_are_not_known() -> None:
    header = ["#" if name == "entry_no" else "Rear end" if name == "transom_width" else name for name in GOOD]
    with pytest.raises(InputError, match="headers not known here: A “#”, G “Rear end”"):
        read(rows_csv([header, list(GOOD.values())]))
